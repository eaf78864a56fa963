/** One question over everything: what it finds, how it is typed, for whom, and that what changes is found as it is now. */
import { graphql } from "graphql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import type { Viewer } from "../../server/access/viewer.ts";
import { Context } from "../../server/api/core/context.ts";
import { schema } from "../../server/api/schema.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { clubOn, type Person } from "./clubPeople.ts";
import { call, otherShop, remove, type Shop, saved, shop } from "./shop.ts";

interface Row {
  kind: string;
  id: string;
  code: string | null;
  title: string;
  beside: string | null;
  fits: string[];
  part: string | null;
  supplyState: string | null;
  madeHere: boolean;
  orderBy: string | null;
  operationState: string | null;
  decisionState: string | null;
  orderState: string | null;
  invoiceKind: string | null;
  hours: number | null;
  trades: string[];
  day: string | null;
  amount: { minor: number; currency: string } | null;
  member: string | null;
  sources: number | null;
  namesDown: number | null;
  smallest: number | null;
}
interface Group {
  group: string;
  count: number;
  rows: Row[];
}

const FIND = `query ($restoration: ID, $text: String!, $first: Int) {
  find(restoration: $restoration, text: $text, first: $first) {
    group count
    rows {
      kind id code title beside fits part supplyState madeHere orderBy operationState decisionState orderState invoiceKind
      hours trades day amount { minor currency } member sources namesDown smallest
    }
  }
}`;

let server: TestServer;
let own: Shop;
let other: Record<string, string>;
let restorer: Viewer;
let owner: Viewer;
let member: Person;

async function answer(viewer: Viewer, variables: Record<string, unknown>) {
  const contextValue = new Context(server.store, viewer);
  return graphql({ schema, source: FIND, variableValues: variables, contextValue });
}
async function find(text: string, viewer = restorer, restoration: string | null = own.restoration, first?: number) {
  const { data, errors } = await answer(viewer, { restoration, text, first });
  expect(errors).toBeUndefined();
  return (data as unknown as { find: Group[] }).find;
}
const titles = async (text: string, group: string, viewer?: Viewer) =>
  (await find(text, viewer)).find((one) => one.group === group)?.rows.map(({ title }) => title) ?? [];
const first = async (text: string, group: string, viewer?: Viewer): Promise<Row | undefined> =>
  (await find(text, viewer)).find((one) => one.group === group)?.rows[0];

const read = async (table: "part" | "operation" | "snag" | "supplier", id: string) =>
  (await (server.store[table] as typeof server.store.part).findUniqueOrThrow({ where: { id } })).revision;

beforeAll(async () => {
  server = await startServer();
  own = await shop(server);
  other = await otherShop(server.store);
  const { store } = server;
  await saved(server, "Part", {
    id: own.casing,
    revision: await read("part", own.casing),
    references: [{ book: "Parts list of 1914", number: "T.W. 301/4" }],
  });
  await saved(server, "Snag", { operation: own.strip, title: "Cracked selector fork" });
  await saved(server, "Hand", { name: "Quill Lane", trades: ["engine"] });
  const asking = { restoration: own.restoration, title: "Casing cast and machined anew", amountMinor: 182_880 };
  await call(server, "askDecision", "$input: DecisionInput!", { input: asking });
  await saved(server, "Invoice", {
    restoration: own.restoration,
    day: "2027-01-04",
    amountMinor: 50_000,
    notes: "Sandblasting, by agreement",
  });
  const account = await store.account.findFirstOrThrow({ where: { workshop: { demo: true } } });
  const { id: accountId, workshopId } = account;
  restorer = { accountId, workshopId, role: "RESTORER", admin: true, everyJob: true };
  const looking = await store.account.create({ data: { workshopId, name: "Odile Farrant", role: "OWNER" } });
  await store.restoration.update({ where: { id: own.restoration }, data: { ownerAccountId: looking.id } });
  owner = { accountId: looking.id, workshopId, role: "OWNER", admin: false, everyJob: false };

  const club = await clubOn(store);
  await store.clubMember.create({ data: { clubId: club.id, accountId, name: "Quill Lane", joinedOn: "2024-01-01" } });
  member = await club.person("E. Wimbersedge");
  const row = { part: "Gearbox casing, two-speed", machine: "Tallow & Wren", references: "TW 77-2" };
  for (const supplier of ["Brindlewick Foundry", "Hollowell Castings"])
    await member.call("saveClubSource", "$input: ClubSourceInput!", {
      input: { ...row, part: "Gearbox casing", supplier, provenance: "REMADE" },
    });
  await member.call("saveWant", "$input: WantInput!", { input: row });
  await member.call("saveSpare", "$input: SpareInput!", { input: row });
  await store.batch.create({
    data: {
      clubId: club.id,
      memberId: member.member,
      code: "7",
      part: "Radiator core",
      maker: "Skelderbeck Tanks",
      currency: "GBP",
      smallest: 8,
      putDown: 6,
      begunOn: "2026-11-01",
      closesOn: "2027-03-01",
      leadDays: 90,
    },
  });
});
afterAll(() => server.close());

