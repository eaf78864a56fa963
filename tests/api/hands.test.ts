/** Who works in the shop: read and saved by its restorers, joined where two lines are one person, and taken back. */
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { call, type Result, remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());
beforeEach(() => server.store.hand.deleteMany());

const faults = (result: Result) => result.faults.map(({ code, field }) => [field, code]);
const hand = (name: string, trades: string[], more: object = {}) => saved(server, "Hand", { name, trades, ...more });
const joinHands = (args: object) =>
  call(server, "joinHands", "$hand: ID!, $revision: Int!, $as: ID!, $asRevision: Int!", args);
const beAway = (fromDate: string, toDate: string) =>
  call(server, "beAway", "$fromDate: Date!, $toDate: Date!", { fromDate, toDate });

interface HandRow {
  name: string;
  trades: string[];
  people: number;
  monday: number;
  saturday: number;
  askSame: boolean;
  account: { id: string } | null;
  absences: { totalCount: number; edges: { node: { fromDate: string; toDate: string } }[] };
}
const HAND = `name trades people monday saturday askSame account { id }
  absences { totalCount edges { node { fromDate toDate } } }`;

async function hands(): Promise<HandRow[]> {
  const { data } = await server.query<{ hands: { edges: { node: HandRow }[] } }>(
    `{ hands { edges { node { ${HAND} } } } }`,
  );
  return data!.hands.edges.map(({ node }) => node);
}
const planRevision = async () =>
  (await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } })).planRevision;

describe("a hand", () => {
  test("is one person of eight hours, Monday to Friday, where nothing else is said; all of it is taken back", async () => {
    const before = await planRevision();
    const { change } = await hand("Ned", ["chassis", "electrical"]);
    expect(await hands()).toMatchObject([
      {
        name: "Ned",
        trades: ["chassis", "electrical"],
        people: 1,
        monday: 8,
        saturday: 0,
        askSame: false,
        account: null,
      },
    ]);
    expect(change.summary).toBe("Added hand Ned");
    expect(await planRevision()).toBeGreaterThan(before);
    await undo(server, change.id);
    expect(await hands()).toEqual([]);
  });

  test("serves every restoration of the workshop, and who left it is read no more by any", async () => {
    const ends = async () =>
      (
        await server.query<{ holdUps: { hands: { nobodyFor: { trade: string }[] } | null } }>(
          "query ($id: ID!) { holdUps(restoration: $id) { hands { nobodyFor { trade } } } }",
          { id: rows.restoration },
        )
      ).data!.holdUps.hands;
    const { id, revision } = await hand("Wat", ["engine"]);
    expect(await ends()).toEqual({ nobodyFor: [{ trade: "chassis" }] });
    await saved(server, "Hand", { id, revision, trades: ["engine", "chassis"] });
    expect(await ends()).toEqual({ nobodyFor: [] });
    await remove(server, "HAND", id, revision + 1);
    expect(await ends()).toBeNull();
  });

  test.each([
    [{ name: "Ned" }, [["trades", "REQUIRED"]]],
    [{ trades: ["body"] }, [["name", "REQUIRED"]]],
    [{ name: "Ned", trades: ["body", "body"] }, [["trades", "DUPLICATE"]]],
    [{ name: "Ned", trades: [" "] }, [["trades", "REQUIRED"]]],
    [{ name: "Ned", trades: ["body"], people: 0 }, [["people", "OUT_OF_RANGE"]]],
    [{ name: "Ned", trades: ["body"], monday: 25 }, [["monday", "OUT_OF_RANGE"]]],
    [
      { name: "Ned", trades: ["body"], joinsOn: "2027-02-01", leavesOn: "2027-01-01" },
      [["leavesOn", "ORDER_OF_VALUES"]],
    ],
    [{ name: "Ned", trades: ["body"], account: "nobody" }, [["account", "UNKNOWN_ROW"]]],
    [{ name: "Hester", trades: ["trim"] }, [["name", "DUPLICATE"]]],
    [{ name: " hester", trades: ["trim"] }, [["name", "DUPLICATE"]]],
    [{ name: "Ned", trades: ["body", "Body "] }, [["trades", "DUPLICATE"]]],
  ])("that cannot be is refused by its field: %j", async (input, expected) => {
    await hand("Hester", ["body"]);
    expect(faults(await save(server, "Hand", input))).toEqual(expected);
    expect(await hands()).toHaveLength(1);
  });

  test("is called, and can do, the same in capitals and with spaces around it", async () => {
    const { id, revision } = await hand(" Hester ", ["Engine", " TRIM "]);
    await hand("Ned", ["trim", "Chassis"]);
    const named = (rowsRead: HandRow[]) => rowsRead.map(({ name, trades }) => [name, trades]);
    // As the work spells them, else as who came first.
    expect(named(await hands())).toEqual([
      ["Hester", ["engine", "TRIM"]],
      ["Ned", ["TRIM", "chassis"]],
    ]);
    await saved(server, "Hand", { id, revision, name: "HESTER" });
    expect((await hands())[0]!.name).toBe("HESTER");
    const { revision: read } = await server.store.operation.findUniqueOrThrow({ where: { id: rows.brake } });
    const { change } = await saved(server, "Operation", { id: rows.brake, revision: read, alsoTrades: ["Trim"] });
    expect(await server.store.operation.findUnique({ where: { id: rows.brake } })).toMatchObject({
      alsoTrades: '["TRIM"]',
    });
    await undo(server, change.id);
  });

  test("changed by another meanwhile is not written over", async () => {
    const { id, revision } = await hand("Ivy", ["paint"]);
    await saved(server, "Hand", { id, revision, monday: 4 });
    expect(await save(server, "Hand", { id, revision, monday: 6 })).toMatchObject({
      __typename: "StaleRow",
      differences: [{ field: "monday", theirs: "4", yours: "6" }],
    });
  });
});

