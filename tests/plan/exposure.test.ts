import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { choiceProblem } from "../../server/plan/choice/input.ts";
import { exposureOf, type RestorationExposure } from "../../server/plan/money/exposure.ts";
import { loadExposureRows } from "../../server/plan/money/exposureLoad.ts";
import { costOfRuns } from "../../server/plan/money/exposureRuns.ts";
import { loadRows } from "../../server/plan/rows/load.ts";
import type { Store } from "../../server/store/client.ts";
import { largeRestoration } from "../support/largeRestoration.ts";
import { testStore } from "../support/store.ts";

let store: Store;
let close: () => Promise<void>;
let restorationId: string;
const ids: Record<string, string> = {};

const money = async (): Promise<RestorationExposure> =>
  exposureOf(await loadExposureRows(store, restorationId, undefined));
const sum = (low: number, planned = low, high = low, unknown = 0) => ({ low, planned, high, unknown });

/** A machine with one part of each state, a snag, work done and to do; the figures are for 23 November 2026. */
beforeAll(async () => {
  ({ store, close } = await testStore());
  const { id: workshopId, accounts } = await store.workshop.create({
    data: { name: "Quill Lane", accounts: { create: { name: "Bench" } } },
    include: { accounts: true },
  });
  const at = { date: "2026-11-01", base: "CHF", counter: "GBP", rate: "0.9" };
  await store.exchangeRate.createMany({
    data: [
      { workshopId, ...at },
      { workshopId, ...at, date: "2026-11-20", rate: "0.88" },
    ],
  });
  await store.shopCalendar.create({ data: { workshopId, figuresFor: "2026-11-23" } });
  const restoration = await store.restoration.create({
    data: {
      workshopId,
      machine: "Cyclecar",
      currency: "GBP",
      capMinor: 300_000,
      hourlyRateMinor: 4_000,
    },
  });
  restorationId = restoration.id;
  const supplier = await store.supplier.create({ data: { workshopId, code: "S", name: "Brindlewick Foundry" } });
  await store.tradeRate.create({ data: { restorationId, trade: "trim", rateMinor: 3_000 } });
  const operation = async (code: string, more: object) =>
    (
      await store.operation.create({
        data: { restorationId, code, title: code, hoursLikely: 10, group: "Engine", ...more },
      })
    ).id;
  const part = async (code: string, more: object = {}) => {
    ids[code] = (await store.part.create({ data: { restorationId, code, name: code, group: "Engine", ...more } })).id;
    return ids[code];
  };
  const quote = async (code: string, partId: string, unitPriceMinor: number, more: object = {}) =>
    (
      await store.quote.create({
        data: {
          restorationId,
          partId,
          supplierId: supplier.id,
          code,
          provenance: "REMADE",
          unitPriceMinor,
          currency: "GBP",
          leadDays: 30,
          ...more,
        },
      })
    ).id;
  await operation("DONE", { state: "DONE", finishedOn: "2026-11-12", trade: "trim" });
  ids["BOOKED"] = await operation("BOOKED", { state: "UNDER_WAY", startedOn: "2026-11-16", remainingHours: 4 });
  ids["AHEAD"] = await operation("AHEAD", { hoursLeast: 8, hoursMost: 16, group: "" });
  // Ordered in francs: a deposit at the rate agreed on its day, and the rest owed at the newest rate.
  const casing = await part("CASING");
  const order = await store.order.create({
    data: {
      restorationId,
      partId: casing,
      quoteId: await quote("Q1", casing, 100_000, { currency: "CHF" }),
      code: "O1",
      placedOn: "2026-10-01",
      promisedOn: "2026-11-10",
      expectedOn: "2027-01-15",
      totalMinor: 100_000,
      currency: "CHF",
      payments: {
        create: {
          restorationId,
          kind: "DEPOSIT",
          paidOn: "2026-10-01",
          amountMinor: 40_000,
          currency: "CHF",
          rate: "0.91",
        },
      },
    },
  });
  ids["O1"] = order.id;
  // Chosen: 500.00 with 20 % tax, of which 100.00 with the order and 500.00 on arrival.
  const chain = await part("CHAIN", { group: "Drive" });
  const chosen = await quote("Q2", chain, 50_000, { taxRate: 0.2, depositMinor: 10_000 });
  await store.part.update({ where: { id: chain }, data: { chosenQuoteId: chosen } });
  // Undecided: three quotes that can be taken, and two that cannot; the quickest stands in.
  const lamps = await part("LAMPS", { group: "Lamps" });
  await quote("Q3", lamps, 30_000);
  await quote("Q4", lamps, 42_000, { leadDays: 10 });
  await quote("Q5", lamps, 55_000);
  await quote("Q6", lamps, 1_000, { ruledOut: true });
  await quote("Q7", lamps, 2_000, { validUntil: "2026-11-01" });
  await part("HORN", { group: "Lamps", estimateMinor: 24_000 });
  await part("PLATE", { group: "Lamps" });
  const crack = await store.snag.create({
    data: { restorationId, operationId: ids["AHEAD"], code: "N1", title: "Crack" },
  });
  await store.remedy.createMany({
    data: [
      { restorationId, snagId: crack.id, code: "R1", title: "Stitch", priceMinor: 6_000, currency: "GBP", days: 5 },
      { restorationId, snagId: crack.id, code: "R2", title: "Weld", priceMinor: 9_000, currency: "GBP", days: 9 },
    ],
  });
  const booking = { restorationId, operationId: ids["BOOKED"], accountId: accounts[0]!.id, currency: "GBP" };
  await store.hoursBooked.create({
    data: { ...booking, clientKey: "a", workedOn: "2026-11-16", hours: 6.5, rateMinor: 4_000 },
  });
  await store.invoice.createMany({
    data: [
      { restorationId, code: "I1", day: "2026-11-02", amountMinor: 80_000, currency: "GBP" },
      { restorationId, code: "R1", kind: "RECEIPT", day: "2026-11-09", amountMinor: 50_000, currency: "GBP" },
    ],
  });
});
afterAll(() => close());