describe("a restorer finds", () => {
  test("a part by its name, with the word that fits and where the row is", async () => {
    expect(await first("casing", "PARTS")).toMatchObject({
      kind: "PART",
      id: own.casing,
      title: "Gearbox casing",
      fits: ["casing"],
      beside: null,
    });
    expect(await first("drum", "PARTS")).toMatchObject({ id: own.drum, supplyState: "IN_HAND" });
  });
  test("where a part is in the plan once that is worked out, and what the shop makes itself", async () => {
    await server.query(`{ holdUps(restoration: "${own.restoration}") { completion { open } } }`);
    expect(await first("casing", "PARTS")).toMatchObject({ supplyState: "UNDECIDED", madeHere: false });
    const supplier = await saved(server, "Supplier", { name: "The bench here", kind: "SHOP" });
    const part = (await saved(server, "Part", { restoration: own.restoration, name: "Selector fork" })).id;
    await saved(server, "Need", { operation: own.assemble, part });
    await saved(server, "Quote", {
      part,
      supplier: supplier.id,
      provenance: "REMADE",
      unitPriceMinor: 0,
      leadDays: 3,
    });
    expect(await first("selector fork", "PARTS")).toMatchObject({ supplyState: null });
    await server.query(`{ holdUps(restoration: "${own.restoration}") { completion { open } } }`);
    expect(await first("selector fork", "PARTS")).toMatchObject({ madeHere: true });
  });
  test.each(["TW301/4", "T.W. 301/4", "tw3014", "tw 301/4"])(
    "a part by its number as it is typed: %s",
    async (typed) => {
      expect(await first(typed, "PARTS")).toMatchObject({ id: own.casing, beside: "T.W. 301/4" });
      expect((await first(typed, "PARTS"))?.fits).not.toEqual([]);
    },
  );
  test.each(["QL101", "QL/101", "ql 101", "101", "QL/101-B"])(
    "a part by a number of letters and digits, or by a run of it, in the list of parts too: %s",
    async (typed) => {
      const name = "Oil union";
      if ((await titles("oil union", "PARTS")).length === 0)
        await saved(server, "Part", { restoration: own.restoration, name, references: [{ number: "QL/101-B" }] });
      expect(await titles(typed, "PARTS")).toContain(name);
      const { data } = await server.query<{ restoration: { parts: { edges: { node: { name: string } }[] } } }>(
        `query ($id: ID!, $search: String!) { restoration(id: $id) { parts(search: $search) { edges { node { name } } } } }`,
        { id: own.restoration, search: typed },
      );
      expect(data!.restoration.parts.edges.map(({ node }) => node.name)).toContain(name);
    },
  );
  test("a part by its code, with its noun or without", async () => {
    const code = (await server.store.part.findUniqueOrThrow({ where: { id: own.drum } })).code;
    expect((await first(`part ${code}`, "PARTS"))?.id).toBe(own.drum);
    expect((await first(code, "PARTS"))?.id).toBe(own.drum);
  });
  test("a part by who makes it, and the maker", async () => {
    expect(await first("lower mill", "PARTS")).toMatchObject({
      id: own.casing,
      beside: "Lower Mill Foundry",
      fits: ["Lower", "Mill"],
    });
    expect(await first("lower mill", "SUPPLIERS")).toMatchObject({ id: own.foundry, title: "Lower Mill Foundry" });
  });
  test.each(["casign", "geerbox", "gear box casing", "gearboxcasing"])(
    "a part misspelt or run together: %s",
    async (typed) => {
      expect(await titles(typed, "PARTS")).toContain("Gearbox casing");
      expect((await first(typed, "PARTS"))?.fits).not.toEqual([]);
    },
  );
  test("only the word that fits is marked, though its neighbour begins a longer one with it", async () => {
    expect((await first("gearbox", "PARTS"))?.fits).toEqual(["Gearbox"]);
  });
  test("an operation with its hours and trade", async () => {
    expect(await first("strip gearbox", "WORK")).toMatchObject({
      kind: "OPERATION",
      id: own.strip,
      hours: 8,
      trades: ["engine"],
      operationState: "NOT_STARTED",
      fits: ["Strip", "gearbox"],
    });
  });
  test("a decision with its sum, and an invoice by its number or what is noted of it", async () => {
    expect(await first("machined anew", "MONEY_AND_DECISIONS")).toMatchObject({
      kind: "DECISION",
      decisionState: "WAITING",
      amount: { minor: 182_880, currency: "GBP" },
    });
    const invoice = { kind: "INVOICE", invoiceKind: "INVOICE", day: "2027-01-04", amount: { minor: 50_000 } };
    expect(await first("invoice 1", "MONEY_AND_DECISIONS")).toMatchObject(invoice);
    expect(await first("sandblasting", "MONEY_AND_DECISIONS")).toMatchObject({
      ...invoice,
      beside: "Sandblasting, by agreement",
      fits: ["Sandblasting"],
    });
  });
  test("a snag, a hand and the owner", async () => {
    expect(await first("cracked selector", "SNAGS")).toMatchObject({ kind: "SNAG", day: null });
    expect(await first("quill", "PEOPLE")).toMatchObject({ kind: "HAND", trades: ["engine"] });
    expect(await first("farrant", "PEOPLE")).toMatchObject({ kind: "OWNER", id: own.restoration });
  });
  test("in the club: sources gathered by their part, wants, spares, batches and members", async () => {
    const [club] = (await find("casing", restorer, null)).filter(({ group }) => group === "CLUB");
    expect(club!.count).toBe(3);
    expect(club!.rows.map(({ kind, sources, member: by, title }) => [kind, sources ?? by, title])).toEqual([
      ["SOURCE", 2, "Gearbox casing"],
      ["WANT", "E. Wimbersedge", "Gearbox casing, two-speed"],
      ["SPARE", "E. Wimbersedge", "Gearbox casing, two-speed"],
    ]);
    expect(await first("radiator", "CLUB")).toMatchObject({ kind: "BATCH", code: "7", namesDown: 6, smallest: 8 });
    expect(await first("batch 7", "CLUB")).toMatchObject({ kind: "BATCH", title: "Radiator core" });
    expect((await first("wanted 1", "CLUB"))?.kind).toBe("WANT");
    expect(await first("wimbersedge", "CLUB")).toMatchObject({ kind: "MEMBER", title: "E. Wimbersedge" });
    expect((await first("tw772", "CLUB"))?.kind).toBe("SOURCE");
  });
  test("what changes as it is now, and nothing that is gone", async () => {
    const part = await saved(server, "Part", { restoration: own.restoration, name: "Windscreen bracket" });
    expect(await titles("windscreen", "PARTS")).toEqual(["Windscreen bracket"]);
    await saved(server, "Part", {
      id: part.id,
      revision: 1,
      name: "Hood stay",
      references: [{ number: "H 12" }],
    });
    expect(await titles("windscreen", "PARTS")).toEqual([]);
    expect(await titles("H12", "PARTS")).toEqual(["Hood stay"]);
    expect((await remove(server, "PART", part.id, 2)).__typename).toBe("Saved");
    expect(await titles("hood stay", "PARTS")).toEqual([]);
    const revision = await read("supplier", own.foundry);
    await saved(server, "Supplier", { id: own.foundry, revision, name: "Upper Weir Foundry" });
    expect((await first("upper weir", "PARTS"))?.beside).toBe("Upper Weir Foundry");
    expect(await titles("lower mill", "PARTS")).toEqual([]);
  });
  test("what another process changed", async () => {
    await server.store.part.create({ data: { restorationId: own.restoration, code: "999", name: "Bulb horn" } });
    await server.store.restoration.update({
      where: { id: own.restoration },
      data: { planRevision: { increment: 1 } },
    });
    expect(await titles("bulb horn", "PARTS")).toEqual(["Bulb horn"]);
  });
});

