import { describe, expect, it } from "vitest";
import { THREADS, type ThreadFamily } from "../../server/engine/fit/threadSizes.ts";

const INCH = 25.4;
const of = (family: ThreadFamily) => THREADS.filter((t) => t.family === family);
const named = (name: string) => THREADS.find((t) => t.name === name);

describe("British Association threads (BS 93, handbook table)", () => {
  // Number: pitch and outside diameter in mm.
  it.each([
    [0, 1.0, 6.0],
    [1, 0.9, 5.3],
    [2, 0.81, 4.7],
    [3, 0.73, 4.1],
    [4, 0.66, 3.6],
    [5, 0.59, 3.2],
    [6, 0.53, 2.8],
    [7, 0.48, 2.5],
    [8, 0.43, 2.2],
    [9, 0.39, 1.9],
    [10, 0.35, 1.7],
    [11, 0.31, 1.5],
    [12, 0.28, 1.3],
    [13, 0.25, 1.2],
    [14, 0.23, 1.0],
    [15, 0.21, 0.9],
    [16, 0.19, 0.79],
  ])("No. %i has pitch %d and diameter %d, as 0.9^k and 6 p^1.2 give them", (k, pitch, diameter) =>
    expect(named(`${k} BA`)).toMatchObject({ pitch, diameter, angle: 47.5 }),
  );
});

describe("Whitworth threads (BS 84, handbook table)", () => {
  it.each([
    ["1/4-20 BSW", 0.25, 20],
    ["5/16-18 BSW", 0.3125, 18],
    ["3/8-16 BSW", 0.375, 16],
    ["1/2-12 BSW", 0.5, 12],
    ["1 1/8-7 BSW", 1.125, 7],
    ["1/4-26 BSF", 0.25, 26],
    ["3/8-20 BSF", 0.375, 20],
    ["1/2-16 BSF", 0.5, 16],
  ])("%s has its diameter and threads to the inch", (name, inches, perInch) => {
    const thread = named(name)!;
    expect(thread).toMatchObject({ perInch, angle: 55 });
    expect(thread.diameter).toBeCloseTo(inches * INCH, 9);
    expect(thread.pitch).toBeCloseTo(INCH / perInch, 9);
  });
});

describe("Unified threads (ASME B1.1, handbook table)", () => {
  it.each([
    ["#0-80 UNF", 0.06],
    ["#1-64 UNC", 0.073],
    ["#6-32 UNC", 0.138],
    ["#10-24 UNC", 0.19],
    ["#12-28 UNF", 0.216],
    ["1/2-13 UNC", 0.5],
    ["9/16-18 UNF", 0.5625],
  ])("%s is %d in. across", (name, inches) => {
    expect(named(name)!.diameter).toBeCloseTo(inches * INCH, 9);
    expect(named(name)!.angle).toBe(60);
  });
  it("in coarse differ from Whitworth's in count only at half an inch, of the sizes from a quarter to one and a half", () => {
    const sizes = of("BSW").filter((t) => t.diameter > 6 && t.diameter < 38.2);
    const differing = sizes.filter((t) => {
      const other = of("UNC").find((u) => Math.abs(u.diameter - t.diameter) < 1e-9);
      return other !== undefined && other.perInch !== t.perInch;
    });
    expect(differing.map(({ name }) => name)).toEqual(["1/2-12 BSW"]);
  });
});

describe("metric threads (ISO 261 and ISO 262, handbook table)", () => {
  it.each(["M3 x 0.5", "M6 x 1", "M8 x 1.25", "M10 x 1.5", "M12 x 1.75", "M24 x 3"])("%s is coarse", (name) =>
    expect(named(name)?.family).toBe("M"),
  );
  it.each(["M8 x 1", "M10 x 1.25", "M14 x 1.25", "M18 x 1.5"])("%s is fine", (name) =>
    expect(named(name)?.family).toBe("MF"),
  );
  it("of one diameter are finer in the fine series", () => {
    for (const fine of of("MF")) {
      const coarse = of("M").find((t) => t.diameter === fine.diameter);
      expect([fine.name, coarse !== undefined && coarse.pitch > fine.pitch]).toEqual([fine.name, true]);
    }
  });
});

describe("the tables", () => {
  it("hold each thread once, and in every family a thicker thread is no finer, cycle and fine threads apart", () => {
    expect(new Set(THREADS.map(({ name }) => name)).size).toBe(THREADS.length);
    for (const family of ["BSW", "BSF", "BA", "UNC", "UNF", "M"] as const) {
      const rising = of(family).toSorted((a, b) => a.diameter - b.diameter);
      const pitches = rising.map(({ pitch }) => pitch);
      expect([family, pitches]).toEqual([family, pitches.toSorted((a, b) => a - b)]);
    }
  });
});
