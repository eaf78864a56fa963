import { describe, expect, it } from "vitest";
import { computePlan } from "../../server/plan/compute.ts";
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
    { dataDate: MONDAY, confidence: null },
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
