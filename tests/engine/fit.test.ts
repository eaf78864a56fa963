import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  type DimensionKind,
  FitFault,
  fitOf,
  inUnit,
  rowFit,
  type SpecificationRow,
} from "../../server/engine/fit/fit.ts";

const row = (changes: Partial<SpecificationRow> = {}): SpecificationRow => ({
  dimension: "Shank diameter",
  kind: "OUTSIDE",
  nominal: 0.375,
  minus: 0.002,
  plus: 0,
  unit: "IN",
  ...changes,
});
const bore = row({ dimension: "King-pin bore", kind: "INSIDE", nominal: 0.625, minus: 0, plus: 0.001 });
const centres = row({
  dimension: "Shaft centres",
  kind: "DISTANCE",
  nominal: 92.08,
  minus: 0.02,
  plus: 0.02,
  unit: "MM",
});
const verdict = (r: SpecificationRow, value: number, unit: "MM" | "IN" = r.unit) => rowFit(r, { value, unit }).verdict;

describe("a shank", () => {
  it("of three eighths fits on its limits and between them", () => {
    expect([0.375, 0.374, 0.373].map((d) => verdict(row(), d))).toEqual(["FITS", "FITS", "FITS"]);
  });
  it("stated in millimetres fits the same: 9.525 mm is three eighths exactly", () => {
    expect(verdict(row(), 9.525, "MM")).toBe("FITS");
    expect(verdict(row(), 9.4742, "MM")).toBe("FITS");
    expect(verdict(row(), 9.526, "MM")).toBe("NEEDS_WORK");
  });
  it("that is thick is turned down: five thou over wants five to seven off", () => {
    const result = rowFit(row(), { value: 0.38, unit: "IN" });
    expect(result.verdict).toBe("NEEDS_WORK");
    expect(result.metal?.action).toBe("REMOVE");
    expect(result.metal?.least).toBeCloseTo(0.005, 12);
    expect(result.metal?.most).toBeCloseTo(0.007, 12);
    expect(result.words).toBe(
      "Shank diameter needs work: 0.005 in too large (0.38 in; allowed are 0.373 in to 0.375 in); take off 0.005 in to 0.007 in.",
    );
  });
  it("that is thin does not fit, unless it may be built up", () => {
    expect(rowFit(row(), { value: 0.37, unit: "IN" })).toMatchObject({ verdict: "DOES_NOT_FIT", metal: null });
    const built = rowFit(row({ buildUp: true }), { value: 0.37, unit: "IN" });
    expect(built.verdict).toBe("NEEDS_WORK");
    expect(built.metal?.action).toBe("ADD");
    expect(built.metal?.least).toBeCloseTo(0.003, 12);
    expect(built.metal?.most).toBeCloseTo(0.005, 12);
  });
});

describe("a bore", () => {
  it("that is tight is opened up", () => {
    const result = rowFit(bore, { value: 0.62, unit: "IN" });
    expect(result.verdict).toBe("NEEDS_WORK");
    expect(result.metal?.action).toBe("REMOVE");
    expect(result.metal?.least).toBeCloseTo(0.005, 12);
    expect(result.metal?.most).toBeCloseTo(0.006, 12);
  });
  it("that is worn does not fit, unless it may be bushed", () => {
    expect(verdict(bore, 0.628)).toBe("DOES_NOT_FIT");
    expect(rowFit({ ...bore, buildUp: true }, { value: 0.628, unit: "IN" }).metal?.action).toBe("ADD");
  });
});

describe("centres", () => {
  it("that are off cannot be put right, either way", () => {
    expect(verdict(centres, 92.1)).toBe("FITS");
    expect(verdict({ ...centres, buildUp: true }, 92.13)).toBe("DOES_NOT_FIT");
    expect(verdict({ ...centres, buildUp: true }, 92.03)).toBe("DOES_NOT_FIT");
    expect(rowFit(centres, { value: 92.13, unit: "MM" }).words).toBe(
      "Shaft centres does not fit: 0.03 mm too large (92.13 mm; allowed are 92.06 mm to 92.1 mm).",
    );
  });
});

