/** One factor of the shop and one of each trade in each run: the same in the dates, the money and the days to order by. */
import { describe, expect, test } from "vitest";
import { costRuns } from "../../server/engine/money/costRuns.ts";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import { orderSlack } from "../../server/engine/odds/orderSlack.ts";
import { UncertainFault, type UncertainModel } from "../../server/engine/odds/uncertainty.ts";
import { follows, uncertain } from "../support/uncertain.ts";

const SEED = 3;
const SAMPLES = 16_384;
const runsOf = (model: UncertainModel) => oddsOf(model, { seed: SEED, tolerance: 0, maxSamples: SAMPLES }).runs;
const BODY = { id: "body", mean: Math.log(1.3), shop: 0.15, own: 0.1 };
const PAINT = { id: "paint", mean: Math.log(0.9), shop: 0.2, own: 0.05 };

const moments = (values: readonly number[]) => {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  return { mean, variance: values.reduce((sum, value) => sum + (value - mean) ** 2, 0) / values.length };
};
/** Logs of how much longer than its 10 hours the only work of a trade took. */
const logsOf = (trade: typeof BODY, others: (typeof BODY)[] = []): number[] =>
  [...runsOf(uncertain({ nodes: [{ id: "w", hours: 10, trade: trade.id }], trades: [trade, ...others] })).endHours].map(
    (end) => Math.log(end / 10),
  );

describe("the factors of a run", () => {
  test("have the mean and the variance that are believed, in logs", () => {
    const { mean, variance } = moments(logsOf(BODY));
    const deviation = Math.hypot(BODY.shop, BODY.own);
    expect(Math.abs(mean - BODY.mean)).toBeLessThan((4 * deviation) / Math.sqrt(SAMPLES));
    expect(Math.abs(variance / deviation ** 2 - 1)).toBeLessThan(4 * Math.sqrt(2 / SAMPLES));
  });

  test("go together between trades by what is the shop's, and by nothing where the shop is known", () => {
    const together = (a: typeof BODY, b: typeof BODY): number => {
      const [x, y] = [logsOf(a), logsOf(b)];
      const [mx, my] = [moments(x).mean, moments(y).mean];
      return x.reduce((sum, value, i) => sum + (value - mx) * (y[i]! - my), 0) / x.length;
    };
    const size = Math.hypot(BODY.shop, BODY.own) * Math.hypot(PAINT.shop, PAINT.own);
    const error = (4 * size * Math.SQRT2) / Math.sqrt(SAMPLES);
    expect(Math.abs(together(BODY, PAINT) - BODY.shop * PAINT.shop)).toBeLessThan(error);
    expect(Math.abs(together({ ...BODY, shop: 0 }, { ...PAINT, shop: 0 }))).toBeLessThan(error);
  });

  test("are one for all work of the trade, whatever else is drawn", () => {
    const two = uncertain({
      nodes: [
        { id: "frame", hours: 30, trade: "body" },
        { id: "skin", hours: 10, trade: "body" },
      ],
      links: [follows("frame", "skin")],
      trades: [PAINT, BODY],
    });
    const one = logsOf(BODY);
    [...runsOf(two).endHours].forEach((end, run) => {
      expect(end).toBeCloseTo(40 * Math.exp(one[run]!), 8);
    });
  });

  test("multiply three figures too, and leave work that is done and work of no trade alone", () => {
    const estimate = { low: 6, likely: 8, high: 16 };
    const plain = runsOf(uncertain({ nodes: [{ id: "w", hours: estimate }] })).endHours;
    const longer = runsOf(uncertain({ nodes: [{ id: "w", hours: estimate, trade: "body" }], trades: [BODY] })).endHours;
    const factors = logsOf(BODY);
    longer.forEach((end, run) => {
      expect(end).toBeCloseTo(plain[run]! * Math.exp(factors[run]!), 8);
    });
    const done = uncertain({
      nodes: [
        { id: "w", hours: 8, trade: "body", doneOn: -1 },
        { id: "v", hours: 5 },
      ],
      trades: [BODY],
    });
    expect(new Set(runsOf(done).endHours)).toEqual(new Set([5]));
  });

  test("are those by which the same run's hours are paid", () => {
    const model = uncertain({
      nodes: [{ id: "w", hours: { low: 6, likely: 8, high: 16 }, trade: "body" }],
      trades: [BODY],
    });
    const { endHours } = runsOf(model);
    const cost = costRuns(
      model,
      { rates: new Map([["w", 4_000]]), routes: new Map() },
      { seed: SEED, samples: SAMPLES },
    );
    expect([...cost.labour]).toEqual([...endHours].map((hours) => Math.round((hours - 8) * 4_000) + 0));
  });

  test("are those by which a part must be here: ordered at once, the same runs keep an end as finish by it", () => {
    const model = uncertain({
      nodes: [
        { id: "part", hours: 0 },
        { id: "fit", hours: 60, trade: "body" },
      ],
      links: [follows("part", "fit")],
      holdUps: [
        { node: "part", route: { kind: "ORDER", orderDay: 0, wait: { kind: "LOGNORMAL", mu: 3, sigma: 0.3 } } },
      ],
      trades: [BODY],
    });
    const { endDay } = runsOf(model);
    const [slack] = orderSlack(model, ["part"], [35], { seed: SEED, samples: SAMPLES });
    expect([...slack!.lastDay[0]!].map((day, run) => slack!.kept[run] === 1 && day >= 0)).toEqual(
      [...endDay].map((day) => day <= 35),
    );
  });

  test("must be of a trade that is there, with spreads of zero or more", () => {
    const bad = (model: Partial<UncertainModel>) => () => runsOf(uncertain(model));
    const node = { id: "w", hours: 8, trade: "body" };
    for (const model of [
      { nodes: [node] },
      { nodes: [node], trades: [{ ...BODY, own: -1 }] },
      { nodes: [node], trades: [{ ...BODY, mean: Number.NaN }] },
    ])
      expect(bad(model)).toThrow(UncertainFault);
  });
});
