import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { readCsv } from "../../server/io/csv.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { call, lookAt, type Result, remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let order: string;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  // Entries of the days up to this one stand in the ledger.
  await lookAt(server, "2027-01-08");
  await saved(server, "ExchangeRate", { date: "2027-01-02", base: "CHF", counter: "GBP", rate: "0.88" });
  order = (await saved(server, "Order", { quote: rows.quote, placedOn: "2027-01-04", totalMinor: 64_000 })).id;
});
afterAll(() => server.close());

interface Entry {
  id: string;
  kind: string;
  day: string;
  amount: { minor: number; currency: string } | null;
  home: { minor: number } | null;
  rate: string | null;
  balance: { minor: number };
  takesBack: boolean;
  takenBack: boolean;
}
const ledger = async (args = ""): Promise<Entry[]> => {
  const { data, errors } = await server.query<{ restoration: { ledger: { edges: { node: Entry }[] } } }>(
    `query ($id: ID!) { restoration(id: $id) { ledger${args} { edges { node {
      id kind day amount { minor currency } home { minor } rate balance { minor } takesBack takenBack
    } } } } }`,
    { id: rows.restoration },
  );
  if (errors) throw new Error(JSON.stringify(errors));
  return data!.restoration.ledger.edges.map(({ node }) => node);
};
const paidAndOwed = async (): Promise<[number, number]> => {
  const { data } = await server.query<{
    restoration: { exposure: { buckets: { paid: { planned: number }; owed: { planned: number } } } };
  }>(`query ($id: ID!) { restoration(id: $id) { exposure { buckets { paid { planned } owed { planned } } } } }`, {
    id: rows.restoration,
  });
  const { paid, owed } = data!.restoration.exposure.buckets;
  return [paid.planned, owed.planned];
};
const correct = (noun: "Payment" | "Invoice", id: string, input: object | null): Promise<Result> => {
  const small = noun.toLowerCase();
  return call(server, `correct${noun}`, `$${small}: ID!, $input: ${noun}Input`, { [small]: id, input });
};
const pay = (input: object) => saved(server, "Payment", { order, kind: "DEPOSIT", paidOn: "2027-01-05", ...input });

