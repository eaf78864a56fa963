/**
 * Every field of the API, asked for by everybody who may sign in and by nobody, on a database in which each text and
 * each amount says whose it is: no answer holds what the asker may not see, and what is not for the asker is refused.
 */
import { isNonNullType, isObjectType } from "graphql";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { NAMED_FIELDS, readsField } from "../../server/access/fields.ts";
import { schema } from "../../server/api/schema.ts";
import { documentAt, foundIn, type May, OBJECT_TYPES, type Place, selectionOf } from "../support/everyField.ts";
import { type Mark, type Marked, MODEL_NAMES, markedStore, type Person, rowsOf, viewerOf } from "../support/marked.ts";
import { startServer, type TestServer } from "../support/server.ts";

// All that may be read is asked for at once here.
vi.mock("../../server/api/core/limits.ts", async (load) => ({
  ...(await load<object>()),
  LIMITS: { depth: 100, breadth: 1_000_000, complexity: 1e12 },
  MOST_TOKENS: 10_000_000,
  MOST_BODY: 64 * 1024 * 1024,
}));

// Much is asked for, and nothing here depends on how long it takes.
vi.setConfig({ testTimeout: 300_000, hookTimeout: 120_000 });

let server: TestServer;
let marked: Marked;
const jobs: string[] = [];

const ASKERS = [
  "A.admin",
  "A.restorer",
  "A.owner1",
  "A.owner2",
  "A.member",
  "B.admin",
  "B.restorer",
  "nobody",
] as const;
type Asker = (typeof ASKERS)[number];

const personOf = (asker: Asker): Person | null => marked.people[asker] ?? null;
const cookieOf = (asker: Asker): string => personOf(asker)?.cookie ?? "lastbolt=signed-out";

const mayOf = (asker: Asker): May => {
  const viewer = viewerOf(personOf(asker));
  return (type, field) => readsField(viewer, type, field);
};

beforeAll(async () => {
  server = await startServer({
    fill: async (store) => {
      marked = await markedStore(store);
    },
  });
  for (const kind of ["startChoices", "startOrderOfWork"]) {
    const asked = await server.query<{ started: { id: string } }>(
      `mutation { started: ${kind}(restoration: "A1.Restoration") { id } }`,
      {},
      cookieOf("A.restorer"),
    );
    const job = asked.data!.started.id;
    jobs.push(job);
    await vi.waitFor(
      async () => {
        const { data } = await server.query(`{ job(id: "${job}") { state } }`, {}, cookieOf("A.restorer"));
        expect(data).toEqual({ job: { state: "DONE" } });
      },
      { timeout: 30_000, interval: 100 },
    );
  }
});
afterAll(() => server.close());

/** Of each workshop, the restorations with work left. */
const MACHINES: Record<string, string[]> = { A: ["A1", "A2"], B: ["B1"] };

/** The root's fields with arguments: for each that needs some, the rows that are asked for. */
const rootsOf = (scope: string): Record<string, readonly string[]> => ({
  restoration: [`(id: "${scope}.Restoration")`],
  holdUps: [`(restoration: "${scope}.Restoration")`],
  odds: [`(restoration: "${scope}.Restoration")`],
  choiceEffects: [
    `(kind: PART, row: "${scope}.Part")`,
    `(kind: SNAG, row: "${scope}.Snag")`,
    `(kind: OPERATION, row: "${scope}.Operation")`,
  ],
  changeEffect: [`(change: "${scope}.Change")`],
  changeEnds: [`(change: "${scope}.Change")`],
  quoteEffect: [
    `(input: { part: "${scope}.Part", supplier: "${scope[0]}.Supplier", provenance: REPRODUCTION, unitPriceMinor: 100, leadDays: 9 })`,
  ],
  ownWork: [`(restoration: "${scope}.Restoration")`],
  part: [`(id: "${scope}.Part")`],
  operation: [`(id: "${scope}.Operation")`],
  snag: [`(id: "${scope}.Snag")`],
  hunt: [`(id: "${scope}.Hunt")`],
  supplier: [`(id: "${scope[0]}.Supplier")`],
  hand: [`(id: "${scope[0]}.Hand")`],
  changes: ["RESTORATION", "PART", "OPERATION", "QUOTE", "ORDER", "SNAG"].map((row) => {
    const model = row.charAt(0) + row.slice(1).toLowerCase();
    return `(row: ${row}, id: "${scope}.${model}")`;
  }),
  job: jobs.map((job) => `(id: "${job}")`),
  rankEffect: [`(order: [${MACHINES[scope[0]!]!.map((one) => `"${one}.Restoration"`).join(", ")}])`],
  pastedCells: [`(file: "parts.csv", text: "Horn\\tone", columns: [{ name: "name", label: "Part" }])`],
  invitation: [`(secret: "${marked.link}")`],
  thread: ["(diameter: 6.35)", "(diameter: 6.35, pitch: 1.27)", "(diameter: 0.25, perInch: 26, unit: IN)"],
  batch: [`(id: "CA.Batch")`, `(id: "CB.Batch")`],
  clubSources: ["(first: 50)", "(own: true)", "(withheld: true)"],
  wants: ["(first: 50)", "(own: true)"],
  spares: ["(first: 50)", "(own: true)"],
  // Every text begins so.
  find: [`(restoration: "${scope}.Restoration", text: "mark", first: 20)`, `(text: "mark", first: 20)`],
  match: [`(want: "CA.Want", spare: "CB.Spare")`, `(want: "CM.Want", spare: "CA.Spare")`],
});

