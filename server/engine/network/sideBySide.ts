/** Many forward passes at once, each with one node changed: what-if questions about single nodes, exact for any lags. */

import { hours } from "../time/units.ts";
import type { ForwardPass, Network } from "./network.ts";

/** How many passes run side by side. */
const LANES = 16;

/** What one pass changes at its node. */
export interface Changed {
  position: number;
  /** Its earliest start, hours. */
  release: number;
  /** That is its start, whatever comes before it; default false. */
  fixed?: boolean;
  /** Its work, hours. */
  work: number;
}

/**
 * The end of the machine under each change alone, in hours, in the order given.
 * @param base the pass with nothing changed, and the releases it was made with
 * @param changes by ascending position; each at a node of its own
 */
export function endsWith(
  network: Network,
  base: ForwardPass,
  release: Float64Array,
  changes: readonly Changed[],
): Float64Array {
  const { size, hours: work, inStart, inFrom, inLag, inDays, calendar, anyOwn } = network;
  const usualFinish = base.finish;
  const ends = new Float64Array(changes.length);
  /** Finish of node v in lane l at v * LANES + l; holds only where `moved[v]` is the number of the batch. */
  const finish = new Float64Array(size * LANES);
  const moved = new Int32Array(size);
  const start = new Float64Array(LANES);
  const end = new Float64Array(LANES);
  let endBefore = 0;
  let passed = 0;
  for (let first = 0, batch = 1; first < changes.length; first += LANES, batch++) {
    const count = Math.min(LANES, changes.length - first);
    for (; passed < changes[first]!.position; passed++)
      if (usualFinish[passed]! > endBefore) endBefore = usualFinish[passed]!;
    end.fill(0);
    let endOfOthers = endBefore;
    let next = first;
    for (let v = changes[first]!.position; v < size; v++) {
      const from = inStart[v]!;
      const stop = inStart[v + 1]!;
      const usual = usualFinish[v]!;
      const change = next < first + count && changes[next]!.position === v ? changes[next] : undefined;
      let touched = change !== undefined;
      for (let k = from; k < stop && !touched; k++) touched = moved[inFrom[k]!] === batch;
      if (!touched) {
        if (usual > endOfOthers) endOfOthers = usual;
        continue;
      }
      start.fill(release[v]!);
      if (change !== undefined) start[next - first] = change.release;
      for (let k = from; k < stop; k++) {
        const a = inFrom[k]!;
        const lag = inLag[k]!;
        if (moved[a] !== batch) {
          const f = usualFinish[a]!;
          const t = inDays[k] ? calendar.afterDays(hours(f), lag) : f + lag;
          for (let l = 0; l < LANES; l++) if (t > start[l]!) start[l] = t;
        } else if (inDays[k]) {
          // Neighbouring lanes often agree.
          for (let l = 0, at = a * LANES, f = Number.NaN, t = 0; l < count; l++, at++) {
            if (finish[at] !== f) {
              f = finish[at]!;
              t = calendar.afterDays(hours(f), lag);
            }
            if (t > start[l]!) start[l] = t;
          }
        } else {
          for (let l = 0, at = a * LANES; l < LANES; l++, at++) {
            const t = finish[at]! + lag;
            if (t > start[l]!) start[l] = t;
          }
        }
      }
      const h = work[v]!;
      let differs = false;
      for (let l = 0, at = v * LANES; l < LANES; l++, at++) {
        const f = anyOwn ? network.finishOf(v, start[l]!, h) : start[l]! + h;
        finish[at] = f;
        if (f !== usual && l < count) differs = true;
      }
      if (change !== undefined) {
        if (change.fixed) start[next - first] = change.release;
        finish[v * LANES + next - first] = network.finishOf(v, start[next - first]!, change.work);
        differs = true;
        next++;
      }
      if (differs) {
        moved[v] = batch;
        for (let l = 0, at = v * LANES; l < count; l++, at++) if (finish[at]! > end[l]!) end[l] = finish[at]!;
      } else if (usual > endOfOthers) endOfOthers = usual;
    }
    for (let l = 0; l < count; l++) ends[first + l] = Math.max(end[l]!, endOfOthers);
  }
  return ends;
}
