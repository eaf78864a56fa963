/**
 * What parts and snags cost as a function of the latest start of what needs them, with points left aside.
 *
 * At a given latest start each takes its cheapest option that is ready by then. So all that is needed at one
 * position is one falling step function, the sum of theirs. An operation with one way and one successor moves with
 * that successor, so what it needs is put there, later by its hours and the lag; the sums get larger and the bound
 * that is drawn under them closer.
 */

import { hours } from "../time/units.ts";
import type { ChoiceModel } from "./model.ts";

/** Step function of the earliest of the latest starts at its positions: from `ready[k]` on it costs `cost[k]`. */
export interface Thresholds {
  /** Ascending, each once; what it costs is known when the first of them is. */
  positions: readonly number[];
  /** Ascending; before the first nothing is feasible. */
  ready: Float64Array;
  /** Falling. */
  cost: Float64Array;
}

export function thresholdsOf(model: ChoiceModel): Thresholds[] {
  const { network, wayAt } = model;
  const alone = new Map<number, { ready: Float64Array; cost: Float64Array }[]>();
  const result: Thresholds[] = [];
  for (const { positions, ready, cost } of model.arriving) {
    if (positions.length === 0) continue;
    let meeting = -1;
    const at = new Float64Array(ready.length).fill(Number.NEGATIVE_INFINITY);
    for (const position of positions) {
      let v = position;
      const moved = ready.slice();
      for (;;) {
        const k = network.outStart[v]!;
        if (wayAt[v]! >= 0 || network.outStart[v + 1]! !== k + 1 || network.outLag[k]! < 0) break;
        for (let i = 0; i < moved.length; i++) {
          const finish = network.finishOf(v, moved[i]!, network.hours[v]!);
          moved[i] = network.outDays[k]
            ? network.calendar.afterDays(hours(finish), network.outLag[k]!)
            : finish + network.outLag[k]!;
        }
        v = network.outTo[k]!;
      }
      if (meeting === -1 || meeting === v) meeting = v;
      else meeting = -2;
      for (let i = 0; i < moved.length; i++) if (moved[i]! > at[i]!) at[i] = moved[i]!;
    }
    if (meeting >= 0) {
      const there = alone.get(meeting);
      if (there === undefined) alone.set(meeting, [{ ready: at, cost }]);
      else there.push({ ready: at, cost });
    } else result.push({ positions: [...positions], ...steps([{ ready, cost }]) });
  }
  for (const [position, members] of alone) result.push({ positions: [position], ...steps(members) });
  return result;
}

/** The sum of step functions, each given by ascending hours. */
function steps(members: readonly { ready: Float64Array; cost: Float64Array }[]): {
  ready: Float64Array;
  cost: Float64Array;
} {
  const first = Math.max(...members.map((m) => m.ready[0]!));
  const hoursAt = [...new Set(members.flatMap((m) => [...m.ready]).map((r) => Math.max(r, first)))].sort(
    (a, b) => a - b,
  );
  const ready: number[] = [];
  const cost: number[] = [];
  for (const at of hoursAt) {
    let sum = 0;
    for (const member of members) {
      let least = Number.POSITIVE_INFINITY;
      for (let i = 0; i < member.ready.length && member.ready[i]! <= at; i++) least = Math.min(least, member.cost[i]!);
      sum += least;
    }
    if (cost.length > 0 && sum >= cost.at(-1)!) continue;
    ready.push(at);
    cost.push(sum);
  }
  return { ready: Float64Array.from(ready), cost: Float64Array.from(cost) };
}