describe("an absence", () => {
  test("goes with its hand, and comes back with it", async () => {
    const ivy = await hand("Ivy", ["paint"]);
    await saved(server, "Absence", { hand: ivy.id, fromDate: "2027-01-04", toDate: "2027-01-08" });
    const { change } = await saved(server, "Absence", { hand: ivy.id, fromDate: "2027-03-01" });
    expect(change.summary).toBe("Added absence of Ivy");
    expect((await hands())[0]!.absences).toEqual({
      totalCount: 2,
      edges: [
        { node: { fromDate: "2027-01-04", toDate: "2027-01-08" } },
        { node: { fromDate: "2027-03-01", toDate: "2027-03-01" } },
      ],
    });
    const removed = await remove(server, "HAND", ivy.id, ivy.revision);
    expect(await server.store.absence.count()).toBe(0);
    await undo(server, removed.change.id);
    expect((await hands())[0]!.absences.totalCount).toBe(2);
  });

  test("is of a hand that is there, and ends no sooner than it begins", async () => {
    const { id } = await hand("Ivy", ["paint"]);
    const backwards = { hand: id, fromDate: "2027-01-08", toDate: "2027-01-04" };
    expect(faults(await save(server, "Absence", backwards))).toEqual([["toDate", "ORDER_OF_VALUES"]]);
    expect(faults(await save(server, "Absence", { hand: "nobody", fromDate: "2027-01-08" }))).toEqual([
      ["hand", "UNKNOWN_ROW"],
    ]);
  });

  test("is entered by the hand whose account it is, and by no account that is nobody's", async () => {
    expect(await beAway("2027-01-04", "2027-01-04")).toMatchObject({ __typename: "Refused", code: "NOT_ALLOWED" });
    const { data } = await server.query<{ me: { id: string } }>("{ me { id } }");
    await hand("Wat", ["engine"], { account: data!.me.id });
    expect(await beAway("2027-01-04", "2027-01-05")).toMatchObject({ __typename: "Saved" });
    const own = await server.query(`{ ownHand { ${HAND} } }`);
    expect(own.data).toMatchObject({
      ownHand: { name: "Wat", absences: { edges: [{ node: { fromDate: "2027-01-04", toDate: "2027-01-05" } }] } },
    });
    expect(faults(await save(server, "Hand", { name: "Twice", trades: ["body"], account: data!.me.id }))).toEqual([
      ["account", "DUPLICATE"],
    ]);
  });
});

