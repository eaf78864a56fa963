import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  afterFruitless,
  beliefOf,
  chanceFound,
  chanceNextWeek,
  foundBy,
  type Hunt,
  survival,
} from "../../server/engine/hunt/hunt.ts";
import { chanceByArrival, decideBy, type StopInput, stopCurve } from "../../server/engine/hunt/stop.ts";

const weekly = fc.double({ min: 0.001, max: 0.6, noNaN: true });
const worth = fc.double({ min: 1, max: 200, noNaN: true });
const events = fc.array(
  fc.record({ day: fc.integer({ min: -30, max: 200 }), chance: fc.double({ min: 0, max: 0.9, noNaN: true }) }),
  { maxLength: 5 },
);
const hunts = fc.record({ belief: fc.tuple(weekly, worth).map(([p, w]) => beliefOf(p, w)), events });

/** Uniform numbers between 0 and 1 from a seed (Park and Miller 1988). */
function uniforms(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 16807) % 2147483647;
    return state / 2147483647;
  };
}

/** A gamma variable of whole shape: a sum of exponentials. */
const gamma = (uniform: () => number, shape: number, weeks: number): number => {
  let sum = 0;
  for (let i = 0; i < shape; i++) sum -= Math.log(uniform());
  return sum / weeks;
};

describe("the chance of a find", () => {
  it("is, in the first week, what was believed", () => {
    fc.assert(
      fc.property(weekly, worth, (p, w) => {
        const belief = beliefOf(p, w);
        expect(chanceNextWeek(belief)).toBeCloseTo(p, 10);
        expect(chanceFound({ belief, events: [] }, 7)).toBeCloseTo(p, 10);
      }),
    );
  });

  it("has the closed form of Lomax: with shape 1 and 10 weeks, even odds after 10 weeks", () => {
    const hunt: Hunt = { belief: { shape: 1, weeks: 10 }, events: [] };
    expect(survival(hunt, 70)).toBeCloseTo(0.5, 12);
    expect(survival(hunt, 210)).toBeCloseTo(0.25, 12);
    expect(survival({ belief: { shape: 2, weeks: 10 }, events: [] }, 70)).toBeCloseTo(0.25, 12);
    expect(foundBy(hunt, 0.5, 400)).toBe(70);
    expect(foundBy(hunt, 0.75, 400)).toBe(210);
    expect(foundBy(hunt, 0.999, 400)).toBeNull();
  });

  it("falls short by the product of the events that pass, from their own day on", () => {
    const hunt: Hunt = {
      belief: { shape: 1, weeks: 10 },
      events: [
        { day: 70, chance: 0.2 },
        { day: 7, chance: 0.5 },
        { day: -1, chance: 0.9 },
      ],
    };
    expect(survival(hunt, 6)).toBeCloseTo(10 / (10 + 6 / 7), 12);
    expect(survival(hunt, 7)).toBeCloseTo((10 / 11) * 0.5, 12);
    expect(survival(hunt, 70)).toBeCloseTo(0.5 * 0.5 * 0.8, 12);
    expect(survival(hunt, -1)).toBe(1);
  });

  it("drops with every fruitless week, and looking on from then is the same as having looked all along", () => {
    fc.assert(
      fc.property(
        weekly,
        worth,
        fc.integer({ min: 1, max: 100 }),
        fc.integer({ min: 0, max: 300 }),
        (p, w, gone, day) => {
          const begun = beliefOf(p, w);
          const now = afterFruitless(begun, gone);
          expect(chanceNextWeek(now)).toBeLessThan(chanceNextWeek(begun));
          const all: Hunt = { belief: begun, events: [] };
          expect(survival({ belief: now, events: [] }, day)).toBeCloseTo(
            survival(all, gone * 7 + day) / survival(all, gone * 7),
            10,
          );
        },
      ),
    );
  });

  it("never rises as days pass", () => {
    fc.assert(
      fc.property(hunts, fc.integer({ min: 0, max: 300 }), (hunt, day) => {
        expect(survival(hunt, day + 1)).toBeLessThanOrEqual(survival(hunt, day));
        expect(survival(hunt, day)).toBeGreaterThanOrEqual(0);
      }),
    );
  });

  it("is reached on the first day that reaches it", () => {
    fc.assert(
      fc.property(hunts, fc.double({ min: 0.01, max: 0.95, noNaN: true }), (hunt, p) => {
        const day = foundBy(hunt, p, 500);
        if (day === null) expect(chanceFound(hunt, 500)).toBeLessThan(p);
        else {
          expect(chanceFound(hunt, day)).toBeGreaterThanOrEqual(p);
          if (day > 0) expect(chanceFound(hunt, day - 1)).toBeLessThan(p);
        }
      }),
    );
  });

  it("is what drawing a rate and then a day gives", () => {
    const uniform = uniforms(113);
    const hunt: Hunt = { belief: { shape: 3, weeks: 40 }, events: [{ day: 30, chance: 0.3 }] };
    const runs = 40_000;
    const marks = [7, 29, 30, 60, 200];
    const found = marks.map(() => 0);
    for (let i = 0; i < runs; i++) {
      const day = Math.ceil((7 * -Math.log(uniform())) / gamma(uniform, 3, 40));
      const first = uniform() < 0.3 ? Math.min(day, 30) : day;
      marks.forEach((mark, k) => {
        if (first <= mark) found[k]! += 1;
      });
    }
    marks.forEach((mark, k) => {
      expect(Math.abs(found[k]! / runs - chanceFound(hunt, mark))).toBeLessThan(0.012);
    });
  });

  it("refuses beliefs that are none", () => {
    expect(() => beliefOf(0, 26)).toThrow(RangeError);
    expect(() => beliefOf(1, 26)).toThrow(RangeError);
    expect(() => beliefOf(0.1, 0)).toThrow(RangeError);
  });
});