describe("a part", () => {
  const specification = [row(), bore, centres];
  const good = [
    { dimension: "shank  DIAMETER ", value: 9.5, unit: "MM" as const },
    { dimension: "King-pin bore", value: 0.6255, unit: "IN" as const },
    { dimension: "Shaft centres", value: 92.08, unit: "MM" as const },
  ];
  const withValue = (i: number, value: number) => good.map((d, k) => (k === i ? { ...d, value } : d));
  it("fits when every row does", () => {
    const result = fitOf(specification, [...good, { dimension: "Weight over all", value: 3, unit: "IN" }]);
    expect(result.verdict).toBe("FITS");
    expect(result.notAskedFor).toEqual(["Weight over all"]);
  });
  it("is as good as its worst row: work, then a figure not stated, then one that cannot be put right", () => {
    expect(fitOf(specification, withValue(0, 9.6)).verdict).toBe("NEEDS_WORK");
    expect(fitOf(specification, withValue(0, 9.6).slice(0, 2)).verdict).toBe("NOT_STATED");
    expect(fitOf(specification, withValue(1, 0.7).slice(0, 2)).verdict).toBe("DOES_NOT_FIT");
  });
  it("of which nothing is stated, or nothing asked, is not called a fit", () => {
    const result = fitOf(specification, []);
    expect(result.verdict).toBe("NOT_STATED");
    expect(result.rows[0]).toMatchObject({ verdict: "NOT_STATED", value: null, metal: null });
    expect(result.rows[0]?.words).toBe("Shank diameter is not stated; ask for it (allowed are 0.373 in to 0.375 in).");
    expect(fitOf([], good).verdict).toBe("NOT_STATED");
  });
  it("stated twice, or in no figures, is refused by name", () => {
    expect(() => fitOf(specification, [...good, good[0]!])).toThrow(FitFault);
    expect(() => fitOf(specification, withValue(1, Number.NaN))).toThrow(
      "The value of King-pin bore must be a number.",
    );
    expect(() => fitOf([row({ plus: -1 })], good)).toThrow("The plus of Shank diameter must not be negative.");
  });
});

// Figures as they are written on a drawing: to a hundredth of a millimetre, or half a thou.
const figure = (steps: number, unit: "MM" | "IN") => (unit === "MM" ? steps / 100 : steps / 2000);
const anyRow = fc
  .record({
    kind: fc.constantFrom<DimensionKind>("OUTSIDE", "INSIDE", "DISTANCE"),
    unit: fc.constantFrom("MM" as const, "IN" as const),
    nominal: fc.integer({ min: 100, max: 50_000 }),
    minus: fc.integer({ min: 0, max: 60 }),
    plus: fc.integer({ min: 0, max: 60 }),
    off: fc.integer({ min: -90, max: 90 }),
    buildUp: fc.boolean(),
  })
  .map(({ unit, off, ...r }) => ({
    row: row({
      ...r,
      unit,
      nominal: figure(r.nominal, unit),
      minus: figure(r.minus, unit),
      plus: figure(r.plus, unit),
    }),
    inside: -off <= r.minus && off <= r.plus,
    value: figure(r.nominal + off, unit),
  }));

describe("any row", () => {
  it("has the same verdict in millimetres as in inches, on either side", () => {
    fc.assert(
      fc.property(anyRow, ({ row: r, value }) => {
        const other = r.unit === "MM" ? "IN" : "MM";
        const turned = (n: number) => inUnit(n, r.unit, other);
        const there = {
          ...r,
          unit: other,
          nominal: turned(r.nominal),
          minus: turned(r.minus),
          plus: turned(r.plus),
        } as const;
        const expected = rowFit(r, { value, unit: r.unit });
        for (const result of [
          rowFit(there, { value: turned(value), unit: other }),
          rowFit(there, { value, unit: r.unit }),
          rowFit(r, { value: turned(value), unit: other }),
        ]) {
          expect(result.verdict).toBe(expected.verdict);
          expect(result.metal?.action).toBe(expected.metal?.action);
          expect(inUnit(result.off, result.unit, r.unit)).toBeCloseTo(expected.off, 9);
        }
      }),
    );
  });
  it("fits exactly between its limits, and when the metal is taken off or put on it fits", () => {
    fc.assert(
      fc.property(anyRow, ({ row: r, inside, value }) => {
        const result = rowFit(r, { value, unit: r.unit });
        expect(result.verdict === "FITS").toBe(inside);
        if (result.metal === null) return;
        const larger = (result.metal.action === "ADD") === (r.kind === "OUTSIDE");
        for (const metal of [result.metal.least, result.metal.most])
          expect(verdict(r, larger ? value + metal : value - metal)).toBe("FITS");
        expect(result.metal.most).toBeGreaterThanOrEqual(result.metal.least);
      }),
    );
  });
});
