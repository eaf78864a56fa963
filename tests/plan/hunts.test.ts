import { describe, expect, it } from "vitest";
import { addDays } from "../../server/engine/time/date.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { type HuntSetting, huntOutlook } from "../../server/plan/hunt/outlook.ts";
import type { HuntRow, PlanRows, QuoteRow } from "../../server/plan/rows/rows.ts";
import { hunt, MONDAY, operation, part, quote, rowsOf } from "../support/planRows.ts";

const searching = (more: Partial<HuntRow> = {}): HuntRow => hunt("anchor", { stopDate: addDays(MONDAY, 28), ...more });

const planWith = (
  own: HuntRow | null,
  fallbackQuoteId: string | null,
  chosenQuoteId: string | null = null,
  more: Partial<PlanRows> = {},
) =>
  computePlan(
    rowsOf({
      restoration: {
        id: "r",
        machine: "",
        targetDate: "2027-03-01",
        targetName: "show",
        confidence: null,
        rank: 1,
      },
      operations: [operation("box", 8)],
      needs: [{ operationId: "box", partId: "anchor" }],
      parts: [part("anchor", { fallbackQuoteId, chosenQuoteId })],
      quotes: fallbackQuoteId === null ? [] : [quote("forge", "anchor", 14, { preparationHours: 16 })],
      hunts: own === null ? [] : [own],
      ...more,
    }),
    { figuresFor: MONDAY, confidence: null },
  );

describe("a hunted part in the plan", () => {
  it("counts on no find: the fallback goes out on the stop date", () => {
    const plan = planWith(searching(), "forge");
    expect(plan.completion.open).toBe(false);
    expect(plan.ladder[0]).toMatchObject({
      state: "HUNTED",
      quoteId: "forge",
      orderOn: addDays(MONDAY, 28),
      arrivalDate: addDays(MONDAY, 42),
    });
  });

  it("is ordered now once the stop date has passed, or the hunt was stopped", () => {
    for (const hunt of [searching({ stopDate: addDays(MONDAY, -1) }), searching({ state: "STOPPED" })])
      expect(planWith(hunt, "forge").ladder[0]).toMatchObject({
        state: "TO_ORDER",
        orderOn: MONDAY,
        arrivalDate: addDays(MONDAY, 14),
      });
  });

  it("leaves completion open without a fallback, and is as any other part without a stop date", () => {
    expect(planWith(searching(), null).completion.open).toBe(true);
    expect(planWith(searching({ stopDate: null }), "forge").ladder[0]!.state).toBe("UNDECIDED");
    expect(planWith(null, "forge").ladder[0]!.state).toBe("UNDECIDED");
  });

  it("gives way to a quote that is chosen", () => {
    expect(planWith(searching(), "forge", "forge").ladder[0]).toMatchObject({ state: "TO_ORDER", orderOn: MONDAY });
  });

  it("on a day before the hunt began is looked for by nobody", () => {
    const later = searching({ begunOn: addDays(MONDAY, 1) });
    expect(planWith(later, "forge").ladder[0]).toMatchObject({ state: "UNDECIDED", hunted: false, orderOn: MONDAY });
    expect(planWith(later, null).ladder[0]).toMatchObject({ state: "NO_SOURCE", hunted: false });
    expect(planWith({ ...later, state: "STOPPED" }, "forge").ladder[0]!.state).toBe("UNDECIDED");
  });

  it("says until when, and what speaks against the fallback that is counted on all the same", () => {
    const doubts = (of: Partial<QuoteRow>, own = searching(), kinds: PlanRows["ruledOut"] = []) => {
      const quotes = [quote("forge", "anchor", 14, of)];
      const [rung] = planWith(own, "forge", null, { quotes, ruledOut: kinds }).ladder;
      return [rung!.huntedUntil, rung!.quoteId, ...rung!.quoteDoubts];
    };
    const until = addDays(MONDAY, 28);
    expect(doubts({})).toEqual([until, "forge"]);
    expect(doubts({ ruledOut: true })).toEqual([until, "forge", "is ruled out"]);
    expect(doubts({}, searching(), [{ partId: "anchor", provenance: "REMADE" }])).toEqual([
      until,
      "forge",
      "is ruled out",
    ]);
    expect(doubts({ validUntil: addDays(MONDAY, 27) })).toEqual([
      until,
      "forge",
      "ends on 20 Dec 2026, before it is ordered",
    ]);
    expect(doubts({ validUntil: until })).toEqual([until, "forge"]);
    expect(doubts({ validUntil: addDays(MONDAY, -1) })).toEqual([until, "forge", "ended on 22 Nov 2026: ask again"]);
  });

  it("moves the ladder by as many days as the stop date moves", () => {
    const later = planWith(searching({ stopDate: addDays(MONDAY, 35) }), "forge");
    expect(later.ladder[0]!.arrivalDate).toBe(addDays(MONDAY, 49));
    expect(later.completion.date).toBe(addDays(planWith(searching(), "forge").completion.date!, 7));
  });

  it("may come later where it takes less work before it fits", () => {
    const plan = planWith(searching(), "forge");
    const own = plan.latestArrivals("anchor", 16)!;
    expect(own).toEqual({ needBy: plan.ladder[0]!.needBy, target: plan.ladder[0]!.needByTarget });
    // Two days of work less.
    expect(plan.latestArrivals("anchor", 0)!.target! > own.target!).toBe(true);
    expect(plan.latestArrivals("nothing", 0)).toBeNull();
  });
});

