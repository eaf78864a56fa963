import { describe, expect, it } from "vitest";
import {
  disqualifiedAt,
  type JudgedQuote,
  lostAlone,
  placeOf,
  pointsLost,
  pointsOfHunt,
  type Sheet,
  sheetLosses,
} from "../../server/plan/choice/points.ts";

const sheet: Sheet = {
  sections: [
    {
      id: "e",
      name: "Engine",
      maximum: 60,
      cap: 5,
      deductions: [{ provenance: "LATER_SUBSTITUTE", points: 2.5 }],
      lines: [],
    },
    {
      id: "c",
      name: "Coachwork",
      maximum: 40,
      cap: null,
      deductions: [{ provenance: "PERIOD_SUBSTITUTE", points: 0.75 }],
      lines: [
        { id: "plate", title: "Maker's plate", maximum: 6, mandatory: true, disqualifying: false },
        { id: "paint", title: "Paint", maximum: 4, mandatory: false, disqualifying: false },
        { id: "extinguisher", title: "Extinguisher", maximum: 0, mandatory: false, disqualifying: true },
      ],
    },
  ],
  step: null,
  floors: [
    { award: "Green Leaf", points: 70 },
    { award: "Gilt Dog Rose", points: 95 },
  ],
};
const part = { group: "Engine", visible: true, judgingSectionId: null, judgingLineId: null };
const quote = (more: Partial<JudgedQuote> = {}): JudgedQuote => ({
  provenance: "LATER_SUBSTITUTE",
  pointsByHand: 0,
  knockOns: [],
  ...more,
});

describe("points lost by a quote", () => {
  it("are the user's own figure where there is one, else the sheet's", () => {
    expect(pointsLost(sheet, part, quote())).toBe(2.5);
    expect(pointsLost(sheet, part, quote({ pointsByHand: 4 }))).toBe(4);
    expect(pointsLost(sheet, part, quote({ provenance: "ORIGINAL" }))).toBe(0);
  });

  it("are none by the sheet for a part that no judge sees", () =>
    expect(pointsLost(sheet, { ...part, visible: false }, quote())).toBe(0));

  it("go by the part's own section of the sheet before the one of its name", () =>
    expect(pointsLost(sheet, { ...part, judgingSectionId: "c" }, quote())).toBe(0));

  it("take in what the quote brings with it", () =>
    expect(pointsLost(sheet, part, quote({ knockOns: [{ points: 0.5 }, { points: 1 }] }))).toBe(4));
});

describe("points lost", () => {
  it("are no more in a section than its cap, and are read against the awards", () => {
    const at = sheetLosses(sheet, [
      { sectionId: "e", lineId: null, points: 4 },
      { sectionId: "e", lineId: null, points: 2.5 },
      { sectionId: "c", lineId: null, points: 0.5 },
      { sectionId: null, lineId: null, points: 1.5 },
    ]);
    expect(at.total).toBe(7);
    expect(at.bySection).toEqual([
      { section: "Engine", maximum: 60, lost: 5, beforeCap: 6.5, cap: 5, lines: [], onNoLine: 6.5 },
      { section: "Coachwork", maximum: 40, lost: 0.5, beforeCap: 0.5, cap: null, lines: [], onNoLine: 0.5 },
      { section: null, maximum: null, lost: 1.5, beforeCap: 1.5, cap: null, lines: [], onNoLine: 1.5 },
    ]);
    expect(at.floors).toEqual([
      { award: "Gilt Dog Rose", points: 95, met: false, by: -2 },
      { award: "Green Leaf", points: 70, met: true, by: 23 },
    ]);
  });

  it("of nothing at all are zero", () =>
    expect(sheetLosses({ sections: [], floors: [], step: null }, [])).toEqual({
      total: 0,
      onAverage: 0,
      maximum: 0,
      bySection: [],
      floors: [],
      disqualifiedBy: [],
    }));
});

