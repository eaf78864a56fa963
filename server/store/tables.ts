/** The tables that the journal writes, and what hangs on a row of each. */
import type {
  Absence,
  AwardFloor,
  Change,
  ClosedDate,
  Decision,
  DecisionQuestion,
  ExchangeRate,
  Find,
  Hand,
  HoursBooked,
  Hunt,
  HuntEvent,
  Inspection,
  Invoice,
  JudgingDeduction,
  JudgingLine,
  JudgingSection,
  KnockOn,
  Link,
  Need,
  Operation,
  OperationWay,
  Order,
  Part,
  PartReference,
  Payment,
  Photograph,
  PriceBreak,
  Quote,
  Remedy,
  Restoration,
  RuledOut,
  ShopCalendar,
  Snag,
  SpecificationRow,
  StatedDimension,
  Supplier,
  TradeRate,
} from "../generated/prisma/client.ts";
import type { Tx } from "./client.ts";
import { codeInWords } from "./codes.ts";
import type { RefusalCode } from "./fault.ts";

export interface Tables {
  restoration: Restoration;
  exchangeRate: ExchangeRate;
  shopCalendar: ShopCalendar;
  closedDate: ClosedDate;
  tradeRate: TradeRate;
  hand: Hand;
  absence: Absence;
  operation: Operation;
  operationWay: OperationWay;
  hoursBooked: HoursBooked;
  link: Link;
  need: Need;
  part: Part;
  ruledOut: RuledOut;
  partReference: PartReference;
  specificationRow: SpecificationRow;
  supplier: Supplier;
  quote: Quote;
  priceBreak: PriceBreak;
  knockOn: KnockOn;
  statedDimension: StatedDimension;
  find: Find;
  hunt: Hunt;
  huntEvent: HuntEvent;
  order: Order;
  payment: Payment;
  invoice: Invoice;
  decision: Decision;
  decisionQuestion: DecisionQuestion;
  snag: Snag;
  remedy: Remedy;
  inspection: Inspection;
  photograph: Photograph;
  judgingSection: JudgingSection;
  judgingLine: JudgingLine;
  judgingDeduction: JudgingDeduction;
  awardFloor: AwardFloor;
  change: Change;
}

export type Table = keyof Tables;

/** A row of any table, as the journal sees it. */
export type AnyRow = Record<string, unknown> & { id: string; revision: number };

/** Ids or rows in one statement: SQLite allows more variables; this keeps statements short. */
export const CHUNK = 500;

interface Delegate {
  findUnique(query: { where: { id: string } }): Promise<AnyRow | null>;
  findMany(query: {
    where: object;
    orderBy?: object;
    select?: object;
    skip?: number;
    take?: number;
  }): Promise<AnyRow[]>;
  count(query: { where: object }): Promise<number>;
  create(query: { data: object }): Promise<AnyRow>;
  createManyAndReturn(query: { data: object[] }): Promise<AnyRow[]>;
  updateMany(query: { where: object; data: object }): Promise<{ count: number }>;
  deleteMany(query: { where: object }): Promise<{ count: number }>;
}

/** The Prisma delegate of a table chosen at run time. */
export const delegateOf = (tx: Tx, table: Table): Delegate => tx[table] as unknown as Delegate;

/**
 * What happens to the rows whose `field` points at a row that is removed:
 * they go too, their pointer is cleared, or they forbid the removal.
 */
export interface Dependent {
  table: Table;
  field: string;
  outcome: "remove" | "clear" | { refuse: RefusalCode };
}

const remove = (table: Table, field: string): Dependent => ({
  table,
  field,
  outcome: "remove",
});
const clear = (table: Table, field: string): Dependent => ({
  table,
  field,
  outcome: "clear",
});
const refuse = (table: Table, field: string, code: RefusalCode): Dependent => ({
  table,
  field,
  outcome: { refuse: code },
});

