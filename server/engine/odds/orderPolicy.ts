/**
 * One day for each order, such that an end is kept with the chance asked: the (1 - q) quantile of each part's slack with
 * one q for all parts, but not before the day on which it can first be ordered, nor after one that is said. Each day is
 * judged together with the others in the same runs, since the end is kept only where every part is in time.
 */
import type { OrderSlack } from "./orderSlack.ts";
import { NEVER } from "./uncertainty.ts";

export interface OrderPolicy {
  /** Chance with which the end is kept where each part is ordered on its day. */
  chance: number;
  /** By part: its order day. */
  days: Int32Array;
  /** By part: the chance of the end where it alone is ordered a week later. */
  weekLater: Float64Array;
}

const WEEK = 7;

/** Chance that the end is kept where each part is ordered on the day given. */
export function chanceKept({ samples, kept, lastDay }: OrderSlack, orderDays: ArrayLike<number>): number {
  let held = 0;
  runs: for (let i = 0; i < samples; i++) {
    if (!kept[i]) continue;
    for (let p = 0; p < lastDay.length; p++) if (orderDays[p]! > lastDay[p]![i]!) continue runs;
    held++;
  }
  return held / samples;
}

/**
 * The latest such days that keep the end with the chance asked; null where ordering each part on its first day falls short.
 * @param firstDays by part: the first day on which it can be ordered
 * @param lastDays by part: the day after which it is not to be ordered, whatever the end can bear
 */
export function orderPolicy(
  slack: OrderSlack,
  firstDays: ArrayLike<number>,
  asked: number,
  lastDays?: ArrayLike<number>,
): OrderPolicy | null {
  const { samples, kept, lastDay } = slack;
  const sorted = lastDay.map((own) => own.slice().sort());
  /** The days that leave each part late by itself in so many of the runs. */
  const daysAt = (late: number): Int32Array =>
    Int32Array.from(sorted, (own, p) =>
      Math.max(firstDays[p]!, Math.min(lastDays?.[p] ?? NEVER, own[Math.min(late, samples - 1)]!)),
    );
  if (chanceKept(slack, firstDays) < asked) return null;
  let held = 0;
  let beyond = samples;
  while (beyond - held > 1) {
    const middle = (held + beyond) >> 1;
    if (chanceKept(slack, daysAt(middle)) >= asked) held = middle;
    else beyond = middle;
  }
  const days = daysAt(held);
  const lost = new Int32Array(days.length);
  let all = 0;
  runs: for (let i = 0; i < samples; i++) {
    if (!kept[i]) continue;
    for (let p = 0; p < days.length; p++) if (days[p]! > lastDay[p]![i]!) continue runs;
    all++;
    for (let p = 0; p < days.length; p++) if (days[p]! + WEEK > lastDay[p]![i]!) lost[p]!++;
  }
  return { chance: all / samples, days, weekLater: Float64Array.from(lost, (own) => (all - own) / samples) };
}
