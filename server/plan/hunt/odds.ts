/** The odds of the target date by the day on which a hunt stops: the runs of the odds themselves, once for each stop date. */

import type { DayOdds, StopOddsFound, StopOddsWork } from "../../engine/hunt/stopOdds.ts";
import type { UncertainModel } from "../../engine/odds/uncertainty.ts";
import { addDays, daysBetween } from "../../engine/time/date.ts";
import { oddsModel, SEED } from "../odds/odds.ts";
import type { PlanRows } from "../rows/rows.ts";
import type { HuntStop } from "./outlook.ts";

export interface StopOdds extends Omit<DayOdds, "day"> {
  date: string;
}

/** Runs for each stop date: a chance is then known to within 1 in 100. */
export const STOP_RUNS = { seed: SEED, samples: 4096 } as const;

export interface HuntOdds {
  stops: readonly StopOdds[];
  /** With the part in hand today: no stop date gives more. */
  inHand: number;
  /** The last stop date, of those tried, that keeps the target at the asked confidence; null: none does. */
  decideBy: StopOdds | null;
}

/** What a day past the target and a point are worth to the restoration, in minor units; null: not said. */
export interface StopPrices {
  pricePerDayMinor: number | null;
  pricePerPointMinor: number | null;
}

/**
 * What stopping on a date comes to, in minor units: its expected cost, and its expected days past the target and points
 * at their prices. Null without a price, and while the cost is not known or the end may never come.
 */
export function stopTotal(
  { costMinor, points }: Pick<HuntStop, "costMinor" | "points">,
  { daysLate }: Pick<StopOdds, "daysLate">,
  { pricePerDayMinor: perDay, pricePerPointMinor: perPoint }: StopPrices,
): number | null {
  if (perDay === null && perPoint === null) return null;
  if (costMinor === null || points === null || (perDay !== null && daysLate === null)) return null;
  return Math.round(costMinor + (perDay ?? 0) * (daysLate ?? 0) + (perPoint ?? 0) * points);
}

/** Draws the runs of every stop date, from the same seed each time, so that two dates differ by their waits alone. */
export type StopOddsDraw = (work: StopOddsWork) => Promise<StopOddsFound>;

/**
 * The model with the hunt for a part stopping on a date and its fallback ordered then, or with the part in hand (null).
 * A quote chosen for the part gives way: what is asked is what the hunt would give.
 */
export function modelWithStop(
  plan: PlanRows,
  partId: string,
  stopDate: string | null,
  figuresFor: string,
): UncertainModel {
  return oddsModel(
    {
      ...plan,
      parts: plan.parts.map((part) =>
        part.id === partId
          ? { ...part, chosenQuoteId: null, ...(stopDate === null ? { stateOnHand: "IN_HAND" as const } : {}) }
          : part,
      ),
      hunts: plan.hunts.map((hunt) => (hunt.partId === partId ? { ...hunt, stopDate } : hunt)),
    },
    figuresFor,
  );
}

/**
 * The odds at each of the dates, which ascend. Null without a target date, or where the hunt decides nothing: it is over,
 * has no fallback, or the part is ordered.
 */
export async function huntOdds(
  rows: PlanRows,
  partId: string,
  { dates, confidence, figuresFor }: { dates: readonly string[]; confidence: number; figuresFor: string },
  draw: StopOddsDraw,
): Promise<HuntOdds | null> {
  const first = dates[0];
  if (first === undefined || first < figuresFor || rows.restoration.targetDate === null) return null;
  const hunted = modelWithStop(rows, partId, figuresFor, figuresFor);
  const node = `part:${partId}`;
  const route = hunted.holdUps.find((holdUp) => holdUp.node === node)?.route;
  if (route?.kind !== "HUNT" || route.fallback === undefined) return null;
  const { stops, inHand, decideBy } = await draw({
    inHand: modelWithStop(rows, partId, null, figuresFor),
    hunted,
    node,
    days: dates.map((date) => daysBetween(figuresFor, date)),
    confidence,
  });
  const dated = ({ day, ...odds }: DayOdds): StopOdds => ({ date: addDays(figuresFor, day), ...odds });
  return { stops: stops.map(dated), inHand, decideBy: decideBy === null ? null : dated(decideBy) };
}