describe("what a hunt promises", () => {
  const looking = {
    state: "SEARCHING" as const,
    begunOn: MONDAY,
    chancePerWeek: 1 / 11,
    beliefWeeks: 10,
    stopDate: addDays(MONDAY, 70),
    leadDays: 7,
    events: [{ date: addDays(MONDAY, 30), chance: 0 }],
  };
  const setting: HuntSetting = {
    figuresFor: MONDAY,
    confidence: 0.9,
    cost: (landed) => landed,
    lost: (points) => points,
    found: { landedMinor: 40_000, hours: 0, points: 0 },
    fallback: { landedMinor: 100_000, todayMinor: 100_000, hours: 0, points: 2, leadDays: 60, orderFrom: null },
    latest: { find: addDays(MONDAY, 150), fallback: addDays(MONDAY, 150) },
  };

  it("says the last stop date that keeps the target, as worked by hand: shape 1 over 10 weeks", () => {
    const outlook = huntOutlook(looking, setting)!;
    expect(outlook.chanceNextWeek).toBeCloseTo(1 / 11, 12);
    expect(outlook.evenOddsDate).toBe(addDays(MONDAY, 70));
    expect(outlook.lastOrderDate).toBe(addDays(MONDAY, 90));
    expect(outlook.decideBy?.date).toBe(addDays(MONDAY, 90));
    expect(outlook.atStop).toMatchObject({ costMinor: 70_000, points: 1, fallbackArrival: addDays(MONDAY, 130) });
    expect(outlook.atStop!.chanceFound).toBeCloseTo(0.5, 12);
    expect(outlook.stops.map(({ date }) => date)).toContain(addDays(MONDAY, 30));
  });

  it("has learnt from weeks that brought nothing", () => {
    const later = huntOutlook({ ...looking, begunOn: addDays(MONDAY, -70) }, setting)!;
    expect(later.weeksLooked).toBe(10);
    expect(later.chanceNextWeek).toBeCloseTo(1 / 21, 12);
  });

  it("names no date to decide by where none keeps the target, and the best there is", () => {
    const late = huntOutlook(looking, {
      ...setting,
      latest: { find: addDays(MONDAY, 27), fallback: addDays(MONDAY, 27) },
    })!;
    expect(late.decideBy).toBeNull();
    expect(late.best!.chanceOfTarget).toBeCloseTo(1 - 10 / (10 + 20 / 7), 12);
    const free = huntOutlook(looking, { ...setting, latest: null })!;
    expect([free.decideBy, free.best, free.stops[0]!.chanceOfTarget]).toEqual([null, null, null]);
  });

  it("orders the fallback today with what goes out today, and on any later day by itself", () => {
    const fallback = { ...setting.fallback!, todayMinor: 90_000 };
    const costs = (orderFrom: string | null) => {
      const { stops } = huntOutlook(looking, { ...setting, fallback: { ...fallback, orderFrom } })!;
      return [stops[0]!.costMinor, huntOutlook({ ...looking, stopDate: MONDAY }, setting)!.atStop!.costMinor];
    };
    expect(costs(null)).toEqual([90_000, 100_000]);
    expect(costs(addDays(MONDAY, 1))[0]).toBe(100_000);
    expect(huntOutlook(looking, { ...setting, fallback })!.atStop!.costMinor).toBe(70_000);
  });

  it("says nothing once it is over, and on a day before it began", () => {
    expect(huntOutlook({ ...looking, state: "FOUND" }, setting)).toBeNull();
    expect(huntOutlook({ ...looking, begunOn: addDays(MONDAY, 1) }, setting)).toBeNull();
  });

  it("says what its own stop date gives, also where that lies past the end of the curve", () => {
    const far = addDays(MONDAY, 2_100);
    const outlook = huntOutlook({ ...looking, stopDate: far, events: [] }, setting)!;
    expect(outlook.stops.at(-1)!.date < far).toBe(true);
    expect(outlook.atStop).toMatchObject({ date: far, fallbackArrival: addDays(far, 60) });
    // Shape 1 over 10 weeks, and 300 weeks of looking.
    expect(outlook.atStop!.chanceFound).toBeCloseTo(1 - 10 / 310, 12);
    expect(outlook.atStop!.chanceOfTarget).toBeCloseTo(1 - 10 / (10 + 143 / 7), 12);
    expect(huntOutlook({ ...looking, stopDate: addDays(MONDAY, -1) }, setting)!.atStop).toBeNull();
  });

  it("expects to lose what the rules of its place on the sheet make of the mean", () => {
    const halves = { ...setting, lost: (points: number) => Math.floor(points * 2) / 2 };
    expect(huntOutlook({ ...looking, stopDate: addDays(MONDAY, 91) }, halves)!.atStop!.points).toBe(0.5);
  });
});