describe("what is not for the asker is not found", () => {
  test("another workshop's rows, nor another workshop's restoration", async () => {
    for (const words of ["governor", "breaker", "strip", "next door"])
      expect((await find(words)).flatMap(({ rows }) => rows).map(({ id }) => id)).not.toContain(other["part"]);
    expect(await titles("governor", "PARTS")).toEqual([]);
    expect(await titles("breaker", "SUPPLIERS")).toEqual([]);
    for (const viewer of [restorer, owner]) {
      const { errors } = await answer(viewer, { restoration: other["restoration"], text: "governor" });
      expect(errors?.[0]?.message).toContain("That restoration is no longer there");
    }
  });
  test("an owner finds what the report names: what holds the end up, decisions and invoices", async () => {
    expect((await find("casing", owner)).map(({ group }) => group)).toEqual(["PARTS", "MONEY_AND_DECISIONS"]);
    expect(await titles("drum", "PARTS", owner)).toEqual([]);
    expect(await titles("strip", "WORK", owner)).toEqual([]);
    for (const words of ["T.W. 301/4", "foundry", "quill", "sandblasting", "wimbersedge", "bench here"])
      expect(await find(words, owner), words).toEqual([]);
    expect((await first("invoice 1", "MONEY_AND_DECISIONS", owner))?.beside).toBeNull();
  });
  test("a member finds the club, and nothing of a workshop", async () => {
    const ask = (restoration: string | null) =>
      member.ask<{ find: Group[] }>(
        `query ($restoration: ID) { find(restoration: $restoration, text: "casing") { group count } }`,
        { restoration },
      );
    expect((await ask(null)).find).toEqual([{ group: "CLUB", count: 3 }]);
    await expect(ask(own.restoration)).rejects.toThrow();
  });
  test("nobody finds anything, and an owner nothing of the club", async () => {
    const nobody: Viewer = { accountId: "", workshopId: "", role: "NOBODY", admin: false, everyJob: false };
    const { errors } = await answer(nobody, { text: "casing" });
    expect(errors?.[0]?.message).toBe("Sign in to go on.");
    expect(await find("casing", owner, null)).toEqual([]);
  });
  test("what a steward withheld", async () => {
    const where = { memberId: member.member, part: "Gearbox casing, two-speed" };
    const spare = await server.store.spare.findFirstOrThrow({ where });
    const person = await server.store.clubMember.findUniqueOrThrow({ where: { accountId: restorer.accountId } });
    await server.store.clubMember.update({ where: { id: person.id }, data: { steward: true } });
    const { __typename } = await call(server, "withhold", "$kind: ClubRowKind!, $id: ID!, $reason: String", {
      kind: "SPARE",
      id: spare.id,
      reason: "Not a part.",
    });
    expect(__typename).toBe("ClubSaved");
    expect((await find("casing", restorer, null))[0]!.rows.map(({ kind }) => kind)).toEqual(["SOURCE", "WANT"]);
  });
});

