/**
 * What is kept in memory of a restoration so that everything in it can be found by its words: what each row is called, its
 * numbers and makers, and what the row itself says of how far it is. Read when it is first asked for, then kept up with each
 * change that this process commits; after a change by another process it is read again.
 */
import type { DecisionState, InvoiceKind, OperationState, OrderState } from "../../generated/prisma/enums.ts";
import type { Store } from "../../store/client.ts";
import { numberAsked } from "../../store/codes.ts";
import { NotFound } from "../../store/fault.ts";
import type { Entry } from "../../store/journal.ts";
import { CHUNK, type Table } from "../../store/tables.ts";
import { textsOf } from "../../store/texts.ts";
import { Followed, MOST_RESTORATIONS } from "../rows/kept.ts";
import { type FoundRow, numberFits, type Reading, type SearchField, WordSearch, wordsThatFit } from "./wordSearch.ts";

export type FindGroup = "PARTS" | "WORK" | "MONEY_AND_DECISIONS" | "SUPPLIERS" | "SNAGS" | "PEOPLE";

export type FindKind = "PART" | "OPERATION" | "DECISION" | "INVOICE" | "ORDER" | "SUPPLIER" | "SNAG" | "OWNER" | "HAND";

/** What a row says of itself. */
interface Facts {
  operationState?: OperationState;
  decisionState?: DecisionState;
  orderState?: OrderState;
  invoiceKind?: InvoiceKind;
  inHand?: boolean;
  hours?: number;
  trades?: readonly string[];
  /** When it was finished, cleared, promised or entered. */
  day?: string | null;
  amount?: { minor: number; currency: string };
}

interface Row extends Facts {
  id: string;
  kind: FindKind;
  code: string;
  /** Of an order, empty: it is called by its part. */
  title: string;
  /** The part on whose sheet an order stands. */
  partId?: string;
  /** Further names: reference numbers, and who makes or supplies it. */
  numbers?: readonly string[];
  makers?: readonly string[];
  /** Words that are the workshop's own. */
  notes?: string;
}

/** A row that the words fit; what is told of it is worked out for those that are shown. */
export interface FoundWords extends FoundRow {
  kind: FindKind;
}

export interface FoundInPlan extends Row {
  /** What else of it the words fit, where its title does not hold them; null where there is nothing to say. */
  beside: string | null;
  /** The words of title and beside that fit. */
  fits: readonly string[];
}

const GROUPS: Record<FindKind, FindGroup> = {
  PART: "PARTS",
  OPERATION: "WORK",
  DECISION: "MONEY_AND_DECISIONS",
  INVOICE: "MONEY_AND_DECISIONS",
  ORDER: "MONEY_AND_DECISIONS",
  SUPPLIER: "SUPPLIERS",
  SNAG: "SNAGS",
  OWNER: "PEOPLE",
  HAND: "PEOPLE",
};

/** What a number is said with: "part 12". A decision, a hand and an owner have none. */
const SAID: Partial<Record<FindKind, string>> = {
  PART: "part",
  OPERATION: "operation",
  INVOICE: "invoice",
  ORDER: "order",
  SUPPLIER: "supplier",
  SNAG: "snag",
};

/** In which words are looked for, and of which anything is told beside what a row is called. */
const ALL_FIELDS: readonly SearchField[] = ["part", "references", "machine", "supplier"];

/** Of several kinds in one group those that have words are found by them; an order is found by its number alone. */
const WITHOUT_WORDS: ReadonlySet<FindKind> = new Set(["ORDER"]);

export class FindIndex {
  private readonly words = new Map<FindGroup, WordSearch>();
  private readonly rows = new Map<string, Row>();
  private readonly byCode = new Map<string, string>();

  async addAll(rows: readonly Row[]): Promise<void> {
    for (const row of rows) this.keep(row);
    for (const group of new Set(Object.values(GROUPS)))
      await this.wordsOf(group).addAll(
        rows.filter(({ kind }) => GROUPS[kind] === group && !WITHOUT_WORDS.has(kind)).map(worded),
      );
  }

