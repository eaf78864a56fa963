import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { forwardPass, longestPaths } from "../../server/engine/network/criticalPath.ts";
import { ladder } from "../../server/engine/network/ladder.ts";
import { Network } from "../../server/engine/network/network.ts";
import {
  arrivalFigures,
  countDays,
  DayTally,
  dayQuantile,
  quantileError,
  ranksOf,
} from "../../server/engine/odds/days.ts";
import { hoursQuantile, oddsOf } from "../../server/engine/odds/odds.ts";
import { BLOCK } from "../../server/engine/odds/runs.ts";
import {
  HORIZON,
  NEVER,
  UncertainFault,
  type UncertainModel,
  type Wait,
} from "../../server/engine/odds/uncertainty.ts";
import { days } from "../../server/engine/time/units.ts";
import { anyNetwork, shopCalendar } from "../support/networks.ts";
import { arrivalsOf, follows, uncertain } from "../support/uncertain.ts";

const fixed = (d: number): Wait => ({ kind: "FIXED", days: d });
const pert = (low: number, likely: number, high: number): Wait => ({ kind: "PERT", estimate: { low, likely, high } });
const few = { seed: 5, tolerance: 0, maxSamples: 4 * BLOCK };
const many = { seed: 5, tolerance: 0, maxSamples: 200 * BLOCK };

describe("estimates that are all fixed", () => {
  const calendarInput = {
    weekdayHours: [7.5, 7.5, 7.5, 7.5, 4, 0, 0],
    closedDates: ["2026-12-24", "2026-12-25", "2026-12-28", "2027-01-01", "2027-03-26", "2027-03-29"],
    figuresFor: "2026-11-23",
  };
  const lag = fc.integer({ min: -4, max: 12 });
  const networks = fc.boolean().chain((hands) => anyNetwork({ lagInDays: true, lag, hands }));
  const waits = fc.array(fc.integer({ min: 0, max: 60 }), { minLength: 14, maxLength: 14 });
  const calendar = shopCalendar();

  it("end when the forward pass says, cost what the ladder says, and bind on the longest paths", () => {
    fc.assert(
      fc.property(networks, waits, (plain, lead) => {
        const arrivals = plain.nodes.slice(0, 14).map((_, i) => ({ id: `arrival ${i}`, hours: 0 }));
        const nodes = plain.nodes.map(({ release: _, ...node }) => node);
        const links = [...plain.links, ...arrivals.map(({ id }, i) => follows(id, plain.nodes[i]!.id))];
        const released = arrivals.map((a, i) => ({ ...a, release: calendar.usableAfterArrival(days(lead[i]!)) }));
        const network = new Network([...nodes, ...released], links, calendar);
        const forward = forwardPass(network);
        const { end } = forward;
        const critical = longestPaths(network, forward);
        const rungs = ladder(
          network,
          arrivals.map(({ id }) => network.position(id)),
        );
        const odds = oddsOf(
          uncertain({
            calendar: calendarInput,
            nodes: [...nodes, ...arrivals],
            links,
            holdUps: arrivals.map(({ id }, i) => ({
              node: id,
              route: { kind: "ORDER", orderDay: 0, wait: fixed(lead[i]!) },
            })),
          }),
          { seed: 1, maxSamples: BLOCK },
        );
        expect(odds.runs.endHours[0]).toBeCloseTo(end, 9);
        expect(odds.ends).toHaveLength(1);
        const top = rungs.rungs.filter(({ length }) => Math.abs(length - rungs.end) <= 1e-6);
        const day = (w: number): number => (w <= 0 ? 0 : calendar.finishDay(w as never));
        for (const { node, setsEnd, meanDays, evenOddsDays } of odds.holdUps) {
          const p = network.position(node);
          expect(setsEnd).toBe(critical[p] && network.release[p]! > 0 ? 1 : 0);
          const next = rungs.rungs[1]?.length ?? rungs.work.end;
          const cost = top.length === 1 && top[0]!.position === p ? day(end) - day(next) : 0;
          expect(meanDays).toBe(cost);
          expect(evenOddsDays).toBe(cost);
        }
      }),
      { numRuns: 150 },
    );
  });
});

