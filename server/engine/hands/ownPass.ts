/**
 * Dates as if each operation had the best of its hands to itself: no schedule begins or ends an operation sooner, nor,
 * for the ends given, may it end one later.
 */
import type { Shop } from "./shop.ts";

export interface OwnPass {
  /** Instants at each position. */
  earlyStart: Float64Array;
  earlyFinish: Float64Array;
}

export function earliest(shop: Shop): OwnPass {
  const earlyStart = new Float64Array(shop.size);
  const earlyFinish = new Float64Array(shop.size);
  for (let v = 0; v < shop.size; v++) {
    const ready = Math.max(shop.release[v]!, shop.readyAfter(v, earlyFinish));
    const hours = shop.hours[v]!;
    let start = hours > 0 ? Number.POSITIVE_INFINITY : ready;
    let finish = start;
    if (hours > 0 && ready < Number.POSITIVE_INFINITY)
      for (const team of shop.teams[v]!) {
        start = Math.min(start, team.hours.nextOpen(ready));
        finish = Math.min(finish, team.hours.finishAfter(ready, hours));
      }
    earlyStart[v] = Math.max(ready, start);
    earlyFinish[v] = finish;
  }
  return { earlyStart, earlyFinish };
}

/** Latest starts and finishes with which each restoration ends when it is to. */
export function latest(shop: Shop, ends: Float64Array): { lateStart: Float64Array; lateFinish: Float64Array } {
  const lateStart = new Float64Array(shop.size);
  const lateFinish = new Float64Array(shop.size);
  for (let v = shop.size - 1; v >= 0; v--) {
    const due = shop.dueBefore(v, lateStart, ends);
    lateFinish[v] = due;
    const hours = shop.hours[v]!;
    let start = hours > 0 ? Number.NEGATIVE_INFINITY : due;
    if (hours > 0 && Number.isFinite(due))
      for (const team of shop.teams[v]!) start = Math.max(start, team.hours.startBefore(due, hours));
    lateStart[v] = Number.isFinite(start) ? start : due;
  }
  return { lateStart, lateFinish };
}

/** End of each restoration; without operations it ends as it begins. */
export function endsOf(shop: Shop, finish: Float64Array): Float64Array {
  const ends = new Float64Array(shop.restorations);
  for (let v = 0; v < shop.size; v++) {
    const r = shop.restorationOf[v]!;
    if (finish[v]! > ends[r]!) ends[r] = finish[v]!;
  }
  return ends;
}