describe("a part that is looked for", () => {
  const shown = { ...part, judgingLineId: "plate" };
  const fallback = quote({ provenance: "PERIOD_SUBSTITUTE" });
  const loss = (points: number) => ({ sectionId: "c", lineId: "plate", points, expected: true as const });

  it("is expected to lose the mean of what a find and its fallback lose, each as its line takes it", () => {
    expect(pointsLost(sheet, shown, fallback)).toBe(6);
    expect(pointsOfHunt(sheet, shown, "ORIGINAL", fallback, 0.25)).toBe(4.5);
    expect(sheetLosses(sheet, [loss(4.5)])).toMatchObject({ total: 4.5, onAverage: 4.5 });
    expect(sheetLosses(sheet, [{ ...loss(4), expected: undefined }]).onAverage).toBe(0);
    expect(lostAlone(sheet, loss(4.5))).toBe(4.5);
    // Where the line is lost for certain by another it is lost whole and no more.
    expect(sheetLosses(sheet, [loss(4.5), { ...loss(1), expected: undefined }]).total).toBe(6);
  });

  it("is named by its line where that leaves no award", () => {
    const at = (lineId: string) => ({ sectionId: "c", lineId });
    expect(disqualifiedAt(sheet, at("extinguisher"), 0.25)).toBe("Extinguisher");
    expect([disqualifiedAt(sheet, at("extinguisher"), 0), disqualifiedAt(sheet, at("plate"), 6)]).toEqual([null, null]);
  });
});

describe("a line of the sheet", () => {
  const on = (lineId: string, points: number) => ({ sectionId: "c", lineId, points });

  it("is where what names it is judged, whatever section is set beside it", () => {
    expect(placeOf(sheet, { ...part, judgingLineId: "paint" })).toEqual({ sectionId: "c", lineId: "paint" });
    expect(placeOf(sheet, part)).toEqual({ sectionId: "e", lineId: null });
    const substitute = quote({ provenance: "PERIOD_SUBSTITUTE" });
    expect(pointsLost(sheet, { ...part, judgingLineId: "paint" }, substitute)).toBe(0.75);
  });

  it("loses all of it where a loss is taken whole, and else no more than it can", () => {
    expect(sheetLosses(sheet, [on("plate", 0.25)]).total).toBe(6);
    expect(sheetLosses(sheet, [on("plate", 2), on("plate", 3)]).total).toBe(6);
    expect(sheetLosses(sheet, [on("paint", 3), on("paint", 3)]).total).toBe(4);
    expect(sheetLosses(sheet, [on("paint", 3), on("plate", 1)]).bySection[1]!.lines).toMatchObject([
      { title: "Maker's plate", lost: 6, mandatory: true },
      { title: "Paint", lost: 3, mandatory: false },
    ]);
  });

  it("and what is lost on none of them come to what the section loses before its cap", () => {
    const [, section] = sheetLosses(sheet, [on("paint", 3), { sectionId: "c", lineId: null, points: 1.5 }]).bySection;
    expect([section!.lines.map(({ lost }) => lost), section!.onNoLine, section!.beforeCap]).toEqual([[3], 1.5, 4.5]);
  });

  it("gives the owner what lies between two steps, line by line", () => {
    const halves = { ...sheet, step: 0.5 };
    expect(sheetLosses(halves, [on("paint", 1.25), { sectionId: "c", lineId: null, points: 0.75 }]).total).toBe(1.5);
    expect(sheetLosses(halves, [on("paint", 0.75), on("paint", 0.75)]).total).toBe(1.5);
    expect(sheetLosses(halves, [on("plate", 0.25)]).total).toBe(6);
  });

  it("that disqualifies leaves no award by a loss that is less than a step", () => {
    const { total, disqualifiedBy } = sheetLosses({ ...sheet, step: 0.5 }, [on("extinguisher", 0.25)]);
    expect([total, disqualifiedBy]).toEqual([0, ["Extinguisher"]]);
  });

  it("that disqualifies leaves no award, be it worth no point itself", () => {
    const { total, disqualifiedBy, floors } = sheetLosses(sheet, [on("extinguisher", 1)]);
    expect([total, disqualifiedBy]).toEqual([0, ["Extinguisher"]]);
    expect(floors).toEqual([
      { award: "Gilt Dog Rose", points: 95, met: false, by: 5 },
      { award: "Green Leaf", points: 70, met: false, by: 30 },
    ]);
  });
});
