/** Which options can still keep an end, and whether those that can may be freely combined. */

import { SAME_INSTANT } from "../time/units.ts";
import type { ChoiceModel } from "./model.ts";
import { backwardWith, finishOf, forwardWith, type WorkWithWays } from "./pass.ts";

export interface Open {
  /** How many of each part's or snag's first options are ready in time. */
  counts: number[];
  /** A bit for each way of each operation. */
  ways: number[];
  /** Any combination of them keeps the end. */
  loose: boolean;
}

/** Every way of every operation. */
export const everyWay = (model: ChoiceModel): number[] => model.ways.map(({ time }) => 2 ** time.length - 1);

/** Options that keep an end with everything else at its quickest, among the ways given; null when nothing keeps it. */
export function openAt(model: ChoiceModel, end: number, given: readonly number[]): Open | null {
  const quickest = model.releases(new Int32Array(model.arriving.length));
  const early = forwardWith(limited(model, given), "quickest", quickest);
  if (early.end > end + SAME_INSTANT) return null;
  const late = backwardWith(limited(model, given), "quickest", end);
  const ways = given.map((bits, i) => {
    const all = model.ways[i]!;
    let left = 0;
    for (let m = 0; m < all.time.length; m++)
      if (
        (bits >>> m) & 1 &&
        finishOf(model, all, m, early.start[all.position]!) <= late.finish[all.position]! + SAME_INSTANT
      )
        left |= 1 << m;
    return left;
  });
  const strict = backwardWith(limited(model, ways), "slowest", end);
  let loose = model.network.release.every((r, v) => r <= strict.start[v]! + SAME_INSTANT);
  const counts = model.arriving.map(({ positions, ready }) => {
    let by = Number.POSITIVE_INFINITY;
    let anyway = Number.POSITIVE_INFINITY;
    for (const v of positions) {
      if (late.start[v]! < by) by = late.start[v]!;
      if (strict.start[v]! < anyway) anyway = strict.start[v]!;
    }
    let count = 0;
    while (count < ready.length && ready[count]! <= by + SAME_INSTANT) count++;
    if (count > 0 && ready[count - 1]! > anyway + SAME_INSTANT) loose = false;
    return count;
  });
  return { counts, ways, loose };
}

/** The work with only those ways whose bits are set. */
function limited({ network, wayAt, ways }: ChoiceModel, open: readonly number[]): WorkWithWays {
  return {
    network,
    wayAt,
    ways: ways.map((w, i) => {
      const bits = open[i]!;
      if (bits === 2 ** w.time.length - 1) return w;
      const keep = (_: number, m: number): boolean => ((bits >>> m) & 1) === 1;
      return {
        ...w,
        time: w.time.filter(keep),
        inDays: w.inDays.filter(keep),
        before: w.before.filter(keep),
      };
    }),
  };
}
