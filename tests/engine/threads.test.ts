import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { THREADS } from "../../server/engine/fit/threadSizes.ts";
import { findThreads, type Measured, MeasuredFault } from "../../server/engine/fit/threads.ts";

const INCH = 25.4;
const calliper = { diameterTolerance: 0.05 };
const names = (measured: Measured) => findThreads(measured).candidates.map(({ thread }) => thread.name);

describe("a bolt of half an inch", () => {
  it("with twelve threads to the inch is Whitworth, with thirteen Unified: the pitch tells", () => {
    const half = { ...calliper, diameter: 12.68 };
    expect(names({ ...half, perInch: { count: 12, tolerance: 0.3 } })).toEqual(["1/2-12 BSW"]);
    expect(names({ ...half, perInch: { count: 13, tolerance: 0.3 } })).toEqual(["1/2-13 UNC"]);
  });
  it("whose threads were counted to within one may be either; side by side they are half a thread out after half an inch", () => {
    const finding = findThreads({ ...calliper, diameter: 12.7, perInch: { count: 12.4, tolerance: 1 } });
    expect(finding.verdict).toBe("SEVERAL");
    expect(finding.candidates.map(({ thread }) => thread.name)).toEqual(["1/2-12 BSW", "1/2-13 UNC"]);
    expect(finding.tellApart.map(({ by }) => by)).toEqual(["PITCH", "ANGLE"]);
    expect(finding.tellApart[0]?.words).toBe(
      "Pitch: 12 to the inch against 13 to the inch. Laid side by side they are half a thread out after 12.7 mm.",
    );
  });
});

describe("a bolt of a quarter", () => {
  const quarter = { ...calliper, diameter: 6.35, perInch: { count: 20, tolerance: 0.2 } };
  it("with twenty to the inch is Whitworth or Unified, and only the thread angle tells", () => {
    const finding = findThreads(quarter);
    expect(finding.verdict).toBe("SEVERAL");
    expect(finding.words).toBe("1/4-20 BSW, 1/4-20 UNC cannot be told apart by this measurement.");
    expect(finding.tellApart).toEqual([
      {
        threads: ["1/4-20 BSW", "1/4-20 UNC"],
        by: "ANGLE",
        words: "Thread angle: 55° (BSW) against 60° (UNC). Lay a gauge of each form to the flanks against the light.",
      },
    ]);
  });
  it("is told once the gauge has been laid to it", () => {
    expect(names({ ...quarter, angle: 55 })).toEqual(["1/4-20 BSW"]);
    expect(names({ ...quarter, angle: 60 })).toEqual(["1/4-20 UNC"]);
    expect(findThreads({ ...quarter, angle: 55 }).words).toBe(
      "1/4-20 BSW: British Standard Whitworth, BS 84. No other thread of these tables matches.",
    );
  });
  it("with twenty-six is fine or cycle thread", () =>
    expect(names({ ...quarter, perInch: { count: 26, tolerance: 0.2 } }).sort()).toEqual(["1/4-26 BSC", "1/4-26 BSF"]));
});

describe("a bolt of seven sixteenths with twenty to the inch", () => {
  it("is cycle thread or Unified fine, which nothing on the bench tells apart", () => {
    const finding = findThreads({ ...calliper, diameter: 11.1, perInch: { count: 20, tolerance: 0.2 } });
    expect(finding.candidates.map(({ thread }) => thread.name).sort()).toEqual(["7/16-20 BSC", "7/16-20 UNF"]);
    expect(finding.tellApart.map(({ by }) => by)).toEqual(["NOTHING"]);
    expect(finding.tellApart[0]?.words).toBe(
      "7/16-20 BSC and 7/16-20 UNF have the same diameter, pitch and angle, and differ at most in the rounding of crest and root.",
    );
  });
});

describe("a screw of six millimetres", () => {
  it("and a pitch of one is metric or 0 BA, told by the angle", () => {
    const finding = findThreads({ ...calliper, diameter: 5.97, pitch: { pitch: 1, tolerance: 0.02 } });
    expect(finding.candidates.map(({ thread }) => thread.name).sort()).toEqual(["0 BA", "M6 x 1"]);
    expect(finding.tellApart.map(({ by }) => by)).toEqual(["ANGLE"]);
  });
});

