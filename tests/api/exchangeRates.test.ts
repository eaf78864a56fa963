/** Exchange rates of the workshop: by hand, and from a daily table. */
import { afterAll, beforeAll, beforeEach, describe, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { call, remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());
beforeEach(() => server.store.exchangeRate.deleteMany());

const importing = (csv: string) => call(server, "importExchangeRates", "$csv: String!", { csv });
const kept = async () =>
  (await server.store.exchangeRate.findMany({ orderBy: [{ date: "desc" }, { counter: "asc" }] })).map(
    ({ date, base, counter, rate }) => `${date} ${base} ${counter} ${rate}`,
  );

describe("a table of rates", () => {
  test("newest first, with gaps, is read against the euro; a second time it changes only what differs", async () => {
    const first = await importing("Date,USD,JPY,GBP,\n2027-01-04,1.0847,163.92,0.8436,\n2027-01-01,1.0790,N/A,,\n");
    expect(first.change.summary).toBe("Exchange rates of 2027-01-01 to 2027-01-04: 4 new, 0 changed");
    expect(await kept()).toEqual([
      "2027-01-04 EUR GBP 0.8436",
      "2027-01-04 EUR JPY 163.92",
      "2027-01-04 EUR USD 1.0847",
      "2027-01-01 EUR USD 1.0790",
    ]);
    const second = await importing("Date, USD, GBP\n4 January 2027, 1.0850, 0.8436\n");
    expect(second.change.summary).toBe("Exchange rates of 2027-01-04: 0 new, 1 changed");
    expect((await kept())[2]).toBe("2027-01-04 EUR USD 1.0850");
    await undo(server, second.change.id);
    expect((await kept())[2]).toBe("2027-01-04 EUR USD 1.0847");
  });

  test("is taken back as a whole", async () => {
    const { change } = await importing("Date,USD,GBP\n2027-01-04,1.0847,0.8436\n");
    expect((await undo(server, change.id)).__typename).toBe("Saved");
    expect(await kept()).toEqual([]);
  });

  test("with faults names line and column of each, and keeps nothing", async () => {
    const result = await importing(
      "Date,USD,XYZ,GBP\n2027-02-30,1.08,1,0.84\n2027-01-04,1;08,1,0\n2027-01-03,-1,1,0.84\n2027-01-03,1,1,1\n",
    );
    expect(result.faults.map(({ row, field, code }) => [row, field, code])).toEqual([
      ["2", "date", "NOT_A_DATE"],
      ["2", "XYZ", "UNKNOWN_CURRENCY"],
      ["3", "USD", "NOT_A_NUMBER"],
      ["3", "GBP", "OUT_OF_RANGE"],
      ["4", "USD", "NOT_A_NUMBER"],
      ["5", "date", "DUPLICATE"],
    ]);
    expect(await kept()).toEqual([]);
  });

  test("without a date column, or with no rate in it, is refused", async () => {
    expect((await importing("USD,GBP\n1,2\n")).faults).toMatchObject([{ field: "date", code: "MISSING_COLUMN" }]);
    expect((await importing("Date,USD\n2027-01-04,N/A\n")).faults).toMatchObject([{ field: "csv", code: "REQUIRED" }]);
  });
});

describe("a rate by hand", () => {
  test("is saved, found in the list, changed, and removed; every restoration's plan knows", async () => {
    const other = await saved(server, "Restoration", { machine: "Stationary engine" });
    const revisions = async () =>
      (await server.store.restoration.findMany({ orderBy: { id: "asc" } })).map(({ planRevision }) => planRevision);
    const before = await revisions();
    const rate = await saved(server, "ExchangeRate", { date: "2027-01-04", base: "CHF", counter: "GBP", rate: "0.90" });
    expect(await revisions()).toEqual(before.map((revision) => revision + 1));
    const { data } = await server.query(
      `query ($id: ID!) { restoration(id: $id) { exchangeRates(currency: "CHF") { totalCount edges { node { date base counter rate } } } } }`,
      { id: other.id },
    );
    expect(data).toEqual({
      restoration: {
        exchangeRates: {
          totalCount: 1,
          edges: [{ node: { date: "2027-01-04", base: "CHF", counter: "GBP", rate: "0.90" } }],
        },
      },
    });
    const gone = await remove(server, "EXCHANGE_RATE", rate.id, rate.revision);
    expect(gone.change.summary).toBe("Removed exchange rate CHF to GBP of 2027-01-04");
    expect(await kept()).toEqual([]);
    await undo(server, gone.change.id);
    expect(await kept()).toEqual(["2027-01-04 CHF GBP 0.90"]);
  });

  test("is refused where it is no rate, or is there already", async () => {
    const rate = { date: "2027-01-04", base: "CHF", counter: "GBP", rate: "0.90" };
    const faults = async (more: object) => (await save(server, "ExchangeRate", { ...rate, ...more })).faults;
    expect(await faults({ rate: "0.0" })).toMatchObject([{ field: "rate", code: "OUT_OF_RANGE" }]);
    expect(await faults({ rate: "0,9" })).toMatchObject([{ field: "rate", code: "NOT_A_NUMBER" }]);
    // The whole rule is said at once, whichever part of it is broken.
    for (const refused of ["0", "-1", "0,9", "1000000", "12345678", "1.1234567890123"])
      expect(await faults({ rate: refused })).toMatchObject([
        {
          message: `rate must be more than zero and less than 1,000,000, in digits with a point for up to 12 decimals (it is ${refused}).`,
        },
      ]);
    expect(await faults({ counter: "CHF" })).toMatchObject([{ field: "counter", code: "NOT_A_CHOICE" }]);
    await saved(server, "ExchangeRate", rate);
    expect(await faults({})).toMatchObject([{ code: "DUPLICATE" }]);
  });
});

describe("an order", () => {
  test("has been paid what each payment came to in its own currency on its day; what has no rate is left out", async () => {
    const { currency } = await server.store.quote.findUniqueOrThrow({ where: { id: rows.quote } });
    expect(currency).toBe("GBP");
    for (const [date, rate] of [
      ["2027-01-04", "1.25"],
      ["2027-02-01", "1.60"],
    ] as const)
      await saved(server, "ExchangeRate", { base: "GBP", counter: "USD", date, rate });
    const { id } = await saved(server, "Order", {
      quote: rows.quote,
      placedOn: "2027-01-04",
      promisedOn: "2027-03-01",
      totalMinor: 900_00,
    });
    const paid = (
      kind: "DEPOSIT" | "PART_PAYMENT" | "REFUND",
      paidOn: string,
      amountMinor: number,
      currency: string,
    ) => ({
      ...{ restorationId: rows.restoration, orderId: id, kind, paidOn, amountMinor, currency },
    });
    await server.store.payment.createMany({
      data: [
        paid("DEPOSIT", "2027-01-04", 100_00, "GBP"),
        paid("PART_PAYMENT", "2027-01-10", 100_00, "USD"),
        paid("PART_PAYMENT", "2027-02-10", 100_00, "USD"),
        paid("REFUND", "2027-02-10", 8_00, "USD"),
        paid("PART_PAYMENT", "2027-02-10", 500_00, "SEK"),
      ],
    });
    const { data } = await server.query<{ restoration: { orders: { edges: { node: { paid: object } }[] } } }>(
      "query ($id: ID!) { restoration(id: $id) { orders(first: 5) { edges { node { paid { minor currency } } } } } }",
      { id: rows.restoration },
    );
    // 100 + 100 / 1.25 + 100 / 1.60 - 8 / 1.60
    expect(data!.restoration.orders.edges.map(({ node }) => node.paid)).toEqual([{ minor: 237_50, currency: "GBP" }]);
  });
});