const upTo = (last: number): number[] => Array.from({ length: last + 1 }, (_, day) => day);

const input = (more: Partial<StopInput> = {}): StopInput => ({
  hunt: { belief: { shape: 1, weeks: 10 }, events: [] },
  found: { landedMinor: 40_000, hours: 2, points: 0 },
  fallback: { landedMinor: 100_000, hours: 5, points: 2 },
  targetIfFound: (day) => (day + 7 <= 150 ? 1 : 0),
  targetIfOrdered: (day) => (day + 60 <= 150 ? 1 : 0),
  days: upTo(200),
  ...more,
});

describe("the stop-date curve", () => {
  it("weighs a find against the fallback: worked by hand at ten weeks", () => {
    const point = stopCurve(input())[70]!;
    expect(point.chanceFound).toBeCloseTo(0.5, 12);
    expect(point.landedMinor).toBe(70_000);
    expect(point.hours).toBe(3.5);
    expect(point.points).toBeCloseTo(1, 12);
    expect(point.chanceOfTarget).toBeCloseTo(1, 12);
  });

  it("loses the target with every run in which nothing is found, once the fallback comes too late", () => {
    const curve = stopCurve(input());
    expect(curve[90]!.chanceOfTarget).toBeCloseTo(1, 12);
    expect(curve[91]!.chanceOfTarget).toBeCloseTo(curve[91]!.chanceFound, 12);
    // What is found after day 143 comes too late as well.
    expect(curve[200]!.chanceOfTarget).toBeCloseTo(curve[143]!.chanceFound, 12);
    const { last, best } = decideBy(curve, 0.9);
    expect(last?.day).toBe(90);
    expect(best?.day).toBe(90);
    expect(decideBy(curve, 0.55).last?.day).toBe(200);
  });

  it("says the best there is where no stop day keeps the target likely enough", () => {
    const curve = stopCurve(input({ targetIfOrdered: () => 0.1, targetIfFound: () => 0.4 }));
    const { last, best } = decideBy(curve, 0.9);
    expect(last).toBeNull();
    expect(best?.day).toBe(200);
    expect(decideBy([], 0.5)).toEqual({ last: null, best: null });
  });

  it("has no expected cost while a price that matters is unknown, and no target without a fallback or a find", () => {
    expect(stopCurve(input({ found: { landedMinor: null, hours: 0, points: 0 } }))[7]!.landedMinor).toBeNull();
    expect(stopCurve(input({ found: { landedMinor: null, hours: 0, points: 0 } }))[0]!.landedMinor).toBe(100_000);
    const alone = stopCurve(input({ fallback: null }));
    expect(alone[0]!.chanceOfTarget).toBe(0);
    expect(alone[70]!.chanceOfTarget).toBeCloseTo(0.5, 12);
    expect(alone[70]!.landedMinor).toBeNull();
    expect(() => stopCurve(input({ days: [5, 3] }))).toThrow(RangeError);
  });

  it("is the same for some days as for all of them", () => {
    fc.assert(
      fc.property(hunts, fc.uniqueArray(fc.integer({ min: 0, max: 200 }), { maxLength: 12 }), (hunt, some) => {
        const days = some.sort((a, b) => a - b);
        const all = stopCurve(input({ hunt }));
        for (const point of stopCurve(input({ hunt, days }))) {
          expect(point.chanceOfTarget).toBeCloseTo(all[point.day]!.chanceOfTarget, 12);
          expect(point.landedMinor).toBe(all[point.day]!.landedMinor);
        }
      }),
    );
  });

  it("finds more, costs less and loses fewer points the longer it is, where a find is cheaper and better", () => {
    fc.assert(
      fc.property(hunts, (hunt) => {
        const curve = stopCurve(input({ hunt }));
        for (let i = 1; i < curve.length; i++) {
          expect(curve[i]!.chanceFound).toBeGreaterThanOrEqual(curve[i - 1]!.chanceFound - 1e-12);
          expect(curve[i]!.landedMinor!).toBeLessThanOrEqual(curve[i - 1]!.landedMinor!);
          expect(curve[i]!.points).toBeLessThanOrEqual(curve[i - 1]!.points + 1e-12);
          expect(curve[i]!.chanceOfTarget).toBeLessThanOrEqual(1);
        }
      }),
    );
  });

  it("is what hunting many times over gives", () => {
    const uniform = uniforms(7);
    const hunt: Hunt = {
      belief: { shape: 2, weeks: 30 },
      events: [
        { day: 20, chance: 0.25 },
        { day: 120, chance: 0.4 },
      ],
    };
    const target = (arrival: number): number => Math.max(0, Math.min(1, (180 - arrival) / 100));
    const stops = [0, 20, 60, 119, 120, 160];
    const curve = stopCurve(
      input({ hunt, days: stops, targetIfFound: (day) => target(day + 7), targetIfOrdered: (day) => target(day + 60) }),
    );
    const runs = 40_000;
    const sums = stops.map(() => ({ target: 0, cost: 0, points: 0 }));
    for (let i = 0; i < runs; i++) {
      let day = Math.ceil((7 * -Math.log(uniform())) / gamma(uniform, 2, 30));
      for (const event of hunt.events) if (uniform() < event.chance) day = Math.min(day, event.day);
      stops.forEach((stop, k) => {
        const here = day <= stop;
        sums[k]!.target += here ? target(day + 7) : target(stop + 60);
        sums[k]!.cost += here ? 40_000 : 100_000;
        sums[k]!.points += here ? 0 : 2;
      });
    }
    curve.forEach((point, k) => {
      expect(Math.abs(sums[k]!.target / runs - point.chanceOfTarget)).toBeLessThan(0.012);
      expect(Math.abs(sums[k]!.cost / runs - point.landedMinor!)).toBeLessThan(800);
      expect(Math.abs(sums[k]!.points / runs - point.points)).toBeLessThan(0.03);
    });
  });
});

describe("the chance of the target by day of arrival", () => {
  it("is the share of runs that still wait then", () => {
    const chance = chanceByArrival([10, Number.NEGATIVE_INFINITY, 20, Number.POSITIVE_INFINITY]);
    expect([-5, 10, 11, 20, 21].map(chance)).toEqual([0.75, 0.75, 0.5, 0.5, 0.25]);
    expect(chanceByArrival([])(3)).toBe(0);
  });
});
