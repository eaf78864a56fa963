/** The odds of the target by the day on which a hunt stops: the same runs of a model for each stop day, so that they differ by it alone. */

import { oddsOf } from "../odds/odds.ts";
import { type HuntRoute, NEVER, type UncertainModel } from "../odds/uncertainty.ts";

export interface StopOddsWork {
  /** The plan with the part in hand today. */
  inHand: UncertainModel;
  /** The plan in which the hunt stops as soon as its fallback can be ordered. */
  hunted: UncertainModel;
  /** Node of the hunted part. */
  node: string;
  /** Stop days, counted from the day of the figures, ascending. */
  days: readonly number[];
  /** The chance that the target is to have. */
  confidence: number;
}

export interface DayOdds {
  day: number;
  /** Share of the runs that keep the target day. */
  onTarget: number;
  /** Calendar days past the target day on average, an end before it being none; null where some runs never end. */
  daysLate: number | null;
}

export interface StopOddsFound {
  stops: DayOdds[];
  /** With the part in hand today: no stop day gives more. */
  inHand: number;
  /** The last day that keeps the target at the asked confidence, to the day; null: none of those tried does. */
  decideBy: DayOdds | null;
}

/**
 * The model with the hunt for a part stopping at the end of a day and its fallback ordered then, or on the first day after
 * on which it can be: the stop day that the model has. Throws RangeError where the part is not hunted.
 */
export function stoppingOn(model: UncertainModel, node: string, day: number): UncertainModel {
  const route = model.holdUps.find((holdUp) => holdUp.node === node)?.route;
  if (route?.kind !== "HUNT") throw new RangeError(`${node} is not hunted.`);
  const stopDay = Math.max(day, route.stopDay ?? 0);
  const { fallback } = route;
  const stopped: HuntRoute = {
    ...route,
    stopDay,
    ...(fallback?.kind === "ORDER" ? { fallback: { ...fallback, orderDay: stopDay } } : {}),
  };
  return {
    ...model,
    holdUps: model.holdUps.map((holdUp) => (holdUp.node === node ? { node, route: stopped } : holdUp)),
  };
}

/**
 * The odds at each of the days. Throws UncertainFault and NetworkFault.
 * @param samples runs of each model, from the seed
 */
export function huntStopOdds(
  { inHand: free, hunted, node, days, confidence }: StopOddsWork,
  { seed, samples }: { seed: number; samples: number },
): StopOddsFound {
  const oddsOn = (model: UncertainModel): Omit<DayOdds, "day"> => {
    const { onTarget, ends, samples: drawn } = oddsOf(model, { seed, tolerance: 0, maxSamples: samples });
    const late = ends.reduce((sum, { day, runs }) => sum + runs * Math.max(0, day - (model.targetDay ?? day)), 0);
    return { onTarget: onTarget ?? 0, daysLate: ends.at(-1)?.day === NEVER ? null : late / drawn };
  };
  const inHand = oddsOn(free).onTarget;
  const at = (day: number): DayOdds => ({ day, ...oddsOn(stoppingOn(hunted, node, day)) });
  const stops = days.map(at);
  const last = stops.findLastIndex((stop) => stop.onTarget >= confidence);
  let decideBy = stops[last] ?? null;
  const next = stops[last + 1];
  if (decideBy !== null && next !== undefined) {
    // Between a day that keeps it and the next, which does not: halved until they are neighbours.
    let beyond = next.day;
    while (beyond - decideBy.day > 1) {
      const middle = at(decideBy.day + Math.floor((beyond - decideBy.day) / 2));
      if (middle.onTarget >= confidence) decideBy = middle;
      else beyond = middle.day;
    }
  }
  return { stops, inHand, decideBy };
}
