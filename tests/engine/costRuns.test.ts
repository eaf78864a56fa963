/** What the runs cost, against the dates of the very same runs and against means worked out by hand. */
import { describe, expect, it } from "vitest";
import { costRuns, type RunPrices } from "../../server/engine/money/costRuns.ts";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import { NEVER, type UncertainModel } from "../../server/engine/odds/uncertainty.ts";
import { uncertain } from "../support/uncertain.ts";

const SEED = 7;
const runsOf = (model: UncertainModel) => oddsOf(model, { seed: SEED, tolerance: 0, maxSamples: 4096 });
const prices = (of: Partial<RunPrices>): RunPrices => ({ rates: new Map(), routes: new Map(), ...of });
const FIXED = (days: number) => ({ kind: "FIXED", days }) as const;

describe("the cost of runs", () => {
  it("charges the hours that the same run took for its date", () => {
    const model = uncertain({ nodes: [{ id: "bore", hours: { low: 8, likely: 12, high: 40 } }] });
    const { runs } = runsOf(model);
    const { beyondPlan, never } = costRuns(model, prices({ rates: new Map([["bore", 4_200]]) }), {
      seed: SEED,
      samples: runs.capacity,
    });
    expect(never).toBe(0);
    // One piece of work from the start: a run's end is its hours.
    expect([...beyondPlan]).toEqual([...runs.endHours].map((hours) => Math.round((hours - 12) * 4_200) + 0));
    // PERT's mean is (8 + 4 * 12 + 40) / 6 = 16 hours; its deviation is under 32 / 6.
    const mean = beyondPlan.reduce((sum, amount) => sum + amount, 0) / beyondPlan.length;
    expect(Math.abs(mean - 4 * 4_200)).toBeLessThan((4 * 4_200 * (32 / 6)) / Math.sqrt(beyondPlan.length));
  });

  it("pays for the next way where an order came to nothing in that run, and counts what was lost", () => {
    const model = uncertain({
      nodes: [{ id: "casing", hours: 0 }],
      holdUps: [
        {
          node: "casing",
          route: {
            kind: "ORDER",
            orderDay: 0,
            wait: FIXED(10),
            failure: 0.3,
            fallback: { kind: "ORDER", orderDay: 0, wait: FIXED(40) },
          },
        },
      ],
    });
    const { runs } = runsOf(model);
    // Planned at 50,000 with 12,000 in advance, and the other way costs 70,000.
    const routes = new Map([
      [
        "casing",
        [
          { brings: 0, fails: 12_000 - 50_000 },
          { brings: 70_000, fails: 0 },
        ],
      ],
    ]);
    const { beyondPlan } = costRuns(model, prices({ routes }), { seed: SEED, samples: runs.capacity });
    expect([...beyondPlan]).toEqual([...runs.arrivalDay].map((day) => (day > 10 ? 32_000 : 0)));
    expect(new Set(beyondPlan)).toEqual(new Set([0, 32_000]));
  });

  it("spares the order in the runs in which a hunt finds something before its stop date", () => {
    const model = uncertain({
      nodes: [{ id: "lamp", hours: 0 }],
      holdUps: [
        {
          node: "lamp",
          route: {
            kind: "HUNT",
            shape: 2,
            weeks: 20,
            events: [{ day: 14, chance: 0.25 }],
            wait: FIXED(0),
            stopDay: 60,
            fallback: { kind: "ORDER", orderDay: 0, wait: FIXED(90) },
          },
        },
      ],
    });
    const { runs } = runsOf(model);
    const routes = new Map([["lamp", [{ brings: -4_000, fails: 0 }]]]);
    const { beyondPlan } = costRuns(model, prices({ routes }), { seed: SEED, samples: runs.capacity });
    expect([...beyondPlan]).toEqual([...runs.arrivalDay].map((day) => (day <= 60 ? -4_000 : 0)));
    expect(new Set(beyondPlan).size).toBe(2);
  });

  it("leaves out the runs that never end, and says how many", () => {
    const model = uncertain({
      nodes: [
        { id: "chain", hours: 0 },
        { id: "run", hours: { low: 1, likely: 2, high: 4 } },
      ],
      holdUps: [{ node: "chain", route: { kind: "ORDER", orderDay: 0, wait: FIXED(5), failure: 0.2 } }],
    });
    const found = runsOf(model);
    const cost = costRuns(model, prices({ rates: new Map([["run", 100]]) }), {
      seed: SEED,
      samples: found.samples,
    });
    expect(cost.never).toBe(found.ends.find(({ day }) => day === NEVER)!.runs);
    expect(cost.never + cost.beyondPlan.length).toBe(found.samples);
  });
});
