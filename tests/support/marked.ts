/**
 * A database in which every text and every amount is a mark of its own: a word or number that stands nowhere else,
 * so that an answer tells by itself whose rows it was made from. Columns are read from the data model, so that a new
 * one is marked without being named here.
 */
import { hashOf } from "../../server/access/secret.ts";
import { NOBODY, type Viewer } from "../../server/access/viewer.ts";
import { getDatamodel } from "../../server/generated/pothos-types.ts";
import * as enums from "../../server/generated/prisma/enums.ts";
import type { Store } from "../../server/store/client.ts";

/** Where a mark stands. */
export interface Mark {
  /** Whose row it is: a workshop (A, B), a restoration (A1), an account (A.owner1), or a posting of the club (CA). */
  scope: string;
  /** Model and column, as in the data model: Part.notes. */
  column: string;
}

export interface Person {
  /** Id of the account: A.admin, A.owner1. */
  id: string;
  workshop: string;
  role: "RESTORER" | "OWNER" | "MEMBER";
  admin: boolean;
  cookie: string;
}

export interface Marked {
  people: Record<string, Person>;
  /** The marks that a text holds, as words, as minor units, or as an amount in the major unit. */
  marksIn(text: string): Mark[];
  /** Every mark there is. */
  all: readonly Mark[];
  /** Secret of a link to join that was not used. */
  link: string;
  /** Secret of a calendar of A1. */
  calendar: string;
}

interface Field {
  name: string;
  type: string;
  kind: string;
  isRequired: boolean;
  hasDefaultValue: boolean;
  isId: boolean;
  relationFromFields?: string[];
}

const MODELS = (getDatamodel() as unknown as { datamodel: { models: Record<string, { fields: Field[] }> } }).datamodel
  .models;

/** Every model of the database. */
export const MODEL_NAMES: readonly string[] = Object.keys(MODELS);

const OF_A_WORKSHOP = ["Supplier", "ExchangeRate", "ShopCalendar", "ClosedDate", "Hand", "Absence"];
const OF_A_RESTORATION = [
  ..."TradeRate Operation JudgingSection JudgingDeduction JudgingLine AwardFloor Part".split(" "),
  ..."RuledOut PartReference SpecificationRow Quote KnockOn StatedDimension PriceBreak Find Hunt HuntEvent Need".split(
    " ",
  ),
  ..."OperationWay Order Payment Snag Remedy Inspection Photograph HoursBooked Invoice Decision DecisionQuestion".split(
    " ",
  ),
  ..."DayFigures CalendarFeed Change".split(" "),
];
const ENTERED = ["ClubSource", "Want", "Spare", "Batch", "BatchPrice", "BatchStage", "NameDown", "ClubComplaint"];

/** Columns of text that are no words: what they must hold to be read. */
const TEXT: Record<string, string> = {
  currency: "GBP",
  timeZone: "Europe/London",
  country: "GB",
  mediaType: "image/png",
  base: "EUR",
  counter: "GBP",
  rate: "1.1",
};

const IS_DATE =
  /(^d|D)ate$|(On|Date)$|^(day|needBy|validUntil|orderFrom|evenOdds|fourInFive|completion|summarySent|notBefore)$/;

/** Tables in which a mark of text stands within JSON, or a value must fit another row. */
const SET: Record<string, (scope: string, mark: (column: string) => string) => object> = {
  ShopCalendar: () => ({ figuresFor: "2027-01-04" }),
  Restoration: () => ({ targetDate: "2027-06-19" }),
  Order: () => ({ placedOn: "2026-12-01", promisedOn: "2027-01-02" }),
  Hand: (scope, mark) => ({ trades: JSON.stringify([mark("Hand.trades")]), accountId: `${scope}.restorer` }),
  Operation: (_scope, mark) => ({ alsoTrades: JSON.stringify([mark("Operation.alsoTrades")]) }),
  RuledOut: () => ({ provenance: "NEW_OLD_STOCK" }),
  JudgingLine: () => ({ disqualifying: true }),
  HuntEvent: () => ({ date: "2027-02-01" }),
  PriceBreak: () => ({ quantity: 5 }),
  Photograph: () => ({ forOwner: false }),
  Batch: () => ({ begunOn: "2026-12-01", closesOn: "2027-03-01", smallest: 5, leadDays: 60 }),
  BatchStage: () => ({ percent: 100 }),
  Invitation: () => ({ endsAt: new Date("2100-01-01") }),
  SignIn: () => ({ endsAt: new Date("2100-01-01") }),
  Change: (scope, mark) => ({
    rows: JSON.stringify([
      { table: "part", id: `${scope}.Part`, before: null, after: { id: `${scope}.Part`, notes: mark("Change.rows") } },
    ]),
  }),
  ClubChange: (_scope, mark) => ({ rows: JSON.stringify([{ table: "want", id: "", after: mark("ClubChange.rows") }]) }),
  DayFigures: (scope, mark) => ({
    holdUps: JSON.stringify([
      { key: `part ${scope}.Part`, title: mark("DayFigures.holdUps"), date: "2027-03-01" },
      { key: "work", title: "work", date: "2027-02-01" },
    ]),
  }),
};

