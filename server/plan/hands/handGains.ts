/**
 * What more hands would gain, and what the marks on the order of work cost, from the plans made with one thing changed.
 * Pure, so that it can be worked out beside the main thread.
 */

import { inMoney, type Worth } from "../../engine/choice/worth.ts";
import { daysBetween } from "../../engine/time/date.ts";
import { costOfOption } from "../choice/optionCost.ts";
import { type RateRow, ratesOnDays } from "../money/exchange.ts";
import { exposureOf } from "../money/exposure.ts";
import type { ExposureRows } from "../money/exposureLoad.ts";
import { endWithout, type Mark, marksOf } from "../network/heldByMarks.ts";
import { changes, type EndFound, endOf, type HandChange } from "./handPlans.ts";

/** One thing that could be changed, and what it gains. */
export interface HandGain extends HandChange {
  /** The end as quoted, what is open taken as cleared. */
  completionDate: string;
  /** Calendar days by which the end comes earlier; null where the trade has nobody, and its work no date, until then. */
  daysGained: number | null;
  /** By which the money as planned comes to less, each day past the target at what the owner puts on it; minor units. */
  moneyGainedMinor: number;
  /** Of one more hand: what it would work, on all machines, and that at the trade's rate; null of all else. */
  theirs: { hours: number; wagesMinor: number | null } | null;
}

/** "Do this first", or "not before", on an operation that is to do. */
export interface OrderMark {
  kind: Mark["kind"];
  operationId: string;
  /** The end as quoted without it. */
  completionDate: string;
  /** Calendar days by which the end comes later for it; less than 0: earlier. */
  daysCost: number;
}

export interface HandGains {
  /** Those that gain something, best first. */
  gains: readonly HandGain[];
  /** In the order of the operations. */
  marks: readonly OrderMark[];
}

/** What is asked of a thread: rows without what no other thread can be handed. */
export interface HandGainsAsked {
  rows: Omit<ExposureRows, "rates" | "ratesOn">;
  /** All rates of the workshop. */
  rates: readonly RateRow[];
}

const NONE: HandGains = { gains: [], marks: [] };

/** @param follow is told the share of the plans that are made */
export function handGains({ rows: asked, rates }: HandGainsAsked, follow: (share: number) => void): HandGains {
  const { plan, figuresFor } = asked;
  if (plan.hands.length === 0 || plan.operations.every(({ state }) => state === "DONE")) return NONE;
  const ratesOn = ratesOnDays(rates);
  const rows: ExposureRows = { ...asked, rates: ratesOn(figuresFor), ratesOn };
  const changed = changes(plan);
  const set = marksOf(plan);
  let made = 0;
  const plans = 1 + changed.length + set.length;
  const told = <T>(found: T): T => {
    follow(++made / plans);
    return found;
  };
  const now = endOf(plan, figuresFor);
  const end = now.dateWithOpenInHand;
  const cost = told(costOf(rows, now));
  const gains = changed.flatMap(({ plan, ...change }): HandGain[] => {
    const then = endOf(plan, figuresFor, change);
    const fills = now.nobodyFor.some((trade) => change.trades.includes(trade) && !then.nobodyFor.includes(trade));
    const { dateWithOpenInHand: completionDate } = then;
    const gained = daysBetween(completionDate, end);
    const gainsDays = fills || gained > 0;
    if (!gainsDays && change.kind !== "SENT_OUT") return told([]);
    const moneyGainedMinor = told(cost - costOf({ ...rows, plan }, then));
    if (!gainsDays && moneyGainedMinor <= 0) return [];
    const theirs = change.kind === "ONE_MORE" ? worked(rows, change.trades[0]!, then.theirs) : null;
    return [{ ...change, completionDate, daysGained: fills ? null : gained, moneyGainedMinor, theirs }];
  });
  const marks = set.map((mark): OrderMark => {
    const completionDate = told(endWithout(mark, plan, figuresFor));
    const { kind, operation } = mark;
    return { kind, operationId: operation.id, completionDate, daysCost: daysBetween(completionDate, end) };
  });
  return { gains: gains.sort(best), marks };
}

/** What gives its work a date at all comes first, then the most days, then the most money. */
const best = (a: HandGain, b: HandGain): number =>
  Number(b.daysGained === null) - Number(a.daysGained === null) ||
  (b.daysGained ?? 0) - (a.daysGained ?? 0) ||
  b.moneyGainedMinor - a.moneyGainedMinor;

/** Money as planned, with each day past the target, in minor units. */
function costOf(
  rows: ExposureRows,
  { dateWithOpenInHand, targetDate }: Pick<EndFound, "dateWithOpenInHand" | "targetDate">,
): number {
  const { pricePerDayMinor, pricePerPointMinor } = rows.restoration;
  const day = (date: string): number => daysBetween(rows.figuresFor, date);
  const worth: Worth = {
    perDay: pricePerDayMinor ?? 0,
    perPoint: pricePerPointMinor ?? 0,
    from: targetDate === null ? 0 : day(targetDate),
  };
  return inMoney(worth, { end: day(dateWithOpenInHand), cost: exposureOf(rows).total.planned, points: 0 }) / 100;
}

/** What the one more would work, and what that is charged at. */
function worked(rows: ExposureRows, trade: string, hours: number): HandGain["theirs"] {
  const { rateMinor, labourMinor } = costOfOption(rows, 0, hours, [{ trade, hands: 1 }]);
  return { hours, wagesMinor: rateMinor === null ? null : labourMinor };
}
