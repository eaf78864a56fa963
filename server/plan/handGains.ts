/** What more hands would gain, and what the marks on the order of work cost, from the plans made with one thing changed. */
import { daysBetween } from "../engine/date.ts";
import { inMoney, type Worth } from "../engine/worth.ts";
import { Refused } from "../store/fault.ts";
import { exposureOf } from "./exposure.ts";
import type { ExposureRows } from "./exposureLoad.ts";
import { changes, type EndFound, type HandChange, type HandPlans, type HandPlansAsked } from "./handPlans.ts";
import { type Mark, marksOf } from "./heldByMarks.ts";
import { costOfOption } from "./optionCost.ts";
import { machinesOf } from "./rows.ts";

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

const NONE: HandGains = { gains: [], marks: [] };
/** Operations of the shop past which so many plans keep a thread from others for too long. */
const MOST_OPERATIONS = 4_000;

/** @param plansOf makes the plans, beside the main thread or in it */
export async function handGains(
  rows: ExposureRows,
  plansOf: (asked: HandPlansAsked) => Promise<HandPlans>,
): Promise<HandGains> {
  const { plan, figuresFor } = rows;
  if (plan.hands.length === 0 || plan.operations.every(({ state }) => state === "DONE")) return NONE;
  const most = machinesOf(plan).reduce((sum, { operations }) => sum + operations.length, 0);
  if (most > MOST_OPERATIONS)
    throw new Refused(
      "NOT_ALLOWED",
      "What more hands would gain is not worked out for so many operations: each line is a plan of its own.",
    );
  const { now, changed: made, without } = await plansOf({ plan, figuresFor });
  const end = now.dateWithOpenInHand;
  const cost = costOf(rows, now);
  const gains = changes(plan).flatMap(({ plan: changed, ...change }, i): HandGain[] => {
    const then = made[i]!;
    const fills = now.nobodyFor.some((trade) => change.trades.includes(trade) && !then.nobodyFor.includes(trade));
    const { dateWithOpenInHand: completionDate } = then;
    const gained = daysBetween(completionDate, end);
    if (!fills && gained <= 0 && change.kind !== "SENT_OUT") return [];
    const moneyGainedMinor = cost - costOf({ ...rows, plan: changed }, then);
    if (!fills && gained <= 0 && moneyGainedMinor <= 0) return [];
    const theirs = change.kind === "ONE_MORE" ? worked(rows, change.trades[0]!, then.theirs) : null;
    return [{ ...change, completionDate, daysGained: fills ? null : gained, moneyGainedMinor, theirs }];
  });
  const marks = marksOf(plan).map(({ kind, operation }, i): OrderMark => {
    const completionDate = without[i]!;
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
