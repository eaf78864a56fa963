import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { Arrival, ChoiceInput } from "../../server/engine/choice/input.ts";
import { ChoiceStopped, chosenIn, quoteChoice } from "../../server/engine/choice/quoteChoice.ts";
import { Network } from "../../server/engine/network/network.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";
import {
  anyChoice,
  choiceInput,
  everyPlan,
  type Figure,
  figures,
  figuresOf,
  pair,
  round,
  rounded,
  type SmallChoice,
  undominated,
} from "../support/choices.ts";
import { shopCalendar } from "../support/networks.ts";

const calendar = shopCalendar();

describe("against every plan there is, one by one", () => {
  it.each([
    { parts: 4, ways: 0, runs: 150 },
    { parts: 3, ways: 3, runs: 200 },
  ])("finds all undominated plans by date, cost and points: up to $parts parts, $ways operations with ways", (size) => {
    fc.assert(
      fc.property(anyChoice(size), (choice) => {
        const found = quoteChoice(choiceInput(choice, calendar));
        expect(figures(found)).toEqual(undominated(everyPlan(choice, calendar, true), true));
      }),
      { numRuns: size.runs },
    );
  });

  it("finds all undominated plans by exact hour", () => {
    fc.assert(
      fc.property(anyChoice({ parts: 3, ways: 2 }), (choice) => {
        const found = quoteChoice(choiceInput(choice, calendar), { end: "hour" });
        expect(figures(found)).toEqual(undominated(rounded(everyPlan(choice, calendar, false)), true));
      }),
      { numRuns: 150 },
    );
  });

  it.each(["date", "hour"] as const)("finds all undominated plans by %s and cost, whatever they lose", (end) => {
    fc.assert(
      fc.property(anyChoice({ parts: 3, ways: 3 }), (choice) => {
        const found = quoteChoice(choiceInput(choice, calendar), { end, withPoints: false });
        const all = rounded(everyPlan(choice, calendar, end === "date"));
        expect(figures(found).map(pair)).toEqual(undominated(all, false).map(pair));
      }),
      { numRuns: 250 },
    );
  });

  it("finds all undominated plans by date and cost where a point lost has a price", () => {
    fc.assert(
      fc.property(anyChoice({ parts: 3, ways: 3 }), fc.constantFrom(0, 1, 3), (choice, pointPrice) => {
        const found = quoteChoice(choiceInput(choice, calendar), { pointPrice });
        const together = (plan: Figure): Figure => ({ ...plan, cost: plan.cost + plan.points * pointPrice });
        const all = everyPlan(choice, calendar, true).map(together);
        expect(figures(found).map(together).map(pair)).toEqual(undominated(all, false).map(pair));
      }),
      { numRuns: 250 },
    );
  });

  it("chooses options that have the figures of their plan, and keeps to what is kept and ruledOut", () => {
    fc.assert(
      fc.property(anyChoice({ parts: 3, ways: 2 }), fc.boolean(), (choice, withPoints) => {
        const found = quoteChoice(choiceInput(choice, calendar), { end: "hour", withPoints });
        const all = [...choice.arrivals, ...choice.operations];
        figures(found).forEach((figure, plan) => {
          const picks = all.map((_, i) => found.picks[plan * all.length + i]!);
          const own = figuresOf(choice, calendar, picks);
          expect({ ...own, end: round(own.end) }).toEqual(figure);
          all.forEach(({ options }, i) => {
            expect(options[picks[i]!]!.ruledOut).toBeFalsy();
            if (options.some((o) => o.kept && !o.ruledOut)) expect(options[picks[i]!]!.kept).toBe(true);
          });
        });
      }),
      { numRuns: 100 },
    );
  });

  it("answers within the limits what the best of all plans answers, and else by how much each limit is missed", () => {
    fc.assert(
      fc.property(
        anyChoice({ parts: 3, ways: 2 }),
        fc.record({
          end: fc.integer({ min: 0, max: 40 }),
          cost: fc.integer({ min: 0, max: 900 }),
          points: fc.constantFrom(0, 100, 300),
        }),
        (choice, limits) => {
          const { answers, ...found } = quoteChoice({ ...choiceInput(choice, calendar), limits });
          const all = everyPlan(choice, calendar, true);
          type Measure = "end" | "cost" | "points";
          // No number of points is as bad as no award.
          const measureOf = (plan: Figure, of: Measure): number => plan[of] + (of === "points" && plan.out ? 1e6 : 0);
          const least = (measure: Measure, keep: Measure[]): number =>
            Math.min(
              ...all
                .filter((plan) => keep.every((k) => measureOf(plan, k) <= limits[k]))
                .map((p) => measureOf(p, measure)),
            );
          const plans = figures({ ...found, answers });
          const missing = (points: number, limit: Measure): number =>
            points < 1e6 ? Math.max(0, points - limits[limit]) : Number.POSITIVE_INFINITY;
          for (const [answer, measure, keep] of [
            [answers.cheapestByTarget, "cost", ["end", "points"]],
            [answers.earliestWithinCap, "end", ["cost", "points"]],
            [answers.mostPointsWithinBoth!, "points", ["end", "cost"]],
          ] as const) {
            const best = least(measure, [...keep]);
            if (best < Number.POSITIVE_INFINITY) {
              const plan = plans[answer.plan!]!;
              expect(measureOf(plan, measure)).toBe(best);
              for (const k of keep) expect(measureOf(plan, k)).toBeLessThanOrEqual(limits[k]);
              continue;
            }
            expect(answer.plan).toBeNull();
            if (found.end.length === 0) continue;
            expect(answer.misses).toEqual(
              keep.map((limit) => {
                const others = missing(
                  least(
                    limit,
                    keep.filter((k) => k !== limit),
                  ),
                  limit,
                );
                return {
                  limit,
                  alone: missing(least(limit, []), limit),
                  withOthers: others === Number.POSITIVE_INFINITY ? null : others,
                };
              }),
            );
          }
        },
      ),
      { numRuns: 150 },
    );
  });
});