  /** Puts rows in the place of those of these ids; an id of which there is no row is gone. */
  replace(ids: Iterable<string>, rows: readonly Row[]): void {
    for (const id of ids) {
      const before = this.rows.get(id);
      if (before === undefined) continue;
      this.rows.delete(id);
      this.byCode.delete(codeKey(before.kind, before.code));
      this.wordsOf(GROUPS[before.kind]).discard(id);
    }
    for (const row of rows) {
      this.keep(row);
      if (!WITHOUT_WORDS.has(row.kind)) this.wordsOf(GROUPS[row.kind]).add(worded(row));
    }
  }

  has(id: string): boolean {
    return this.rows.has(id);
  }

  /**
   * Rows of a group that fit all words read so, or are called by the number asked for, best first.
   */
  find(group: FindGroup, text: string, reading: Reading, fields = ALL_FIELDS): FoundWords[] {
    const numbered = (Object.keys(SAID) as FindKind[])
      .filter((kind) => GROUPS[kind] === group)
      .flatMap((kind) => this.byCode.get(codeKey(kind, numberAsked(SAID[kind]!, text) ?? text)) ?? [])
      .map((id) => ({ id, fits: new Set<string>() }));
    const first = new Set(numbered.map(({ id }) => id));
    const byWords = this.wordsOf(group)
      .read(text, reading, fields)
      .filter(({ id }) => !first.has(id));
    return [...numbered, ...byWords].map(({ id, fits }) => ({ id, fits, kind: this.rows.get(id)!.kind }));
  }

  /** What is told of a row that was found so. */
  said({ id, fits }: FoundRow, fields = ALL_FIELDS): FoundInPlan {
    const row = this.rows.get(id)!;
    const title = row.partId === undefined ? row.title : (this.rows.get(row.partId)?.title ?? "");
    return saidOf({ ...row, title }, fits, fields);
  }

  private keep(row: Row): void {
    this.rows.set(row.id, row);
    if (row.code !== "") this.byCode.set(codeKey(row.kind, row.code), row.id);
  }

  private wordsOf(group: FindGroup): WordSearch {
    const known = this.words.get(group);
    if (known !== undefined) return known;
    const words = new WordSearch();
    this.words.set(group, words);
    return words;
  }
}

const codeKey = (kind: FindKind, code: string): string => `${kind} ${code.trim().toLowerCase()}`;

const worded = ({ id, title, numbers = [], makers = [], notes = "" }: Row) => ({
  id,
  part: title,
  machine: notes,
  references: numbers.join(", "),
  supplier: makers.join(", "),
});

function saidOf(row: Row, fits: ReadonlySet<string>, fields: readonly SearchField[]): FoundInPlan {
  const inTitle = wordsThatFit(row.title, fits);
  const told = <T>(field: SearchField, value: T | undefined): T | undefined =>
    fields.includes(field) ? value : undefined;
  const notes = told("machine", row.notes)?.slice(0, MOST_BESIDE);
  const beside =
    told("references", row.numbers)?.find((number) => numberFits(number, fits)) ??
    told("supplier", row.makers)?.find((maker) => wordsThatFit(maker, fits).length > 0) ??
    (notes !== undefined && wordsThatFit(notes, fits).length > 0 ? notes : null);
  const more = beside === null ? [] : wordsThatFit(beside, fits);
  // A number that fits without its dashes and points is marked whole.
  return { ...row, beside, fits: [...inTitle, ...(beside !== null && more.length === 0 ? [beside] : more)] };
}

/** Letters of a note that are shown. */
const MOST_BESIDE = 80;

/** Of which tables rows are found, or hold words by which others are. */
type Read = "part" | "operation" | "decision" | "invoice" | "order" | "supplier" | "snag" | "hand" | "restoration";

