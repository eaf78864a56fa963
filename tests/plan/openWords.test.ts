import { describe, expect, it } from "vitest";
import { computePlan } from "../../server/plan/compute.ts";
import { oddsCondition } from "../../server/plan/odds/oddsWords.ts";
import { holdsIt } from "../../server/plan/parts/openWords.ts";
import { MONDAY, operation, part, rowsOf, snag } from "../support/planRows.ts";

const planWith = (parts: readonly string[], snags: readonly string[]) =>
  computePlan(
    rowsOf({
      operations: [operation("run", 8)],
      needs: parts.map((partId) => ({ operationId: "run", partId })),
      parts: parts.map((code) => part(code, { name: `Part ${code}` })),
      snags: snags.map((code) => ({ ...snag(code, "run"), title: `Snag ${code}` })),
    }),
    { figuresFor: MONDAY, confidence: null },
  );

describe("what leaves completion open", () => {
  it("is a part without a source, or a snag without a remedy, and is said so", () => {
    expect(planWith(["rim"], []).completion).toMatchObject({ lacking: "no source", cleared: "in hand" });
    expect(planWith([], ["crack"]).completion).toMatchObject({ lacking: "no remedy yet", cleared: "cleared" });
    expect(planWith(["rim"], ["crack"]).completion).toMatchObject({
      lacking: "no source or remedy yet",
      cleared: "cleared",
    });
    expect(planWith([], []).completion).toMatchObject({ lacking: null, cleared: null });
  });

  it("is what the odds stand on: a part in hand, a snag cleared", () => {
    expect(oddsCondition(planWith([], ["crack"]))).toBe("if Snag crack were cleared");
    expect(oddsCondition(planWith(["rim"], ["crack"]))).toBe("if Snag crack and Part rim were cleared");
  });

  it("is named to the work that waits for it", () => {
    expect(planWith([], ["crack"]).waitsForOpen("run")).toEqual([{ kind: "SNAG", title: "Snag crack" }]);
  });

  it("is said of what holds the end: a hand by name, to the shop alone", () => {
    const hand = { kind: "HAND", title: "Whoever does engine work", handName: "Wat" } as const;
    expect(holdsIt(hand, "4 Aug 2027", false)).toBe("Wat holds it; if nothing waited for them, 4 Aug 2027.");
    expect(holdsIt(hand, "4 Aug 2027", true)).toBe(
      "Whoever does engine work holds it; if nothing waited for them, 4 Aug 2027.",
    );
    expect(holdsIt({ kind: "PART", title: "Rim", handName: null }, "4 Aug 2027", false)).toBe(
      "Rim holds it; with that in hand, 4 Aug 2027.",
    );
  });
});
