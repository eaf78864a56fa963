import { beforeAll, describe, expect, it } from "vitest";
import { ChoiceModel } from "../../server/engine/choice/model.ts";
import { quoteChoice } from "../../server/engine/choice/quoteChoice.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { frontierCase } from "../bench/frontierCase.ts";
import { leastCost, programme, type Solver, solver } from "../support/choiceMilp.ts";

/** Eight hours on every calendar day, so that waits in days are linear and the solver can know them. */
const calendar = new ShopCalendar({ weekdayHours: [8, 8, 8, 8, 8, 8, 8], closedDates: [], figuresFor: "2026-11-23" });

describe("against an exact solver of mixed-integer programmes", { timeout: 120_000 }, () => {
  let highs: Solver;
  beforeAll(async () => {
    highs = await solver();
  });

  it.each([3, 4])(
    "costs the least for each date, and nothing is to be had a day sooner than the first (case %i)",
    (seed) => {
      const input = frontierCase({ operations: 18, parts: 14, quotes: 4, withWays: 6, seed }, calendar);
      const found = quoteChoice(input, { withPoints: false });
      const model = new ChoiceModel(input, "date", false);
      expect(found.end.length).toBeGreaterThan(5);
      found.end.forEach((end, plan) => {
        expect(leastCost(highs, programme(model, model.lastHour(end), 8))).toBe(found.cost[plan]);
      });
      // Between two dates of the front the earlier one's cost stands.
      const gap = found.end.findIndex((end, plan) => plan > 0 && end > found.end[plan - 1]! + 1);
      if (gap > 0)
        expect(leastCost(highs, programme(model, model.lastHour(found.end[gap]! - 1), 8))).toBe(found.cost[gap - 1]);
      expect(leastCost(highs, programme(model, model.lastHour(found.end[0]! - 1), 8))).toBe(Number.POSITIVE_INFINITY);
    },
  );

  it("costs the least for a date and points lost, sections losing no more than their cap", () => {
    const input = frontierCase({ operations: 20, parts: 14, quotes: 4, withWays: 4, seed: 5 }, calendar);
    const capped = { ...input, sectionCaps: [600, 500, 700, 400] };
    const found = quoteChoice(capped);
    const model = new ChoiceModel(capped, "date", true);
    const every = Math.ceil(found.end.length / 15);
    for (let plan = 0; plan < found.end.length; plan += every) {
      const text = programme(model, model.lastHour(found.end[plan]!), 8, found.points[plan]!);
      expect(leastCost(highs, text)).toBe(found.cost[plan]);
    }
  });
});
