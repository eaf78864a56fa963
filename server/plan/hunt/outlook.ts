/** What a hunt promises on a day of figures: chances of a find, what each stop date gives, and the date by which to decide. */

import { afterFruitless, beliefOf, chanceFound, chanceNextWeek, foundBy, type Hunt } from "../../engine/hunt/hunt.ts";
import { decideBy, expectedOf, type HuntOutcome, type StopPoint, stopCurve } from "../../engine/hunt/stop.ts";
import { addDays, daysBetween } from "../../engine/time/date.ts";
import { huntHasBegun } from "../parts/acquisition.ts";

/** A hunt's row with its events. */
export interface HuntSubject {
  state: "SEARCHING" | "FOUND" | "STOPPED";
  begunOn: string;
  chancePerWeek: number;
  beliefWeeks: number;
  stopDate: string | null;
  leadDays: number;
  events: readonly { date: string; chance: number }[];
}

export interface HuntSetting {
  figuresFor: string;
  /** Chance of the target date that is to be kept. */
  confidence: number;
  found: HuntOutcome;
  /** Landed once it is ordered on a later day, by itself; `todayMinor`: ordered today, on one order with what goes out now. */
  fallback: (HuntOutcome & { todayMinor: number | null; leadDays: number; orderFrom: string | null }) | null;
  /** Latest dates of arrival with which the part does not hold up the target; null without a target or once in hand. */
  latest: { find: string; fallback: string } | null;
  /** What is landed at a price, with its hours: minor units of the restoration's currency. */
  cost: (landedMinor: number | null, hours: number) => number | null;
  /** What is lost of the points that are expected, by the rules of their place on the sheet. */
  lost: (points: number) => number;
}

/** One stop date. Chances of the target are null without one. */
export interface HuntStop {
  date: string;
  chanceFound: number;
  chanceOfTarget: number | null;
  costMinor: number | null;
  points: number | null;
  /** When the fallback would be here; null without one. */
  fallbackArrival: string | null;
  /** One of the few to read in a table: every so many weeks, and those that matter. */
  listed: boolean;
}

export interface HuntOutlook {
  figuresFor: string;
  confidence: number;
  /** Chance of a find in the week that begins now, after the weeks that brought nothing. */
  chanceNextWeek: number;
  weeksLooked: number;
  /** Date by which it is as likely found as not; null where that is out of sight. */
  evenOddsDate: string | null;
  /** Last day on which the fallback can be ordered and be here in time for the target. */
  lastOrderDate: string | null;
  stops: readonly HuntStop[];
  /** At the stop date; null without one, or where it has passed. */
  atStop: HuntStop | null;
  /** Last stop date that keeps the chance of the target; null: none does, or nothing to judge by. */
  decideBy: HuntStop | null;
  /** The stop date with the best chance of the target. */
  best: HuntStop | null;
}

/** How far the curve goes at least and at most, in days. */
const LEAST = 182;
const MOST = 1_096;
/** Beyond the dates that matter. */
const BEYOND = 42;
/** Days between two listed stop dates, as often as it takes to list no more than ten of them. */
const LISTED = 28;
const MOST_LISTED = 10;
/** "Out of sight": twenty years. */
const SIGHT = 7_305;

/** A hunt as it stands on a day of figures: what is believed after the weeks that brought nothing, and the chances that are dated. */
export function lookingOf(
  { begunOn, chancePerWeek, beliefWeeks }: Pick<HuntSubject, "begunOn" | "chancePerWeek" | "beliefWeeks">,
  events: HuntSubject["events"],
  figuresFor: string,
): Hunt {
  const weeksLooked = Math.max(0, daysBetween(begunOn, figuresFor)) / 7;
  return {
    belief: afterFruitless(beliefOf(chancePerWeek, beliefWeeks), weeksLooked),
    events: events.map(({ date, chance }) => ({ day: daysBetween(figuresFor, date), chance })),
  };
}