const NUMBERS: Record<string, number> = { chance: 0.1, chancePerWeek: 0.1, maximum: 10, hours: 2, hoursLikely: 5 };

/** Optional references that stay empty: a row that corrects or takes back another, and whom a restoration belongs to. */
const LEFT_EMPTY = new Set(["correctsId", "undoOfId", "batchId", "spareId", "fallbackQuoteId", "ownerAccountId"]);

class Marker {
  readonly marks: Mark[] = [];

  text(scope: string, column: string): string {
    this.marks.push({ scope, column });
    return `mark${this.marks.length}k`;
  }

  amount(scope: string, column: string): number {
    this.marks.push({ scope, column });
    return 7_000_000 + this.marks.length;
  }

  in(text: string): Mark[] {
    const found = new Set<number>();
    for (const [, n] of text.matchAll(/mark(\d+)k/g)) found.add(Number(n));
    for (const [, n] of text.matchAll(/\b700(\d{4})\b/g)) found.add(Number(n));
    for (const [, n, cents] of text.matchAll(/\b70,?0(\d\d)\.(\d\d)\b/g)) found.add(Number(`${n}${cents}`));
    return [...found].map((n) => this.marks[n - 1]).filter((mark) => mark !== undefined);
  }
}

/**
 * Two workshops. A has the restorations A1 and A2, an owner of each, an admin, a restorer and a club member; B has B1.
 * In the club: entries of A's restorer (CA; CH, which are withheld), of A's member (CM) and of B's restorer (CB).
 */
export async function markedStore(store: Store): Promise<Marked> {
  const marker = new Marker();
  const add = (scope: string, model: string, given: object = {}) => addRow(store, marker, scope, model, given);
  const people: Record<string, Person> = {};
  const person = async (workshop: string, name: string, role: Person["role"], admin = false) => {
    const id = `${workshop}.${name}`;
    const mark = (column: string) => marker.text(id, column);
    const email = `${mark("Account.email")}@example.org`;
    await add(id, "Account", { id, workshopId: `${workshop}.Workshop`, role, admin, email });
    await add(id, "SignIn", { id: `${id}.SignIn`, accountId: id, secretHash: hashOf(`secret of ${id}`) });
    await add(id, "AccountEvent", { id: `${id}.Event`, workshopId: `${workshop}.Workshop`, accountId: id, byId: id });
    await add(id, "Invitation", { id: `${id}.Link`, accountId: id, secretHash: hashOf(`link of ${id}`) });
    people[id] = { id, workshop, role, admin, cookie: `lastbolt=${encodeURIComponent(`secret of ${id}`)}` };
  };
  for (const workshop of ["A", "B"]) {
    await add(workshop, "Workshop");
    await person(workshop, "admin", "RESTORER", true);
    await person(workshop, "restorer", "RESTORER");
    await person(workshop, "owner1", "OWNER");
    for (const model of OF_A_WORKSHOP) await add(workshop, model);
  }
  await person("A", "owner2", "OWNER");
  await person("A", "member", "MEMBER");
  for (const scope of ["A1", "A2", "B1"]) {
    await add(scope, "Restoration", { ownerAccountId: `${scope[0]}.owner${scope[1]}` });
    for (const model of OF_A_RESTORATION)
      await add(scope, model, model === "CalendarFeed" ? { secretHash: hashOf(secretOf(scope)) } : {});
    const second = `${scope}.Second`;
    await add(scope, "Operation", { id: second });
    await add(scope, "Link", { beforeId: `${scope}.Operation`, afterId: second });
  }
  await add("C", "Club");
  for (const [scope, accountId] of [
    ["CA", "A.restorer"],
    ["CM", "A.member"],
    ["CB", "B.restorer"],
  ] as const) {
    await add(scope, "ClubMember", { accountId });
    for (const model of ENTERED) await add(scope, model);
  }
  for (const model of ["ClubSource", "Want", "Spare"])
    await add("CH", model, { memberId: "CA.ClubMember", withheldReason: marker.text("CH", `${model}.withheldReason`) });
  await add("CP", "NameDown", { batchId: "CA.Batch", memberId: "CM.ClubMember" });
  await add("CT", "Correspondence", { wantId: "CA.Want", spareId: "CB.Spare" });
  await add("CT", "MatchMessage", { memberId: "CB.ClubMember" });
  await add("CU", "Correspondence", { wantId: "CM.Want", spareId: "CA.Spare" });
  await add("CU", "MatchMessage", { memberId: "CA.ClubMember" });
  await add("C", "ClubChange", { accountId: "A.restorer" });
  await tie(store);
  return {
    people,
    marksIn: (text) => marker.in(text),
    all: marker.marks,
    link: "link of A.member",
    calendar: secretOf("A1"),
  };
}