describe("the owner's money of a small machine, by hand", () => {
  it("is paid at the day's rate, owed at the newest, chosen, undecided, estimated and unknown", async () => {
    const { buckets, total, counted, capLeftMinor, invoicedMinor, receivedMinor } = await money();
    expect(buckets).toEqual({
      PAID: sum(36_400), // CHF 400.00 at 0.91
      OWED: sum(52_800), // CHF 600.00 at 0.88
      CHOSEN: sum(60_000),
      UNDECIDED: sum(36_000, 48_000, 64_000), // lamps 300, 420, 550; the snag 60, 60, 90
      UNSOURCED: sum(24_000, 24_000, 24_000, 1),
      LABOUR_DONE: sum(56_000), // 10 h of trim at 30.00, 6.5 h booked at 40.00
      LABOUR_TO_GO: sum(48_000, 56_000, 80_000), // 4 h, and 8, 10 or 16 h, at 40.00
    });
    expect(counted).toEqual(sum(209_200, 221_200, 237_200, 1));
    expect(total.planned).toBe(221_200 + 112_000);
    expect(capLeftMinor).toBe(78_800);
    expect([invoicedMinor, receivedMinor]).toEqual([80_000, 50_000]);
  });

  it("names what has no price, and puts the late maker's deposit at risk", async () => {
    const { unpriced, atRisk, labourUnrated } = await money();
    expect(unpriced).toEqual([
      {
        kind: "PART",
        rowId: ids["PLATE"],
        code: "PLATE",
        title: "PLATE",
        why: "nobody quotes it, and there is no estimate",
      },
    ]);
    expect(atRisk).toMatchObject([
      { code: "O1", supplierName: "Brindlewick Foundry", daysLate: 13, ownMinor: 40_000, amountMinor: 36_400 },
    ]);
    expect(labourUnrated).toBe(false);
  });

  it("falls due month by month: the deposit with the order, the rest on arrival, what has no source without a date", async () => {
    const { byMonth, total } = await money();
    const of = (key: string | null) => byMonth.find((month) => month.key === key)?.buckets;
    expect(of("2026-10")?.PAID.planned).toBe(36_400);
    expect(of("2027-01")?.OWED.planned).toBe(52_800);
    expect([of("2026-11")?.CHOSEN.planned, of("2026-12")?.CHOSEN.planned]).toEqual([10_000, 50_000]);
    expect(of(null)?.UNSOURCED).toEqual(sum(24_000, 24_000, 24_000, 1));
    expect(byMonth.reduce((all, month) => all + month.total.planned, 0)).toBe(total.planned);
  });

  it("stands by group, and by currency with what is paid and owed in the currency itself", async () => {
    const { byGroup, byCurrency } = await money();
    expect(byGroup.map(({ key, total }) => [key, total.planned])).toEqual([
      ["Drive", 60_000],
      ["Engine", 36_400 + 52_800 + 56_000 + 16_000],
      ["Lamps", 66_000],
      [null, 46_000],
    ]);
    expect(byCurrency.map(({ key, paidOwnMinor, owedOwnMinor }) => [key, paidOwnMinor, owedOwnMinor])).toEqual([
      ["CHF", 40_000, 60_000],
      ["GBP", 0, 0],
      [null, 0, 0],
    ]);
  });
});