const queryFields = Object.values(schema.getQueryType()!.getFields());

function rootDocuments(scope: string): { field: (typeof queryFields)[number]; root: string }[] {
  const known = rootsOf(scope);
  return queryFields.flatMap((field) => {
    const needs = field.args.some((arg) => isNonNullType(arg.type));
    const given =
      known[field.name] ?? (needs ? null : [field.args.some(({ name }) => name === "first") ? "(first: 50)" : ""]);
    if (given === null) throw new Error(`Query.${field.name} needs arguments: name a row for it in rootsOf.`);
    return given.map((args) => ({ field, root: field.name + args }));
  });
}

interface Seen {
  marks: Set<Mark>;
  places: Map<string, { root: string; place: Place }>;
  /** Fields asked for, as Type.field. */
  asked: Set<string>;
  codes: Set<unknown>;
}

/**
 * Rows below rows that are read. A restorer may read everything, so each further level multiplies what there is:
 * one restorer reads two levels, which reach every field; whoever may read less reads on to the end.
 */
function depthOf(asker: Asker, scope: string): number {
  const person = personOf(asker);
  if (person?.role !== "RESTORER") return 6;
  if (scope[0] !== person.workshop) return 0;
  return asker === "A.restorer" && scope === "A1" ? 2 : 1;
}

const walks = new Map<string, Promise<Seen>>();

/** Reads all that the asker may of one scope, once, and gives what was seen. */
function walk(asker: Asker, scope: string): Promise<Seen> {
  const key = `${asker} ${scope}`;
  const walked = walks.get(key) ?? walking(asker, scope);
  walks.set(key, walked);
  return walked;
}

async function walking(asker: Asker, scope: string): Promise<Seen> {
  const may = mayOf(asker);
  const depth = depthOf(asker, scope);
  const seen: Seen = { marks: new Set(), places: new Map(), asked: new Set(), codes: new Set() };
  for (const { field, root } of rootDocuments(scope)) {
    if (!may("Query", field.name)) continue;
    const document = `query { asked: ${root} ${selectionOf(field.type, may, depth, seen.asked)} }`;
    const answer = await server.query<{ asked: unknown }>(document, {}, cookieOf(asker));
    for (const mark of marked.marksIn(JSON.stringify(answer))) seen.marks.add(mark);
    for (const { extensions } of answer.errors ?? []) seen.codes.add(extensions?.["code"]);
    const places = new Map<string, Place>();
    foundIn(answer.data?.asked, [], places);
    for (const [type, place] of places) if (!seen.places.has(type)) seen.places.set(type, { root, place });
  }
  return seen;
}

/** Columns that nothing tells to anybody. */
const TOLD_TO_NOBODY = new Set([
  "Account.passwordHash",
  "SignIn.secretHash",
  "Invitation.secretHash",
  "CalendarFeed.secretHash",
  "Change.rows",
  "ClubChange.rows",
]);

