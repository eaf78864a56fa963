import { readdirSync, readFileSync } from "node:fs";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { type Choice, JudgingFault, judge, pointsAdded, type Sheet } from "../../server/engine/fit/judging.ts";

const line = (title: string, maximum: number, mandatory = false) => ({ title, maximum, mandatory });
const sheet: Sheet = {
  sections: [
    {
      name: "Engine and drive",
      maximum: 60,
      lines: [line("Carburettor", 10), line("Gearbox", 12), line("Starts from cold", 8, true)],
    },
    {
      name: "Fittings",
      maximum: 40,
      mostLost: 10,
      lines: [
        line("Lamps", 11),
        line("Screws and threads", 5),
        { ...line("Extinguisher", 2, true), disqualifying: true },
      ],
    },
  ],
  floors: [
    { award: "Third", points: 70 },
    { award: "First", points: 95 },
    { award: "Second", points: 85 },
  ],
};
const choice = (section: number, at: number, changes: Partial<Choice> = {}): Choice => ({
  id: `${section}/${at}`,
  section,
  line: at,
  provenance: "LATER_SUBSTITUTE",
  visible: true,
  ...changes,
});
const lost = (...choices: Choice[]) => judge(sheet, choices).lost;

describe("a judging sheet", () => {
  it("with nothing changed loses nothing and meets its highest award", () => {
    const result = judge(sheet, []);
    expect([result.maximum, result.lost, result.points]).toEqual([100, 0, 100]);
    expect(result.award).toMatchObject({ award: "First", by: 5 });
    expect(result.awards.map(({ award }) => award)).toEqual(["First", "Second", "Third"]);
  });
  it("tells which award is met, and how far every other one is", () => {
    const result = judge(sheet, [choice(0, 1)]);
    expect(result.points).toBe(88);
    expect(result.award).toMatchObject({ award: "Second", by: 3 });
    expect(result.awards[0]).toMatchObject({ award: "First", by: -7, met: false });
  });
  it("gives an award exactly on its floor", () =>
    expect(judge(sheet, [choice(1, 1)]).award).toMatchObject({ award: "First", by: 0 }));
});

describe("a visible change", () => {
  it("loses its share of the line by provenance (common practice, no source)", () => {
    const loses = (provenance: Choice["provenance"]) => lost(choice(0, 1, { provenance }));
    expect(loses("ORIGINAL")).toBe(0);
    expect(loses("NEW_OLD_STOCK")).toBe(0);
    expect(loses("REPRODUCTION")).toBe(3);
    expect(loses("PERIOD_SUBSTITUTE")).toBe(6);
    expect(loses("LATER_SUBSTITUTE")).toBe(12);
  });
  it("that is hidden loses nothing, nor one shown to be right or asked for by law", () => {
    expect(lost(choice(0, 1, { visible: false }))).toBe(0);
    expect(lost(choice(0, 1, { exempt: true }))).toBe(0);
    expect(lost(choice(0, 2, { visible: false }))).toBe(0);
  });
  it("in poor condition loses by the worse of the two", () => {
    expect(lost(choice(0, 1, { provenance: "ORIGINAL", condition: "REPAIRABLE" }))).toBe(6);
    expect(lost(choice(0, 1, { provenance: "REMADE", condition: "REPAIRABLE" }))).toBe(6);
    expect(lost(choice(0, 1, { condition: "REPAIRABLE" }))).toBe(12);
  });
  it("whose points the user puts himself loses those", () => expect(lost(choice(0, 1, { points: 1.5 }))).toBe(1.5));
});

describe("a line", () => {
  it("that is mandatory loses the whole of itself for any fault", () => {
    expect(lost(choice(0, 2, { provenance: "REPRODUCTION" }))).toBe(8);
    expect(lost(choice(0, 2, { points: 0.1 }))).toBe(8);
  });
  it("loses no more than it has, however many choices it bears", () => {
    expect(lost(choice(0, 0, { id: "a" }), choice(0, 0, { id: "b" }))).toBe(10);
    expect(lost(choice(0, 0, { points: 99 }))).toBe(10);
  });
  it("names the choices that cost it points", () => {
    const result = judge(sheet, [
      choice(0, 0, { id: "a", points: 1 }),
      choice(0, 0, { id: "b", provenance: "ORIGINAL" }),
    ]);
    expect(result.sections[0]?.lines[0]).toEqual({ title: "Carburettor", lost: 1, choices: ["a"] });
  });
  it("that disqualifies leaves no award, whatever the points", () => {
    const result = judge(sheet, [choice(1, 2)]);
    expect(result.points).toBe(98);
    expect(result.award).toBeNull();
    expect(result.disqualifiedBy).toEqual(["Extinguisher"]);
  });
});