/** 43 letters, as many as a secret has. */
const secretOf = (scope: string): string => `${scope}${"x".repeat(43 - scope.length)}`;

/** Every row of a model. */
export const rowsOf = (store: Store, model: string): Promise<{ id: string }[]> => delegate(store, model).findMany();

/** A person as the viewer whose cookie came with a request. */
export function viewerOf(person: Person | null): Viewer {
  if (person === null) return NOBODY;
  const { id: accountId, workshop, role, admin } = person;
  return { accountId, workshopId: `${workshop}.Workshop`, role, admin, everyJob: role === "RESTORER" };
}

interface Delegate {
  create(_: object): Promise<unknown>;
  update(_: object): Promise<unknown>;
  findMany(): Promise<{ id: string }[]>;
}

const delegate = (store: Store, model: string) =>
  (store as unknown as Record<string, Delegate>)[model.charAt(0).toLowerCase() + model.slice(1)]!;

/** Where the row stands that a row of `scope` refers to. */
function parentId(scope: string, model: string): string {
  if (model === "Workshop" || model === "Supplier" || model === "Hand") return `${scope[0]}.${model}`;
  if (model === "Account") return `${scope[0]}.restorer`;
  if (model === "Club") return "C.Club";
  if (scope === "CA" && (model === "Order" || model === "Part")) return `A1.${model}`;
  return `${scope}.${model}`;
}

async function addRow(store: Store, marker: Marker, scope: string, model: string, given: object): Promise<void> {
  const fields = MODELS[model]!.fields;
  const references = new Map(
    fields.filter((f) => f.relationFromFields?.length).map((f) => [f.relationFromFields![0]!, f.type]),
  );
  const set = SET[model]?.(scope, (column) => marker.text(scope, column)) ?? {};
  const data: Record<string, unknown> = { id: `${scope}.${model}`, ...set, ...given };
  for (const field of fields) {
    if (field.name in data || field.kind === "object" || field.name === "correctsId") continue;
    const value = references.has(field.name)
      ? field.isRequired
        ? parentId(scope, references.get(field.name)!)
        : undefined
      : exampleFor(marker, scope, `${model}.${field.name}`, field);
    if (value !== undefined) data[field.name] = value;
  }
  await delegate(store, model).create({ data });
}

function exampleFor(marker: Marker, scope: string, column: string, field: Field): unknown {
  const { name, type, kind, isRequired, hasDefaultValue } = field;
  if (name.endsWith("Minor")) return marker.amount(scope, column);
  if (kind === "enum")
    return isRequired && !hasDefaultValue
      ? Object.values((enums as unknown as Record<string, Record<string, string>>)[type]!)[0]
      : undefined;
  if (type === "String") {
    if (name === "withheldReason" || (name.endsWith("Id") && !["rowId"].includes(name) && !isRequired))
      return undefined;
    if (name === "accountId") return parentId(scope, "Account");
    if (name === "rowId") return `${scope}.ClubSource`;
    if (IS_DATE.test(name)) return isRequired && !hasDefaultValue ? "2027-01-01" : undefined;
    return TEXT[name] ?? marker.text(scope, column);
  }
  if (!isRequired || hasDefaultValue) return undefined;
  if (type === "Int" || type === "Float" || type === "Minor") return NUMBERS[name] ?? 1;
  if (type === "Boolean") return false;
  throw new Error(`${column} of type ${type} has no example: give it one in SET.`);
}

/** Fills the optional references, once the rows that they name are there. */
async function tie(store: Store): Promise<void> {
  for (const [model, { fields }] of Object.entries(MODELS)) {
    for (const { name, type, isRequired } of fields.flatMap((f) =>
      f.relationFromFields?.length ? [{ name: f.relationFromFields[0]!, type: f.type, isRequired: f.isRequired }] : [],
    )) {
      if (isRequired || LEFT_EMPTY.has(name) || OF_A_WORKSHOP.includes(model)) continue;
      const scopes = ENTERED.includes(model) ? ["CA"] : ["A1", "A2", "B1"];
      for (const scope of scopes)
        await delegate(store, model).update({
          where: { id: `${scope}.${model}` },
          data: { [name]: parentId(scope, type) },
        });
    }
  }
}
