/** Quotes weighed: landed cost, fit, points and record through the API, and what a restorer sets for them. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { startServer, type TestServer } from "../support/server.ts";
import { call, choose, remove, type Shop, save, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let abroad: string;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  const quote = await saved(server, "Quote", {
    part: rows.casing,
    supplier: rows.foundry,
    provenance: "LATER_SUBSTITUTE",
    unitPriceMinor: 19_700,
    currency: "CHF",
    carriageMinor: 2_000,
    insuranceMinor: 560,
    dutyRate: 0.035,
    taxRate: 0.2,
    incoterm: "FCA",
    leadDays: 30,
    knockOns: [
      { title: "Adapter plate", priceMinor: 1_500, hours: 3, points: 0.5 },
      { title: "Paint to match", currency: "GBP" },
    ],
    statedDimensions: [
      { dimension: "Bore ", value: 46.5 },
      { dimension: "Centres", value: 3.625, unit: "IN" },
    ],
  });
  abroad = quote.id;
});
afterAll(() => server.close());

const ask = async <T>(document: string, variables: Record<string, unknown>): Promise<T> => {
  const { data, errors } = await server.query<T>(document, variables);
  if (!data) throw new Error(JSON.stringify(errors));
  return data;
};

interface Landed {
  lines: { kind: string; words: string; amount: { minor: number; currency: string }; rate: number | null }[];
  total: { minor: number; currency: string } | null;
  quantity: number;
  rateDate: string | null;
  problem: string | null;
}

async function landed(quantity?: number): Promise<Landed> {
  const { part } = await ask<{ part: { quotes: { id: string; landed: Landed }[] } }>(
    `query ($id: ID!, $quantity: Int) { part(id: $id) { quotes { id landed(quantity: $quantity) {
      lines { kind words amount { minor currency } basis { minor } rate } total { minor currency } quantity ordered
      exchange { from to rate date } rateDate problem } } } }`,
    { id: rows.casing, quantity },
  );
  return part.quotes.find(({ id }) => id === abroad)!.landed;
}

const rate = (date: string, counter: string, value: string) =>
  saved(server, "ExchangeRate", { date, base: "EUR", counter, rate: value });

test("an order whose total is left blank comes to what its quote lands for, with carriage, duty and tax", async () => {
  const order = await saved(server, "Order", { quote: abroad, placedOn: "2027-01-04", notes: "" });
  // CHF 197.00 + 20.00 + 5.60 = 222.60; duty 3.5 % 7.79; tax 20 % of 230.391 46.08; the plate 15.00.
  expect(await server.store.order.findUniqueOrThrow({ where: { id: order.id } })).toMatchObject({
    totalMinor: 22_260 + 779 + 4_608 + 1_500,
    currency: "CHF",
  });
  await remove(server, "ORDER", order.id, 1);
});

test("an order for a set of four gives back the one old part that the machine has", async () => {
  const quote = await saved(server, "Quote", {
    part: rows.casing,
    supplier: rows.foundry,
    provenance: "REMADE",
    currency: "GBP",
    unitPriceMinor: 3_000,
    minimumQuantity: 4,
    leadDays: 30,
    coreChargeMinor: 2_500,
    coreReturned: true,
  });
  const order = await saved(server, "Order", { quote: quote.id, quantity: 4, placedOn: "2027-01-04", notes: "" });
  // Four at 30.00 and four charges of 25.00, of which one comes back: as the quote itself lands for the one that is wanted.
  const { totalMinor } = await server.store.order.findUniqueOrThrow({ where: { id: order.id } });
  expect(totalMinor).toBe(12_000 + 10_000 - 2_500);
  const { part } = await ask<{ part: { quotes: { id: string; landed: { total: object } }[] } }>(
    "query ($id: ID!) { part(id: $id) { quotes { id landed { total { minor } } } } }",
    { id: rows.casing },
  );
  expect(part.quotes.find(({ id }) => id === quote.id)?.landed.total).toEqual({ minor: totalMinor });
  await remove(server, "ORDER", order.id, 1);
  await remove(server, "QUOTE", quote.id, 1);
});

describe("landed cost", () => {
  test("has no total until a rate is known, and says which is missing", async () => {
    const cost = await landed();
    expect(cost.total).toBeNull();
    expect(cost.problem).toBe("No rate from CHF to GBP on or before 4 Jan 2027.");
  });

  test("is in the restoration's currency at the dated rate, and its lines add up to the total", async () => {
    await rate("2027-01-02", "GBP", "0.8436");
    await rate("2027-01-02", "CHF", "0.9412");
    await rate("2027-01-05", "CHF", "0.5");
    for (const quantity of [1, 3, 7]) {
      const cost = await landed(quantity);
      expect(cost).toMatchObject({ quantity, rateDate: "2027-01-02", problem: null });
      expect(cost.total).toEqual({
        minor: cost.lines.reduce((sum, { amount }) => sum + amount.minor, 0),
        currency: "GBP",
      });
      expect(cost.lines.every(({ amount }) => amount.currency === "GBP" && Number.isInteger(amount.minor))).toBe(true);
    }
    const cost = await landed();
    expect(cost.quantity).toBe(1);
    expect(cost.lines.find(({ kind }) => kind === "PRICE")?.amount.minor).toBe(17_657);
    expect(cost.lines.find(({ kind }) => kind === "KNOCK_ON")).toMatchObject({ words: "Adapter plate" });
  });

  test("of no pieces is refused by name", async () => {
    const { errors } = await server.query(
      "query ($id: ID!) { part(id: $id) { quotes { landed(quantity: 0) { quantity } } } }",
      {
        id: rows.casing,
      },
    );
    expect(errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "quantity" });
  });
});

describe("knock-ons", () => {
  test("take the quote's currency where they say none, keep their order, and are replaced as a list", async () => {
    const read = async () =>
      (
        await ask<{ part: { quotes: { id: string; revision: number; knockOns: object[] }[] } }>(
          "query ($id: ID!) { part(id: $id) { quotes { id revision knockOns { title price { minor currency } hours points } } } }",
          { id: rows.casing },
        )
      ).part.quotes.find(({ id }) => id === abroad)!;
    const before = await read();
    expect(before.knockOns).toEqual([
      { title: "Adapter plate", price: { minor: 1_500, currency: "CHF" }, hours: 3, points: 0.5 },
      { title: "Paint to match", price: { minor: 0, currency: "GBP" }, hours: 0, points: 0 },
    ]);
    const change = await saved(server, "Quote", { id: abroad, revision: before.revision, knockOns: [] });
    expect((await read()).knockOns).toEqual([]);
    await undo(server, change.change.id);
    expect((await read()).knockOns).toEqual(before.knockOns);
  });

  test("with faults are refused by list, place and field", async () => {
    const { revision } = await server.store.quote.findUniqueOrThrow({ where: { id: abroad } });
    const result = await save(server, "Quote", {
      id: abroad,
      revision,
      knockOns: [{ title: "Plate", hours: -1 }],
      statedDimensions: [
        { dimension: "Bore", value: 1 },
        { dimension: " bore", value: 2 },
      ],
    });
    expect(result.faults.map(({ field, code }) => [field, code])).toEqual([
      ["knockOns.0.hours", "NEGATIVE"],
      ["statedDimensions.1.dimension", "DUPLICATE"],
    ]);
  });
});

describe("a part", () => {
  test("keeps its mark, its section of the sheet and what is ruled out; its fit is told row by row", async () => {
    const section = await saved(server, "JudgingSection", {
      restoration: rows.restoration,
      name: "Engine and drive",
      maximum: 60,
      cap: 10,
      deductions: [{ provenance: "LATER_SUBSTITUTE", points: 2.5 }],
    });
    const { revision } = await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } });
    await saved(server, "Part", {
      id: rows.casing,
      revision,
      kept: true,
      judgingSection: section.id,
      ruledOut: ["LATER_SUBSTITUTE", "PERIOD_SUBSTITUTE"],
      specification: [
        { dimension: "bore", nominal: 47, plus: 0.02, nature: "INSIDE" },
        { dimension: "Centres", nominal: 92.08, minus: 0.05, plus: 0.05, nature: "DISTANCE" },
      ],
    });
    const { part } = await ask<{ part: { quotes: { id: string }[] } }>(
      `query ($id: ID!) { part(id: $id) { kept visible ruledOut judgingSection { name cap deductions { provenance points } }
        ownJudgingSection { id } specification { nature }
        quotes { id pointsLost ruledOut condition coreCharge { minor } coreReturned
          fit { verdict notAskedFor rows { dimension verdict off metal { action least most } words } } } } }`,
      { id: rows.casing },
    );
    // What is kept is a chosen quote: until one is chosen the part is only marked.
    expect((await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } })).kept).toBe(true);
    expect(part).toMatchObject({
      kept: false,
      visible: true,
      ruledOut: ["PERIOD_SUBSTITUTE", "LATER_SUBSTITUTE"],
      judgingSection: {
        name: "Engine and drive",
        cap: 10,
        deductions: [{ provenance: "LATER_SUBSTITUTE", points: 2.5 }],
      },
      ownJudgingSection: { id: section.id },
      specification: [{ nature: "INSIDE" }, { nature: "DISTANCE" }],
    });
    expect(part.quotes.find(({ id }) => id === abroad)).toMatchObject({
      // 2.5 by the sheet and half a point for the adapter plate.
      pointsLost: 3,
      ruledOut: false,
      condition: "SERVICEABLE",
      fit: {
        verdict: "NEEDS_WORK",
        rows: [
          { dimension: "bore", verdict: "NEEDS_WORK", metal: { action: "REMOVE" } },
          { dimension: "Centres", verdict: "FITS", metal: null },
        ],
      },
    });
  });

  test("loses its section of the sheet with the section, and undo gives it back", async () => {
    const section = await server.store.judgingSection.findFirstOrThrow();
    const gone = await remove(server, "JUDGING_SECTION", section.id, section.revision);
    const own = async () =>
      (await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } })).judgingSectionId;
    expect(await own()).toBeNull();
    await undo(server, gone.change.id);
    expect(await own()).toBe(section.id);
    expect(await server.store.judgingDeduction.count()).toBe(1);
  });
});

describe("points lost", () => {
  interface AtRisk {
    restoration: { pointsLost: { total: number; bySection: object[]; floors: object[] } };
  }
  const lostPoints = async () =>
    (
      await ask<AtRisk>(
        "query ($id: ID!) { restoration(id: $id) { pointsLost { total bySection { section lost cap } floors { award points met by } } } }",
        { id: rows.restoration },
      )
    ).restoration.pointsLost;

  test("are those of the quotes and remedies chosen or standing in", async () => {
    await saved(server, "AwardFloor", { restoration: rows.restoration, award: "Gilt Dog Rose", points: 58 });
    const { revision } = await server.store.part.findUniqueOrThrow({ where: { id: rows.casing } });
    // Undecided, the remade one stands in: the other is of a provenance that is ruled out.
    expect(await lostPoints()).toMatchObject({ total: 0, floors: [{ met: true, by: 2 }] });
    await choose(server, rows.casing, abroad, revision);
    expect(await lostPoints()).toEqual({
      total: 3,
      bySection: [{ section: "Engine and drive", lost: 3, cap: 10 }],
      floors: [{ award: "Gilt Dog Rose", points: 58, met: false, by: -1 }],
    });
  });

  test("a sample sheet takes the place of the restoration's own in one change, which can be taken back", async () => {
    const sheet = () =>
      ask<{ restoration: { judgingSheet: { maximum: number; sections: { name: string }[] } } }>(
        "query ($id: ID!) { restoration(id: $id) { judgingSheet { maximum sections { name cap lines { title } deductions { provenance points } } floors { award points } } } }",
        { id: rows.restoration },
      );
    const { restoration } = await ask<{
      restoration: { sampleJudgingSheets: { name: string; description: string }[] };
    }>("query ($id: ID!) { restoration(id: $id) { sampleJudgingSheets { name description maximum } } }", {
      id: rows.restoration,
    });
    expect(restoration.sampleJudgingSheets.length).toBeGreaterThan(1);
    const before = await sheet();
    for (const { name } of restoration.sampleJudgingSheets) {
      const taken = await call(server, "takeSampleJudgingSheet", "$restoration: ID!, $name: String!", {
        restoration: rows.restoration,
        name,
      });
      expect(taken.__typename).toBe("Saved");
      expect((await sheet()).restoration.judgingSheet.maximum).toBeGreaterThanOrEqual(100);
      expect((await undo(server, taken.change.id)).__typename).toBe("Saved");
      expect(await sheet()).toEqual(before);
    }
    const { errors } = await server.query(
      `mutation ($id: ID!) { takeSampleJudgingSheet(restoration: $id, name: "none") { __typename } }`,
      { id: rows.restoration },
    );
    expect(errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "name" });
  });
});

test("a maker's record is of all the workshop's orders with the maker", async () => {
  await saved(server, "Order", {
    quote: rows.quote,
    placedOn: "2026-06-01",
    promisedOn: "2026-08-01",
    state: "ARRIVED",
    arrivedOn: "2026-08-11",
  });
  await saved(server, "Order", { quote: rows.quote, placedOn: "2026-06-01", promisedOn: "2027-08-01" });
  const { supplier } = await ask<{ supplier: { makerRecord: object } }>(
    "query ($id: ID!) { supplier(id: $id) { makerRecord { orders arrived onTime averageDaysLate } } }",
    { id: rows.foundry },
  );
  expect(supplier.makerRecord).toEqual({ orders: 2, arrived: 1, onTime: 0, averageDaysLate: 10 });
});

describe("ways to do an operation", () => {
  test("are saved, chosen for the plan, and taken back", async () => {
    const way = await saved(server, "OperationWay", {
      operation: rows.strip,
      supplier: rows.foundry,
      title: "Sent out",
      hours: 2,
      days: 14,
      priceMinor: 9_000,
    });
    const operation = () =>
      ask<{ operation: { revision: number; schedule: { earlyFinishDate: string } } }>(
        "query ($id: ID!) { operation(id: $id) { revision chosenWay { code } ways { code title hours days price { minor currency } points chosen supplier { name } } schedule { earlyFinishDate } } }",
        { id: rows.strip },
      );
    const before = await operation();
    expect(before).toMatchObject({
      operation: {
        chosenWay: null,
        ways: [{ code: "1", title: "Sent out", price: { minor: 9_000, currency: "GBP" }, chosen: false }],
        schedule: { earlyFinishDate: "2027-01-04" },
      },
    });
    const chosen = await call(server, "chooseWay", "$operation: ID!, $way: ID, $revision: Int!", {
      operation: rows.strip,
      way: way.id,
      revision: before.operation.revision,
    });
    expect(chosen.change.summary).toBe("Chose way 1, Sent out, for ENG-1, Strip the gearbox");
    expect(await operation()).toMatchObject({
      operation: { chosenWay: { code: "1" }, ways: [{ chosen: true }], schedule: { earlyFinishDate: "2027-01-18" } },
    });
    const gone = await remove(server, "OPERATION_WAY", way.id, way.revision);
    expect((await operation()).operation).toMatchObject({ chosenWay: null, ways: [] });
    await undo(server, gone.change.id);
    expect((await operation()).operation).toMatchObject({ chosenWay: { code: "1" } });
    const stale = await call(server, "chooseWay", "$operation: ID!, $way: ID, $revision: Int!", {
      operation: rows.strip,
      way: null,
      revision: before.operation.revision,
    });
    expect(stale.__typename).toBe("StaleRow");
  });

  test("of another operation cannot be chosen", async () => {
    const way = await server.store.operationWay.findFirstOrThrow();
    const result = await call(server, "chooseWay", "$operation: ID!, $way: ID, $revision: Int!", {
      operation: rows.brake,
      way: way.id,
      revision: 1,
    });
    expect(result.faults).toMatchObject([{ field: "way", code: "UNKNOWN_ROW" }]);
  });
});

test("a thread is found by diameter and threads to the inch, and what cannot be measured is named", async () => {
  const { thread } = await ask<{ thread: { verdict: string; matches: { name: string }[] } }>(
    "{ thread(diameter: 0.374, perInch: 16, unit: IN, angle: 55) { verdict words matches { name family standard perInch } nearest { name } tellApart { words } } }",
    {},
  );
  expect(thread.verdict).toBe("ONE");
  expect(thread.matches).toMatchObject([
    { name: "3/8-16 BSW", family: "British Standard Whitworth", standard: "BS 84" },
  ]);
  const { errors } = await server.query("{ thread(diameter: -1) { verdict } }");
  expect(errors?.[0]?.extensions).toMatchObject({ code: "INVALID_INPUT", field: "diameter" });
});

test("what a day and a point are worth to the owner is kept with the restoration", async () => {
  const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
  await saved(server, "Restoration", {
    id: rows.restoration,
    revision,
    pricePerDayMinor: 1_800,
    pricePerPointMinor: 6_500,
    customsBasis: "FOB",
    carriageTaxed: false,
  });
  const { restoration } = await ask<{ restoration: object }>(
    "query ($id: ID!) { restoration(id: $id) { pricePerDay { minor } pricePerPoint { minor } customsBasis carriageTaxed } }",
    { id: rows.restoration },
  );
  expect(restoration).toEqual({
    pricePerDay: { minor: 1_800 },
    pricePerPoint: { minor: 6_500 },
    customsBasis: "FOB",
    carriageTaxed: false,
  });
});