describe("two lines that are one person", () => {
  const line = (name: string, trade: string, hours: number, more: object = {}) =>
    hand(name, [trade], { monday: hours, tuesday: hours, wednesday: 0, askSame: true, ...more });

  test("have the trades and absences of both, and hours for both, no longer than the shop's day", async () => {
    const chassis = await line("chassis hand", "chassis", 5);
    const electrical = await line("electrical hand", "electrical", 2.5, { tuesday: 8 });
    await saved(server, "Absence", { hand: electrical.id, fromDate: "2027-01-04" });
    await saved(server, "Absence", { hand: chassis.id, fromDate: "2027-01-04" });
    await saved(server, "Absence", { hand: electrical.id, fromDate: "2027-01-05" });
    const before = await hands();
    const one = { hand: electrical.id, revision: 1, as: chassis.id, asRevision: 1 };
    const { change } = await joinHands(one);
    expect(change.summary).toBe("Joined hands electrical hand and chassis hand");
    expect(await hands()).toMatchObject([
      {
        name: "chassis hand",
        trades: ["chassis", "electrical"],
        monday: 7.5,
        askSame: false,
        absences: { totalCount: 2 },
      },
    ]);
    expect(await server.store.hand.findFirst()).toMatchObject({ tuesday: 8, wednesday: 0 });
    await undo(server, change.id);
    expect(await hands()).toEqual(before);
  });

  test("are as many people, are two, and are as they were read", async () => {
    const body = await line("body hands", "body", 8, { people: 2 });
    const trim = await line("trim hand", "trim", 8);
    const both = { hand: trim.id, revision: 1, as: body.id, asRevision: 1 };
    expect(await joinHands(both)).toMatchObject({ __typename: "Refused", rows: ["trim hand", "body hands"] });
    expect(faults(await joinHands({ ...both, as: trim.id }))).toEqual([["as", "NOT_A_CHOICE"]]);
    expect(await joinHands({ ...both, revision: 7 })).toMatchObject({ __typename: "StaleRow" });
    expect(await hands()).toHaveLength(2);
  });
});

test("an operation says how many hands it takes, which further trades, that it comes first, and from when", async () => {
  const { revision } = await server.store.operation.findUniqueOrThrow({ where: { id: rows.brake } });
  const input = { hands: 2, alsoTrades: ["paint", "paint"], first: true, notBefore: "2027-03-01" };
  const { change } = await saved(server, "Operation", { id: rows.brake, revision, ...input });
  const { data } = await server.query("query ($id: ID!) { operation(id: $id) { hands alsoTrades first notBefore } }", {
    id: rows.brake,
  });
  expect(data).toEqual({ operation: input });
  expect(
    faults(await save(server, "Operation", { id: rows.brake, revision: revision + 1, hands: 0, alsoTrades: [""] })),
  ).toEqual([
    ["hands", "OUT_OF_RANGE"],
    ["alsoTrades", "REQUIRED"],
  ]);
  await undo(server, change.id);
  expect(await server.store.operation.findUnique({ where: { id: rows.brake } })).toMatchObject({
    hands: 1,
    notBefore: null,
  });
});

test("a part says who prepares it: a hand of the trade of the first operation that waits for it", async () => {
  const preparation = async () =>
    (
      await server.query<{ part: { preparation: { hours: number; hands: string[] } | null } }>(
        "query ($id: ID!) { part(id: $id) { preparation { hours hands } } }",
        { id: rows.casing },
      )
    ).data!.part.preparation;
  await hand("Wat", ["engine"]);
  await hand("Ned", ["chassis"]);
  expect(await preparation()).toBeNull();
  const { revision } = await server.store.quote.findUniqueOrThrow({ where: { id: rows.quote } });
  const { change } = await saved(server, "Quote", { id: rows.quote, revision, preparationHours: 6 });
  expect(await preparation()).toEqual({ hours: 6, hands: ["Wat"] });
  await undo(server, change.id);
});

test("restorations are ranked as they come, and otherwise where it is said", async () => {
  const { id, revision } = await saved(server, "Restoration", { machine: "Stationary engine" });
  const ranks = async () =>
    (await server.store.restoration.findMany({ orderBy: { rank: "asc" } })).map((row) => row.id);
  expect((await ranks()).at(-1)).toBe(id);
  const before = await planRevision();
  await saved(server, "Restoration", { id, revision, rank: 0 });
  expect((await ranks())[0]).toBe(id);
  expect(await planRevision()).toBeGreaterThan(before);
  // The list stands in that order, whatever the machines are called.
  const { data } = await server.query<{ restorations: { edges: { node: { id: string } }[] } }>(
    "{ restorations(first: 50) { edges { node { id } } } }",
  );
  expect(data!.restorations.edges.map(({ node }) => node.id)).toEqual(await ranks());
});
