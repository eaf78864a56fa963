/** What a typed value may be, whichever field it is typed into. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { call, lookAt, type Shop, save, saved, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  await lookAt(server, "2027-01-08");
});
afterAll(() => server.close());

const faultsOf = async (noun: string, input: object) =>
  (await save(server, noun, input)).faults?.map(({ code, field }) => [code, field]);

describe("a currency", () => {
  it.each(["XXX", "XTS", "XAU", "GB", "pounds"])("is none that %s names: nothing is paid in it", async (currency) => {
    const supplier = { code: `S-${currency}`, name: "Quarry Lane", kind: "MAKER" };
    expect(await faultsOf("Supplier", { ...supplier, currency })).toEqual([["UNKNOWN_CURRENCY", "currency"]]);
    const rate = { date: "2027-01-05", base: "GBP", counter: currency, rate: "1.2" };
    expect(await faultsOf("ExchangeRate", rate)).toEqual([["UNKNOWN_CURRENCY", "counter"]]);
  });

  it("is kept in capitals however it is typed, and a country too", async () => {
    const { id } = await saved(server, "Supplier", {
      ...{ code: "S-SMALL", name: "Quarry Lane", kind: "MAKER", currency: "chf", country: "ch" },
    });
    const kept = await server.store.supplier.findUniqueOrThrow({ where: { id } });
    expect([kept.currency, kept.country]).toEqual(["CHF", "CH"]);
    const rate = await saved(server, "ExchangeRate", { date: "2027-01-05", base: "eur", counter: "gbp", rate: "0.9" });
    expect(await server.store.exchangeRate.findUniqueOrThrow({ where: { id: rate.id } })).toMatchObject({
      base: "EUR",
      counter: "GBP",
    });
  });
});

describe("a fault", () => {
  it("tells a long value in part, however many rows have it", async () => {
    const value = "x".repeat(100_000);
    const parts = [rows.casing, rows.drum].map((id) => ({ id, revision: 1 }));
    const result = await call(server, "changeParts", "$rows: [ReadRow!]!, $input: PartsInput!", {
      rows: parts,
      input: { group: value },
    });
    expect(result.faults.map(({ field, value: told }) => [field, told!.length])).toEqual([
      ["group", 202],
      ["group", 202],
    ]);
    expect(JSON.stringify(result).length).toBeLessThan(2_000);
  });
});

describe("the letterhead", () => {
  const letter = async (input: object) => {
    const { revision } = await server.store.workshop.findFirstOrThrow();
    const { data } = await server.query<{ saveWorkshop: { faults?: { field: string; message: string }[] } }>(
      `mutation ($input: WorkshopInput!) { saveWorkshop(input: $input) {
        ... on InvalidInput { faults { field message } } } }`,
      { input: { revision, ...input } },
    );
    return data?.saveWorkshop.faults ?? [];
  };
  it.each(["Quarry\nLane", "Quarry\tLane", "Quarry\u001bLane", "Quarry\u2028Lane", "Quarry \u202eenaL"])(
    "has its name and where to reply on one line, and not %j",
    async (text) => {
      expect((await letter({ name: text, replyTo: text })).map(({ field }) => field)).toEqual(["name", "replyTo"]);
    },
  );
  it("has its address on as many lines as it needs", async () => {
    expect(await letter({ address: "Quarry Lane\nHesper" })).toEqual([]);
  });
  it("says of an empty time zone that it is empty", async () => {
    expect((await letter({ timeZone: "" })).map(({ message }) => message)).toEqual([
      "time zone must be the name of one, such as Europe/London (it is empty).",
    ]);
  });
});

it("refuses an invoice and a correction of a day to come, and names the day", async () => {
  const invoice = { restoration: rows.restoration, day: "2027-01-05", amountMinor: 50_000 };
  expect(await faultsOf("Invoice", { ...invoice, day: "2027-01-09" })).toEqual([["OUT_OF_RANGE", "day"]]);
  const { id } = await saved(server, "Invoice", invoice);
  const corrected = await call(server, "correctInvoice", "$invoice: ID!, $input: InvoiceInput", {
    invoice: id,
    input: { day: "2027-01-09" },
  });
  expect(corrected.faults.map(({ field }) => field)).toEqual(["day"]);
});