/** Ids to read, by table; null: all of the restoration. */
type Only = Readonly<Partial<Record<Read, readonly string[]>>> | null;

async function rowsOf(store: Store, restorationId: string, only: Only): Promise<Row[]> {
  const restoration = await store.restoration.findUnique({
    where: { id: restorationId },
    select: { id: true, owner: true, workshopId: true },
  });
  if (restoration === null) throw new NotFound("restoration");
  const where = (table: Read) => ({ restorationId, ...(only && { id: { in: [...(only[table] ?? [])] } }) });
  const inWorkshop = { workshopId: restoration.workshopId };
  const partWhere = where("part");
  const [parts, references, quotes, suppliers, operations, decisions, invoices, orders, snags, hands] =
    await Promise.all([
      store.part.findMany({ where: partWhere, select: { id: true, code: true, name: true, stateOnHand: true } }),
      store.partReference.findMany({ where: { part: partWhere }, select: { partId: true, number: true } }),
      store.quote.findMany({
        where: { restorationId, ...(only && { partId: { in: [...(only.part ?? [])] } }) },
        select: { partId: true, supplierId: true },
      }),
      store.supplier.findMany({ where: inWorkshop, select: { id: true, code: true, name: true } }),
      store.operation.findMany({
        where: where("operation"),
        select: { id: true, code: true, title: true, trade: true, hoursLikely: true, state: true, finishedOn: true },
      }),
      store.decision.findMany({
        where: where("decision"),
        select: { id: true, title: true, amountMinor: true, currency: true, state: true },
      }),
      store.invoice.findMany({
        where: where("invoice"),
        select: { id: true, code: true, kind: true, day: true, amountMinor: true, currency: true, notes: true },
      }),
      store.order.findMany({
        where: where("order"),
        select: {
          id: true,
          code: true,
          state: true,
          promisedOn: true,
          totalMinor: true,
          currency: true,
          partId: true,
        },
      }),
      store.snag.findMany({ where: where("snag"), select: { id: true, code: true, title: true, clearedOn: true } }),
      store.hand.findMany({
        where: { ...inWorkshop, ...(only && { id: { in: [...(only.hand ?? [])] } }) },
        select: { id: true, name: true, trades: true },
      }),
    ]);
  const names = new Map(suppliers.map(({ id, name }) => [id, name]));
  const numbersOf = gathered(references.map(({ partId, number }) => [partId, number]));
  const makersOf = gathered(quotes.map(({ partId, supplierId }) => [partId, names.get(supplierId) ?? ""]));
  // Of a change only its own; the names of all are needed for what they quote.
  const wanted = only && new Set(only.supplier);
  const isOwnerRead = restoration.owner.trim() !== "" && (only === null || only.restoration !== undefined);
  return [
    ...parts.map(
      ({ id, code, name, stateOnHand }): Row => ({
        id,
        kind: "PART",
        code,
        title: name,
        numbers: [...(numbersOf.get(id) ?? [])],
        makers: [...(makersOf.get(id) ?? [])],
        inHand: stateOnHand === "IN_HAND",
      }),
    ),
    ...operations.map(
      ({ id, code, title, trade, hoursLikely, state, finishedOn }): Row => ({
        id,
        kind: "OPERATION",
        code,
        title,
        operationState: state,
        hours: hoursLikely,
        trades: trade === "" ? [] : [trade],
        day: finishedOn,
      }),
    ),
    ...decisions.map(
      ({ id, title, amountMinor, currency, state }): Row => ({
        id,
        kind: "DECISION",
        code: "",
        title,
        decisionState: state,
        ...(amountMinor === null ? {} : { amount: { minor: amountMinor, currency } }),
      }),
    ),
    ...invoices.map(
      ({ id, code, kind, day, amountMinor, currency, notes }): Row => ({
        id,
        kind: "INVOICE",
        code,
        title: "",
        invoiceKind: kind,
        notes,
        day,
        amount: { minor: amountMinor, currency },
      }),
    ),
    ...orders.map(
      ({ id, code, state, promisedOn, totalMinor, currency, partId }): Row => ({
        id,
        kind: "ORDER",
        code,
        title: "",
        partId,
        orderState: state,
        day: promisedOn,
        amount: { minor: totalMinor, currency },
      }),
    ),
    ...suppliers
      .filter(({ id }) => wanted === null || wanted.has(id))
      .map(({ id, code, name }): Row => ({ id, kind: "SUPPLIER", code, title: name })),
    ...snags.map(({ id, code, title, clearedOn }): Row => ({ id, kind: "SNAG", code, title, day: clearedOn })),
    ...(isOwnerRead
      ? [{ id: restoration.id, kind: "OWNER" as const, code: "", title: restoration.owner } satisfies Row]
      : []),
    ...hands.map(({ id, name, trades }): Row => ({ id, kind: "HAND", code: "", title: name, trades: textsOf(trades) })),
  ];
}