describe("series and parallel work against a convolution of densities", () => {
  /** Chances of 0, 1, 2 … steps of `step` hours for a PERT-beta estimate, its density from its formula. */
  const step = 0.01;
  const density = (low: number, likely: number, high: number): Float64Array => {
    const [a, b] = [1 + (4 * (likely - low)) / (high - low), 1 + (4 * (high - likely)) / (high - low)];
    const masses = new Float64Array(Math.round(high / step) + 1);
    let total = 0;
    for (let k = 0; k < masses.length; k++) {
      const x = (k * step - low) / (high - low);
      if (x > 0 && x < 1) masses[k] = x ** (a - 1) * (1 - x) ** (b - 1);
      total += masses[k]!;
    }
    return masses.map((mass) => mass / total);
  };
  const series = (f: Float64Array, g: Float64Array): Float64Array => {
    const sum = new Float64Array(f.length + g.length - 1);
    for (let i = 0; i < f.length; i++) if (f[i]! > 0) for (let j = 0; j < g.length; j++) sum[i + j]! += f[i]! * g[j]!;
    return sum;
  };
  const below = (f: Float64Array, length: number): number[] => {
    let passed = 0;
    return Array.from({ length }, (_, k) => {
      passed += f[k] ?? 0;
      return passed;
    });
  };
  const parallel = (f: Float64Array, g: Float64Array): Float64Array => {
    const length = Math.max(f.length, g.length);
    const [x, y] = [below(f, length), below(g, length)];
    return Float64Array.from({ length }, (_, k) => x[k]! * y[k]! - (k === 0 ? 0 : x[k - 1]! * y[k - 1]!));
  };
  const quantile = (f: Float64Array, p: number): number => below(f, f.length).findIndex((q) => q >= p) * step;

  it("has its quantiles, within four standard errors and the grid", () => {
    const estimates = { a: [2, 3, 7], b: [1, 4, 6], c: [4, 5, 12], d: [1, 1, 3], e: [2, 6, 6] } as const;
    const [a, b, c, d, e] = Object.values(estimates).map(([l, m, h]) => density(l, m, h)) as Float64Array[];
    // a, then b beside c, then d; e beside all of it.
    const whole = parallel(series(series(a!, parallel(b!, c!)), d!), e!);
    const odds = oddsOf(
      uncertain({
        nodes: Object.entries(estimates).map(([id, [low, likely, high]]) => ({ id, hours: { low, likely, high } })),
        links: [follows("a", "b"), follows("a", "c"), follows("b", "d"), follows("c", "d")],
      }),
      many,
    );
    for (const p of [0.1, 0.5, 0.8, 0.95]) {
      const at = quantile(whole, p);
      const slope = (quantile(whole, Math.min(0.99, p + 0.01)) - quantile(whole, p - 0.01)) / 0.02;
      const error = Math.sqrt((p * (1 - p)) / odds.samples) * slope;
      expect(Math.abs(hoursQuantile(odds.runs, p) - at)).toBeLessThan(4 * error + 2 * step);
    }
  });
});