describe("whatever is typed is answered", () => {
  test.each([
    ["nothing", ""],
    ["spaces alone", "  \n\t "],
    ["punctuation alone", "*-+~^:()[]\"'\\"],
    ["half of a letter", "\ud83d"],
    ["control characters alone", "\u0000\u0007\u001b"],
    ["words that no row has", "xylophone"],
  ])("%s: nothing is found", async (_, text) => expect(await find(text)).toEqual([]));
  test("10,000 characters, of which the first are read", async () => {
    expect(await titles(`casing ${" ".repeat(10_000)}`, "PARTS")).toEqual(["Gearbox casing"]);
    expect(await find("z".repeat(10_000))).toEqual([]);
    expect(await find("ab ".repeat(3_333))).toEqual([]);
  });
  test("control characters and halves of letters part words as a space does", async () => {
    expect(await titles("gearbox\tcasing", "PARTS")).toEqual(["Gearbox casing"]);
    expect(await titles("gearbox\u0000casing\ud83d", "PARTS")).toEqual(["Gearbox casing"]);
    expect(await titles("ｇｅａｒｂｏｘ CASING", "PARTS")).toEqual(["Gearbox casing"]);
  });
  test("so many rows of each group as are asked for, beside the count of all", async () => {
    for (let i = 1; i <= 6; i++)
      await saved(server, "Operation", { restoration: own.restoration, title: `Lap valve ${i}`, hoursLikely: 1 });
    const work = async (most?: number) =>
      (await find("valve", restorer, own.restoration, most)).find(({ group }) => group === "WORK")!;
    expect([(await work()).count, (await work()).rows.length]).toEqual([6, 4]);
    expect((await work(20)).rows.length).toBe(6);
    expect((await work(0)).rows).toEqual([]);
    for (const wrong of [-1, 21]) {
      const { errors } = await answer(restorer, { restoration: own.restoration, text: "valve", first: wrong });
      expect(errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "first" });
    }
  });
  test("slips are read only where nothing anywhere holds the words, and then no shorter word for a longer one", async () => {
    const operation = (title: string) =>
      saved(server, "Operation", { restoration: own.restoration, title, hoursLikely: 1 });
    await operation("Turn the value plate");
    const { count, rows } = (await find("valve")).find(({ group }) => group === "WORK")!;
    expect([count, rows.every(({ title }) => title.startsWith("Lap valve"))]).toEqual([6, true]);
    expect(await titles("valeu plate", "WORK")).toEqual(["Turn the value plate"]);
    await saved(server, "Part", { restoration: own.restoration, name: "Coach screws" });
    expect((await find("crack")).map(({ group }) => group)).toEqual(["SNAGS"]);
    await operation("Hone the barrels");
    await operation("Bare the ball ends");
    expect(await titles("barell", "WORK")).toEqual(["Hone the barrels"]);
    await operation("Draw it from the photographs");
    expect(await find("frame", owner)).toEqual([]);
    expect(await titles("frame", "WORK")).not.toContain("Draw it from the photographs");
  });
  test("a restoration that there is not is not found", async () => {
    const { errors } = await answer(restorer, { restoration: "none", text: "casing" });
    expect(errors).toHaveLength(1);
  });
});