describe("what the cap leaves", () => {
  const cap = async (more: object = {}) => {
    const rows = await loadExposureRows(store, restorationId, undefined);
    const asked = { ...rows, money: { ...rows.money, ...more } };
    return { choices: choiceProblem(asked), money: exposureOf(asked) };
  };

  it("for the choices: less payments at their own rates, what is owed, and the estimate of what has no source", async () => {
    const { choices, money } = await cap();
    // CHF 400.00 at 0.91 and CHF 600.00 at 0.88; the horn's estimate; of 3,000.00.
    expect(choices).toMatchObject({ committedMinor: 36_400 + 52_800, heldBackMinor: 24_000, capLeftMinor: 186_800 });
    expect(choices.inForce.costMinor).toBe(60_000 + 42_000 + 6_000);
    expect(choices.capLeftMinor! - choices.inForce.costMinor!).toBe(money.capLeftMinor);
    expect(choices.notices.map(({ message }) => message)).toContain(
      "PLATE is not counted against the cap: nobody quotes it, and there is no estimate.",
    );
  });

  it("holds back what a find is expected to cost of what is looked for and quoted by nobody", async () => {
    const rows = await loadExposureRows(store, restorationId, undefined);
    const hunt = {
      id: "hunt",
      partId: ids["PLATE"]!,
      state: "SEARCHING" as const,
      begunOn: "2026-11-02",
      chancePerWeek: 0.1,
      beliefWeeks: 26,
      stopDate: null,
      leadDays: 7,
      preparationHours: 0,
      provenance: "ORIGINAL" as const,
      priceMinor: 2_500,
      currency: "GBP",
    };
    const asked = { ...rows, plan: { ...rows.plan, hunts: [hunt] } };
    const [choices, money] = [choiceProblem(asked), exposureOf(asked)];
    expect([money.unpriced, money.buckets.UNSOURCED]).toEqual([[], sum(26_500)]);
    expect(choices.heldBackMinor).toBe(26_500);
    expect(choices.capLeftMinor! - choices.inForce.costMinor!).toBe(money.capLeftMinor);
  });

  it("is less by the hours, done and to go, where the cap covers labour", async () => {
    const { choices, money } = await cap({ capCoversLabour: true });
    expect(choices).toMatchObject({ heldBackMinor: 24_000 + 56_000 + 56_000, capLeftMinor: 186_800 - 112_000 });
    expect(choices.capLeftMinor! - choices.inForce.costMinor!).toBe(money.capLeftMinor);
  });
});

describe("contingency", () => {
  it("is not there without runs, and the asked chance beyond the plan with them", async () => {
    const rows = await loadExposureRows(store, restorationId, undefined);
    expect(exposureOf(rows).contingency).toBe(null);
    const beyondPlan = Float64Array.of(-500, 0, 1_000, 2_000, 4_000);
    const labour = Float64Array.of(-500, 0, 500, 500, 1_000);
    const parts = Float64Array.of(0, 0, 500, 1_500, 3_000);
    const runs = { beyondPlan, labour, parts, never: 15, chance: 0.75 };
    // All that is planned, labour with it, and what is set aside.
    const totalMinor = 221_200 + 112_000 + 2_000;
    const found = {
      ...{ amountMinor: 2_000, labourMinor: 500, partsMinor: 1_500, totalMinor },
      ...{ chance: 0.75, runs: 5, never: 0.75 },
    };
    // The cap is for parts alone: of what it leaves, what is set aside for parts.
    expect(exposureOf(rows, runs).contingency).toEqual({ ...found, capLeftMinor: 78_800 - 1_500 });
    const all = { ...rows, money: { ...rows.money, capCoversLabour: true } };
    expect(exposureOf(all, runs).contingency).toEqual({ ...found, capLeftMinor: 78_800 - 112_000 - 2_000 });
    const none = { ...rows, restoration: { ...rows.restoration, capMinor: null } };
    expect(exposureOf(none, runs).contingency?.capLeftMinor).toBe(null);
  });
});

