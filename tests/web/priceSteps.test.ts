/** Places of the line that shows what a piece of a batch costs at each size. */
import { describe, expect, it } from "vitest";
import { stepsOf } from "../../web/club/priceSteps.ts";

const falling = [4, 5, 6, 7].map((size) => ({ size, piece: 1000 - 100 * (size - 4) }));

describe("the price at each size", () => {
  it("falls from the top to the bottom, each size as wide as the next", () => {
    const { at, high, low } = stepsOf(falling, 6);
    expect([high, low]).toEqual([1000, 700]);
    const places = falling.map(({ size }) => at(size));
    expect(places.map(({ x }) => x)).toEqual([0.125, 0.375, 0.625, 0.875]);
    const downs = places.slice(1).map(({ y }, place) => y - places[place]!.y);
    for (const down of downs) expect(down).toBeCloseTo(downs[0]!, 12);
    expect(places[0]!.y).toBeLessThan(places[3]!.y);
  });

  it("is drawn as one flat run a size, joined", () => {
    const { path } = stepsOf(falling, 6);
    expect(path.match(/[ML]/g)).toHaveLength(8);
    expect(path.startsWith("M0.0 ")).toBe(true);
    expect(path).toMatch(/L1000\.0 \d+\.\d$/);
  });

  it("marks where the sizes begin that go ahead, and nothing where all of them do", () => {
    expect(stepsOf(falling, 6).short).toBe(0.5);
    expect(stepsOf(falling, 4).short).toBeNull();
    expect(stepsOf(falling, 9).short).toBeNull();
  });

  it("of one price lies in the middle, and of many sizes writes few of them", () => {
    expect(stepsOf([{ size: 6, piece: 500 }], 6).at(6)).toEqual({ x: 0.5, y: 0.5 });
    const many = Array.from({ length: 60 }, (_, place) => ({ size: place + 1, piece: 900 - place }));
    expect(stepsOf(many, 6).ticks.length).toBeLessThanOrEqual(7);
  });
});
