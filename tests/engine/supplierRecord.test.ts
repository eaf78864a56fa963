import fc from "fast-check";
import jstat from "jstat";
import { describe, expect, it } from "vitest";
import { studentDensity, studentMeanAbove, studentQuantile, studentTail } from "../../server/engine/chance/studentT.ts";
import { type Crowd, recordSplit } from "../../server/engine/makers/logRecord.ts";
import {
  crowdOf,
  type Delivery,
  lateness,
  nextRatio,
  supplierRecord,
  USUAL_CROWD,
} from "../../server/engine/makers/supplierRecord.ts";

/** A delivery that took `ratio` times a promise long enough to be counted in whole days. */
const took = (ratio: number): Delivery => ({ promisedDays: 1000, actualDays: 1000 * ratio });
const logs = (...values: number[]): Delivery[] => values.map((y) => took(Math.exp(y)));
const crowd: Crowd = { mean: 0, scale: 1, weight: 1, degrees: 4, meanDeviation: 0 };
const log = fc.double({ min: -1.5, max: 2.5, noNaN: true });
const manyLogs = fc.array(log, { maxLength: 12 });

describe("Student's t", () => {
  it("has the published quantiles (R, qt(p, df), from memory; t tables of Fisher and Yates to three decimals)", () => {
    expect(studentQuantile(0.975, 1)).toBeCloseTo(12.706204736, 8);
    expect(studentQuantile(0.975, 2)).toBeCloseTo(4.30265273, 8);
    expect(studentQuantile(0.95, 5)).toBeCloseTo(2.015048373, 8);
    expect(studentQuantile(0.9, 10)).toBeCloseTo(1.372183641, 8);
    expect(studentQuantile(0.995, 30)).toBeCloseTo(2.749995654, 8);
  });

  it("is exact in closed form for one and two degrees", () => {
    for (const p of [1e-9, 0.01, 0.3, 0.49999, 0.5, 0.500001, 0.8, 0.999]) {
      const one = Math.tan(Math.PI * (p - 0.5));
      expect(Math.abs(studentQuantile(p, 1) - one)).toBeLessThan(1e-7 * (1 + Math.abs(one)));
      const two = (2 * p - 1) / Math.sqrt(2 * p * (1 - p));
      expect(Math.abs(studentQuantile(p, 2) - two)).toBeLessThan(1e-7 * (1 + Math.abs(two)));
    }
  });

  it("agrees with a library, and the quantile goes back to its chance", () => {
    fc.assert(
      fc.property(fc.double({ min: 0.001, max: 0.999, noNaN: true }), fc.integer({ min: 1, max: 200 }), (p, df) => {
        const t = studentQuantile(p, df);
        expect(1 - studentTail(t, df)).toBeCloseTo(p, 11);
        expect(t).toBeCloseTo(jstat.studentt.inv(p, df), df === 1 ? 3 : 5);
        expect(studentDensity(t, df)).toBeCloseTo(jstat.studentt.pdf(t, df), 7);
      }),
    );
  });

  it("has the mean above a point that summing its density gives", () => {
    for (const [from, df] of [
      [0, 7],
      [1.3, 7],
      [-2, 9],
      [4, 12],
    ] as const) {
      let mass = 0;
      let moment = 0;
      const step = 1e-3;
      for (let t = from + step / 2; t < 400; t += step) {
        mass += studentDensity(t, df) * step;
        moment += t * studentDensity(t, df) * step;
      }
      expect(studentMeanAbove(from, df)).toBeCloseTo(moment / mass, 5);
    }
  });

  it("still tells a mean above a point that is all but out of reach", () => {
    expect(studentMeanAbove(1e6, 7) / 1e6).toBeCloseTo(7 / 6, 6);
  });
});

