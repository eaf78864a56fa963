import { describe, expect, it } from "vitest";
import { addDays } from "../../server/engine/time/date.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { targetOddsInWords } from "../../server/plan/days/summaryWords.ts";
import { type OddsFound, weeksOf } from "../../server/plan/odds/odds.ts";
import { endlessHunts, oddsCondition } from "../../server/plan/odds/oddsWords.ts";
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

  it("leaves out what is hunted for, which is found by its chances", () => {
    const plan = planWith(["anchor", "bulb"], ["anchor"]);
    expect(oddsCondition(plan)).toBe("if bulb were in hand");
    expect(endlessHunts(plan)).toBe(
      "anchor is looked for with nothing to order instead; when it is found is counted by the chances of its hunt",
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

describe("the odds of the target since an earlier day", () => {
  const since = (odds: number, before: number | null) =>
    targetOddsInWords(odds, before === null ? null : { odds: before, day: "2027-01-04" });

  it("are a sentence that holds for none and for all of the runs too", () => {
    expect(since(0, null)).toBe("No run keeps the target.");
    expect(since(1, null)).toBe("Every run keeps the target.");
    expect(since(0.6, null)).toBe("The odds of keeping the target are 3 in 5.");
    expect(since(0.6, 0.6)).toBe("The odds of keeping the target are 3 in 5, as on 4 Jan 2027.");
    expect(since(0, 0)).toBe("No run keeps the target, as on 4 Jan 2027.");
  });

  it("say how it stood then in the words of that day's chance", () => {
    expect(since(0.6, 0.8)).toBe("The odds of keeping the target are 3 in 5; on 4 Jan 2027 they were 4 in 5.");
    expect(since(0, 0.8)).toBe("No run keeps the target; on 4 Jan 2027 the odds were 4 in 5.");
    expect(since(0.6, 0)).toBe("The odds of keeping the target are 3 in 5; on 4 Jan 2027 no run kept it.");
    expect(since(0.6, 1)).toBe("The odds of keeping the target are 3 in 5; on 4 Jan 2027 every run kept it.");
    expect(since(1, 0)).toBe("Every run keeps the target; on 4 Jan 2027 no run kept it.");
  });
});