describe("a section", () => {
  it("loses no more than its cap", () => {
    const fittings = judge(sheet, [choice(1, 0), choice(1, 1)]).sections[1];
    expect(fittings).toMatchObject({ lost: 10, beforeCap: 16 });
  });
  it("at its cap makes one more change free, so that it is better hidden elsewhere", () => {
    expect(pointsAdded(sheet, [], choice(1, 1))).toBe(5);
    expect(pointsAdded(sheet, [choice(1, 0, { points: 7 })], choice(1, 1))).toBe(3);
    expect(pointsAdded(sheet, [choice(1, 0)], choice(1, 1))).toBe(0);
  });
});

describe("half points", () => {
  const carburettor = (points: number, doubt: "NEAREST" | "OWNER", step?: number) =>
    judge(sheet, [choice(0, 0, { points })], { doubt, step }).lost;
  it("go to the nearer half, and half way to the smaller loss", () => {
    expect([1.2, 1.25, 1.3, 1.5].map((p) => carburettor(p, "NEAREST"))).toEqual([1, 1, 1.5, 1.5]);
  });
  it("with doubt in the owner's favour always go to the smaller loss", () => {
    expect([0.4, 1.2, 1.49, 1.5].map((p) => carburettor(p, "OWNER"))).toEqual([0, 1, 1, 1.5]);
  });
  it("may be quarters, or whole points", () => {
    expect(carburettor(1.2, "NEAREST", 0.25)).toBe(1.25);
    expect(carburettor(1.7, "NEAREST", 1)).toBe(2);
    expect(carburettor(1.7, "OWNER", 1)).toBe(1);
  });
  it("are not lost to floating point: two tenths, seven and one are a whole point", () => {
    const tenths = [0.2, 0.7, 0.1].map((points, i) => choice(0, 0, { id: `${i}`, points }));
    expect(judge(sheet, tenths, { doubt: "OWNER" }).lost).toBe(1);
  });
});

describe("what cannot be judged", () => {
  it("is refused by name", () => {
    expect(() => judge(sheet, [choice(4, 0)])).toThrow(JudgingFault);
    expect(() => judge(sheet, [choice(0, 0, { points: -1 })])).toThrow("Points must not be negative (0/0).");
    expect(() => judge(sheet, [choice(0, 0, { points: Number.NaN })])).toThrow("Points must be a number (0/0).");
    expect(() => judge(sheet, [], { step: 0 })).toThrow(JudgingFault);
  });
});

const anyChoices = fc.array(
  fc.record({
    id: fc.string(),
    section: fc.integer({ min: 0, max: 1 }),
    line: fc.integer({ min: 0, max: 2 }),
    provenance: fc.constantFrom("ORIGINAL", "REPRODUCTION", "PERIOD_SUBSTITUTE", "LATER_SUBSTITUTE"),
    visible: fc.boolean(),
    points: fc.option(
      fc.integer({ min: 0, max: 50 }).map((n) => n / 10),
      { nil: undefined },
    ),
  }),
  { maxLength: 12 },
);

describe("any choices", () => {
  it("lose no more than the caps allow, in half points, whatever their order; and one more never gains any", () => {
    fc.assert(
      fc.property(anyChoices, ([first, ...rest]: Choice[]) => {
        const all = first === undefined ? rest : [first, ...rest];
        const result = judge(sheet, all);
        expect(result.lost).toBeGreaterThanOrEqual(0);
        expect(result.points + result.lost).toBe(result.maximum);
        expect(result.sections[1]!.lost).toBeLessThanOrEqual(10);
        expect(Number.isInteger(result.lost * 2)).toBe(true);
        expect(judge(sheet, all.toReversed()).lost).toBe(result.lost);
        expect(judge(sheet, all, { doubt: "OWNER" }).lost).toBeLessThanOrEqual(result.lost);
        if (first !== undefined) expect(pointsAdded(sheet, rest, first)).toBeGreaterThanOrEqual(0);
      }),
    );
  });
});

describe("the sample sheets", () => {
  const folder = new URL("../../seed/judging/", import.meta.url);
  const samples = readdirSync(folder).map(
    (file) => JSON.parse(readFileSync(new URL(file, folder), "utf8")).judgingSheet as Sheet,
  );
  it("add up, in six sections of which no two are equal, or in 26 lines round the machine", () => {
    for (const s of samples)
      for (const section of s.sections)
        expect(section.lines.reduce((sum, l) => sum + l.maximum, 0)).toBe(section.maximum);
    const [trades, walk] = samples.toSorted((a, b) => judge(b, []).maximum - judge(a, []).maximum);
    expect(trades!.sections.map((s) => s.maximum)).toEqual([26, 102, 53, 58, 43, 63]);
    expect(walk!.sections.map((s) => s.maximum)).toEqual([11, 18, 26, 20, 26, 12]);
    expect(walk!.sections.flatMap((s) => s.lines).length).toBe(26);
  });
  it("give every award to a machine with nothing changed, and none to one that is wrong throughout", () => {
    for (const s of samples) {
      expect(judge(s, []).awards.every(({ met }) => met)).toBe(true);
      const wrong = s.sections.flatMap((section, i) => section.lines.map((_, l) => choice(i, l)));
      expect(judge(s, wrong)).toMatchObject({ points: 0, award: null });
    }
  });
});
