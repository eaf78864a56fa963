import { describe, expect, it } from "vitest";
import { addDays } from "../../server/engine/date.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { type OddsFound, weeksOf } from "../../server/plan/odds.ts";
import { endlessHunts, oddsCondition } from "../../server/plan/oddsWords.ts";
import { hunt, MONDAY, operation, part, quote, rowsOf } from "../support/planRows.ts";

const planWith = (parts: readonly string[], hunted: readonly string[] = []) =>
  computePlan(
    rowsOf({
      operations: [operation("box", 8)],
      needs: [...parts, "horn"].map((partId) => ({ operationId: "box", partId })),
      parts: [...parts.map((code) => part(code)), part("horn", { chosenQuoteId: "spun" })],
      quotes: [quote("spun", "horn", 14)],
      hunts: hunted.map((code) => hunt(code, { stopDate: null })),
    }),
    { figuresFor: MONDAY, confidence: null },
  );

describe("the condition on which odds stand", () => {
  it("names what nobody quotes or hunts for", () => {
    expect(oddsCondition(planWith([]))).toBeNull();
    expect(oddsCondition(planWith(["anchor"]))).toBe("if anchor were in hand");
    expect(oddsCondition(planWith(["anchor", "bulb"]))).toBe("if anchor and bulb were in hand");
    expect(oddsCondition(planWith(["anchor", "bulb", "cap", "dial", "eye"]))).toBe(
      "if anchor, bulb, cap and 2 more were in hand",
    );
  });

  it("leaves out what is hunted for, whose find the runs draw", () => {
    const plan = planWith(["anchor", "bulb"], ["anchor"]);
    expect(oddsCondition(plan)).toBe("if bulb were in hand");
    expect(endlessHunts(plan)).toBe(
      "anchor is looked for with nothing to order instead: the runs draw when it is found",
    );
    expect(endlessHunts(planWith(["bulb"]))).toBeNull();
  });
});

describe("the runs by weeks", () => {
  it("hold what ends within ten years week by week, and the rest in one bar", () => {
    const ends = [
      { day: 10, runs: 50 },
      { day: 16, runs: 10 },
      { day: 17, runs: 20 },
      { day: 10 + 7 * 519, runs: 5 },
      { day: 10 + 7 * 520, runs: 8 },
      { day: 30_000, runs: 7 },
    ];
    const weeks = weeksOf({
      restorationId: "r",
      figuresFor: MONDAY,
      found: { ends, samples: 100 } as unknown as OddsFound,
    });
    expect(weeks.length).toBe(521);
    expect(weeks.slice(0, 3).map(({ share }) => share)).toEqual([0.6, 0.2, 0]);
    expect(weeks[519]!.share).toBe(0.05);
    expect(weeks[520]).toMatchObject({ from: addDays(MONDAY, 10 + 7 * 520), share: 0.15 });
    expect(weeks[520]!.to >= addDays(MONDAY, 30_000)).toBe(true);
    for (const [i, week] of weeks.slice(1).entries()) expect(week.from).toBe(addDays(weeks[i]!.to, 1));
  });
});
