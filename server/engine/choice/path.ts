/** Why a plan ends too late: the longest path through it, and what would have to be quicker. */

import { hours, SAME_INSTANT } from "../time/units.ts";
import type { ChoiceModel } from "./model.ts";
import { forwardWith } from "./pass.ts";

export interface LatePath {
  /** The hour at which the plan ends. */
  ends: number;
  /** Options of which one must be chosen, whatever else is, for it to end sooner: choice and option as the model has them. */
  oneOf: (readonly [choice: number, option: number])[];
}

/** The longest path of a plan that ends past an hour; null where it does not. @param picks option of each choice as the model has it */
export function pathTo(model: ChoiceModel, picks: Int32Array, hour: number): LatePath | null {
  const { network, arriving, ways, wayAt } = model;
  const release = model.releases(picks);
  const { start, finish, end } = forwardWith(model, picks.subarray(arriving.length), release);
  if (end <= hour + SAME_INSTANT) return null;
  const oneOf: [number, number][] = [];
  let v = finish.indexOf(end);
  while (v >= 0) {
    const i = wayAt[v]!;
    if (i >= 0) {
      const { time, inDays, before } = ways[i]!;
      const m = picks[arriving.length + i]!;
      // What takes as long or longer from wherever it starts would not help.
      for (let o = 0; o < time.length; o++)
        if (inDays[o] !== inDays[m] || time[o]! < time[m]! || before[o]! < before[m]!)
          oneOf.push([arriving.length + i, o]);
    }
    let from = -1;
    for (let k = network.inStart[v]!; k < network.inStart[v + 1]!; k++) {
      const f = finish[network.inFrom[k]!]!;
      const lag = network.inLag[k]!;
      const t = network.inDays[k] ? network.calendar.afterDays(hours(f), lag) : f + lag;
      if (t === start[v]) from = network.inFrom[k]!;
    }
    // It begins with something that arrives, unless nothing can make it begin sooner.
    if (from < 0 && start[v] !== network.release[v]) {
      const a = arriving.findIndex(
        ({ positions, ready }, at) => ready[picks[at]!] === start[v] && positions.includes(v),
      );
      for (let o = 0; arriving[a]!.ready[o]! < start[v]!; o++) oneOf.push([a, o]);
    }
    v = from;
  }
  return { ends: end, oneOf };
}