describe("the cost of the runs", () => {
  it("is the hours beyond the plan at the rate of their trade, and what a failed order brings", async () => {
    const rows = await loadExposureRows(store, restorationId, undefined);
    // Estimates as they stand: what hours cost beyond the plan is then what their three figures say.
    const odds = { ...(await loadRows(store, restorationId)), spreads: { shopSpread: 0, tradeSpread: 0 } };
    const runs = { seed: 1, samples: 4096 };
    const cost = costOfRuns(rows, odds, runs);
    const labour = { ...cost, beyondPlan: cost.labour };
    // AHEAD alone has three figures: 8, 10 and 16 hours at 40.00, a PERT mean of (8 + 40 + 16) / 6 hours.
    const mean = labour.beyondPlan.reduce((sum, amount) => sum + amount, 0) / 4096;
    expect(labour.never).toBe(0);
    // Undecided: lamps at 300 to 550 and a snag at 60 to 90, of which 420 and 60 are planned; a PERT mean of
    // (300 + 4 * 420 + 550) / 6 - 420 and (60 + 4 * 60 + 90) / 6 - 60.
    const prices = cost.parts.reduce((sum, amount) => sum + amount, 0) / 4096;
    const expected = (30_000 + 4 * 42_000 + 55_000) / 6 - 42_000 + (5 * 6_000 + 9_000) / 6 - 6_000;
    // Standard errors: PERT deviations are about a sixth of the range.
    expect(Math.abs(prices - expected)).toBeLessThan((4 * (25_000 + 3_000)) / 5 / 64);
    expect(Math.max(...cost.parts)).toBeLessThanOrEqual(13_000 + 3_000);
    expect(Math.min(...cost.parts)).toBeGreaterThanOrEqual(-12_000);
    expect(Math.abs(mean - (2 / 3) * 4_000)).toBeLessThan((4 * 4_000 * (8 / 6)) / 64);
    expect(Math.max(...labour.beyondPlan)).toBeLessThanOrEqual(6 * 4_000);
    expect(Math.min(...labour.beyondPlan)).toBeGreaterThanOrEqual(-2 * 4_000);
    const order = rows.accounts.find(({ code }) => code === "O1")!;
    const failingQuote = (quote: (typeof odds.quotes)[number]) =>
      quote.id === order.quoteId ? { ...quote, failureChance: 0.999_999 } : quote;
    const failing = { ...odds, quotes: odds.quotes.map(failingQuote) };
    // Nearly every run loses the order and nothing follows it.
    expect(costOfRuns(rows, failing, runs).never).toBeGreaterThan(4_090);
  });
});

