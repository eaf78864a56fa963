/** How long a quote takes with an asked chance, and the order-by dates that follow. */
import jstat from "jstat";
import { describe, expect, test } from "vitest";
import { computePlan } from "../../server/plan/compute.ts";
import { MakerRecords, type QuotedWait } from "../../server/plan/makerWait.ts";
import { MONDAY, operation, order, part, quote, rowsOf } from "../support/planRows.ts";

const wait = (more: Partial<QuotedWait> = {}): QuotedWait => ({
  supplierId: "maker",
  leadDays: 40,
  estimate: null,
  failureChance: 0,
  ...more,
});
const late = ["A", "B", "C", "D"].map((code) =>
  order(code, "drum", "Q1", { placedOn: "2026-06-01", promisedOn: "2026-07-01", arrivedOn: "2026-08-10" }),
);
const quotes = [quote("Q1", "drum", 40)];

describe("the days within which a quote is here", () => {
  test("are the quantile of its three points (jstat's beta distribution)", () => {
    const records = new MakerRecords(rowsOf({ quotes }), MONDAY);
    const estimate = { low: 30, likely: 40, high: 90 };
    for (const p of [0.2, 0.5, 0.8, 0.95]) {
      const days = 30 + 60 * jstat.beta.inv(p, 1 + (4 * 10) / 60, 1 + (4 * 50) / 60);
      expect(records.daysWith(wait({ estimate }), p)).toBe(Math.ceil(days));
    }
  });

  test("are the promise times the maker's record where it has no three points (jstat's Student t)", () => {
    const records = new MakerRecords(rowsOf({ quotes, orders: late }), MONDAY);
    const { mean, scale, meanScale, degrees } = records.of("maker");
    for (const p of [0.5, 0.8, 0.95]) {
      const ratio = Math.exp(mean + Math.hypot(scale, meanScale) * jstat.studentt.inv(p, degrees));
      expect(records.daysWith(wait(), p)).toBe(Math.ceil(40 * ratio));
    }
  });

  test("are more with a maker who was late, here or for another of the workshop's restorations", () => {
    const days = (rows: Parameters<typeof rowsOf>[0]) =>
      new MakerRecords(rowsOf({ quotes, ...rows }), MONDAY).daysWith(wait(), 0.8)!;
    const elsewhere = late.map(() => ({ supplierId: "maker", promisedDays: 30, actualDays: 70 }));
    expect(days({ orders: late })).toBeGreaterThan(days({}));
    expect(days({ deliveriesElsewhere: elsewhere })).toBe(days({ orders: late }));
  });

  test("are more with a maker whose order is long overdue, here or elsewhere, and the same for both", () => {
    const out = order("OUT", "drum", "Q1", { placedOn: "2026-06-01", promisedOn: "2026-07-01" });
    const days = (rows: Parameters<typeof rowsOf>[0]) =>
      new MakerRecords(rowsOf({ quotes, ...rows }), MONDAY).daysWith(wait(), 0.8)!;
    expect(days({ orders: [out] })).toBeGreaterThan(days({}));
    const { placedOn, promisedOn } = out;
    const elsewhere = { supplierId: "maker", placedOn, promisedOn };
    expect(days({ ordersOutElsewhere: [{ ...elsewhere, dataDate: null }] })).toBe(days({ orders: [out] }));
    expect(days({ ordersOutElsewhere: [{ ...elsewhere, dataDate: "2026-06-02" }] })).toBeLessThan(
      days({ orders: [out] }),
    );
  });

  test("are more where it may come to nothing, and none where it comes less often than asked", () => {
    const records = new MakerRecords(rowsOf({ quotes }), MONDAY);
    expect(records.daysWith(wait({ failureChance: 0.1 }), 0.8)).toBe(records.daysWith(wait(), 0.8 / 0.9));
    expect(records.daysWith(wait({ failureChance: 0.2 }), 0.8)).toBeNull();
  });
});

describe("order-by dates", () => {
  const rows = (failureChance: number) =>
    rowsOf({
      operations: [operation("fit", 8)],
      needs: [{ operationId: "fit", partId: "drum" }],
      parts: [part("drum", { chosenQuoteId: "Q1" }), part("hub", { chosenQuoteId: "Q2" })],
      quotes: [quote("Q1", "drum", 40, { failureChance }), quote("Q2", "hub", 10)],
      orders: late.map((o) => ({ ...o, partId: "hub", quoteId: "Q1", state: "SENT_BACK" as const })),
    });

  test("go by the maker's record once a chance is asked, and by the promise before", () => {
    const orderBy = (confidence: number | null) =>
      computePlan(rows(0), { dataDate: MONDAY, confidence }).orderNow.find(({ code }) => code === "drum")!;
    const promised = orderBy(null);
    const sure = orderBy(0.8);
    const days = new MakerRecords(rows(0), MONDAY).daysWith(wait(), 0.8)!;
    expect(promised.daysLeft! - sure.daysLeft!).toBe(days - 40);
    expect(orderBy(0.95).daysLeft!).toBeLessThan(sure.daysLeft!);
  });

  test("are none, and the part still the first to order, where no day is as sure as was asked", () => {
    const { orderNow } = computePlan(rows(0.3), { dataDate: MONDAY, confidence: 0.8 });
    expect(orderNow[0]).toMatchObject({ code: "drum", orderBy: null, daysLeft: null });
  });
});

describe("the end held by one part alone", () => {
  test("is the end of its own chain, or of the work where that is longer", () => {
    const plan = computePlan(
      rowsOf({
        operations: [operation("fit", 16), operation("paint", 80)],
        needs: [{ operationId: "fit", partId: "drum" }],
        parts: [part("drum", { chosenQuoteId: "Q1" })],
        quotes,
      }),
      { dataDate: MONDAY, confidence: null },
    );
    const drum = plan.ladder[0]!;
    expect(plan.completionWith(drum.id, drum.arrivalDate!)).toBe(drum.completionDate);
    // Here on Tuesday 1 December, usable on Wednesday: the ten days of painting end on Friday 4 December.
    expect(plan.completionWith(drum.id, "2026-12-01")).toBe("2026-12-04");
    // Here on Monday 7 December: fitted on Tuesday and Wednesday.
    expect(plan.completionWith(drum.id, "2026-12-07")).toBe("2026-12-09");
    expect(plan.completionWith("part:nobody", "2026-12-07")).toBeNull();
  });
});
