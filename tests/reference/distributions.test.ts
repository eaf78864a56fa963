import fc from "fast-check";
import jstat from "jstat";
import { describe, expect, it } from "vitest";
import { pertQuantile } from "../../server/engine/chance/beta.ts";
import { gammaTail } from "../../server/engine/chance/gamma.ts";
import { drawFrom, normalTable, pertTable, skewOf } from "../../server/engine/chance/inverseTable.ts";
import { lognormalQuantile, normalQuantile, normalTail } from "../../server/engine/chance/normal.ts";
import { chanceOf } from "../../server/engine/chance/random.ts";

const library = (jstat as unknown as { jStat: typeof jstat }).jStat ?? jstat;
/** The drawn number that stands for a chance. */
const drawn = (p: number): number => Math.floor(p * 2 ** 32) | 0;

describe("quantiles printed by R (qbeta on 6 to 18 with 9 the likeliest, qlnorm(p, 3, 0.5))", () => {
  it.each([
    [0.05, 6.917284697],
    [0.1, 7.346819503],
    [0.5, 9.765722045],
    [0.8, 11.882308116],
    [0.9, 13.006684495],
    [0.95, 13.888899816],
  ])("PERT-beta at %d, solved and from the table", (p, value) => {
    const estimate = { low: 6, likely: 9, high: 18 };
    expect(pertQuantile(estimate, p)).toBeCloseTo(value, 8);
    expect(6 + 12 * drawFrom(pertTable(skewOf(estimate)), drawn(p))).toBeCloseTo(value, 6);
  });

  it.each([
    [0.1, 10.582738361],
    [0.5, 20.085536923],
    [0.8, 30.594205148],
    [0.9, 38.121399182],
    [0.95, 45.715015628],
  ])("lognormal at %d, solved and from the table", (p, value) => {
    expect(lognormalQuantile(3, 0.5, p)).toBeCloseTo(value, 8);
    expect(Math.exp(3 + 0.5 * drawFrom(normalTable(), drawn(p)))).toBeCloseTo(value, 5);
  });
});

describe("the distributions agree with a library of statistics", () => {
  it("the normal tail and its inverse", () => {
    for (let z = -6; z <= 6; z += 0.25) {
      expect(normalTail(z)).toBeCloseTo(1 - library.normal.cdf(z, 0, 1), 9);
      expect(normalQuantile(1 - normalTail(z))).toBeCloseTo(z, 6);
    }
    expect(normalQuantile(0.975)).toBeCloseTo(1.959963984540054, 13);
    expect(normalQuantile(0)).toBe(Number.NEGATIVE_INFINITY);
  });

  it("the gamma tail", () => {
    for (const shape of [0.5, 1, 2.5, 9, 40])
      for (const x of [0.01, 0.5, 1, 3, 10, 55])
        expect(gammaTail(shape, x)).toBeCloseTo(1 - library.gamma.cdf(x, shape, 1), 9);
  });
});

describe("a table of quantiles", () => {
  const anyDraw = fc.tuple(fc.integer({ min: 0, max: 2 ** 32 - 1 }), fc.nat({ max: 30 }), fc.boolean());
  const word = ([d, shift, upper]: [number, number, boolean]): number => (upper ? ~(d >>> shift) : d >>> shift) | 0;

  it("is within 1e-7 of the width of the PERT-beta quantile, for any estimate and any chance", () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 1, noNaN: true }), anyDraw, (skew, d) => {
        const exact = pertQuantile({ low: 0, likely: skew, high: 1 }, chanceOf(word(d)));
        expect(Math.abs(drawFrom(pertTable(skew), word(d)) - exact)).toBeLessThan(1e-7);
      }),
      { numRuns: 3_000 },
    );
  });

  it("is within 1e-6 of the normal quantile", () => {
    fc.assert(
      fc.property(anyDraw, (d) => {
        expect(Math.abs(drawFrom(normalTable(), word(d)) - normalQuantile(chanceOf(word(d))))).toBeLessThan(1e-6);
      }),
      { numRuns: 2_000 },
    );
  });

  it("never falls when the chance rises", () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 1, noNaN: true }), anyDraw, anyDraw, (skew, a, b) => {
        const [low, high] = [word(a) >>> 0, word(b) >>> 0].sort((x, y) => x - y) as [number, number];
        fc.pre(high - low > 16);
        for (const table of [pertTable(skew), normalTable()])
          expect(drawFrom(table, low | 0)).toBeLessThanOrEqual(drawFrom(table, high | 0) + 1e-9);
      }),
      { numRuns: 2_000 },
    );
  });
});