describe("a plug of eighteen millimetres", () => {
  it("is found by its diameter alone, and the pitch is then still to be told", () => {
    const finding = findThreads({ diameter: 17.95, diameterTolerance: 0.1 });
    expect(finding.candidates.map(({ thread }) => thread.name).sort()).toEqual([
      "M18 x 1",
      "M18 x 1.5",
      "M18 x 2",
      "M18 x 2.5",
    ]);
    expect(finding.candidates[0]?.pitchOff).toBeNull();
    expect(new Set(finding.tellApart.map(({ by }) => by))).toEqual(new Set(["PITCH"]));
  });
});

describe("a measurement", () => {
  it("of a worn thread may be small by the wear, but not large by it", () => {
    const worn = { ...calliper, wear: 0.2, perInch: { count: 18, tolerance: 0.2 } };
    expect(names({ ...worn, diameter: 7.7 })).toContain("5/16-18 BSW");
    expect(names({ ...worn, diameter: 8.1 })).toEqual([]);
    // Nominal is 7.9375: the reading is 0.2375 small, of which wear explains 0.2 and the calliper the rest.
    expect(findThreads({ ...worn, diameter: 7.7 }).candidates[0]?.deviation).toBeCloseTo(0.0375 / 0.05, 9);
    expect(findThreads({ ...worn, diameter: 7.85 }).candidates[0]?.deviation).toBeCloseTo(0, 9);
  });
  it("which nothing answers is told the closest thread", () => {
    const finding = findThreads({ ...calliper, diameter: 11.6, pitch: { pitch: 1.75, tolerance: 0.02 } });
    expect(finding.verdict).toBe("NONE");
    expect(finding.nearest[0]?.thread.name).toBe("M12 x 1.75");
    expect(finding.words).toBe("No thread of these tables matches; the closest is M12 x 1.75.");
    expect(findThreads({ ...calliper, diameter: 12, angle: 29 }).words).toBe(
      "No thread of these tables has such an angle.",
    );
  });
  it("that is no length is refused by name", () => {
    expect(() => findThreads({ ...calliper, diameter: 0 })).toThrow(MeasuredFault);
    expect(() => findThreads({ ...calliper, diameter: Number.NaN })).toThrow("The outside diameter must be a number.");
    expect(() => findThreads({ ...calliper, diameter: 6, pitch: { pitch: 1, tolerance: -1 } })).toThrow(
      "The tolerance of the pitch must be more than zero.",
    );
  });
});

describe("any thread of the tables", () => {
  it("is found when it is measured within the tolerance, the exact one before the others", () => {
    const off = fc.double({ min: -1, max: 1, noNaN: true });
    fc.assert(
      fc.property(fc.constantFrom(...THREADS), off, off, (thread, d, p) => {
        const measured = {
          diameter: thread.diameter + 0.05 * d,
          diameterTolerance: 0.05,
          pitch: { pitch: thread.pitch + 0.02 * p, tolerance: 0.02 },
        };
        const finding = findThreads(measured);
        expect(finding.candidates.map((c) => c.thread)).toContain(thread);
        const ranks = finding.candidates.map((c) => c.deviation);
        expect(ranks).toEqual(ranks.toSorted((a, b) => a - b));
        expect(finding.verdict).toBe(ranks.length === 1 ? "ONE" : "SEVERAL");
        // Of every other candidate it is said how it differs from the first.
        expect(new Set(finding.tellApart.map(({ threads }) => threads[1])).size).toBe(ranks.length - 1);
        const exact = findThreads({
          ...measured,
          diameter: thread.diameter,
          pitch: { pitch: thread.pitch, tolerance: 0.02 },
        });
        expect(exact.candidates[0]?.deviation).toBe(0);
      }),
    );
  });
  it("is found the same by pitch as by threads to the inch", () => {
    const counted = THREADS.filter((t) => t.perInch !== null);
    fc.assert(
      fc.property(fc.constantFrom(...counted), (thread) => {
        const at = { diameter: thread.diameter, diameterTolerance: 0.02 };
        const byCount = names({ ...at, perInch: { count: thread.perInch!, tolerance: 0.01 } });
        const byPitch = names({ ...at, pitch: { pitch: INCH / thread.perInch!, tolerance: 0.0001 } });
        expect(byCount).toContain(thread.name);
        expect(byPitch).toContain(thread.name);
      }),
    );
  });
});
