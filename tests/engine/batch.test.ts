/** Batches: what each name down pays, what one more saves, and the odds that it is filled. */
import { createRequire } from "node:module";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  atSize,
  type BatchTerms,
  castings,
  depositOf,
  outlookOf,
  priceLadder,
  pricesOfNames,
  stagePayments,
} from "../../server/engine/club/batch.ts";
import { batchArrival, chanceOfArrivals, chanceToFill, daysInHand } from "../../server/engine/club/batchOdds.ts";
import { byPromise, sameParts, type WantedPart, wantedBatch } from "../../server/engine/club/batchWanted.ts";

const jstat = createRequire(import.meta.url)("jstat") as {
  negbin: { pdf(k: number, r: number, p: number): number };
};

const SHARED: BatchTerms = {
  patternMinor: 60_000,
  setUpMinor: 12_000,
  unitMinor: 6_500,
  sparePercent: 10,
  smallest: 10,
  most: null,
  prices: [],
};
/** Even chances from a seed: mulberry32 (T. Ettinger, public domain). */
function chances(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  };
}

const total = (amounts: readonly number[]) => amounts.reduce((a, b) => a + b, 0);

const amount = fc.integer({ min: 0, max: 50_000_000 });
const anyTerms: fc.Arbitrary<BatchTerms> = fc.record({
  patternMinor: amount,
  setUpMinor: amount,
  unitMinor: amount,
  sparePercent: fc.integer({ min: 0, max: 100 }),
  smallest: fc.integer({ min: 1, max: 60 }),
  most: fc.constant(null),
  prices: fc.oneof(
    fc.constant([]),
    fc
      .uniqueArray(fc.record({ size: fc.integer({ min: 1, max: 80 }), unitMinor: amount }), {
        selector: ({ size }) => size,
        minLength: 1,
        maxLength: 5,
      })
      .map((prices) => prices.toSorted((a, b) => a.size - b.size)),
  ),
});
const anyNames = fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 40 });

describe("the price of a batch", () => {
  it("is pattern, set-up and every casting, spares included", () => {
    // By hand: 10 pieces want 11 castings; 600.00 + 120.00 + 11 x 65.00 = 1435.00, so 143.50 each.
    expect(atSize(SHARED, 10)).toEqual({ size: 10, cast: 11, totalMinor: 143_500, pieceMinor: 14_350 });
    // 11 pieces want 1.1 spares, which is two: 720.00 + 13 x 65.00 = 1565.00, over 11 is 142.2727.
    expect(atSize(SHARED, 11)).toEqual({ size: 11, cast: 13, totalMinor: 156_500, pieceMinor: 14_228 });
  });
  it("is the maker's own where one is stated, from the size on at which it is stated", () => {
    const stated = {
      ...SHARED,
      prices: [
        { size: 6, unitMinor: 18_000 },
        { size: 12, unitMinor: 13_900 },
      ],
    };
    expect([3, 6, 11, 12, 40].map((size) => atSize(stated, size).pieceMinor)).toEqual([
      18_000, 18_000, 18_000, 13_900, 13_900,
    ]);
    expect(pricesOfNames(stated, [1, 2, 9])).toEqual([13_900, 27_800, 125_100]);
  });
  it("casts a whole spare for every begun share, as counted one by one", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 400 }), fc.integer({ min: 0, max: 100 }), (pieces, percent) => {
        let spares = 0;
        while (spares * 100 < pieces * percent) spares++;
        expect(castings(pieces, percent)).toBe(pieces + spares);
      }),
    );
  });
  it("falls to the names down to the last minor unit, each within one of its due", () => {
    fc.assert(
      fc.property(anyTerms, anyNames, (terms, namesDown) => {
        const size = total(namesDown);
        const { totalMinor } = atSize(terms, size);
        const prices = pricesOfNames(terms, namesDown);
        expect(total(prices)).toBe(totalMinor);
        prices.forEach((price, i) => {
          expect(Math.abs(price - (totalMinor * namesDown[i]!) / size)).toBeLessThan(1);
        });
      }),
    );
  });
  it("is the same for names down for the same quantity, but for one minor unit", () => {
    const prices = pricesOfNames({ ...SHARED, unitMinor: 6_501 }, Array(7).fill(1));
    expect(Math.max(...prices) - Math.min(...prices)).toBeLessThanOrEqual(1);
    expect(Math.max(...prices)).toBe(atSize({ ...SHARED, unitMinor: 6_501 }, 7).pieceMinor);
  });
  it("never rises with the size while it is shared and no spare casting comes in", () => {
    fc.assert(
      fc.property(anyTerms, fc.integer({ min: 1, max: 200 }), (terms, size) => {
        const shared = { ...terms, prices: [], sparePercent: 0 };
        expect(atSize(shared, size + 1).pieceMinor).toBeLessThanOrEqual(atSize(shared, size).pieceMinor);
      }),
    );
  });
  it("is listed for every size up to the most that the maker takes on", () => {
    const ladder = priceLadder({ ...SHARED, most: 12 }, 10, 99);
    expect(ladder.map(({ size }) => size)).toEqual([10, 11, 12]);
    expect(ladder[1]).toEqual(atSize(SHARED, 11));
  });
  it("of no pieces, or in parts of a penny, is refused", () => {
    expect(() => atSize(SHARED, 0)).toThrow(/at least 1/);
    expect(() => atSize({ ...SHARED, unitMinor: 0.5 }, 4)).toThrow(/whole number/);
    expect(() => pricesOfNames(SHARED, [1, 0])).toThrow(/at least 1/);
  });
});

