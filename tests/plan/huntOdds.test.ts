import { describe, expect, it } from "vitest";
import { huntStopOdds, stoppingOn } from "../../server/engine/hunt/stopOdds.ts";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import type { UncertainModel } from "../../server/engine/odds/uncertainty.ts";
import { addDays } from "../../server/engine/time/date.ts";
import { type HuntOdds, huntOdds, modelWithStop, type StopOddsDraw, stopTotal } from "../../server/plan/hunt/odds.ts";
import { huntOutlook } from "../../server/plan/hunt/outlook.ts";
import { oddsModel } from "../../server/plan/odds/odds.ts";
import type { PlanRows } from "../../server/plan/rows/rows.ts";
import { hunt, MONDAY, operation, part, quote, rowsOf } from "../support/planRows.ts";
import { arrivalsOf } from "../support/uncertain.ts";

const RUNS = 4096;
const runs = (model: UncertainModel): number =>
  oddsOf(model, { seed: 1, tolerance: 0, maxSamples: RUNS }).onTarget ?? 0;
/** Calendar days past the target on average. */
const late = (model: UncertainModel): number =>
  oddsOf(model, { seed: 1, tolerance: 0, maxSamples: RUNS }).ends.reduce(
    (sum, { day, runs: count }) => sum + (count / RUNS) * Math.max(0, day - model.targetDay!),
    0,
  );
const draw: StopOddsDraw = async (work) => huntStopOdds(work, { seed: 1, samples: RUNS });
/** Three standard errors of a share of so many runs. */
const NEAR = 1.5 / Math.sqrt(RUNS);

const hunted = { begunOn: MONDAY, chancePerWeek: 1 / 11, beliefWeeks: 10, leadDays: 7 };
const events = [{ date: addDays(MONDAY, 30), chance: 0.3 }];
const certain = { leadLeast: 60, leadLikely: 60, leadMost: 60 };
/** Eight hours after the anchor: it must be here by the day before the target day. */
const TARGET = addDays(MONDAY, 140);

const rowsWith = (more: Partial<Parameters<typeof rowsOf>[0]> = {}): PlanRows =>
  rowsOf({
    restoration: {
      id: "r",
      machine: "",
      targetDate: TARGET,
      targetName: "show",
      confidence: null,
      rank: 1,
    },
    operations: [operation("box", 8)],
    needs: [{ operationId: "box", partId: "anchor" }],
    parts: [part("anchor", { fallbackQuoteId: "forge" })],
    quotes: [quote("forge", "anchor", 60, certain)],
    hunts: [hunt("anchor", { id: "h", ...hunted, stopDate: addDays(MONDAY, 28) })],
    huntEvents: events.map((event) => ({ huntId: "h", ...event })),
    ...more,
  });
const dates = [0, 28, 56, 84, 112, 140, 168].map((at) => addDays(MONDAY, at));
const asked = { dates, confidence: 0.8, figuresFor: MONDAY };

