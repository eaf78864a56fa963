import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Holding, movements } from "../../server/engine/network/movement.ts";

const held = (days: Readonly<Record<string, number>>): Holding[] =>
  Object.entries(days).map(([key, day]) => ({ key, day }));

const sharesOf = (before: Record<string, number>, after: Record<string, number>) => {
  const { days, movements: moved } = movements(held(before), held(after));
  return { days, ...Object.fromEntries(moved.map(({ key, tenths }) => [key, tenths / 10])) };
};

/** By the definition: the mean over every order in which they could have moved. */
function byOrders(before: Record<string, number>, after: Record<string, number>): Map<string, number> {
  const keys = [...new Set([...Object.keys(before), ...Object.keys(after)])];
  const end = (moved: ReadonlySet<string>): number =>
    Math.max(...keys.map((key) => (moved.has(key) ? after[key] : before[key]) ?? Number.NEGATIVE_INFINITY));
  const sums = new Map(keys.map((key) => [key, 0]));
  const orders = permutations(keys);
  for (const order of orders) {
    const moved = new Set<string>();
    for (const key of order) {
      const was = end(moved);
      moved.add(key);
      sums.set(key, sums.get(key)! + end(moved) - was);
    }
  }
  return new Map([...sums].map(([key, sum]) => [key, sum / orders.length]));
}

function permutations<T>(items: readonly T[]): T[][] {
  if (items.length < 2) return [[...items]];
  return items.flatMap((item, i) => permutations(items.toSpliced(i, 1)).map((rest) => [item, ...rest]));
}

describe("what moved the end", () => {
  it("gives all the days to the one hold-up that moved", () => {
    expect(sharesOf({ work: 50, casing: 100 }, { work: 50, casing: 112 })).toEqual({ days: 12, casing: 12 });
  });

  it("says nothing of a hold-up that slipped without holding the end", () => {
    expect(sharesOf({ work: 50, casing: 100, chain: 60 }, { work: 50, casing: 100, chain: 90 })).toEqual({ days: 0 });
  });

  it("counts a cleared hold-up only down to the next that holds", () => {
    expect(sharesOf({ work: 50, casing: 100, chain: 90 }, { work: 50, chain: 90 })).toEqual({ days: -10, casing: -10 });
  });

  it("shares what two hold-ups had to clear together", () => {
    expect(sharesOf({ work: 50, casing: 100, chain: 100 }, { work: 50 })).toEqual({
      days: -50,
      casing: -25,
      chain: -25,
    });
  });

  it("sets what one lost against what another gained, when the end stands still", () => {
    // Up to 100 either would do: each order of the two gives one of them the change.
    expect(sharesOf({ work: 50, casing: 100 }, { work: 50, chain: 100 })).toEqual({ days: 0, casing: -25, chain: 25 });
  });

  it("shares tenths so that they add up", () => {
    const { days, ...shares } = sharesOf({ work: 0 }, { work: 0, a: 1, b: 1, c: 1 });
    expect(days).toBe(1);
    expect(Object.values(shares).sort()).toEqual([0.3, 0.3, 0.4]);
  });

  it("asks for something to compare", () => {
    expect(() => movements([], held({ work: 1 }))).toThrow(RangeError);
  });

  const side = fc.dictionary(
    fc.constantFrom("casing", "chain", "rims", "magneto", "hood"),
    fc.integer({ min: 0, max: 40 }),
  );
  it("is the Shapley value by its definition, whatever moved", () => {
    fc.assert(
      fc.property(side, side, fc.integer({ min: 0, max: 40 }), fc.integer({ min: 0, max: 40 }), (a, b, from, to) => {
        const before = { ...a, work: from };
        const after = { ...b, work: to };
        const { days, movements: moved } = movements(held(before), held(after));
        expect(days).toBe(Math.max(...Object.values(after)) - Math.max(...Object.values(before)));
        expect(moved.reduce((sum, { tenths }) => sum + tenths, 0)).toBe(days * 10);
        const tenths = new Map(moved.map((one) => [one.key, one.tenths]));
        for (const [key, share] of byOrders(before, after))
          expect(Math.abs((tenths.get(key) ?? 0) - share * 10)).toBeLessThan(1 + 1e-9);
      }),
      { numRuns: 60 },
    );
  });

  it("turns round when the days are exchanged", () => {
    fc.assert(
      fc.property(side, side, (a, b) => {
        const before = held({ ...a, work: 3 });
        const after = held({ ...b, work: 3 });
        const there = movements(before, after);
        const back = movements(after, before);
        expect(back.days).toBe(-there.days + 0);
        const tenths = new Map(back.movements.map((one) => [one.key, one.tenths]));
        for (const { key, tenths: one } of there.movements)
          expect(Math.abs((tenths.get(key) ?? 0) + one)).toBeLessThanOrEqual(1);
      }),
    );
  });
});