describe("a radiator, a magneto and a body to trim", () => {
  const week = new ShopCalendar({ weekdayHours: [8, 8, 8, 8, 8, 0, 0], closedDates: [], figuresFor: "2026-11-23" });
  const network = new Network(
    [
      { id: "fit the radiator", hours: 8 },
      { id: "time the magneto", hours: 8 },
      { id: "trim the body", hours: 40 },
    ],
    [
      { before: "fit the radiator", after: "time the magneto", lag: 0, lagInDays: false },
      { before: "time the magneto", after: "trim the body", lag: 0, lagInDays: false },
    ],
    week,
  );
  const quote = (id: string, usable: number, cost: number, points: number, more: Partial<Arrival> = {}): Arrival => ({
    id,
    usable,
    preparation: 0,
    cost,
    points,
    ...more,
  });
  const shop = (more: Partial<ChoiceInput> = {}): ChoiceInput => ({
    network,
    arrivals: [
      {
        id: "radiator",
        section: 0,
        positions: [network.position("fit the radiator")],
        options: [quote("remade", 80, 90_000, 0), quote("later substitute", 0, 20_000, 400)],
      },
      {
        id: "magneto",
        section: 0,
        positions: [network.position("time the magneto")],
        options: [quote("original", 120, 60_000, 0), quote("reproduction", 40, 35_000, 300)],
      },
    ],
    operations: [
      {
        id: "trim",
        section: 0,
        position: network.position("trim the body"),
        options: [
          { id: "in the shop", time: 40, inDays: false, cost: 180_000, points: 0 },
          { id: "out of house", time: 3, inDays: true, cost: 260_000, points: 0 },
        ],
      },
    ],
    sectionCaps: [500],
    ...more,
  });

  it("lets a section lose no more than it can give", () => {
    const found = quoteChoice(shop());
    const quickest = [...found.end].indexOf(Math.min(...found.end));
    expect(chosenIn(found, quickest)).toEqual(["later substitute", "reproduction", "out of house"]);
    expect(found.points[quickest]).toBe(500);
  });

  it("says by how many days and how much money a target and a cap are missed", () => {
    const found = quoteChoice(shop({ limits: { end: 5, cost: 200_000 } }));
    expect(found.answers.cheapestByTarget).toEqual({ plan: null, misses: [{ limit: "end", alone: 5, withOthers: 5 }] });
    expect(found.answers.earliestWithinCap).toEqual({
      plan: null,
      misses: [{ limit: "cost", alone: 35_000, withOthers: 35_000 }],
    });
    expect(found.answers.mostPointsWithinBoth!.misses).toEqual([
      { limit: "end", alone: 5, withOthers: null },
      { limit: "cost", alone: 35_000, withOthers: null },
    ]);
  });

  it("has no plan while a part has no quote that may be taken, and names the part", () => {
    const [radiator, magneto] = shop().arrivals;
    const ruledOut = { ...magneto!, options: magneto!.options.map((option) => ({ ...option, ruledOut: true })) };
    const found = quoteChoice(shop({ arrivals: [radiator!, ruledOut] }));
    expect(found.open).toEqual(["magneto"]);
    expect(found.end).toHaveLength(0);
    expect(found.answers.cheapestByTarget).toEqual({ plan: null, misses: [] });
  });

  it("stops when told to", () => {
    let asked = 0;
    expect(() => quoteChoice(shop(), { stop: () => ++asked > 1 })).toThrow(ChoiceStopped);
    expect(asked).toBe(2);
  });

  it.each([
    ["a price with a fraction", quote("remade", 0, 0.5, 0), "NOT_WHOLE", "cost"],
    ["points gained", quote("remade", 0, 1, -50), "NEGATIVE", "points"],
    ["no hour of arrival", quote("remade", Number.NaN, 1, 0), "NOT_A_NUMBER", "usable"],
    ["preparation of less than nothing", quote("remade", 0, 1, 0, { preparation: -1 }), "NEGATIVE", "preparation"],
  ])("refuses %s and names the quote and the field", (_, option, code, field) => {
    const part = { id: "radiator", section: 0, positions: [0], options: [option] };
    expect(() => quoteChoice(shop({ arrivals: [part] }))).toThrow(
      expect.objectContaining({ code, field, rows: ["radiator", "remade"] }),
    );
  });

  it("gives the same plans whatever the currency's smallest unit", () => {
    const small: SmallChoice[] = fc.sample(anyChoice({ parts: 3, ways: 2 }), { numRuns: 20, seed: 11 });
    for (const choice of small) {
      const input = choiceInput(choice, calendar);
      const dearer = <T extends { options: readonly { cost: number }[] }>(all: readonly T[]): T[] =>
        all.map((c) => ({ ...c, options: c.options.map((o) => ({ ...o, cost: 1000 * o.cost })) }));
      const scaled = quoteChoice({ ...input, arrivals: dearer(input.arrivals), operations: dearer(input.operations) });
      const found = quoteChoice(input);
      expect(figures(scaled)).toEqual(figures(found).map((f) => ({ ...f, cost: 1000 * f.cost })));
    }
  });
});