/** Money that was spent or promised forbids a removal; the order of the others is children first. */
export const DEPENDENTS: Record<Table, readonly Dependent[]> = {
  restoration: [
    refuse("order", "restorationId", "HAS_ORDERS"),
    refuse("invoice", "restorationId", "HAS_PAYMENTS"),
    refuse("payment", "restorationId", "HAS_PAYMENTS"),
    remove("decisionQuestion", "restorationId"),
    remove("decision", "restorationId"),
    remove("photograph", "restorationId"),
    remove("hoursBooked", "restorationId"),
    remove("link", "restorationId"),
    remove("need", "restorationId"),
    remove("inspection", "restorationId"),
    remove("find", "restorationId"),
    remove("hunt", "restorationId"),
    remove("quote", "restorationId"),
    remove("part", "restorationId"),
    remove("remedy", "restorationId"),
    remove("snag", "restorationId"),
    remove("operationWay", "restorationId"),
    remove("operation", "restorationId"),
    remove("tradeRate", "restorationId"),
    remove("judgingSection", "restorationId"),
    remove("awardFloor", "restorationId"),
    remove("change", "restorationId"),
  ],
  exchangeRate: [],
  shopCalendar: [],
  closedDate: [],
  tradeRate: [],
  hand: [remove("absence", "handId")],
  absence: [],
  operation: [
    refuse("hoursBooked", "operationId", "HAS_HOURS"),
    remove("photograph", "operationId"),
    remove("link", "beforeId"),
    remove("link", "afterId"),
    remove("need", "operationId"),
    remove("snag", "operationId"),
    remove("operationWay", "operationId"),
    clear("inspection", "operationId"),
  ],
  operationWay: [
    refuse("payment", "wayId", "HAS_PAYMENTS"),
    clear("operation", "chosenWayId"),
    clear("decision", "wayId"),
  ],
  hoursBooked: [remove("hoursBooked", "correctsId")],
  link: [],
  need: [],
  part: [
    refuse("order", "partId", "HAS_ORDERS"),
    remove("photograph", "partId"),
    remove("need", "partId"),
    remove("inspection", "partId"),
    remove("quote", "partId"),
    remove("partReference", "partId"),
    remove("specificationRow", "partId"),
    remove("ruledOut", "partId"),
    remove("hunt", "partId"),
    clear("find", "partId"),
  ],
  ruledOut: [],
  partReference: [],
  specificationRow: [],
  supplier: [remove("quote", "supplierId"), clear("remedy", "supplierId"), clear("operationWay", "supplierId")],
  quote: [
    refuse("order", "quoteId", "HAS_ORDERS"),
    remove("photograph", "quoteId"),
    clear("part", "chosenQuoteId"),
    clear("part", "fallbackQuoteId"),
    clear("decision", "quoteId"),
    clear("find", "quoteId"),
    remove("priceBreak", "quoteId"),
    remove("knockOn", "quoteId"),
    remove("statedDimension", "quoteId"),
  ],
  priceBreak: [],
  knockOn: [],
  statedDimension: [],
  find: [],
  hunt: [remove("huntEvent", "huntId")],
  huntEvent: [],
  order: [refuse("payment", "orderId", "HAS_PAYMENTS")],
  payment: [remove("payment", "correctsId")],
  invoice: [remove("invoice", "correctsId")],
  decision: [remove("decisionQuestion", "decisionId")],
  decisionQuestion: [],
  snag: [remove("remedy", "snagId"), remove("photograph", "snagId")],
  remedy: [
    refuse("payment", "remedyId", "HAS_PAYMENTS"),
    clear("snag", "chosenRemedyId"),
    clear("decision", "remedyId"),
  ],
  inspection: [],
  photograph: [],
  judgingSection: [
    remove("judgingLine", "sectionId"),
    remove("judgingDeduction", "sectionId"),
    clear("part", "judgingSectionId"),
  ],
  judgingLine: [clear("part", "judgingLineId"), clear("operation", "judgingLineId")],
  judgingDeduction: [],
  awardFloor: [],
  change: [],
};

/**
 * Tables from whose rows nothing is taken out: what takes such a row back is an entry that stands against it.
 * `against` gives that entry for the account that asks.
 */
export const LEDGERS: Partial<Record<Table, { against: (row: AnyRow, accountId: string) => object }>> = {
  hoursBooked: {
    against: (row, accountId) => ({
      restorationId: row.restorationId,
      operationId: row.operationId,
      accountId,
      clientKey: `against ${row.id}`,
      workedOn: row.workedOn,
      hours: -Number(row.hours),
      rateMinor: row.rateMinor,
      currency: row.currency,
      notes: "Taken back",
      correctsId: row.id,
    }),
  },
  // The day and the rate are those of the entry itself, so that nothing of it is left in any month or currency.
  payment: {
    against: (row) => ({
      restorationId: row.restorationId,
      orderId: row.orderId,
      wayId: row.wayId,
      remedyId: row.remedyId,
      kind: row.kind,
      paidOn: row.paidOn,
      amountMinor: -Number(row.amountMinor),
      currency: row.currency,
      rate: row.rate,
      notes: "Taken back",
      correctsId: row.id,
    }),
  },
  invoice: {
    against: (row) => ({
      restorationId: row.restorationId,
      code: `${row.code} back`,
      kind: row.kind,
      day: row.day,
      amountMinor: -Number(row.amountMinor),
      currency: row.currency,
      notes: "Taken back",
      correctsId: row.id,
    }),
  },
};