function gathered(pairs: readonly (readonly [string, string])[]): Map<string, Set<string>> {
  const all = new Map<string, Set<string>>();
  for (const [of, one] of pairs) {
    const known = all.get(of);
    if (known === undefined) all.set(of, new Set([one]));
    else known.add(one);
  }
  return all;
}

/** Tables whose rows are found themselves. */
const READ: ReadonlySet<Table> = new Set<Table>([
  "part",
  "operation",
  "decision",
  "invoice",
  "order",
  "supplier",
  "snag",
  "hand",
  "restoration",
] satisfies Read[]);

const isRead = (table: Table): table is Read => READ.has(table);

/** Tables whose rows say something of a part. */
const OF_PART: ReadonlySet<Table> = new Set<Table>(["partReference", "quote"]);

/** The rows that a change reaches, by table; null where all is read again: many, or a supplier's name, which stands at each part that it quotes. */
function reached(entries: readonly Entry[], restorationId: string): Only {
  const ids = new Map<Read, Set<string>>();
  for (const { table, id, before, after } of entries) {
    const row = after ?? before!;
    if (typeof row.restorationId === "string" && row.restorationId !== restorationId) continue;
    if (table === "restoration" && id !== restorationId) continue;
    if (table === "supplier" && before !== null && before["name"] !== after?.["name"]) return null;
    const of: Read | null = OF_PART.has(table) ? "part" : isRead(table) ? table : null;
    if (of === null) continue;
    const which = OF_PART.has(table) ? String(row["partId"]) : id;
    const known = ids.get(of);
    if (known === undefined) ids.set(of, new Set([which]));
    else known.add(which);
  }
  return [...ids.values()].some(({ size }) => size > CHUNK)
    ? null
    : Object.fromEntries([...ids].map(([table, some]) => [table, [...some]]));
}

const kept = new Followed<FindIndex>(
  async (store, restorationId) => {
    const index = new FindIndex();
    await index.addAll(await rowsOf(store, restorationId, null));
    return index;
  },
  (entries, restorationId, store) => {
    const only = reached(entries, restorationId);
    if (only === null) return null;
    return async (index) => {
      const ids = Object.values(only).flat();
      if (ids.length > 0) index.replace(ids, await rowsOf(store, restorationId, only));
      return index;
    };
  },
);

/** Reads in what the restorations that were changed most are found by, so that the first who asks does not wait for it. */
export async function readFindIndexes(store: Store): Promise<void> {
  const restorations = await store.restoration.findMany({
    orderBy: { planRevision: "desc" },
    take: MOST_RESTORATIONS,
    select: { id: true, planRevision: true },
  });
  for (const restoration of restorations) await findIndexOf(store, restoration);
}

/** The words of a restoration at the revision that the store has now. Throws NotFound. */
export const findIndexOf = (
  store: Store,
  { id, planRevision }: { id: string; planRevision: number },
): Promise<FindIndex> => kept.of(store, id, planRevision);
