/** Order days that hold together: judged by the runs that they were found in, and by fresh ones. */
import { describe, expect, it } from "vitest";
import { dayQuantile } from "../../server/engine/odds/days.ts";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import { chanceKept, orderPolicy } from "../../server/engine/odds/orderPolicy.ts";
import { orderSlack } from "../../server/engine/odds/orderSlack.ts";
import type { OrderRoute, UncertainModel, Wait } from "../../server/engine/odds/uncertainty.ts";
import { uncertain } from "../support/uncertain.ts";

const pert = (low: number, likely: number, high: number): Wait => ({ kind: "PERT", estimate: { low, likely, high } });
const SAMPLES = 4096;
/** Three standard errors of a share of so many runs. */
const near = (samples: number): number => 1.5 / Math.sqrt(samples);

/** Twelve parts of four makers, each for a step of its own in two chains with a cure of four days between them, and a hunt. */
const PARTS = Array.from({ length: 12 }, (_, i) => `part ${i}`);
const steps = PARTS.map((_, i) => `step ${i}`);
const route = (i: number): OrderRoute => ({
  kind: "ORDER",
  orderDay: i === 5 ? 9 : 0,
  wait: i % 3 === 0 ? pert(20, 30 + i, 90) : { kind: "LOGNORMAL", mu: Math.log(25 + 4 * i), sigma: 0.3 },
  ...(i % 3 === 0 ? {} : { maker: `maker ${i % 4}` }),
  ...(i === 7 ? { failure: 0.1, fallback: { kind: "ORDER", orderDay: 0, wait: pert(10, 20, 40) } } : {}),
});
const model: UncertainModel = uncertain({
  nodes: [
    ...steps.map((id) => ({ id, hours: { low: 4, likely: 8, high: 30 } })),
    ...[...PARTS, "hunted"].map((id) => ({ id, hours: 0 })),
  ],
  links: [
    ...PARTS.map((before, i) => ({ before, after: steps[i]!, lag: 0, lagInDays: false })),
    { before: "hunted", after: "step 3", lag: 0, lagInDays: false },
    ...[0, 1, 2, 3, 4].map((i) => ({ before: steps[i]!, after: steps[i + 1]!, lag: 0, lagInDays: false })),
    ...[6, 7, 8, 9, 10].map((i) => ({
      before: steps[i]!,
      after: steps[i + 1]!,
      lag: i === 8 ? 4 : 2,
      lagInDays: i === 8,
    })),
  ],
  holdUps: [
    ...PARTS.map((node, i) => ({ node, route: route(i) })),
    {
      node: "hunted",
      route: {
        kind: "HUNT",
        shape: 1,
        weeks: 4,
        events: [{ day: 20, chance: 0.3 }],
        wait: { kind: "FIXED", days: 3 },
        stopDay: 40,
        fallback: { kind: "ORDER", orderDay: 40, wait: pert(10, 20, 40) },
      },
    },
  ],
  makers: [0, 1, 2, 3].map((i) => ({ id: `maker ${i}`, lateness: 0.25 })),
});
const first = PARTS.map((_, i) => route(i).orderDay);

/** The model with each part ordered on a day of its own. */
const ordered = (days: ArrayLike<number>, targetDay: number): UncertainModel => ({
  ...model,
  targetDay,
  holdUps: model.holdUps.map(({ node, route: own }) => {
    const place = PARTS.indexOf(node);
    return { node, route: place < 0 ? own : { ...(own as OrderRoute), orderDay: days[place]! } };
  }),
});
const onTarget = (days: ArrayLike<number>, end: number, seed: number, samples: number): number =>
  oddsOf(ordered(days, end), { seed, tolerance: 0, maxSamples: samples }).onTarget!;

const atOnce = oddsOf(model, { seed: 1, tolerance: 0, maxSamples: SAMPLES });
const ends = [0.05, 0.5, 0.8, 0.9, 0.99].map((p) => dayQuantile(atOnce.ends, p));
const slacks = orderSlack(model, PARTS, ends, { seed: 1, samples: SAMPLES });

describe("the slack of orders", () => {
  it("keeps an end in just the runs in which the machine is finished by it, whatever is ordered when", () => {
    // The part whose fallback follows it moves its fallback too; all others exactly.
    for (const days of [first, first.map((day, i) => day + 3 * i), first.map((day, i) => day + ((i * 7) % 5) * 6)])
      ends.forEach((end, e) => {
        expect(chanceKept(slacks[e]!, days)).toBe(onTarget(days, end, 1, SAMPLES));
      });
  });
});

describe("order days at a chance", () => {
  for (const asked of [0.5, 0.8, 0.9])
    it(`keep the end together ${asked * 100} times in 100, in fresh runs too`, () => {
      // A fortnight's grace past the end that ordering everything at once just holds.
      const end = dayQuantile(atOnce.ends, asked) + 14;
      const [slack] = orderSlack(model, PARTS, [end], { seed: 1, samples: SAMPLES });
      const policy = orderPolicy(slack!, first, asked)!;
      expect(policy.chance).toBeGreaterThanOrEqual(asked);
      expect(policy.chance).toBeLessThan(asked + 0.01);
      expect(policy.chance).toBe(onTarget(policy.days, end, 1, SAMPLES));
      const fresh = onTarget(policy.days, end, 20_261_129, 8 * SAMPLES);
      expect(Math.abs(fresh - asked)).toBeLessThan(near(SAMPLES) + near(8 * SAMPLES));
      // Each part's own quantile, which is what stands there without the others, holds far less often together.
      const own = slack!.lastDay.map((days, p) =>
        Math.max(first[p]!, days.slice().sort()[Math.floor((1 - asked) * SAMPLES)]!),
      );
      expect(chanceKept(slack!, own)).toBeLessThan(asked - 0.1);
    });

  it("are none of them after the day that is said, and keep the end no less often for it", () => {
    const end = dayQuantile(atOnce.ends, 0.8) + 60;
    const [slack] = orderSlack(model, PARTS, [end], { seed: 1, samples: SAMPLES });
    const free = orderPolicy(slack!, first, 0.8)!;
    const said = first.map((day, i) => day + 5 * i);
    const { days, chance } = orderPolicy(slack!, first, 0.8, said)!;
    expect(free.days.some((day, p) => day > said[p]!)).toBe(true);
    expect(days.every((day, p) => day <= said[p]! && day >= first[p]!)).toBe(true);
    expect(chance).toBe(chanceKept(slack!, days));
    expect(chance).toBeGreaterThanOrEqual(0.8);
  });

  it("say what a week longer costs for each part, the others on their days", () => {
    const end = dayQuantile(atOnce.ends, 0.8) + 14;
    const [slack] = orderSlack(model, PARTS, [end], { seed: 1, samples: SAMPLES });
    const { days, weekLater } = orderPolicy(slack!, first, 0.8)!;
    for (const p of [0, 4, 7, 11]) {
      const later = days.map((day, i) => (i === p ? day + 7 : day));
      expect(weekLater[p]).toBe(onTarget(later, end, 1, SAMPLES));
    }
  });

  it("are none where ordering everything at once falls short", () => {
    expect(orderPolicy(slacks[0]!, first, 0.8)).toBeNull();
    expect(orderPolicy(slacks[3]!, first, 0.8)).not.toBeNull();
  });
});
