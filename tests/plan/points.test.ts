import { describe, expect, it } from "vitest";
import { type JudgedQuote, pointsAtRisk, pointsLost, type Sheet } from "../../server/plan/points.ts";

const sheet: Sheet = {
  sections: [
    {
      id: "e",
      name: "Engine",
      maximum: 60,
      cap: 5,
      deductions: [{ provenance: "LATER_SUBSTITUTE", points: 2.5 }],
    },
    { id: "c", name: "Coachwork", maximum: 40, cap: null, deductions: [] },
  ],
  floors: [
    { award: "Green Leaf", points: 70 },
    { award: "Gilt Dog Rose", points: 95 },
  ],
};
const part = { section: "Engine", visible: true, judgingSectionId: null };
const quote = (more: Partial<JudgedQuote> = {}): JudgedQuote => ({
  provenance: "LATER_SUBSTITUTE",
  pointsAtRisk: 0,
  knockOns: [],
  ...more,
});

describe("points lost by a quote", () => {
  it("are the user's own figure where there is one, else the sheet's", () => {
    expect(pointsLost(sheet, part, quote())).toBe(2.5);
    expect(pointsLost(sheet, part, quote({ pointsAtRisk: 4 }))).toBe(4);
    expect(pointsLost(sheet, part, quote({ provenance: "ORIGINAL" }))).toBe(0);
  });

  it("are none by the sheet for a part that no judge sees", () =>
    expect(pointsLost(sheet, { ...part, visible: false }, quote())).toBe(0));

  it("go by the part's own section of the sheet before the one of its name", () =>
    expect(pointsLost(sheet, { ...part, judgingSectionId: "c" }, quote())).toBe(0));

  it("take in what the quote brings with it", () =>
    expect(pointsLost(sheet, part, quote({ knockOns: [{ points: 0.5 }, { points: 1 }] }))).toBe(4));
});

describe("points at risk", () => {
  it("are no more in a section than its cap, and are read against the awards", () => {
    const at = pointsAtRisk(sheet, [
      { sectionId: "e", points: 4 },
      { sectionId: "e", points: 2.5 },
      { sectionId: "c", points: 0.5 },
      { sectionId: null, points: 1.5 },
    ]);
    expect(at.total).toBe(7);
    expect(at.bySection).toEqual([
      { section: "Engine", maximum: 60, atRisk: 5, beforeCap: 6.5, cap: 5 },
      { section: "Coachwork", maximum: 40, atRisk: 0.5, beforeCap: 0.5, cap: null },
      { section: null, maximum: null, atRisk: 1.5, beforeCap: 1.5, cap: null },
    ]);
    expect(at.floors).toEqual([
      { award: "Gilt Dog Rose", points: 95, met: false, by: -2 },
      { award: "Green Leaf", points: 70, met: true, by: 23 },
    ]);
  });

  it("of nothing at all are nought", () =>
    expect(pointsAtRisk({ sections: [], floors: [] }, [])).toEqual({ total: 0, bySection: [], floors: [] }));
});