describe("arrivals", () => {
  const arriving = (route: UncertainModel["holdUps"][number]["route"], more: Partial<UncertainModel> = {}) =>
    oddsOf(
      uncertain({
        nodes: [
          { id: "p", hours: 0 },
          { id: "fit", hours: 8 },
        ],
        links: [follows("p", "fit")],
        holdUps: [{ node: "p", route }],
        ...more,
      }),
      many,
    );
  const shareBy = (odds: ReturnType<typeof oddsOf>, day: number, holdUp = 0): number =>
    arrivalsOf(odds, holdUp).reduce((sum, { day: d, runs }) => sum + (d <= day ? runs : 0), 0) / odds.samples;
  const near = (share: number, chance: number, n: number): void =>
    expect(Math.abs(share - chance)).toBeLessThan(4.5 * Math.sqrt((chance * (1 - chance)) / n) + 1e-6);

  it("a part that arrives on a Saturday can be fitted on Monday", () => {
    const { ends } = arriving({ kind: "ORDER", orderDay: 0, wait: fixed(5) });
    expect(ends).toEqual([{ day: 7, runs: many.maxSamples }]);
  });

  it("a lognormal wait of median 20 days is in by day 20 in half of the runs", () => {
    const odds = arriving({ kind: "ORDER", orderDay: 0, wait: { kind: "LOGNORMAL", mu: Math.log(20), sigma: 0.4 } });
    near(shareBy(odds, 20), 0.5, odds.samples);
    // lognormal(log 20, 0.4) at 30: Phi(log 1.5 / 0.4) = 0.844631 (R).
    near(shareBy(odds, 30), 0.8446306, odds.samples);
    const [{ evenOddsArrival, fourInFiveArrival }] = odds.holdUps as [(typeof odds.holdUps)[number]];
    expect([evenOddsArrival, fourInFiveArrival]).toEqual([0.5, 0.8].map((p) => dayQuantile(arrivalsOf(odds), p)));
  });

  it("an order that has not come yet is later than one just placed: the wait behind it counts", () => {
    const wait = pert(10, 20, 60);
    const odds = arriving({ kind: "ORDER", orderDay: -30, wait });
    // By day 9, given more than 29 days: brute force over fresh orders.
    const fresh = arriving({ kind: "ORDER", orderDay: 0, wait });
    const more = (d: number): number => 1 - shareBy(fresh, d);
    const expected = 1 - more(39) / more(29);
    expect(Math.abs(shareBy(odds, 9) - expected)).toBeLessThan(0.02);
    expect(arrivalsOf(odds)[0]!.day).toBeGreaterThanOrEqual(0);
  });

  it("an order out for longer than its estimate allows may come any day", () => {
    expect(arrivalsOf(arriving({ kind: "ORDER", orderDay: -90, wait: pert(10, 20, 60) }))).toEqual([
      { day: 0, runs: many.maxSamples },
    ]);
  });

  it("a route that fails starts its fallback on the day it was due, and without one never comes", () => {
    const fallback = { kind: "ORDER", orderDay: 0, wait: fixed(30) } as const;
    const odds = arriving({ kind: "ORDER", orderDay: 0, wait: fixed(10), failure: 0.25, fallback });
    expect(arrivalsOf(odds).map(({ day }) => day)).toEqual([10, 40]);
    near(shareBy(odds, 10), 0.75, odds.samples);
    const alone = arriving({ kind: "ORDER", orderDay: 0, wait: fixed(10), failure: 0.25 });
    expect(arrivalsOf(alone).map(({ day }) => day)).toEqual([10, NEVER]);
    near(alone.never / alone.samples, 0.25, alone.samples);
    expect(dayQuantile(alone.ends, 0.8)).toBe(NEVER);
    expect(alone.standardError).toBe(Number.POSITIVE_INFINITY);
  });

  it("a maker's orders are late together, and one that is out already says something about the others", () => {
    const order = (orderDay: number) => ({ kind: "ORDER", orderDay, wait: fixed(20), maker: "m" }) as const;
    const two = uncertain({
      nodes: [
        { id: "p", hours: 0 },
        { id: "q", hours: 0 },
      ],
      makers: [{ id: "m", lateness: 0.3 }],
      holdUps: [
        { node: "p", route: order(0) },
        { node: "q", route: order(0) },
      ],
    });
    const together = oddsOf(two, many);
    const [p, q] = [0, 1].map((h) => together.runs.arrivalDay.subarray(h * many.maxSamples, (h + 1) * many.maxSamples));
    expect(p).toEqual(q);
    near(shareBy(together, 20), 0.5, together.samples);
    // q went out 25 days ago and has not come: the factor is above 24 / 20 in every run.
    const late = oddsOf({ ...two, holdUps: [two.holdUps[0]!, { node: "q", route: order(-25) }] }, many);
    expect(arrivalsOf(late)[0]!.day).toBeGreaterThanOrEqual(24);
    // Normal score above log(1.2) / 0.3: given that, up to 30 days is (Phi(1.351550) - Phi(0.607738)) / (1 - Phi(0.607738)) (R).
    near(shareBy(late, 30), (0.9117402 - 0.7283194) / (1 - 0.7283194), late.samples);
  });

  it("a hunt's find has the survival of its rate and its events, then the fallback of the stop day", () => {
    const odds = arriving({
      kind: "HUNT",
      shape: 2,
      weeks: 20,
      events: [{ day: 30, chance: 0.4 }],
      wait: fixed(0),
      stopDay: 60,
      fallback: { kind: "ORDER", orderDay: 0, wait: fixed(100) },
    });
    const left = (day: number): number => (20 / (20 + day / 7)) ** 2 * (day >= 30 ? 0.6 : 1);
    for (const day of [1, 10, 29, 30, 45, 60]) near(1 - shareBy(odds, day), left(day), odds.samples);
    expect(arrivalsOf(odds).at(-1)).toMatchObject({ day: 160 });
    near(arrivalsOf(odds).at(-1)!.runs / odds.samples, left(60), odds.samples);
  });

  it("a hunt without an end may never find anything", () => {
    const odds = arriving({ kind: "HUNT", shape: 0.3, weeks: 50, events: [], wait: fixed(7) });
    near(odds.never / odds.samples, (50 / (50 + (HORIZON - 7) / 7)) ** 0.3, odds.samples);
  });
});

