/** When to stop hunting: what each stop day gives, and the last one that keeps the target likely enough. */
import { type Hunt, survival } from "./hunt.ts";

/** What is got when something is found, or when the fallback is ordered instead. Money in minor units of one currency. */
export interface HuntOutcome {
  /** Null: not known. */
  landedMinor: number | null;
  /** Shop hours before it fits. */
  hours: number;
  /** Points that a judge takes off. */
  points: number;
}

export interface StopInput {
  hunt: Hunt;
  found: HuntOutcome;
  /** Absent: when the hunt stops nothing comes. */
  fallback: HuntOutcome | null;
  /** Chance of the target where it is found on this day. */
  targetIfFound(day: number): number;
  /** Chance of the target where the fallback is ordered on this day. */
  targetIfOrdered(day: number): number;
  /** Stop days to weigh, ascending, 0 or more. */
  days: readonly number[];
}

/** One stop day: looking goes on to its end, and where nothing has been found the fallback is ordered on it. */
export interface StopPoint extends HuntOutcome {
  day: number;
  chanceFound: number;
  chanceOfTarget: number;
}

/**
 * What is expected of a hunt that ends with a find with the given chance, and else with its fallback: whole minor units,
 * null while a price that matters is not known, hours to the hundredth, and points.
 */
export function expectedOf(chanceFound: number, found: HuntOutcome, fallback: HuntOutcome | null): HuntOutcome {
  const left = 1 - chanceFound;
  const other = fallback ?? { landedMinor: null, hours: 0, points: 0 };
  const lacksPrice = (chanceFound > 0 && found.landedMinor === null) || (left > 0 && other.landedMinor === null);
  const mean = (ofFound: number, ofOther: number): number => chanceFound * ofFound + left * ofOther;
  return {
    landedMinor: lacksPrice ? null : Math.round(mean(found.landedMinor ?? 0, other.landedMinor ?? 0)),
    hours: Math.round(mean(found.hours, other.hours) * 100) / 100,
    points: mean(found.points, other.points),
  };
}

/** The stop-date curve, one point a day asked. Throws RangeError where days do not rise from 0. */
export function stopCurve(input: StopInput): StopPoint[] {
  const { hunt, found, fallback, days } = input;
  const points: StopPoint[] = [];
  let next = 0;
  let left = 1;
  /** Chance of found in time so far. */
  let inTime = 0;
  for (const stop of days) {
    if (!Number.isInteger(stop) || stop < next)
      throw new RangeError(`Stop days must be whole and rise from 0; ${stop} does not.`);
    for (; next <= stop; next++) {
      const now = survival(hunt, next);
      if (left > now) inTime += (left - now) * input.targetIfFound(next);
      left = now;
    }
    const known = 1 - left;
    points.push({
      day: stop,
      chanceFound: known,
      chanceOfTarget: Math.min(1, inTime + (fallback === null ? 0 : left * input.targetIfOrdered(stop))),
      ...expectedOf(known, found, fallback),
    });
  }
  return points;
}

/** The decide-by day: the last stop day that keeps the chance of the target at or above `confidence`; else the best there is. */
export interface DecideBy {
  /** Null: none keeps it. */
  last: StopPoint | null;
  /** The point with the best chance of the target, the last of equals; null without any point. */
  best: StopPoint | null;
}

/** Chances this close are the same: sums of a thousand days round to no better. */
const SAME_CHANCE = 1e-12;

export function decideBy(curve: readonly StopPoint[], confidence: number): DecideBy {
  let last: StopPoint | null = null;
  let best: StopPoint | null = null;
  for (const point of curve) {
    if (point.chanceOfTarget >= confidence - SAME_CHANCE) last = point;
    if (best === null || point.chanceOfTarget >= best.chanceOfTarget - SAME_CHANCE) best = point;
  }
  return { last, best };
}

/**
 * Chance of the target for an arrival on a day, from what each run leaves: the latest day of arrival with which that run
 * meets the target. A run that misses it whatever comes has minus infinity, one that does not wait plus infinity.
 */
export function chanceByArrival(latestArrivals: ArrayLike<number>): (day: number) => number {
  const sorted = Float64Array.from(latestArrivals).sort();
  return (day) => {
    let low = 0;
    let high = sorted.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (sorted[middle]! < day) low = middle + 1;
      else high = middle;
    }
    return sorted.length === 0 ? 0 : (sorted.length - low) / sorted.length;
  };
}