/** What an owner is told of the own restoration. Everything else of it is the workshop's own. */
const TOLD_TO_OWNERS = new Set([
  ..."machine owner description targetName capMinor pricePerDayMinor pricePerPointMinor"
    .split(" ")
    .map((c) => `Restoration.${c}`),
  "Restoration.consentOverMinor",
  // What a judge would take off what is planned: which awards that leaves, and by which line none.
  "AwardFloor.award",
  "JudgingLine.title",
  ..."title question amountMinor answeredAs answer".split(" ").map((c) => `Decision.${c}`),
  ..."question askedAs answer".split(" ").map((c) => `DecisionQuestion.${c}`),
  // What was paid is told as a sum, which of one payment is its amount.
  "Payment.amountMinor",
  "Invoice.code",
  // The letterhead of the report, and what all of it came to on the day from which it tells what moved.
  "Workshop.address",
  "Workshop.replyTo",
  "DayFigures.costMinor",
  "Invoice.amountMinor",
  // A trade that nobody does is told by name: the condition of the odds.
  ..."code title trade alsoTrades group".split(" ").map((c) => `Operation.${c}`),
  ..."code name group".split(" ").map((c) => `Part.${c}`),
  "Quote.unitPriceMinor",
  "Supplier.name",
  "Order.code",
  "Order.totalMinor",
  "Snag.code",
  "Snag.title",
  ..."code title priceMinor".split(" ").map((c) => `Remedy.${c}`),
  ..."code title priceMinor".split(" ").map((c) => `OperationWay.${c}`),
]);

/** Which of the club's postings are whose. */
const ENTERED_BY: Record<string, readonly string[]> = {
  CA: ["A.restorer"],
  CM: ["A.member"],
  CB: ["B.restorer"],
  CH: ["A.restorer"],
  CP: ["A.member", "A.restorer"],
  CT: ["A.restorer", "B.restorer"],
  CU: ["A.restorer", "A.member"],
};

/** Columns of the club that only those concerned are told. */
const CONFIDED = /^(ClubComplaint\.|MatchMessage\.|NameDown\.depositMinor$)/;

/** True where the asker may be told the mark: the rule in words of rows and columns, not of fields. */
function mayBeTold(asker: Asker, { scope, column }: Mark): boolean {
  const person = personOf(asker);
  if (TOLD_TO_NOBODY.has(column)) return false;
  // Whoever holds a link is told whose it is.
  if (scope === "A.member" && (column === "Account.name" || column === "Account.email")) return true;
  if (column === "Workshop.name" && scope === "A") return true;
  if (person === null) return false;
  const [model] = column.split(".") as [string];
  if (scope.startsWith("C")) {
    if (model === "Club") return person.role !== "OWNER";
    const member = ["A.restorer", "A.member", "B.restorer"].includes(asker);
    if (!member || model === "ClubChange") return false;
    return ENTERED_BY[scope]?.includes(asker) || (scope !== "CH" && !CONFIDED.test(column));
  }
  if (scope[0] !== person.workshop) return false;
  if (column === "Workshop.name") return true;
  if (scope.includes(".")) {
    if (model === "Invitation") return false;
    if (model === "SignIn") return scope === asker;
    if (model === "AccountEvent") return person.admin;
    if (column === "Account.email") return scope === asker || person.admin;
    // Who asks for a decision is told to the owner by name.
    if (column === "Account.name" && person.role === "OWNER") return scope === asker || scope === "A.restorer";
    return scope === asker || person.role === "RESTORER";
  }
  if (person.role === "RESTORER") return true;
  const owned = asker === "A.owner1" ? ["A", "A1"] : asker === "A.owner2" ? ["A", "A2"] : ["B", "B1"];
  return person.role === "OWNER" && owned.includes(scope) && TOLD_TO_OWNERS.has(column);
}

const SCOPES = ["A1", "A2", "B1"];
const said = ({ scope, column }: Mark) => `${column} of ${scope}`;

describe("the lists of who may read what", () => {
  test("name only types and fields that there are", () => {
    const wrong = NAMED_FIELDS.filter(({ type, field }) => {
      const of = schema.getType(type);
      return !isObjectType(of) || (field !== null && !(field in of.getFields()));
    });
    expect(wrong).toEqual([]);
  });

  test("give an owner no list that can be searched by words", () => {
    const may = mayOf("A.owner1");
    const searched = OBJECT_TYPES.flatMap((type) =>
      Object.values(type.getFields())
        .filter((field) => may(type.name, field.name) && field.args.some(({ name }) => name === "search"))
        .map((field) => `${type.name}.${field.name}`),
    );
    expect(searched).toEqual([]);
  });
});

