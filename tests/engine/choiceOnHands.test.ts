/** Choosing on one hand that does every job, by every order of its work and every plan there is. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { ChoiceInput } from "../../server/engine/choice/input.ts";
import { choiceOnHands } from "../../server/engine/choice/onHands.ts";
import { ChoiceStopped, type QuoteChoice, quoteChoice } from "../../server/engine/choice/quoteChoice.ts";
import { Network } from "../../server/engine/network/network.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { hours } from "../../server/engine/time/units.ts";

interface Job {
  hours: number;
  options: { usable: number; cost: number; points: number }[];
}

const calendar = new ShopCalendar({ weekdayHours: [1, 1, 1, 1, 1, 1, 1], closedDates: [], figuresFor: "2026-11-23" });

const inputOf = (jobs: readonly Job[]): ChoiceInput => {
  const network = new Network(
    jobs.map((job, i) => ({ id: `job${i}`, hours: job.hours })),
    [],
    calendar,
  );
  return {
    network,
    arrivals: jobs.map(({ options }, i) => ({
      id: `part${i}`,
      section: null,
      positions: [network.position(`job${i}`)],
      options: options.map((option, o) => ({ id: `${o}`, preparation: 0, ...option })),
    })),
    operations: [],
    sectionCaps: [],
  };
};

/** The best that one hand can do, whichever job it begins with. */
function endOf(jobs: readonly Job[], picks: ArrayLike<number>): number {
  const best = (left: readonly number[], from: number): number =>
    left.length === 0
      ? from
      : Math.min(
          ...left.map((job) => {
            const { hours: work, options } = jobs[job]!;
            const rest = left.filter((other) => other !== job);
            return best(rest, Math.max(from, options[picks[job]!]!.usable) + work);
          }),
        );
  return calendar.finishDay(hours(best([...jobs.keys()], 0)));
}

interface Plan {
  end: number;
  cost: number;
  points: number;
  picks: number[];
}
const plansOf = ({ end, cost, points, picks, choices }: QuoteChoice): Plan[] =>
  Array.from(end, (_, p) => ({
    end: end[p]!,
    cost: cost[p]!,
    points: points[p]!,
    picks: [...picks.slice(p * choices.length, (p + 1) * choices.length)],
  }));

function everyPlan(jobs: readonly Job[]): Plan[] {
  const all = jobs.reduce<number[][]>(
    (some, { options }) => some.flatMap((picks) => options.map((_, o) => [...picks, o])),
    [[]],
  );
  return all.map((picks) => {
    const sum = (of: "cost" | "points"): number => picks.reduce((s, pick, i) => s + jobs[i]!.options[pick]![of], 0);
    return { end: endOf(jobs, picks), cost: sum("cost"), points: sum("points"), picks };
  });
}

const beats = (a: Plan, b: Plan): boolean =>
  a.end <= b.end &&
  a.cost <= b.cost &&
  a.points <= b.points &&
  (a.end < b.end || a.cost < b.cost || a.points < b.points);

const jobs: fc.Arbitrary<Job[]> = fc.array(
  fc.record({
    hours: fc.integer({ min: 1, max: 5 }),
    options: fc.array(fc.record({ usable: fc.nat(9), cost: fc.nat(30), points: fc.constantFrom(0, 0, 100) }), {
      minLength: 1,
      maxLength: 3,
    }),
  }),
  { minLength: 2, maxLength: 4 },
);

const onHands = (of: readonly Job[], most = 1_000): QuoteChoice => {
  const input = inputOf(of);
  return choiceOnHands(input, quoteChoice(input), { endOf: (picks) => endOf(of, picks), inForce: null, most });
};

describe("plans on one hand", () => {
  it("hold the best that the front of free hands has lost: two parts of which one need come early", () => {
    const part = {
      hours: 3,
      options: [
        { usable: 2, cost: 10, points: 0 },
        { usable: 5, cost: 0, points: 0 },
      ],
    };
    const both = [part, part];
    expect(plansOf(quoteChoice(inputOf(both))).map(({ cost }) => cost)).toEqual([20, 0]);
    // Both early end no sooner than one: the hand is at the first while the second still travels.
    expect(plansOf(onHands(both)).map(({ end, cost }) => ({ end, cost }))).toEqual([
      { end: 7, cost: 10 },
      { end: 10, cost: 0 },
    ]);
  });

  it("end as the hand ends them, and no change of one choice makes any of them better", () => {
    let exact = 0;
    let all = 0;
    fc.assert(
      fc.property(jobs, (of) => {
        const found = plansOf(onHands(of));
        const every = everyPlan(of);
        for (const plan of found) {
          expect(plan.end).toBe(endOf(of, plan.picks));
          const near = every.filter(({ picks }) => picks.filter((pick, i) => pick !== plan.picks[i]).length === 1);
          expect(near.filter((one) => beats(one, plan))).toEqual([]);
          expect(found.some((other) => beats(other, plan))).toBe(false);
          all += 1;
          if (!every.some((one) => beats(one, plan))) exact += 1;
        }
      }),
      { numRuns: 200, seed: 12 },
    );
    // Not promised, and so it is: hardly any is beaten by a plan further away.
    expect(exact / all).toBeGreaterThan(0.98);
  });

  it("are bounded: nothing that costs no more and loses no more points ends before what is said", () => {
    fc.assert(
      fc.property(jobs, (of) => {
        const found = onHands(of);
        plansOf(found).forEach(({ end, cost, points }, p) => {
          expect(found.bound[p]).toBeLessThanOrEqual(end);
          for (const one of everyPlan(of))
            if (one.cost <= cost && one.points <= points) expect(one.end).toBeGreaterThanOrEqual(found.bound[p]!);
        });
      }),
      { numRuns: 100 },
    );
  });

  it("are those of the front where the hand has nothing else to do", () => {
    fc.assert(
      fc.property(jobs, ([job]) => {
        const one = [job!];
        const found = plansOf(onHands(one));
        expect(found).toEqual(plansOf(quoteChoice(inputOf(one))));
      }),
    );
  });

  it("are put on it no oftener than is asked, spread over the front", () => {
    const many = Array.from({ length: 5 }, (_, i) => ({
      hours: 2,
      options: [0, 1, 2].map((o) => ({ usable: 3 * o, cost: 40 - 20 * o + i * o, points: 0 })),
    }));
    const input = inputOf(many);
    const front = quoteChoice(input);
    let scheduled = 0;
    choiceOnHands(input, front, {
      endOf: (picks) => {
        scheduled += 1;
        return endOf(many, picks);
      },
      inForce: null,
      most: 4,
    });
    expect(scheduled).toBeLessThanOrEqual(4);
  });

  it("can be stopped between two of them", () => {
    const part = {
      hours: 3,
      options: [
        { usable: 2, cost: 10, points: 0 },
        { usable: 5, cost: 0, points: 0 },
      ],
    };
    const input = inputOf([part, part]);
    const stop = (share: number): boolean => share > 0;
    expect(() => choiceOnHands(input, quoteChoice(input), { endOf: () => 9, inForce: null, most: 10, stop })).toThrow(
      ChoiceStopped,
    );
  });
});