describe("a maker's record", () => {
  it("is the conjugate posterior, worked by hand", () => {
    // Two deliveries at logs 1 and 3 against a crowd of mean 0, scale 1, weight 1, 4 degrees:
    // weight 3, mean 4/3, degrees 6, 6 scale^2 = 4 + 2 + (1 * 2 / 3) * 4 = 26/3.
    const record = supplierRecord(logs(1, 3), crowd);
    expect(record.mean).toBeCloseTo(4 / 3, 12);
    expect(record.degrees).toBe(6);
    expect(record.scale ** 2).toBeCloseTo(26 / 18, 12);
    expect(record.meanScale ** 2).toBeCloseTo(26 / 54, 12);
    expect(record.ownShare).toBeCloseTo(2 / 3, 12);
    // Next delivery: t with 6 degrees, scale^2 = (26/18)(1 + 1/3); R: qt(0.9, 6) = 1.439755747.
    expect(Math.log(nextRatio(record, 0.9))).toBeCloseTo(4 / 3 + 1.439755747 * Math.sqrt((26 / 18) * (4 / 3)), 8);
    expect(Math.log(nextRatio(record, 0.5))).toBeCloseTo(4 / 3, 12);
    const split = recordSplit(record, crowd);
    expect(split.common ** 2 + split.each ** 2).toBeCloseTo((26 / 18) * (4 / 3) * (6 / 4), 12);
  });

  it("is the crowd where nothing was delivered", () => {
    const record = supplierRecord([], crowd);
    expect(record).toMatchObject({ deliveries: 0, overdue: 0, mean: 0, scale: 1, ownShare: 0 });
  });

  it("pulls a maker with one delivery to the crowd, and one with many stays where it is", () => {
    const all = crowdOf([logs(0, 0.1, 0.2), logs(0.1, 0.1), logs(0.05, 0.15, 0)]);
    const one = supplierRecord(logs(1), all);
    const many = supplierRecord(logs(...Array(40).fill(1)), all);
    expect(one.mean).toBeGreaterThan(all.mean);
    expect(one.mean).toBeLessThan(0.5);
    expect(many.mean).toBeGreaterThan(0.9);
  });

  it("does not ask in which order the deliveries came", () => {
    fc.assert(
      fc.property(fc.array(manyLogs, { maxLength: 5 }), fc.integer(), (makers, turn) => {
        const turned = <T>(list: readonly T[]): T[] => {
          const at = list.length === 0 ? 0 : Math.abs(turn) % list.length;
          return [...list.slice(at), ...list.slice(0, at)].reverse();
        };
        const plain = crowdOf(makers.map((m) => logs(...m)));
        const other = crowdOf(turned(makers.map((m) => logs(...turned(m)))));
        expect(other).toEqual(plain);
        for (const maker of makers)
          expect(supplierRecord(logs(...turned(maker)), plain)).toEqual(supplierRecord(logs(...maker), plain));
      }),
    );
  });

  it("leans on the maker more with each delivery, and its mean lies between the maker's and the crowd's", () => {
    fc.assert(
      fc.property(fc.array(log, { minLength: 1, maxLength: 12 }), (values) => {
        const shares = values.map((_, i) => supplierRecord(logs(...values.slice(0, i + 1)), crowd).ownShare);
        for (let i = 1; i < shares.length; i++) expect(shares[i]).toBeGreaterThan(shares[i - 1]!);
        const own = values.reduce((a, b) => a + b, 0) / values.length;
        const { mean } = supplierRecord(logs(...values), crowd);
        expect(mean).toBeGreaterThanOrEqual(Math.min(own, crowd.mean) - 1e-9);
        expect(mean).toBeLessThanOrEqual(Math.max(own, crowd.mean) + 1e-9);
      }),
    );
  });

  it("narrows to the spread of the maker as equal evidence is repeated", () => {
    let last = Number.POSITIVE_INFINITY;
    for (const times of [1, 2, 5, 20, 100]) {
      const { meanScale } = supplierRecord(logs(...Array(times).fill([-0.2, 0.2]).flat()), crowd);
      expect(meanScale).toBeLessThan(last);
      last = meanScale;
    }
  });

  it("is the same whether days or weeks are counted, as long as both are whole days or more", () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({ promisedDays: fc.integer({ min: 1, max: 90 }), actualDays: fc.integer({ min: 1, max: 300 }) }),
          {
            minLength: 1,
            maxLength: 8,
          },
        ),
        (deliveries) => {
          const scaled = deliveries.map((d) => ({ promisedDays: d.promisedDays * 7, actualDays: d.actualDays * 7 }));
          const [a, b] = [supplierRecord(deliveries, crowd), supplierRecord(scaled, crowd)];
          expect(b.mean).toBeCloseTo(a.mean, 10);
          expect(b.scale).toBeCloseTo(a.scale, 10);
        },
      ),
    );
  });

  it("moves with all: when every maker and the default take twice as long, so does the prediction", () => {
    const usual = { ...USUAL_CROWD, mean: USUAL_CROWD.mean + Math.LN2 };
    const makers = [[0.1, 0.4], [-0.2], [0.3, 0.5, 0.1]];
    const plain = crowdOf(makers.map((m) => logs(...m)));
    const moved = crowdOf(
      makers.map((m) => logs(...m.map((y) => y + Math.LN2))),
      usual,
    );
    expect(moved.mean - plain.mean).toBeCloseTo(Math.LN2, 10);
    const [a, b] = [supplierRecord(logs(0.1, 0.4), plain), supplierRecord(logs(0.1 + Math.LN2, 0.4 + Math.LN2), moved)];
    for (const p of [0.1, 0.5, 0.9]) expect(nextRatio(b, p) / nextRatio(a, p)).toBeCloseTo(2, 9);
  });

  it("counts the same day as one day, and an early delivery as less than the promise", () => {
    expect(lateness({ promisedDays: 0, actualDays: 0 })).toBe(0);
    expect(lateness({ promisedDays: 0, actualDays: 3 })).toBeCloseTo(Math.log(3), 12);
    expect(lateness({ promisedDays: 20, actualDays: 0 })).toBeCloseTo(-Math.log(20), 12);
    expect(lateness({ promisedDays: 20, actualDays: 10 })).toBeLessThan(0);
    expect(() => lateness({ promisedDays: -1, actualDays: 3 })).toThrow(RangeError);
    expect(() => lateness({ promisedDays: 1, actualDays: Number.NaN })).toThrow(RangeError);
  });
});