describe("the odds of the target by stop date", () => {
  it("are the chances in closed form where nothing but the hunt is uncertain", async () => {
    const found = (await huntOdds(rowsWith(), "anchor", asked, draw))!;
    const latest = addDays(TARGET, -1);
    const closed = huntOutlook(
      { ...hunted, events, state: "SEARCHING", stopDate: null },
      {
        figuresFor: MONDAY,
        confidence: 0.8,
        cost: (landed) => landed,
        lost: (points) => points,
        found: { landedMinor: null, hours: 0, points: 0 },
        fallback: { landedMinor: null, todayMinor: null, hours: 0, points: 0, leadDays: 60, orderFrom: null },
        latest: { find: latest, fallback: latest },
      },
    )!;
    for (const { date, onTarget } of found.stops) {
      const { chanceOfTarget } = closed.stops.find((stop) => stop.date === date)!;
      expect(Math.abs(onTarget - chanceOfTarget!)).toBeLessThan(NEAR);
    }
    expect(found.inHand).toBe(1);
    // Until the fallback comes too late every run keeps it, to the day.
    expect(found.decideBy).toEqual({ date: closed.lastOrderDate, onTarget: 1, daysLate: 0 });
  });

  it("are those of the plan itself at the plan's stop date", async () => {
    const rows = rowsWith({
      quotes: [quote("forge", "anchor", 110, { leadLeast: 90, leadLikely: 110, leadMost: 160 })],
    });
    const own = runs(oddsModel(rows, MONDAY));
    const { stops } = (await huntOdds(rows, "anchor", asked, draw))!;
    expect(own).toBeGreaterThan(0);
    expect(own).toBeLessThan(1);
    expect(stops[1]).toEqual({ date: addDays(MONDAY, 28), onTarget: own, daysLate: late(oddsModel(rows, MONDAY)) });
  });

  it("are no better than with the part in hand, and name no date where even that falls short", async () => {
    const rows = rowsWith({
      needs: [
        { operationId: "box", partId: "anchor" },
        { operationId: "box", partId: "casing" },
      ],
      parts: [part("anchor", { fallbackQuoteId: "forge" }), part("casing", { chosenQuoteId: "pour" })],
      quotes: [
        quote("forge", "anchor", 60, certain),
        quote("pour", "casing", 120, { leadLeast: 90, leadLikely: 130, leadMost: 190 }),
      ],
    });
    const { inHand, stops, decideBy } = (await huntOdds(rows, "anchor", asked, draw))!;
    expect(inHand).toBeGreaterThan(0);
    expect(inHand).toBeLessThan(0.8);
    for (const { onTarget } of stops) expect(onTarget).toBeLessThanOrEqual(inHand);
    expect(decideBy).toBeNull();
  });

  it("are those of each date's own model, day by day, the last that keeps the confidence found by halving", async () => {
    const rows = rowsWith({
      quotes: [
        // It cannot be ordered before a day of its own, which the first stop dates come before.
        {
          ...quote("forge", "anchor", 110, { leadLeast: 90, leadLikely: 110, leadMost: 130 }),
          orderFrom: addDays(MONDAY, 10),
        },
      ],
    });
    const onDay = (day: number) => {
      const model = modelWithStop(rows, "anchor", addDays(MONDAY, day), MONDAY);
      return { date: addDays(MONDAY, day), onTarget: runs(model), daysLate: late(model) };
    };
    const wide = [0, 5, 40, 100].map(onDay);
    const everyDay = Array.from({ length: 101 }, (_, day) => onDay(day));
    const confidence = everyDay[30]!.onTarget;
    const keeps = (day: number) => everyDay[day]!.onTarget >= confidence;
    expect([5, 40, 100].map(keeps)).toEqual([true, false, false]);
    let [last, beyond] = [5, 40];
    while (beyond - last > 1) {
      const middle = Math.floor((last + beyond) / 2);
      if (keeps(middle)) last = middle;
      else beyond = middle;
    }
    const found = (await huntOdds(
      rows,
      "anchor",
      { dates: wide.map(({ date }) => date), confidence, figuresFor: MONDAY },
      draw,
    ))!;
    expect(found).toEqual({
      stops: wide,
      inHand: runs(modelWithStop(rows, "anchor", null, MONDAY)),
      decideBy: everyDay[last]!,
    } satisfies HuntOdds);
    expect(wide).not.toContainEqual(found.decideBy);
    const first = modelWithStop(rows, "anchor", MONDAY, MONDAY);
    for (const day of [0, 9, 10, 11, 57])
      expect(stoppingOn(first, "part:anchor", day)).toEqual(
        modelWithStop(rows, "anchor", addDays(MONDAY, day), MONDAY),
      );
  });

  it("ask what the hunt would give although a quote is chosen, and nothing where it decides nothing", async () => {
    const chosen = rowsWith({ parts: [part("anchor", { fallbackQuoteId: "forge", chosenQuoteId: "forge" })] });
    expect(await huntOdds(chosen, "anchor", asked, draw)).toEqual(await huntOdds(rowsWith(), "anchor", asked, draw));
    expect(await huntOdds(rowsWith({ parts: [part("anchor")] }), "anchor", asked, draw)).toBeNull();
    expect(await huntOdds(rowsWith({ hunts: [] }), "anchor", asked, draw)).toBeNull();
  });
});

describe("a hunted part in the runs", () => {
  const arrivalsWith = (more: Parameters<typeof rowsWith>[0]) => {
    const model = oddsModel(rowsWith(more), MONDAY);
    return arrivalsOf(oddsOf(model, { seed: 1, tolerance: 0, maxSamples: RUNS }));
  };
  const hunting = (stopDate: string | null) => ({ hunts: [hunt("anchor", { id: "h", ...hunted, stopDate })] });

  it("is drawn without a stop date too: found by a day as often as its own curve says, and never in hand at once", () => {
    for (const more of [{ quotes: [], parts: [part("anchor")] }, { parts: [part("anchor")] }, {}]) {
      const arrivals = arrivalsWith({ ...hunting(null), ...more });
      expect(arrivals[0]!.day).toBeGreaterThan(hunted.leadDays);
      const by = (day: number) => arrivals.reduce((sum, at) => sum + (at.day <= day ? at.runs : 0), 0) / RUNS;
      // Shape 1 over ten weeks, and a swap meet on day 30 with three chances in ten; a week from the find to the shop.
      for (const day of [14, 29, 70, 140])
        expect(Math.abs(by(day + 7) - (1 - (10 / (10 + day / 7)) * (day >= 30 ? 0.7 : 1)))).toBeLessThan(NEAR);
    }
  });

  it("is got by its fallback after the stop date, and is drawn no more once something is chosen", () => {
    expect(arrivalsWith(hunting(addDays(MONDAY, 28))).at(-1)!.day).toBe(88);
    const chosen = part("anchor", { chosenQuoteId: "forge", fallbackQuoteId: "forge" });
    expect(arrivalsWith({ ...hunting(null), parts: [chosen] })).toEqual([{ day: 60, runs: RUNS }]);
  });
});

describe("what a stop date comes to", () => {
  const stop = { costMinor: 10_000, points: 1.5 };
  const prices = { pricePerDayMinor: 500, pricePerPointMinor: 2_000 };

  it("is its expected cost, and its days past the target and points at their prices", () => {
    // 100.00 + 12.4 days at 5.00 + 1.5 points at 20.00.
    expect(stopTotal(stop, { daysLate: 12.4 }, prices)).toBe(19_200);
    expect(stopTotal(stop, { daysLate: 12.4 }, { ...prices, pricePerPointMinor: null })).toBe(16_200);
    expect(stopTotal(stop, { daysLate: null }, { ...prices, pricePerDayMinor: null })).toBe(13_000);
  });

  it("is not said without a price, a cost, or an end", () => {
    expect(stopTotal(stop, { daysLate: 1 }, { pricePerDayMinor: null, pricePerPointMinor: null })).toBeNull();
    expect(stopTotal({ ...stop, costMinor: null }, { daysLate: 1 }, prices)).toBeNull();
    expect(stopTotal(stop, { daysLate: null }, prices)).toBeNull();
  });
});