describe("how a batch stands", () => {
  it("says how many are wanting, the price now, and what one more saves each", () => {
    const outlook = outlookOf(SHARED, 4);
    // 4 pieces: 5 castings, 720.00 + 325.00 = 1045.00, 261.25 each; 5 pieces: 6 castings, 1110.00, 222.00 each.
    expect(outlook).toMatchObject({ needed: 6, room: null, oneMoreSaves: 26_125 - 22_200 });
    expect(outlook.now?.pieceMinor).toBe(26_125);
    expect(outlook.withOneMore?.pieceMinor).toBe(22_200);
    expect(outlook.goingAhead.size).toBe(10);
  });
  it("has no price with nobody in it, and none with one more when it is full", () => {
    expect(outlookOf(SHARED, 0)).toMatchObject({ now: null, needed: 10, oneMoreSaves: null });
    expect(outlookOf({ ...SHARED, most: 12 }, 12)).toMatchObject({ needed: 0, room: 0, withOneMore: null });
  });
  it("agrees with the prices of its names for every size", () => {
    fc.assert(
      fc.property(anyTerms, anyNames, (terms, namesDown) => {
        const { now, withOneMore, oneMoreSaves } = outlookOf(terms, total(namesDown));
        expect(now?.totalMinor).toBe(total(pricesOfNames(terms, namesDown)));
        expect(withOneMore?.totalMinor).toBe(total(pricesOfNames(terms, [...namesDown, 1])));
        expect(oneMoreSaves).toBe(now!.pieceMinor - withOneMore!.pieceMinor);
      }),
    );
  });
});

describe("deposit and stages", () => {
  it("a deposit is a share of the price at the smallest size, or at the larger size that the name makes", () => {
    expect(depositOf(SHARED, 3, 1, 30)).toBe(4_305);
    // 14 pieces: 16 castings, 720.00 + 1040.00 = 1760.00; two of them 251.43 (remainders: 0.43 and 0.57), 30 % is 75.429.
    expect(depositOf(SHARED, 14, 2, 30)).toBe(7_543);
    expect(depositOf(SHARED, 14, 14, 50)).toBe(88_000);
  });
  it("deposit and stages add up to the price", () => {
    fc.assert(
      fc.property(
        amount,
        amount,
        fc.array(fc.integer({ min: 1, max: 100 }), { minLength: 1 }),
        (price, held, percents) => {
          expect(held + total(stagePayments(price, held, percents))).toBe(price);
        },
      ),
    );
  });
});