describe("the odds", () => {
  const model = uncertain({
    nodes: [
      { id: "p", hours: 0 },
      { id: "q", hours: 0 },
      { id: "fit", hours: { low: 8, likely: 16, high: 60 } },
    ],
    links: [follows("p", "fit"), follows("q", "fit")],
    holdUps: [
      { node: "p", route: { kind: "ORDER", orderDay: 0, wait: pert(10, 20, 60) } },
      { node: "q", route: { kind: "ORDER", orderDay: 0, wait: pert(15, 20, 30) } },
    ],
    targetDay: 40,
  });

  it("are the same for the same seed, and other runs for another", () => {
    const again = { seed: 8, maxSamples: 4_096 };
    expect(oddsOf(model, again)).toEqual(oddsOf(model, again));
    expect(oddsOf(model, { ...again, seed: 9 }).runs.endHours).not.toEqual(oddsOf(model, again).runs.endHours);
  });

  it("draw a part from the same numbers whatever stands beside it", () => {
    const more = { ...model, nodes: [{ id: "x", hours: { low: 1, likely: 2, high: 3 } }, ...model.nodes] };
    expect(oddsOf(more, few).runs.arrivalDay).toEqual(oddsOf(model, few).runs.arrivalDay);
  });

  it("stop once the standard error of the asked quantile is under the tolerance, or at the most runs", () => {
    const loose = oddsOf(model, { seed: 3, tolerance: 0.5 });
    const tight = oddsOf(model, { seed: 3, tolerance: 0.12 });
    expect(loose.standardError).toBeLessThanOrEqual(0.5);
    expect(tight.standardError).toBeLessThanOrEqual(0.12);
    expect(tight.samples).toBeGreaterThan(loose.samples);
    expect(oddsOf(model, { seed: 3, tolerance: 1e-6, maxSamples: 8_192 })).toMatchObject({
      settled: false,
      samples: 8_192,
    });
  });

  it("have the chance of the target as the share of runs in by then, and all shares between 0 and 1", () => {
    const odds = oddsOf(model, many);
    expect(odds.onTarget).toBe(odds.runs.endDay.filter((day) => day <= 40).length / odds.samples);
    for (const { setsEnd, rankCorrelation, meanDays } of odds.holdUps) {
      expect(setsEnd).toBeGreaterThan(0);
      expect(setsEnd).toBeLessThanOrEqual(1);
      expect(meanDays).toBeGreaterThan(0);
      expect(Math.abs(rankCorrelation!)).toBeLessThanOrEqual(1);
    }
    // The wide estimate decides more than the narrow one.
    expect(odds.holdUps[0]!.rankCorrelation!).toBeGreaterThan(odds.holdUps[1]!.rankCorrelation!);
  });

  it("say the mean days that each hold-up costs, and those of the even odds, as running again with it in hand does", () => {
    const odds = oddsOf(model, few);
    for (const [h, name] of ["p", "q"].entries()) {
      const without = oddsOf(
        {
          ...model,
          holdUps: model.holdUps.map((holdUp) => (holdUp.node === name ? { ...holdUp, route: null } : holdUp)),
        },
        few,
      );
      let saved = 0;
      for (let i = 0; i < odds.samples; i++) saved += odds.runs.endDay[i]! - without.runs.endDay[i]!;
      expect(odds.holdUps[h]!.meanDays).toBeCloseTo(saved / odds.samples, 12);
      const gained = dayQuantile(odds.ends, 0.5) - dayQuantile(without.ends, 0.5);
      expect(odds.holdUps[h]!.evenOddsDays).toBe(gained);
    }
  });

  it("name a part without a source, so that nobody takes the runs for a date", () => {
    const odds = oddsOf({ ...model, holdUps: [{ node: "p", route: null }] }, few);
    expect(odds.open).toEqual(["p"]);
    expect(oddsOf(model, few).open).toEqual([]);
  });

  it("finish later, never earlier, where a lead time is longer", () => {
    const longer = {
      ...model,
      holdUps: [
        { node: "p", route: { kind: "ORDER", orderDay: 9, wait: pert(10, 20, 60) } as const },
        model.holdUps[1]!,
      ],
    };
    const [a, b] = [oddsOf(model, few), oddsOf(longer, few)];
    for (let i = 0; i < a.samples; i++) expect(b.runs.endHours[i]).toBeGreaterThanOrEqual(a.runs.endHours[i]!);
  });
});

