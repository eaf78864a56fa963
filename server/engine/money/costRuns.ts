/**
 * What each run of an uncertain model costs beyond its plan: hours that take longer than is estimated, orders that come to nothing and the
 * next one paid for, finds that spare an order. The numbers drawn are those of the runs that give the dates, so run 7
 * here is run 7 there.
 */
import { drawRow, pertTable, skewOf } from "../chance/inverseTable.ts";
import { chanceOf, fillRandom } from "../chance/random.ts";
import { TradeFactors } from "../odds/hours.ts";
import { foundDay } from "../odds/huntDay.ts";
import { hoursStream, LANES, luckStream } from "../odds/runs.ts";
import { NEVER, type Route, streamNames, type UncertainModel } from "../odds/uncertainty.ts";

/** One step of a route, in minor units beyond what the plan counts for the hold-up; less than 0 is cheaper. */
export interface StepCost {
  /** Where this step brings it. */
  brings: number;
  /** Where this step brings it: what the hours of fitting cost beyond the plan. Default 0. */
  labour?: number;
  /** Where it fails, and the next step is gone to: what is lost, less what the plan counted if that is not spent. */
  fails: number;
}

export interface RunPrices {
  /** By node: minor units an hour. What stands not in it costs nothing by the hour. */
  rates: ReadonlyMap<string, number>;
  /** By node of the hold-up: the steps of its route in order. What stands not in it always costs as planned. */
  routes: ReadonlyMap<string, readonly StepCost[]>;
  /** Prices of parts that nobody has decided on: each is drawn between its least and its most, the plan's the likeliest. */
  undecided?: readonly PriceRange[];
}

/** Minor units; the stream of chance is named. */
export interface PriceRange {
  name: string;
  low: number;
  likely: number;
  high: number;
}

export interface CostOfRuns {
  /** Of each run that ends, whole minor units beyond the plan. */
  beyondPlan: Float64Array;
  /** Of it the hours; and orders, finds and prices. Each is rounded by itself. */
  labour: Float64Array;
  parts: Float64Array;
  /** Runs that never end: something failed and nothing follows it. They have no cost to completion. */
  never: number;
}

/**
 * The first `samples` runs of a seed. A hunt stands first on its route. Hours are drawn in floating point and each run
 * is rounded once.
 */
export function costRuns(
  model: UncertainModel,
  prices: RunPrices,
  { seed, samples }: { seed: number; samples: number },
): CostOfRuns {
  const names = streamNames(model);
  const trades = model.trades ?? [];
  const factors = new TradeFactors(trades);
  const tradeAt = new Map(trades.map(({ id }, t) => [id, t]));
  const work = model.nodes.flatMap(({ id, hours, trade, doneOn }) => {
    const rate = prices.rates.get(id) ?? 0;
    const t = trade === undefined ? undefined : tradeAt.get(trade);
    const estimate = typeof hours === "number" ? { low: hours, likely: hours, high: hours } : hours;
    const drawn = estimate.high > estimate.low;
    if (rate === 0 || doneOn !== undefined || !(drawn || t !== undefined)) return [];
    return [
      {
        ...estimate,
        rate,
        factors: t === undefined ? ONCE : factors.of[t]!,
        table: drawn ? pertTable(skewOf(estimate)) : null,
        stream: hoursStream(names.get(id)!),
      },
    ];
  });
  const routes = model.holdUps.flatMap(({ node, route }) =>
    route !== null && mayGoAstray(route) ? [stepsOf(names.get(node)!, route, prices.routes.get(node) ?? [])] : [],
  );
  const ranges = (prices.undecided ?? [])
    .filter(({ low, high }) => high > low)
    .map((range) => ({ ...range, table: pertTable(skewOf(range)), stream: hoursStream(`price ${range.name}`) }));
  const labour = new Float64Array(samples);
  const parts = new Float64Array(samples);
  const drawn = new Int32Array(LANES);
  const hours = new Float64Array(LANES);
  const under = new Uint8Array(LANES);
  const ends = new Uint8Array(samples).fill(1);
  for (let first = 0; first < samples; first += LANES) {
    const count = Math.min(LANES, samples - first);
    const strip = first / LANES;
    factors.begin(seed, strip);
    for (const { table, stream, low, likely, high, rate, factors: taken } of work) {
      if (table === null) hours.fill(low);
      else {
        fillRandom(drawn, LANES, seed, strip, stream);
        drawRow(table, drawn, LANES, low, high - low, hours, 0);
      }
      for (let i = 0; i < count; i++) labour[first + i]! += (hours[i]! * taken[i]! - likely) * rate;
    }
    for (const { table, stream, low, likely, high } of ranges) {
      fillRandom(drawn, LANES, seed, strip, stream);
      drawRow(table, drawn, LANES, low, high - low, hours, 0);
      for (let i = 0; i < count; i++) parts[first + i]! += hours[i]! - likely;
    }
    for (const steps of routes) {
      under.fill(1);
      for (const { route, events, cost, luck } of steps) {
        const asks = route.kind === "HUNT" || (route.failure ?? 0) > 0;
        if (asks) fillRandom(drawn, LANES, seed, strip, luck);
        for (let i = 0; i < count; i++) {
          if (!under[i]) continue;
          const chance = asks ? chanceOf(drawn[i]!) : 1;
          const brings =
            route.kind === "HUNT" ? foundDay(route, events, 0, 1 - chance) !== NEVER : chance >= (route.failure ?? 0);
          parts[first + i]! += brings ? cost.brings : cost.fails;
          if (!brings) continue;
          labour[first + i]! += cost.labour ?? 0;
          under[i] = 0;
        }
      }
      for (let i = 0; i < count; i++) if (under[i]) ends[first + i] = 0;
    }
  }
  const ended = (amounts: Float64Array) =>
    amounts.filter((_, i) => ends[i] === 1).map((amount) => Math.round(amount) + 0);
  const beyondPlan = ended(labour.map((amount, i) => amount + parts[i]!));
  return { beyondPlan, labour: ended(labour), parts: ended(parts), never: samples - beyondPlan.length };
}

/** The factor of work that takes as long as is estimated. */
const ONCE = new Float64Array(LANES).fill(1);

const AS_PLANNED: StepCost = { brings: 0, fails: 0 };

/** Whether its cost or its coming can differ between runs. */
const mayGoAstray = (route: Route): boolean => route.kind === "HUNT" || (route.failure ?? 0) > 0;

function stepsOf(name: string, first: Route, costs: readonly StepCost[]) {
  const steps = [];
  for (let route: Route | undefined = first, k = 0; route !== undefined; route = route.fallback, k++)
    steps.push({
      route,
      events: route.kind === "HUNT" ? [...route.events].sort((a, b) => a.day - b.day) : [],
      cost: costs[k] ?? AS_PLANNED,
      luck: luckStream(name, k),
    });
  return steps;
}
