/** The day on which a hunt finds something, drawn by inversion. */
import { HORIZON, type HuntRoute, NEVER } from "./uncertainty.ts";

/**
 * The day on which it is found, for a number `left` between 0 and 1, the chance that nothing has been found by then;
 * {@link NEVER} where that is after the stop day or out of sight.
 *
 * The rate is gamma(shape, weeks); averaged over it, exp(-rate t) is (weeks / (weeks + t)) ^ shape, t in weeks (Lomax
 * 1954), and the events multiply it. Looking begins on day `begin`; what is found in the course of a day counts on it,
 * and the first day after `begin` is the first on which looking can tell. An event on the day it begins still counts.
 * @param events by ascending day
 */
export function foundDay(hunt: HuntRoute, events: HuntRoute["events"], begin: number, left: number): number {
  const { shape, weeks, stopDay } = hunt;
  const last = stopDay ?? begin + HORIZON;
  /** Chance that the events so far have all failed. */
  let failed = 1;
  for (const { day, chance } of events) {
    if (day < begin) continue;
    if (day > last) break;
    const looked = failed * (weeks / (weeks + (day - begin) / 7)) ** shape;
    if (left > looked) break;
    failed *= 1 - chance;
    if (left > looked * (1 - chance)) return day;
  }
  const days = 7 * weeks * ((left / failed) ** (-1 / shape) - 1);
  const day = begin + Math.ceil(days - 1e-9);
  return day <= last && day <= begin + HORIZON ? day : NEVER;
}