describe("a ledger that nothing is taken out of", () => {
  it("refuses to change or remove an entry, and says what to do instead", async () => {
    const payment = await pay({ amountMinor: 20_000 });
    const changed = await save(server, "Payment", { id: payment.id, revision: 1, amountMinor: 1 });
    expect(changed).toMatchObject({ __typename: "Refused", code: "LEDGER", rows: [payment.id] });
    expect(changed.message).toContain("correct it");
    expect(await remove(server, "PAYMENT", payment.id, 1)).toMatchObject({ __typename: "Refused", code: "LEDGER" });
    const invoice = await saved(server, "Invoice", {
      restoration: rows.restoration,
      day: "2027-01-05",
      amountMinor: 50_000,
    });
    expect(await save(server, "Invoice", { id: invoice.id, revision: 1, amountMinor: 1 })).toMatchObject({
      code: "LEDGER",
    });
    expect(await remove(server, "INVOICE", invoice.id, 1)).toMatchObject({ code: "LEDGER" });
    expect(await server.store.payment.findUnique({ where: { id: payment.id } })).toMatchObject({ amountMinor: 20_000 });
    expect(await server.store.invoice.findUnique({ where: { id: invoice.id } })).toMatchObject({ code: "1" });
    expect(await paidAndOwed()).toEqual([20_000, 44_000]);
  });

  it("corrects an entry by one against it and the right one, which says only what was wrong", async () => {
    const [wrong] = await server.store.payment.findMany();
    const right = await correct("Payment", wrong!.id, { amountMinor: 25_000 });
    expect(right).toMatchObject({ __typename: "Saved" });
    expect(await server.store.payment.findMany({ orderBy: { amountMinor: "asc" } })).toMatchObject([
      { amountMinor: -20_000, correctsId: wrong!.id, kind: "DEPOSIT", paidOn: "2027-01-05" },
      { amountMinor: 20_000, correctsId: null },
      { amountMinor: 25_000, correctsId: null, kind: "DEPOSIT", paidOn: "2027-01-05" },
    ]);
    expect(await paidAndOwed()).toEqual([25_000, 39_000]);
    expect(await correct("Payment", wrong!.id, { amountMinor: 1 })).toMatchObject({ code: "ALREADY_CORRECTED" });
    const against = await server.store.payment.findFirstOrThrow({ where: { amountMinor: -20_000 } });
    expect(await correct("Payment", against.id, null)).toMatchObject({ code: "LEDGER" });
    const bad = await correct("Payment", right.id, { paidOn: "2027-02-30", rate: "zero" });
    expect(bad.faults.map(({ field, code }) => [field, code])).toEqual([
      ["paidOn", "NOT_A_DATE"],
      ["rate", "NOT_A_NUMBER"],
    ]);
    expect(await paidAndOwed()).toEqual([25_000, 39_000]);
  });

  it("takes an undo for another correction: both entries stay, and the undo can be undone", async () => {
    const before = await server.store.payment.count();
    const added = await pay({ kind: "BALANCE", amountMinor: 1_000 });
    const taken = await undo(server, added.change.id);
    expect(taken).toMatchObject({ __typename: "Saved" });
    expect(await server.store.payment.count()).toBe(before + 2);
    expect(await paidAndOwed()).toEqual([25_000, 39_000]);
    expect(await undo(server, taken.change.id)).toMatchObject({ __typename: "Saved" });
    expect(await server.store.payment.count()).toBe(before + 3);
    expect(await paidAndOwed()).toEqual([26_000, 38_000]);
    expect(await undo(server, added.change.id)).toMatchObject({ code: "ALREADY_UNDONE" });
  });

  it("undoes a correction as a whole: what stood before counts again", async () => {
    const payment = await pay({ kind: "CREDIT", amountMinor: 3_000 });
    const [paid, owed] = await paidAndOwed();
    const corrected = await correct("Payment", payment.id, { amountMinor: 5_000 });
    expect(await paidAndOwed()).toEqual([paid, owed - 2_000]);
    expect(await undo(server, corrected.change.id)).toMatchObject({ __typename: "Saved" });
    expect(await paidAndOwed()).toEqual([paid, owed]);
    expect(await undo(server, payment.change.id)).toMatchObject({ __typename: "Refused", code: "IN_USE" });
  });

  it("takes no amount with a minus that takes nothing back, and none of zero", async () => {
    for (const [amountMinor, code] of [
      [-1, "NEGATIVE"],
      [0, "OUT_OF_RANGE"],
    ] as const) {
      const input = { order, kind: "BALANCE", paidOn: "2027-01-06", amountMinor };
      expect((await save(server, "Payment", input)).faults).toMatchObject([{ field: "amountMinor", code }]);
    }
  });
});

