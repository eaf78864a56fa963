/** Uncertain models for tests: only what the test speaks of has to be said. */

import { countDays, type DayCount } from "../../server/engine/odds/days.ts";
import type { Odds } from "../../server/engine/odds/odds.ts";
import type { UncertainModel } from "../../server/engine/odds/uncertainty.ts";

/** Monday to Friday, eight hours, from Monday 23 November 2026; nothing to do. */
export const uncertain = (model: Partial<UncertainModel>): UncertainModel => ({
  calendar: { weekdayHours: [8, 8, 8, 8, 8, 0, 0], closedDates: [], figuresFor: "2026-11-23" },
  nodes: [],
  links: [],
  holdUps: [],
  makers: [],
  targetDay: null,
  ...model,
});

/** A link without a lag. */
export const follows = (before: string, after: string) => ({ before, after, lag: 0, lagInDays: false });

/** Days of arrival of a hold-up and how many runs arrive on each, ascending; NEVER last. */
export const arrivalsOf = ({ runs, samples }: Odds, holdUp = 0): DayCount[] =>
  countDays(runs.arrivalDay.subarray(holdUp * samples, (holdUp + 1) * samples));