describe("the chance that a batch is filled", () => {
  it("is the tail of the negative binomial distribution, as another library sums it", () => {
    for (const [count, time, shape, exposure] of [
      [1, 30, 1, 10],
      [6, 98, 5, 73],
      [2, 12, 9, 95.5],
      [15, 40, 3, 20],
    ] as const) {
      const p = exposure / (exposure + time);
      let fewer = 0;
      for (let k = 0; k < count; k++) fewer += jstat.negbin.pdf(k, shape, p);
      expect(chanceOfArrivals(count, time, shape, exposure)).toBeCloseTo(1 - fewer, 10);
    }
  });
  it("is what a gamma-distributed rate with Poisson arrivals gives when it is played through", () => {
    const [needed, time, shape, exposure] = [4, 30, 3, 25];
    const random = chances(11);
    const runs = 60_000;
    let filled = 0;
    for (let run = 0; run < runs; run++) {
      // A gamma variable of a whole shape is a sum of exponentials; so are the waits between arrivals.
      let rate = 0;
      for (let i = 0; i < shape; i++) rate -= Math.log(1 - random()) / exposure;
      let at = 0;
      let count = 0;
      while (count < needed) {
        at -= Math.log(1 - random()) / rate;
        if (at > time) break;
        count++;
      }
      if (count === needed) filled++;
    }
    const chance = chanceOfArrivals(needed, time, shape, exposure);
    expect(Math.abs(filled / runs - chance)).toBeLessThan(4 * Math.sqrt((chance * (1 - chance)) / runs));
  });
  it("is certain when filled and nil after the closing date", () => {
    const filling = { smallest: 10, putDown: 10, begunOn: "2026-10-01", closesOn: "2027-03-01" };
    expect(chanceToFill(filling, "2026-11-23")).toBe(1);
    expect(chanceToFill({ ...filling, putDown: 9 }, "2027-03-02")).toBe(0);
    expect(chanceToFill({ ...filling, putDown: 9 }, "2027-03-01")).toBeGreaterThan(0);
  });
  it("before anything is put down for or any day has gone is that of a rate that just fills it on average", () => {
    // 10 pieces in 100 days: exposure 10, so the chance is (100 / 110) to the tenth: 0.3855432894 (by hand).
    const filling = { smallest: 10, putDown: 0, begunOn: "2026-11-23", closesOn: "2027-03-02" };
    expect(chanceToFill(filling, "2026-11-23")).toBeCloseTo((10 / 11) ** 10, 12);
  });
  it("rises with every piece and falls with every day in which none is put down for", () => {
    const filling = { smallest: 12, putDown: 3, begunOn: "2026-10-01", closesOn: "2027-03-01" };
    const days = ["2026-11-01", "2026-12-01", "2027-01-10", "2027-02-20"];
    const byDay = days.map((day) => chanceToFill(filling, day));
    expect(byDay).toEqual(byDay.toSorted((a, b) => b - a));
    const byPieces = [3, 5, 8, 11].map((putDown) => chanceToFill({ ...filling, putDown }, "2026-12-01"));
    expect(byPieces).toEqual(byPieces.toSorted((a, b) => a - b));
  });
});

describe("a batch that goes ahead", () => {
  it("arrives its lead after the closing date, early or late for a need-by date", () => {
    expect(batchArrival("2027-02-01", 56)).toBe("2027-03-29");
    expect(daysInHand("2027-02-01", 56, "2027-04-05")).toBe(7);
    expect(daysInHand("2027-02-01", 56, "2027-03-26")).toBe(-3);
  });
});

describe("wanted parts", () => {
  const want = (id: string, keys: string[], bestMinor: number | null = null, quantity = 1): WantedPart => ({
    id,
    memberId: `m${id}`,
    quantity,
    keys,
    bestMinor,
  });
  it("are one part where they share a reference, or are joined by one that does", () => {
    const wants = [want("1", ["a"]), want("2", ["b"]), want("3", ["a", "c"]), want("4", ["c", "d"]), want("5", [])];
    expect(sameParts(wants).map((group) => group.map(({ id }) => id))).toEqual([["1", "3", "4"], ["2"], ["5"]]);
  });
  it("are joined as by going from want to want over shared keys until nothing is added", () => {
    const anyWants = fc.array(fc.uniqueArray(fc.constantFrom(..."abcdefghijkl"), { maxLength: 3 }), { maxLength: 25 });
    fc.assert(
      fc.property(anyWants, (lists) => {
        const wants = lists.map((keys, i) => want(String(i), keys));
        const groups = sameParts(wants);
        expect(groups.flat().length).toBe(wants.length);
        for (const start of wants) {
          const reached = new Set([start]);
          for (let before = 0; before < reached.size; ) {
            before = reached.size;
            for (const one of wants)
              if ([...reached].some((other) => other.keys.some((key) => one.keys.includes(key)))) reached.add(one);
          }
          expect(new Set(groups.find((group) => group.includes(start)))).toEqual(reached);
        }
      }),
    );
  });
  it("tell what each member would save against the best quote, and how many are wanting", () => {
    const batch = wantedBatch(SHARED, [want("1", [], 20_000), want("2", [], 20_000, 2), want("3", [], null, 5)]);
    // Eight pieces, two short of ten, so the price is that of ten: 143.50.
    expect(batch).toMatchObject({ members: 3, pieces: 8, needed: 2, pieceMinor: 14_350 });
    expect(batch.savings).toEqual([5_650, -8_700, null]);
    expect(batch.savedMinor).toBe(5_650);
  });
  it("come with those first that would fill a batch", () => {
    const full = wantedBatch({ ...SHARED, smallest: 2 }, [want("1", []), want("2", [])]);
    const short = wantedBatch(SHARED, [want("3", [], 90_000)]);
    expect([short, full].toSorted(byPromise)).toEqual([full, short]);
  });
});
