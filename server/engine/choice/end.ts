/** The least cost for one end: narrowing, bounding and searching in turn, until nothing is left. */

import { SAME_INSTANT } from "../time/units.ts";
import { CostFlow } from "./bound.ts";
import { kept, type Narrowed, narrowed } from "./narrow.ts";
import { backwardWith, type WorkWithWays } from "./pass.ts";
import { WaySearch } from "./search.ts";
import type { Thresholds } from "./thresholds.ts";
import type { ShortestWaits } from "./waits.ts";

/** Way of each operation (an index into all its ways) and what that costs with the parts it takes. */
export interface WayPlan {
  way: Int32Array;
  cost: number;
}

/** Cost of ways for an end, each part at its cheapest that is ready in time; Infinity when the end is not kept. */
export function costOfWays(
  work: WorkWithWays,
  thresholds: readonly Thresholds[],
  way: Int32Array,
  end: number,
): number {
  const { start } = backwardWith(work, way, end);
  const { release, size } = work.network;
  for (let v = 0; v < size; v++) if (start[v]! < release[v]! - SAME_INSTANT) return Number.POSITIVE_INFINITY;
  let sum = 0;
  for (let i = 0; i < way.length; i++) sum += work.ways[i]!.cost[way[i]!]!;
  for (const { positions, ready, cost } of thresholds) {
    let by = Number.POSITIVE_INFINITY;
    for (const v of positions) if (start[v]! < by) by = start[v]!;
    let k = ready.length - 1;
    while (k >= 0 && ready[k]! > by + SAME_INSTANT) k--;
    if (k < 0) return Number.POSITIVE_INFINITY;
    sum += cost[k]!;
  }
  return sum;
}

export interface EndOptions {
  waits: ShortestWaits;
  /** Every choice costs the same modulo this. */
  grain: number;
  /** Nothing for this end is cheaper than this. */
  lower: number;
  poll: () => void;
}

const NO_WAYS = new Int32Array(0);

/**
 * The cheapest ways for an end.
 * @param offers plans that may keep it
 */
export function cheapestFor(
  work: WorkWithWays,
  thresholds: readonly Thresholds[],
  end: number,
  offers: readonly Int32Array[],
  options: EndOptions,
): WayPlan | null {
  let best: WayPlan | null = null;
  for (const way of offers) {
    const cost = costOfWays(work, thresholds, way, end);
    if (cost < (best?.cost ?? Number.POSITIVE_INFINITY)) best = { way, cost };
  }
  if (work.ways.length === 0) {
    const cost = costOfWays(work, thresholds, NO_WAYS, end);
    return cost < Number.POSITIVE_INFINITY ? { way: NO_WAYS, cost } : null;
  }
  let left: WorkWithWays = work;
  let steps: readonly Thresholds[] = thresholds;
  for (let round = 0; ; round++) {
    if (best !== null && best.cost <= options.lower) return best;
    const problem: Narrowed | null = narrowed(left, steps, end);
    // Narrowed by what could still be cheaper: when nothing keeps the end, the best is.
    if (problem === null) return best;
    const flow = new CostFlow(problem, problem.thresholds, options.waits);
    flow.advance(end);
    if (flow.beyond) return best;
    const search = new WaySearch(problem, flow, end, best?.cost ?? Number.POSITIVE_INFINITY, options.grain);
    const done = search.search(round === 0 ? 2_000 : round === 1 ? 20_000 : Number.POSITIVE_INFINITY, options.poll);
    if (search.found) best = { way: inFull(work, problem, search.way), cost: search.best };
    if (done) return best;
    left = {
      ...problem,
      ways: problem.ways.map((w, i) => kept(w, (m) => !search.hopeless(search.overOfWay(i, m)))),
    };
    steps = problem.thresholds.map((t, g) => {
      const stays = (k: number): boolean => !search.hopeless(search.overOfStep(g, k));
      return { ...t, ready: t.ready.filter((_, k) => stays(k)), cost: t.cost.filter((_, k) => stays(k)) };
    });
  }
}

/** Ways as indexes into all of an operation's, from indexes into those left. */
function inFull(work: WorkWithWays, problem: WorkWithWays, way: Int32Array): Int32Array {
  return way.map((m, i) => work.ways[i]!.option.indexOf(problem.ways[i]!.option[m]!));
}
