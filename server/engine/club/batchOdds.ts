/** Whether a batch is filled by its closing date, and whether it then arrives in time. */
import { betaProbability } from "../chance/beta.ts";
import { addDays, daysBetween } from "../time/date.ts";

export interface Filling {
  /** Fewest pieces with which it goes ahead. */
  smallest: number;
  /** Pieces put down for so far. */
  putDown: number;
  begunOn: string;
  closesOn: string;
}

/**
 * Chance that the pieces still wanting are put down for by the end of the closing date, seen on a day.
 *
 * Pieces are taken to be put down for one by one as a Poisson process whose rate is unknown. Before anything is seen, the rate
 * is gamma-distributed with shape 1 and the exposure in which the smallest size would just fill it over the whole time it
 * takes names: (those days) / (smallest size). After n pieces in t days the rate is gamma(1 + n, exposure + t), and the pieces
 * of the u days left are negative binomial (Gelman et al., Bayesian Data Analysis, 2.6): the chance of at least k of them
 * is I(u / (exposure + t + u); k, 1 + n), the regularised incomplete beta function. Names taken off are not foreseen.
 */
export function chanceToFill({ smallest, putDown, begunOn, closesOn }: Filling, day: string): number {
  const needed = smallest - putDown;
  if (needed <= 0) return 1;
  const left = daysBetween(day, closesOn) + 1;
  if (left <= 0) return 0;
  const whole = Math.max(1, daysBetween(begunOn, closesOn) + 1);
  const gone = Math.max(0, whole - left);
  return chanceOfArrivals(needed, left, 1 + putDown, whole / smallest + gone);
}

/** Chance of at least `count` arrivals in `time` when their rate is gamma-distributed with this shape and exposure. */
export function chanceOfArrivals(count: number, time: number, shape: number, exposure: number): number {
  if (count <= 0) return 1;
  return betaProbability(time / (exposure + time), count, shape);
}

/** The day on which a batch arrives that goes ahead on its closing date: so many calendar days of lead after it. */
export const batchArrival = (closesOn: string, leadDays: number): string => addDays(closesOn, leadDays);

/** Days in hand before a need-by date; negative: so many days late. */
export const daysInHand = (closesOn: string, leadDays: number, needBy: string): number =>
  daysBetween(batchArrival(closesOn, leadDays), needBy);
