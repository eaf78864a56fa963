/** What can still matter at one end: options that come too late go, and so do those that are quicker than any need. */

import { SAME_INSTANT } from "../time/units.ts";
import { backwardWith, finishOf, forwardWith, type Ways, type WorkWithWays } from "./pass.ts";
import type { Thresholds } from "./thresholds.ts";

export interface Narrowed extends WorkWithWays {
  thresholds: readonly Thresholds[];
  /** Earliest start at each position with everything at its quickest. */
  earliest: Float64Array;
  /** Finish at each position with everything at its slowest: finishing later than that is asked of nothing. */
  slowest: Float64Array;
}

/** Choices narrowed to what keeps the end; null when nothing does. Costs of what keeps it are not changed. */
export function narrowed(work: WorkWithWays, thresholds: readonly Thresholds[], end: number): Narrowed | null {
  const { network, wayAt } = work;
  const ready = (which: (t: Thresholds) => number, of: readonly Thresholds[]): Float64Array => {
    const release = network.release.slice();
    for (const t of of) for (const v of t.positions) if (which(t) > release[v]!) release[v] = which(t);
    return release;
  };
  for (const { ready: at } of thresholds) if (at.length === 0) return null;
  for (const { time } of work.ways) if (time.length === 0) return null;
  const early = forwardWith(
    work,
    "quickest",
    ready((t) => t.ready[0]!, thresholds),
  );
  if (early.end > end + SAME_INSTANT) return null;
  const late = backwardWith(work, "quickest", end);
  const ways = work.ways.map((w) =>
    kept(w, (m) => finishOf(work, w, m, early.start[w.position]!) <= late.finish[w.position]! + SAME_INSTANT),
  );
  const left: WorkWithWays = { network, ways, wayAt };
  const strict = backwardWith(left, "slowest", end);
  const steps = thresholds.map((t) => {
    const by = Math.min(...t.positions.map((v) => late.start[v]!)) + SAME_INSTANT;
    const anyway = Math.min(...t.positions.map((v) => strict.start[v]!));
    let from = 0;
    while (from + 1 < t.ready.length && t.ready[from + 1]! <= anyway) from++;
    let to = t.ready.length;
    while (to > from + 1 && t.ready[to - 1]! > by) to--;
    return from === 0 && to === t.ready.length
      ? t
      : { ...t, ready: t.ready.slice(from, to), cost: t.cost.slice(from, to) };
  });
  const slow = forwardWith(
    left,
    "slowest",
    ready((t) => t.ready.at(-1)!, steps),
  );
  return { ...left, thresholds: steps, earliest: early.start, slowest: slow.finish };
}

/** The ways for which a condition on their index holds. */
export function kept(ways: Ways, condition: (way: number) => boolean): Ways {
  const all = Int32Array.from(ways.time.keys());
  const left = all.filter(condition);
  if (left.length === all.length) return ways;
  const at = <T extends Float64Array | Int32Array | Uint8Array>(column: T): T =>
    column.filter((_, m) => condition(m)) as T;
  return {
    choice: ways.choice,
    position: ways.position,
    time: at(ways.time),
    inDays: at(ways.inDays),
    before: at(ways.before),
    cost: at(ways.cost),
    points: at(ways.points),
    option: at(ways.option),
  };
}