describe("what changes", () => {
  it("a payment without any rate makes the total at least so much, and is named", async () => {
    const early = {
      restorationId,
      orderId: ids["O1"]!,
      kind: "PART_PAYMENT",
      paidOn: "2026-10-05",
      amountMinor: 100,
    } as const;
    const payment = await store.payment.create({ data: { ...early, currency: "CHF" } });
    const { buckets, unpriced } = await money();
    expect(buckets.PAID).toEqual(sum(36_400, 36_400, 36_400, 1));
    expect(unpriced.at(-1)).toMatchObject({
      kind: "PAYMENT",
      rowId: payment.id,
      why: "no rate from CHF to GBP on or before 5 Oct 2026",
    });
    await store.payment.delete({ where: { id: payment.id } });
  });

  it("work that was sent out is owed once it has gone, and a remedy is owed once it is done", async () => {
    const way = await store.operationWay.create({
      data: {
        restorationId,
        operationId: ids["AHEAD"]!,
        code: "Y",
        title: "Out",
        hours: 1,
        days: 9,
        priceMinor: 7_000,
        currency: "GBP",
      },
    });
    const chosen = (state: "NOT_STARTED" | "UNDER_WAY") =>
      store.operation.update({ where: { id: ids["AHEAD"]! }, data: { chosenWayId: way.id, state, startedOn: null } });
    await chosen("NOT_STARTED");
    expect((await money()).buckets.CHOSEN.planned).toBe(67_000);
    await chosen("UNDER_WAY");
    const { buckets } = await money();
    expect([buckets.CHOSEN.planned, buckets.OWED.planned]).toEqual([60_000, 59_800]);
    const remedy = await store.remedy.findFirstOrThrow({ where: { code: "R2" } });
    await store.snag.updateMany({ data: { chosenRemedyId: remedy.id, clearedOn: "2026-11-20" } });
    expect((await money()).buckets.OWED.planned).toBe(59_800 + 9_000);
    ids["Y"] = way.id;
    ids["R2"] = remedy.id;
  });

  it("they are paid, credited and put right without an order, and stand by currency in their own", async () => {
    const sums = async () => {
      const { buckets, byCurrency, lines } = await money();
      expect(lines.reduce((all, { planned }) => all + planned, 0)).toBe((await money()).total.planned);
      const pounds = byCurrency.find(({ key }) => key === "GBP")!;
      return [buckets.PAID.planned, buckets.OWED.planned, pounds.paidOwnMinor, pounds.owedOwnMinor];
    };
    // The pounds owed: the way 70.00 and the remedy 90.00; the order is in francs.
    expect(await sums()).toEqual([36_400, 52_800 + 16_000, 0, 16_000]);
    const pay = (more: object) =>
      store.payment.create({
        data: {
          restorationId,
          kind: "PART_PAYMENT",
          paidOn: "2026-11-21",
          amountMinor: 3_000,
          currency: "GBP",
          ...more,
        },
      });
    const first = await pay({ wayId: ids["Y"]! });
    await pay({ remedyId: ids["R2"]!, kind: "BALANCE", amountMinor: 9_000 });
    expect(await sums()).toEqual([36_400 + 12_000, 52_800 + 4_000, 12_000, 4_000]);
    await pay({ wayId: ids["Y"]!, kind: "CREDIT", amountMinor: 500 });
    expect(await sums()).toEqual([36_400 + 12_000, 52_800 + 3_500, 12_000, 3_500]);
    await pay({ wayId: ids["Y"]!, amountMinor: -3_000, correctsId: first.id });
    expect(await sums()).toEqual([36_400 + 9_000, 52_800 + 6_500, 9_000, 6_500]);
    // Francs on a way that is priced in pounds: at the rate of their day, and each currency counts its own.
    await pay({ wayId: ids["Y"]!, amountMinor: 1_000, currency: "CHF" });
    expect(await sums()).toEqual([36_400 + 9_000 + 880, 52_800 + 6_500 - 880, 9_000, 6_500 - 880]);
    // A way given up keeps what was paid for it, and nothing more is owed.
    await store.operation.update({ where: { id: ids["AHEAD"]! }, data: { chosenWayId: null } });
    expect(await sums()).toEqual([36_400 + 9_000 + 880, 52_800, 9_000, 0]);
    await store.operation.update({
      where: { id: ids["AHEAD"]! },
      data: { chosenWayId: ids["Y"]!, state: "NOT_STARTED" },
    });
    const rows = await loadExposureRows(store, restorationId, undefined);
    const { subjects, capLeftMinor, inForce } = choiceProblem(rows);
    const way = subjects.find(({ rowId }) => rowId === ids["AHEAD"])!.options.find(({ wayId }) => wayId === ids["Y"]);
    // What it still costs to take it: 70.00 less the credit and what was paid.
    expect(way?.landedMinor).toBe(7_000 - 500 - 880);
    // Its hour in the shop at 40.00 is compared with it, and is no matter of a cap that does not cover labour.
    expect(way?.costMinor).toBe(7_000 - 500 - 880 + 4_000);
    expect(capLeftMinor! - (inForce.costMinor! - 4_000)).toBe(exposureOf(rows).capLeftMinor);
  });
});

describe("work that takes several hands", () => {
  it("is charged at the rate of each of them, for the whole of its hours", async () => {
    const planned = async () => exposureOf(await loadExposureRows(store, restorationId, undefined)).total.planned;
    const before = await planned();
    const { id } = await store.operation.create({
      data: { restorationId, code: "TWO", title: "TWO", hoursLikely: 10, hands: 2, alsoTrades: '["trim"]' },
    });
    // Ten hours of two at 40.00 and of one at 30.00.
    expect((await planned()) - before).toBe(110_000);
    await store.operation.delete({ where: { id } });
  });
});

describe("a restoration of many parts", () => {
  it("has all of its money: what hangs on three thousand quotes is more than one query may name by id", async () => {
    const many = await testStore();
    try {
      const { id, parts } = await largeRestoration(many.store, { parts: 1_000, operations: 40 });
      const rows = await loadExposureRows(many.store, id, undefined);
      expect([rows.quotes.size, rows.parts.size]).toEqual([3 * parts, parts]);
      const breaks = [...rows.quotes.values()].reduce((sum, { priceBreaks }) => sum + priceBreaks.length, 0);
      expect(breaks).toBe(await many.store.priceBreak.count());
      const { total, lines } = exposureOf(rows);
      expect(total.planned).toBe(lines.reduce((sum, { planned }) => sum + planned, 0));
    } finally {
      await many.close();
    }
  });
});