/** What a person calls one row of the table. */
export const NOUNS: Record<Table, string> = {
  restoration: "restoration",
  exchangeRate: "exchange rate",
  shopCalendar: "shop calendar",
  closedDate: "closed date",
  tradeRate: "trade rate",
  hand: "hand",
  absence: "absence",
  operation: "operation",
  operationWay: "way to do an operation",
  hoursBooked: "booking of hours",
  link: "link",
  need: "need",
  part: "part",
  ruledOut: "provenance ruled out",
  partReference: "part reference",
  specificationRow: "dimension",
  supplier: "supplier",
  quote: "quote",
  priceBreak: "price break",
  knockOn: "knock-on",
  statedDimension: "stated dimension",
  find: "find",
  hunt: "hunt",
  huntEvent: "dated chance of a hunt",
  order: "order",
  payment: "payment",
  invoice: "invoice or receipt",
  decision: "decision",
  decisionQuestion: "question of the owner",
  snag: "snag",
  remedy: "remedy",
  inspection: "inspection",
  photograph: "photograph",
  judgingSection: "section of the judging sheet",
  judgingLine: "line of the judging sheet",
  judgingDeduction: "deduction of the judging sheet",
  awardFloor: "award floor",
  change: "change",
};

/** The code or name by which a person knows a row. */
export function nameOf(row: Readonly<Record<string, unknown>>): string {
  if (typeof row.caption === "string") return row.caption || "without a caption";
  if (typeof row.counter === "string") return `${row.base} to ${row.counter} of ${row.date}`;
  return String(
    row.code ?? row.what ?? row.machine ?? row.trade ?? row.date ?? row.name ?? row.award ?? row.title ?? row.id,
  );
}

/** What a row with a code is called besides; nothing where it has no words of its own. */
const titleOf = ({ title, name }: Readonly<Record<string, unknown>>): string => String(title || name || "");

/** A row that has a code, and mostly a title or a name: "part 11, Front axle", "ENG-1, Strip the engine". */
export function codeAndName(noun: string, row: { code: string; title?: string; name?: string }): string {
  const title = titleOf(row);
  return `${codeInWords(noun, row.code)}${title === "" ? "" : `, ${title}`}`;
}

/**
 * The name of a row with its noun: "part 11, Front axle". A row without a name is known by those that it belongs to:
 * "order 12 for Front axle", "quote 70 of Lower Mill Foundry for Front axle", "link of Strip the engine and Line the bearings", or by its noun alone. Nobody is shown an id.
 */
export async function nameWithNoun(tx: Tx, table: Table, row: AnyRow): Promise<string> {
  const name = nameOf(row);
  if (name !== row.id) {
    const title = row.code === undefined ? "" : titleOf(row);
    if (title !== "") return `${NOUNS[table]} ${name}, ${title}`;
    const part =
      typeof row.partId === "string" ? await delegateOf(tx, "part").findUnique({ where: { id: row.partId } }) : null;
    const supplier =
      typeof row.supplierId === "string"
        ? await delegateOf(tx, "supplier").findUnique({ where: { id: row.supplierId } })
        : null;
    const of = part === null || supplier === null ? "" : ` of ${titleOf(supplier)}`;
    return `${NOUNS[table]} ${name}${of}${part === null ? "" : ` for ${titleOf(part) || nameOf(part)}`}`;
  }
  const above: string[] = [];
  for (const [parent, hanging] of Object.entries(DEPENDENTS) as [Table, readonly Dependent[]][])
    for (const { table: child, field } of hanging) {
      const id = row[field];
      if (child !== table || parent === "restoration" || typeof id !== "string") continue;
      const found = await delegateOf(tx, parent).findUnique({ where: { id } });
      if (found !== null && nameOf(found) !== id)
        above.push(titleOf(found) || codeInWords(NOUNS[parent], nameOf(found)));
    }
  return above.length === 0 ? NOUNS[table] : `${NOUNS[table]} of ${above.join(" and ")}`;
}