test("every table holds a marked row", async () => {
  const rows = await Promise.all(
    MODEL_NAMES.map(async (model) => ({ model, count: (await rowsOf(server.store, model)).length })),
  );
  expect(rows.filter(({ count }) => count === 0)).toEqual([]);
});

/** Types that only a change answers with: walked where the changes themselves are tested. */
const OF_CHANGES = new Set(
  "AccountSaved CalendarFeedMade ClubChange ClubSaved Difference InvalidInput Refused Saved StaleRow".split(" "),
);

describe("the walk", () => {
  const seen: Seen[] = [];

  test("asks for every field of every type", async () => {
    seen.push(await walk("A.admin", "A1"), await walk("A.restorer", "A1"));
    const asked = new Set(seen.flatMap((one) => [...one.asked]));
    const skipped = OBJECT_TYPES.filter(({ name }) => !OF_CHANGES.has(name)).flatMap((type) =>
      Object.keys(type.getFields())
        .map((field) => `${type.name}.${field}`)
        .filter((field) => !asked.has(field)),
    );
    expect(skipped).toEqual([]);
  });

  test("meets every mark that a restorer or an admin may be told", () => {
    const met = new Set(seen.flatMap(({ marks }) => [...marks]));
    const missed = marked.all
      .filter((mark) => mayBeTold("A.admin", mark) || mayBeTold("A.restorer", mark))
      .filter(({ scope, column }) => scope !== "A2" && column !== "Photograph.hash")
      // What codes are sorted by is the store's own, made from the code that is told.
      .filter(({ column }) => !column.endsWith(".codeOrder"))
      .filter((mark) => !met.has(mark));
    expect([...new Set(missed.map(said))].sort()).toEqual([]);
  });

  test("meets every mark that an owner may be told", async () => {
    const { marks } = await walk("A.owner1", "A1");
    const met = new Set([...marks].map(said));
    const missed = marked.all
      .filter((mark) => mayBeTold("A.owner1", mark) && !mark.scope.includes("."))
      .map(said)
      .filter((mark) => !met.has(mark));
    expect(missed).toEqual([]);
  });
});

describe.each(ASKERS)("%s", (asker) => {
  const seen = new Map<string, Seen>();

  test("reads nothing but what is for them, wherever it can be reached", async () => {
    for (const scope of SCOPES) seen.set(scope, await walk(asker, scope));
    const leaks = [...seen.values()].flatMap(({ marks }) => [...marks].filter((mark) => !mayBeTold(asker, mark)));
    expect([...new Set(leaks.map(said))].sort()).toEqual([]);
    const codes = new Set([...seen.values()].flatMap((one) => [...one.codes]));
    expect([...codes].filter((code) => !["NOT_FOUND", "NOT_A_MEMBER"].includes(String(code)))).toEqual([]);
  });

  test("is refused every other field", async () => {
    const may = mayOf(asker);
    const code = asker === "nobody" ? "NOT_SIGNED_IN" : "NOT_ALLOWED";
    const open: string[] = [];
    const all = [...seen.values()].flatMap(({ places }) => [...places]);
    for (const [type, { root, place }] of new Map(all.reverse())) {
      const of = schema.getType(type);
      if (!isObjectType(of)) continue;
      for (const field of Object.values(of.getFields())) {
        if (may(type, field.name)) continue;
        const answer = await server.query(documentAt(root, place, type, field), {}, cookieOf(asker));
        if (answer.errors?.[0]?.extensions?.["code"] !== code) open.push(`${type}.${field.name}`);
      }
    }
    for (const { field, root } of rootDocuments("A1")) {
      if (may("Query", field.name)) continue;
      const answer = await server.query(`query { ${root} { __typename } }`, {}, cookieOf(asker));
      if (answer.errors?.[0]?.extensions?.["code"] !== code) open.push(`Query.${field.name}`);
    }
    expect(open).toEqual([]);
  });
});