describe("the ledger of a restoration", () => {
  it("has every entry with its rate, the newest first, and the balance of the owner's account after each", async () => {
    const receipt = { restoration: rows.restoration, kind: "RECEIPT", day: "2027-01-07", amountMinor: 100_000 };
    await saved(server, "Invoice", receipt);
    const franc = {
      restoration: rows.restoration,
      kind: "RECEIPT",
      day: "2027-01-08",
      amountMinor: 10_001,
      currency: "CHF",
    };
    await saved(server, "Invoice", franc);
    await saved(server, "Invoice", { ...franc, day: "2027-01-01" });
    const entries = await ledger();
    const [paid] = await paidAndOwed();
    // CHF 100.01 at 0.88 is 88.0088
    expect(entries[0]).toMatchObject({ kind: "RECEIPT", home: { minor: 8_801 }, rate: "0.88" });
    expect(entries[0]!.balance.minor).toBe(100_000 + 8_801 - paid);
    expect(entries.at(-1)).toMatchObject({ day: "2027-01-01", home: null, rate: null, balance: { minor: 0 } });
    expect(entries.filter(({ takesBack }) => takesBack).length).toBe(
      (await server.store.payment.count({ where: { correctsId: { not: null } } })) +
        (await server.store.invoice.count({ where: { correctsId: { not: null } } })),
    );
  });

  it("is filtered by kind, day and words, and comes in pages", async () => {
    expect((await ledger("(kinds: [RECEIPT])")).length).toBe(3);
    expect((await ledger('(from: "2027-01-07", to: "2027-01-07")')).map(({ kind }) => kind)).toEqual(["RECEIPT"]);
    const all = await ledger();
    expect((await ledger('(search: "lower MILL")')).length).toBe(await server.store.payment.count());
    expect(await ledger("(first: 2)")).toEqual(all.slice(0, 2));
    const amounts = (await ledger("(sort: AMOUNT, descending: false)")).map(({ home }) => home?.minor ?? -Infinity);
    expect(amounts).toEqual(amounts.toSorted((a, b) => a - b));
    expect(await ledger("(descending: false)")).toEqual(all.toReversed());
    const { errors } = await server.query(
      `query ($id: ID!) { restoration(id: $id) { ledger(from: "2027-13-01") { totalCount } } }`,
      { id: rows.restoration },
    );
    expect(errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "from" });
  });

  it("goes out as a table in which no cell is a formula, and whose balance is the screen's", async () => {
    await pay({ kind: "BALANCE", amountMinor: 7, notes: '=HYPERLINK("x","y"), \r\n2' });
    const response = await fetch(`${server.address}/ledger/${rows.restoration}.csv`);
    expect(response.status).toBe(200);
    expect(response.headers.get("content-type")).toMatch(/^text\/csv/);
    expect(response.headers.get("content-disposition")).toContain("1913 Tallow & Wren ledger.csv");
    const text = await response.text();
    expect(text).toContain(`"'=HYPERLINK(""x"",""y""), \r\n2"`);
    expect(text.split("\r\n").length).toBeGreaterThan(5);
    const { header, records, faults } = readCsv("ledger.csv", new TextEncoder().encode(text));
    const entries = await ledger();
    expect([faults, records.length]).toEqual([[], entries.length]);
    const balance = records.at(-1)!.cells[header.indexOf("balance")];
    expect(Math.round(Number(balance) * 100)).toBe(entries[0]!.balance.minor);
    // What goes out has a minus, and what moved adds up to the balance.
    const columnOf = (name: string) =>
      records.map(({ cells }) => Math.round(Number(cells[header.indexOf(name)]) * 100));
    const moved = columnOf("moved");
    columnOf("amount_home").forEach((minor, i) => {
      if (moved[i] !== 0) expect(minor).toBe(moved[i]);
    });
    expect(moved.some((minor) => minor < 0)).toBe(true);
    expect(moved.reduce((sum, minor) => sum + minor, 0)).toBe(entries[0]!.balance.minor);
    expect((await fetch(`${server.address}/ledger/nowhere.csv`)).status).toBe(404);
    expect((await fetch(`${server.address}/ledger/${rows.restoration}.txt`)).status).toBe(404);
  });
});

describe("exposure", () => {
  it("adds up by group, by month and by currency, and keeps labour without a rate beside the cap", async () => {
    await saved(server, "Restoration", { id: rows.restoration, revision: 1, capMinor: 90_000 });
    const parts = "buckets { paid { planned } labourToGo { planned unknown } } total { planned unknown }";
    const { data, errors } = await server.query<{ restoration: { exposure: Record<string, never> } }>(
      `query ($id: ID!) { restoration(id: $id) { exposure {
        ${parts} counted { planned unknown } capLeft { minor } contingency { chance amount { minor } runs never } labourUnrated
        byGroup { edges { node { key total { planned unknown } } } } byMonth { edges { node { key total { planned unknown } } } }
        byCurrency { currency total { planned unknown } paidThere { minor currency } }
        invoiced { minor } received { minor } unpriced { totalCount } atRisk { totalCount }
      } } }`,
      { id: rows.restoration },
    );
    expect(errors).toBe(undefined);
    type Group = { total: { planned: number; unknown: number } };
    type Edges = { edges: { node: Group }[] };
    const money = data!.restoration.exposure as unknown as Group & {
      counted: { planned: number };
      capLeft: { minor: number };
      byGroup: Edges;
      byMonth: Edges;
      byCurrency: Group[];
    };
    const sum = (groups: Group[]) => ({
      planned: groups.reduce((all, { total }) => all + total.planned, 0),
      unknown: groups.reduce((all, { total }) => all + total.unknown, 0),
    });
    for (const { edges } of [money.byGroup, money.byMonth])
      expect(sum(edges.map(({ node }) => node))).toEqual(money.total);
    expect(sum(money.byCurrency)).toEqual(money.total);
    expect(money.capLeft.minor).toBe(90_000 - money.counted.planned);
    // No hour has a rate and nothing can fail: every run costs what the plan does.
    const contingency = { chance: 0.8, amount: { minor: 0 }, runs: expect.any(Number), never: 0 };
    expect(money).toMatchObject({ labourUnrated: true, contingency, counted: { unknown: 0 } });
  });
});