describe("an order still out", () => {
  it("counts for nothing before its promise", () => {
    expect(supplierRecord(logs(0.2), crowd, [{ promisedDays: 30, daysOut: 30 }])).toEqual(
      supplierRecord(logs(0.2), crowd),
    );
  });

  it("makes the maker later once it is late, and more so the longer it is out", () => {
    let last = supplierRecord(logs(0.2), crowd).mean;
    for (const daysOut of [40, 60, 90, 300, 3000]) {
      const { mean, overdue, deliveries } = supplierRecord(logs(0.2), crowd, [{ promisedDays: 30, daysOut }]);
      expect(mean).toBeGreaterThan(last);
      expect({ overdue, deliveries }).toEqual({ overdue: 1, deliveries: 1 });
      last = mean;
    }
  });

  it("is expected to take longer in all than it has taken", () => {
    const out = { promisedDays: 30, daysOut: 75 };
    const asIfHere = supplierRecord(logs(0.2, Math.log(75 / 30)), crowd);
    expect(supplierRecord(logs(0.2), crowd, [out]).mean).toBeGreaterThan(asIfHere.mean);
  });
});

describe("the crowd", () => {
  it("is the weak default where nothing was ever delivered", () => {
    const { mean, scale, weight } = crowdOf([[], []]);
    expect(mean).toBeCloseTo(USUAL_CROWD.mean, 12);
    expect(scale).toBeCloseTo(USUAL_CROWD.within, 12);
    expect(weight).toBeCloseTo((USUAL_CROWD.within / USUAL_CROWD.between) ** 2, 12);
  });

  it("is worked by hand for two makers of two deliveries each", () => {
    // Logs 0, 2 and 4, 6: within squares 4 of 2 degrees; default (mean 0, within 1, between 1) worth 2:
    // within = (2 + 4) / 4 = 1.5; means 1 and 5 about 3: 2 * 4 * 2 = 16; 16 = 1 * 1.5 + (4 - 8/4) b: b = 7.25;
    // between = (2 * 1 + 1 * 7.25) / 3; mean weights 1 / (between + within) and twice 1 / (between + within / 2).
    const between = 9.25 / 3;
    const usual = { mean: 0, within: 1, between: 1, worth: 2 };
    const learnt = crowdOf([logs(0, 2), logs(4, 6)], usual);
    expect(learnt.scale ** 2).toBeCloseTo(1.5, 9);
    expect(learnt.weight).toBeCloseTo(1.5 / between, 9);
    const [none, own] = [1 / (between + 1.5), 1 / (between + 0.75)];
    expect(learnt.mean).toBeCloseTo((own * 6) / (none + 2 * own), 9);
  });

  it("comes to what the makers were drawn from, when there are many", () => {
    // Drawn with a seeded generator (Park and Miller 1988) and the polar method.
    let state = 20261125;
    const uniform = (): number => {
      state = (state * 16807) % 2147483647;
      return state / 2147483647;
    };
    const normal = (): number => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
    const makers = Array.from({ length: 400 }, (_, j) => {
      const mean = 0.25 + 0.3 * normal();
      return logs(...Array.from({ length: 1 + (j % 9) }, () => mean + 0.2 * normal()));
    });
    const learnt = crowdOf(makers);
    expect(learnt.mean).toBeCloseTo(0.25, 1);
    expect(learnt.scale).toBeCloseTo(0.2, 1);
    expect(learnt.scale / Math.sqrt(learnt.weight)).toBeCloseTo(0.3, 1);
    // Predictions hold as often as they say, on makers not yet known but for three deliveries.
    let under = 0;
    const trials = 4000;
    for (let i = 0; i < trials; i++) {
      const mean = 0.25 + 0.3 * normal();
      const known = supplierRecord(logs(...[0, 1, 2].map(() => mean + 0.2 * normal())), learnt);
      if (Math.exp(mean + 0.2 * normal()) < nextRatio(known, 0.8)) under += 1;
    }
    expect(under / trials).toBeGreaterThan(0.77);
    expect(under / trials).toBeLessThan(0.83);
  });
});