describe("the standard error of a quantile", () => {
  it("is the spread of quantiles of samples drawn again and again (bootstrap)", () => {
    // Forty days, each as likely: brute force over 20,000 resamples of 200.
    const sample = Array.from({ length: 200 }, (_, i) => (i * 7919) % 40).sort((x, y) => x - y);
    const counts = [...new Set(sample)].map((day) => ({ day, runs: sample.filter((d) => d === day).length }));
    let state = 12345;
    const random = (): number => {
      state = (state * 48271) % 2147483647;
      return state / 2147483647;
    };
    let sum = 0;
    let square = 0;
    for (let k = 0; k < 20_000; k++) {
      const again = Array.from({ length: 200 }, () => sample[Math.floor(random() * 200)]!).sort((x, y) => x - y);
      sum += again[159]!;
      square += again[159]! ** 2;
    }
    const spread = Math.sqrt(square / 20_000 - (sum / 20_000) ** 2);
    expect(Math.abs(quantileError(counts, 0.8) / spread - 1)).toBeLessThan(0.03);
  });
});

describe("a model that says something impossible", () => {
  const bad = (model: Partial<UncertainModel>): UncertainFault => {
    try {
      oddsOf(uncertain(model), few);
    } catch (error) {
      return error as UncertainFault;
    }
    throw new Error("it was taken");
  };
  const route = (more: object) => ({
    nodes: [{ id: "p", hours: 0 }],
    holdUps: [{ node: "p", route: { kind: "ORDER", orderDay: 0, wait: fixed(1), ...more } as never }],
  });

  it.each([
    [
      "an estimate that falls",
      { nodes: [{ id: "o", hours: { low: 3, likely: 2, high: 5 } }] },
      "OUT_OF_RANGE",
      "o",
      "hours",
    ],
    ["a chance above one", route({ failure: 1.5 }), "OUT_OF_RANGE", "p", "failure"],
    ["a wait below zero", route({ wait: fixed(-1) }), "OUT_OF_RANGE", "p", "wait"],
    ["a maker who is not there", route({ maker: "nobody" }), "UNKNOWN_ROW", "p", "maker"],
    ["a hold-up without a node", { holdUps: [{ node: "z", route: null }] }, "UNKNOWN_ROW", "z", "node"],
    ["half a day", route({ orderDay: 0.5 }), "NOT_A_NUMBER", "p", "orderDay"],
  ] as const)("%s is a fault that names row and field", (_name, model, code, row, field) => {
    const fault = bad(model as Partial<UncertainModel>);
    expect(fault).toBeInstanceOf(UncertainFault);
    expect(fault).toMatchObject({ code, row, field });
  });
});

describe("runs counted by day", () => {
  const spans = fc.constantFrom(3, 400, 2_000_000);
  const someDays = spans.chain((most) =>
    fc.array(fc.oneof({ weight: 9, arbitrary: fc.integer({ min: -5, max: most }) }, fc.constant(NEVER)), {
      minLength: 1,
      maxLength: 40,
    }),
  );

  it("stand each on its day however far apart these are, over whatever was counted before", () => {
    const tally = new DayTally();
    fc.assert(
      fc.property(someDays, (list) => {
        const sorted = list.toSorted((a, b) => a - b);
        const distinct = [...new Set(sorted)];
        expect(countDays(Int32Array.from(list))).toEqual(
          distinct.map((day) => ({ day, runs: list.filter((d) => d === day).length })),
        );
        const { quantiles } = arrivalFigures(Int32Array.from(list), [0.2, 0.5, 1], null, tally);
        expect(quantiles).toEqual([0.2, 0.5, 1].map((p) => sorted[Math.ceil(p * list.length - 1e-9) - 1]));
      }),
    );
  });

  it("are ranked against one another as Spearman's correlation of all pairs of runs says", () => {
    const pairs = fc.array(fc.tuple(fc.integer({ min: 0, max: 9 }), fc.integer({ min: 0, max: 2_000_000 })), {
      minLength: 2,
      maxLength: 30,
    });
    const tally = new DayTally();
    /** Middle ranks by comparing each with each. */
    const ranks = (of: readonly number[]): number[] =>
      of.map((d) => of.reduce((sum, other) => sum + Math.sign(d - other) / 2, 0));
    fc.assert(
      fc.property(pairs, (list) => {
        const [a, b] = [list.map(([x]) => x), list.map(([, y]) => y)];
        const [x, y] = [ranks(a), ranks(b)];
        const dot = (p: readonly number[], q: readonly number[]): number => p.reduce((sum, v, i) => sum + v * q[i]!, 0);
        const found = arrivalFigures(Int32Array.from(b), [], ranksOf(Int32Array.from(a)), tally).correlation;
        if (new Set(a).size < 2 || new Set(b).size < 2) expect(found).toBeNull();
        else expect(found).toBeCloseTo(dot(x, y) / Math.sqrt(dot(x, x) * dot(y, y)), 9);
      }),
    );
  });
});