/** Chance that a hunt that is on ends with a find on or before its stop date. */
export const chanceInTime = (
  hunt: Parameters<typeof lookingOf>[0] & { stopDate: string },
  events: HuntSubject["events"],
  figuresFor: string,
): number => chanceFound(lookingOf(hunt, events, figuresFor), daysBetween(figuresFor, hunt.stopDate));

/** Null where the hunt is over, and on a day before it began. */
export function huntOutlook(hunt: HuntSubject, setting: HuntSetting): HuntOutlook | null {
  const { figuresFor, confidence, found, fallback, latest, cost, lost } = setting;
  if (hunt.state !== "SEARCHING" || !huntHasBegun(hunt, figuresFor)) return null;
  const day = (date: string): number => daysBetween(figuresFor, date);
  const weeksLooked = -day(hunt.begunOn) / 7;
  const looking = lookingOf(hunt, hunt.events, figuresFor);
  const orderFrom = fallback?.orderFrom ? Math.max(0, day(fallback.orderFrom)) : 0;
  const arrivalOf = (stop: number): number => Math.max(stop, orderFrom) + fallback!.leadDays;
  const lastOrder = fallback === null || latest === null ? null : day(latest.fallback) - fallback.leadDays;
  const stopDay = hunt.stopDate === null ? null : day(hunt.stopDate);
  const eventDays = looking.events.map((event) => event.day).filter((at) => at >= 0);
  const last = Math.min(MOST, Math.max(LEAST, BEYOND + Math.max(stopDay ?? 0, lastOrder ?? 0, ...eventDays)));
  const curveOn = (days: readonly number[]): StopPoint[] =>
    stopCurve({
      hunt: looking,
      found,
      fallback,
      targetIfFound: (at) => (latest !== null && at + hunt.leadDays <= day(latest.find) ? 1 : 0),
      targetIfOrdered: (at) => (latest !== null && arrivalOf(at) <= day(latest.fallback) ? 1 : 0),
      days,
    });
  const curve = curveOn(Array.from({ length: last + 1 }, (_, at) => at));
  const decided = latest === null ? { last: null, best: null } : decideBy(curve, confidence);
  const matters = new Set([stopDay, lastOrder, decided.last?.day, decided.best?.day, ...eventDays]);
  const apart = LISTED * Math.ceil(last / (LISTED * MOST_LISTED));
  const today = fallback === null ? null : { ...fallback, landedMinor: fallback.todayMinor };
  const landedAt = ({ day: at, chanceFound: known, landedMinor }: StopPoint): number | null =>
    at === 0 && orderFrom === 0 ? expectedOf(known, found, today).landedMinor : landedMinor;
  const stopAt = (point: StopPoint): HuntStop => ({
    date: addDays(figuresFor, point.day),
    chanceFound: point.chanceFound,
    chanceOfTarget: latest === null ? null : point.chanceOfTarget,
    costMinor: cost(landedAt(point), point.hours),
    points: fallback === null ? null : lost(point.points),
    fallbackArrival: fallback === null ? null : addDays(figuresFor, arrivalOf(point.day)),
    listed: point.day % apart === 0 || matters.has(point.day),
  });
  const even = foundBy(looking, 0.5, SIGHT);
  return {
    figuresFor,
    confidence,
    chanceNextWeek: chanceNextWeek(looking.belief),
    weeksLooked,
    evenOddsDate: even === null ? null : addDays(figuresFor, even),
    lastOrderDate: lastOrder === null ? null : addDays(figuresFor, lastOrder),
    stops: curve.filter((point) => point.day % 7 === 0 || point.day === last || matters.has(point.day)).map(stopAt),
    // A stop date past the end of the curve has a point of its own.
    atStop: stopDay === null || stopDay < 0 ? null : stopAt(curve[stopDay] ?? curveOn([stopDay])[0]!),
    decideBy: decided.last === null ? null : stopAt(decided.last),
    best: decided.best === null ? null : stopAt(decided.best),
  };
}
