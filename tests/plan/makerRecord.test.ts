import jstat from "jstat";
import { describe, expect, it } from "vitest";
import { addDays } from "../../server/engine/time/date.ts";
import {
  type Makers,
  makerRecord,
  makersOf,
  nextDelivery,
  type PlacedOrder,
  recordCurve,
} from "../../server/plan/makers/makerRecord.ts";

const PLACED = "2026-01-05";
let count = 0;
/** An order promised in so many days and here after so many, or not yet. */
const order = (promised: number, took: number | null): PlacedOrder => ({
  id: `o${++count}`,
  placedOn: PLACED,
  promisedOn: addDays(PLACED, promised),
  arrivedOn: took === null ? null : addDays(PLACED, took),
});
const recordOf = (makers: Makers, supplier: string, day = "2026-12-01") => makerRecord(makers, supplier, day);
const others: [string, PlacedOrder[]][] = [
  ["foundry", [order(40, 60), order(30, 36), order(50, 90)]],
  ["trimmer", [order(20, 19), order(10, 10)]],
];

/**
 * Straight from the formulas (Bayesian Data Analysis, 3rd ed., section 3.3): the posterior of mean and variance of log
 * actual over promised, and the predictive t by another library.
 */
function expectedWithin(logs: readonly number[], makers: ReturnType<typeof makersOf>, chance: number): number {
  const { mean, scale, weight, degrees } = makers.crowd;
  const n = logs.length;
  const own = n === 0 ? 0 : logs.reduce((a, b) => a + b, 0) / n;
  const squares = logs.reduce((sum, y) => sum + (y - own) ** 2, 0);
  const centre = (weight * mean + n * own) / (weight + n);
  const variance = (degrees * scale ** 2 + squares + ((weight * n) / (weight + n)) * (own - mean) ** 2) / (degrees + n);
  const t = jstat.studentt.inv(chance, degrees + n);
  return Math.exp(centre + t * Math.sqrt(variance * (1 + 1 / (weight + n))));
}

describe("a maker's record", () => {
  it("counts an early arrival as on time, and averages the days of those that have come", () => {
    const placed = [order(60, 64), order(60, 51), order(330, null)];
    const record = recordOf(makersOf(new Map([["spring", placed]])), "spring");
    expect(record).toMatchObject({ orders: 3, arrived: 2, onTime: 1, averageDaysLate: 2 });
    expect(record.deliveries.map(({ actualDays }) => actualDays)).toEqual([64, 51]);
  });

  it("predicts the next delivery as the formulas do, for a maker with deliveries, one and none", () => {
    const makers = makersOf(new Map([...others, ["one", [order(30, 45)]]]));
    for (const [supplier, logs] of [
      ["foundry", [60 / 40, 36 / 30, 90 / 50].map(Math.log)],
      ["one", [Math.log(45 / 30)]],
      ["nobody", []],
    ] as const) {
      const next = nextDelivery(recordOf(makers, supplier).own, 100);
      for (const [chance, days] of [
        [0.1, next.oneInTen],
        [0.5, next.evenOdds],
        [0.8, next.fourInFive],
        [0.9, next.nineInTen],
      ] as const)
        expect(days).toBe(Math.ceil(100 * expectedWithin(logs, makers, chance)));
    }
  });

  it("is what makers generally do where nothing has come, and says what that rests on", () => {
    const record = recordOf(makersOf(new Map(others)), "nobody");
    expect(record.own).toEqual(record.general);
    expect(record).toMatchObject({ orders: 0, averageDaysLate: null, crowdMakers: 2, crowdDeliveries: 5 });
    expect(record.own.ownShare).toBe(0);
  });

  it("counts an order out past its promise, and one not yet due not at all", () => {
    const of = (daysOut: number) =>
      recordOf(makersOf(new Map([...others, ["late", [order(30, null)]]])), "late", addDays(PLACED, daysOut)).own;
    expect(of(30)).toMatchObject({ overdue: 0, ownShare: 0 });
    expect(of(31)).toMatchObject({ overdue: 1 });
    expect(nextDelivery(of(90), 30).evenOdds).toBeGreaterThan(nextDelivery(of(31), 30).evenOdds);
  });

  it("takes the middle promise as the usual one, that of the quotes where nothing was ordered", () => {
    const makers = makersOf(
      new Map([["a", [order(10, 12), order(70, 80), order(30, null)]]]),
      new Map([["b", [9, 4]]]),
    );
    expect(["a", "b", "c"].map((supplier) => recordOf(makers, supplier).usualPromise)).toEqual([30, 4, null]);
  });

  it("draws curves that hold all of both but their tails, and every delivery", () => {
    const record = recordOf(makersOf(new Map([...others, ["odd", [order(10, 400)]]])), "odd");
    const curve = recordCurve(record);
    expect(curve.at(-1)!.ratio).toBeGreaterThan(40);
    const step = Math.log(curve[1]!.ratio / curve[0]!.ratio);
    for (const of of ["maker", "general"] as const) {
      const mass = curve.reduce((sum, point) => sum + point[of] * step, 0);
      expect(mass).toBeGreaterThan(0.97);
      expect(mass).toBeLessThan(1.001);
    }
  });
});
