/** Order-by dates at a chance, of one part. */
import jstat from "jstat";
import { describe, expect, test } from "vitest";
import { crowdOf, supplierRecord } from "../../server/engine/makers/supplierRecord.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { MakerRecords } from "../../server/plan/makers/makerWait.ts";
import { oddsModel } from "../../server/plan/odds/odds.ts";
import { MONDAY, operation, order, part, quote, rowsOf } from "../support/planRows.ts";

const late = ["A", "B", "C", "D"].map((code) =>
  order(code, "drum", "Q1", { placedOn: "2026-06-01", promisedOn: "2026-07-01", arrivedOn: "2026-08-10" }),
);
const quotes = [quote("Q1", "drum", 40)];

describe("order-by dates", () => {
  /** Sixty days of painting beside the drum, so that it has weeks to spare. */
  const rows = (more: Partial<ReturnType<typeof quote>>, painting = 480) =>
    rowsOf({
      operations: [operation("fit", 8), operation("paint", painting)],
      needs: [{ operationId: "fit", partId: "drum" }],
      parts: [part("drum", { chosenQuoteId: "Q1" })],
      quotes: [quote("Q1", "drum", 40, more), quote("Q2", "hub", 10)],
      orders: late.map((o) => ({ ...o, partId: "hub", quoteId: "Q1", state: "SENT_BACK" as const })),
    });
  const planAt = (confidence: number | null, more: Partial<ReturnType<typeof quote>> = {}, painting = 480) =>
    computePlan(rows(more, painting), { figuresFor: MONDAY, confidence });
  const drumOf = ({ toOrder }: ReturnType<typeof computePlan>) => toOrder.find(({ code }) => code === "drum")!;
  /** Days between the last order as promised and the last at a chance. */
  const sooner = (p: number, more: Partial<ReturnType<typeof quote>> = {}) =>
    drumOf(planAt(null, more)).daysLeft! - drumOf(planAt(p, more)).daysLeft!;

  test("allow for the quantile of its three points (jstat's beta distribution), where it alone is in doubt", () => {
    for (const p of [0.5, 0.8]) {
      const days = 30 + 30 * jstat.beta.inv(p, 1 + (4 * 10) / 30, 1 + (4 * 20) / 30);
      expect(
        Math.abs(sooner(p, { leadLeast: 30, leadLikely: 40, leadMost: 60 }) - (Math.ceil(days) - 40)),
      ).toBeLessThan(2);
    }
  });

  test("go by the maker's record where it has no three points (jstat's Student t), deliveries elsewhere too", () => {
    const { mean, scale, meanScale, degrees } = new MakerRecords(rows({}), MONDAY).of("maker");
    const ratio = Math.exp(mean + Math.hypot(scale, meanScale) * jstat.studentt.inv(0.5, degrees));
    // Late by as much, the drum is done after the paint: an end that is then not held at even odds.
    expect(drumOf(planAt(0.5, {}, 800)).daysLeft).toBeCloseTo(
      drumOf(planAt(null, {}, 800)).daysLeft! + 40 - 40 * ratio,
      -0.7,
    );
    const elsewhere = late.map(() => ({ supplierId: "maker", promisedDays: 30, actualDays: 70 }));
    const there = { ...rows({}), orders: [], deliveriesElsewhere: elsewhere };
    expect(computePlan(there, { figuresFor: MONDAY, confidence: 0.5 }).orderDays).toEqual(planAt(0.5).orderDays);
  });

  test("are earlier with a maker whose order is long overdue, here or elsewhere, and the same for both", () => {
    const { placedOn, promisedOn } = late[0]!;
    const out = order("OUT", "hub", "Q1", { placedOn, promisedOn });
    const plan = (more: Partial<ReturnType<typeof rows>>) =>
      computePlan({ ...rows({}, 1600), orders: [], ...more }, { figuresFor: MONDAY, confidence: 0.8 });
    const elsewhere = plan({ ordersOutElsewhere: [{ supplierId: "maker", placedOn, promisedOn }] });
    const overdue = plan({ orders: [out] });
    expect(drumOf(overdue).daysLeft!).toBeLessThan(drumOf(plan({})).daysLeft!);
    expect(elsewhere.orderDays).toEqual(overdue.orderDays);
  });

  test("say that the plan's own end is not held where what sets it may be late, and keep the end that is", () => {
    const { orderDays, completion } = planAt(0.8, {}, 8);
    expect(orderDays!.own).toMatchObject({ end: completion.date, held: false });
    expect(orderDays!.own.chanceAtOnce).toBeLessThan(0.2);
    expect(orderDays!.own.heldEnd! > completion.date!).toBe(true);
    expect(orderDays!.own.chance).toBeGreaterThanOrEqual(0.79);
    expect(planAt(0.95, {}, 8).orderDays!.own.heldEnd! > orderDays!.own.heldEnd!).toBe(true);
    expect(planAt(null, {}, 8).orderDays).toBeNull();
  });

  test("are none, and the part still the first to order, where no day is as sure as was asked", () => {
    const { toOrder, orderDays } = planAt(0.8, { failureChance: 0.3 });
    expect(toOrder[0]).toMatchObject({ code: "drum", orderBy: null, daysLeft: null });
    expect(orderDays!.own).toMatchObject({ held: false, heldEnd: null, chance: null });
  });

  test("are the earlier, the surer they are to hold, and the chance falls with a week longer", () => {
    const at = (p: number) => drumOf(planAt(p, { leadLeast: 30, leadLikely: 40, leadMost: 60 }));
    expect(at(0.95).daysLeft!).toBeLessThan(at(0.8).daysLeft!);
    expect(at(0.8).chanceWeekLater!).toBeLessThan(0.7);
    expect(drumOf(planAt(null)).chanceWeekLater).toBeNull();
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
      { figuresFor: MONDAY, confidence: null },
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

describe("an order that is out and past its promise", () => {
  const out = (more: Parameters<typeof order>[3] = {}) =>
    rowsOf({
      operations: [operation("FIT", 8)],
      needs: [
        { operationId: "FIT", partId: "drum" },
        { operationId: "FIT", partId: "hub" },
      ],
      parts: [part("drum", { chosenQuoteId: "d" }), part("hub", { chosenQuoteId: "h" })],
      quotes: [quote("d", "drum", 30), quote("h", "hub", 40)],
      orders: [order("o", "drum", "d", { placedOn: "2026-06-01", promisedOn: "2026-07-01", ...more })],
    });
  const muOf = (rows: ReturnType<typeof out>): number => {
    const route = oddsModel(rows, MONDAY).holdUps.find(({ node }) => node === "part:hub")!.route;
    return route!.wait.kind === "LOGNORMAL" ? route!.wait.mu : Number.NaN;
  };
  const usual = Math.log(40) + supplierRecord([], crowdOf([])).mean;

  test("counts once: it is drawn as still out, and is no delivery beside that", () => {
    expect(muOf(out())).toBeCloseTo(usual, 12);
  });

  test("counts as a delivery where how long it takes is not drawn, since the maker has said when", () => {
    expect(muOf(out({ expectedOn: "2026-12-01" }))).toBeGreaterThan(usual + 0.05);
  });
});
