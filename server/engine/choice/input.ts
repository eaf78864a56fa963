/** What there is to choose from: quotes, remedies and ways, with the limits they are to keep. Plain data, checked once. */

import type { OrderLine, OrderTerms } from "../money/orderCharge.ts";
import type { Network } from "../network/network.ts";
import type { Worth } from "./worth.ts";

/** A part of an order whose supplier charges on the whole of it; the charge is not in the option's cost. */
export interface OnOrder extends OrderLine {
  /** Index among {@link ChoiceInput.orders}. */
  supplier: number;
}

/** One thing that can be chosen: its price and what a judge takes off for it. */
export interface Option {
  /** Unique among the options of its choice. */
  id: string;
  /** Integer minor units of the one currency of the plan, knock-ons included. */
  cost: number;
  /** What of it counts against the cap, integer minor units; default all of it. It may be more, where the cap counts what the cost does not. */
  counted?: number;
  /** Points lost, integer hundredths, 0 or more. */
  points: number;
  /** Absent: nothing is charged on it together with others. */
  order?: OnOrder;
  /** Decided already: only kept options of its choice are looked at. */
  kept?: boolean;
  /** Not to be chosen. */
  ruledOut?: boolean;
}

/** A quote for a part or a remedy of a snag. */
export interface Arrival extends Option {
  /** Working hour, from the day of the figures, from which it can be used. */
  usable: number;
  /** Working hours between that and the operations that need it. */
  preparation: number;
}

/** One way to do an operation: in the shop's hours, or out of house as a wait in calendar days. */
export interface Way extends Option {
  time: number;
  /** True: time is calendar days; false: working hours. */
  inDays: boolean;
  /** Out of house: working hours in the shop before it goes out; default 0. */
  before?: number;
}

/** Where the points of a choice are lost. */
export interface Judged {
  /** Index of its judging section; null: in none, so that no cap applies. */
  section: number | null;
  /** Index of its line, which is one of that section's; null or absent: on none. */
  line?: number | null;
}

/** A line of a judging section, in hundredths of a point. What it loses of what its choices lose together is {@link lossOnLine}. */
export interface ChoiceLine {
  section: number;
  /** The most it can lose. */
  maximum: number;
  /** Any loss on it is taken whole. */
  mandatory?: boolean;
  /** A loss on it leaves no award. */
  disqualifying?: boolean;
  /** Losses count in whole steps, and what is over is in the owner's favour; default 1. */
  step?: number;
}

/** A part or a snag: one of its options must be chosen. */
export interface ArrivalChoice extends Judged {
  id: string;
  /** Positions in the network of the operations that need it. */
  positions: readonly number[];
  options: readonly Arrival[];
}

/** An operation with several ways; the chosen one takes the place of its hours in the network. */
export interface OperationChoice extends Judged {
  id: string;
  position: number;
  options: readonly Way[];
}

export interface ChoiceLimits {
  /** Target end: a day counted from the day of the figures, or a working hour, as ends are counted. */
  end?: number | undefined;
  /** Cap on what counts against it, in minor units. */
  cost?: number | undefined;
  /** The most that may be lost, hundredths of a point: the sheet's points less the floor. A plan that is disqualified does not keep it. */
  points?: number | undefined;
}

export interface ChoiceInput {
  /** The work alone; nodes of parts and snags are no part of it. */
  network: Network;
  /** Parts and snags. */
  arrivals: readonly ArrivalChoice[];
  operations: readonly OperationChoice[];
  /** The most that each judging section can lose, hundredths: what is lost beyond it costs nothing more. */
  sectionCaps: readonly number[];
  /** Lines of those sections. */
  lines?: readonly ChoiceLine[];
  /** Suppliers who charge on a whole order, each once however many of its quotes are chosen. */
  orders?: readonly OrderTerms[];
  limits?: ChoiceLimits;
  /** What days past the target and points are worth to the owner; ends are then dates. */
  worth?: Worth;
}

export type ChoiceFaultCode = "DUPLICATE" | "NOT_A_NUMBER" | "NOT_WHOLE" | "NEGATIVE" | "UNKNOWN_ROW" | "TOO_MANY";

/** Most ways that one operation can have. */
const MOST_WAYS = 30;

/** Input that makes no choice. `rows` are the choice and, where one is at fault, its option. */
export class ChoiceFault extends Error {
  constructor(
    readonly code: ChoiceFaultCode,
    message: string,
    readonly rows: readonly string[],
    readonly field: string,
  ) {
    super(message);
    this.name = "ChoiceFault";
  }
}

/** Throws {@link ChoiceFault} at the first thing that is wrong. */
export function checkChoice({
  network,
  arrivals,
  operations,
  sectionCaps,
  lines = [],
  orders = [],
}: ChoiceInput): void {
  const seen = new Set<string>();
  const taken = new Set<number>();
  const known = (choice: { id: string } & Judged, positions: readonly number[]): void => {
    if (seen.has(choice.id)) throw new ChoiceFault("DUPLICATE", `${choice.id} stands twice.`, [choice.id], "id");
    seen.add(choice.id);
    if (choice.section !== null && sectionCaps[choice.section] === undefined)
      throw new ChoiceFault(
        "UNKNOWN_ROW",
        `${choice.id} names judging section ${choice.section}, which is not there.`,
        [choice.id],
        "section",
      );
    if (choice.line !== undefined && choice.line !== null && lines[choice.line]?.section !== choice.section)
      throw new ChoiceFault(
        "UNKNOWN_ROW",
        `${choice.id} names line ${choice.line}, which is not one of its judging section.`,
        [choice.id],
        "line",
      );
    for (const v of positions)
      if (!Number.isInteger(v) || v < 0 || v >= network.size)
        throw new ChoiceFault(
          "UNKNOWN_ROW",
          `${choice.id} names position ${v}; the network has ${network.size}.`,
          [choice.id],
          "position",
        );
  };
  for (const cap of sectionCaps)
    if (!Number.isSafeInteger(cap) || cap < 0)
      throw new ChoiceFault("NOT_WHOLE", `A section's cap is ${cap}; it must be whole hundredths.`, [], "sectionCaps");
  for (const { maximum, step = 1 } of lines) {
    if (!Number.isSafeInteger(maximum) || maximum < 0)
      throw new ChoiceFault("NOT_WHOLE", `A line's maximum is ${maximum}; it must be whole hundredths.`, [], "lines");
    if (!Number.isSafeInteger(step) || step < 1)
      throw new ChoiceFault("NOT_WHOLE", `A line's step is ${step}; it must be whole hundredths.`, [], "lines");
  }
  for (const terms of orders) checkAmounts("What a supplier charges on an order", Object.values(terms), []);
  for (const choice of arrivals) {
    known(choice, choice.positions);
    checkOptions(choice.id, choice.options, orders);
    for (const option of choice.options) {
      checkTime(choice.id, option.id, "usable", option.usable, false);
      checkTime(choice.id, option.id, "preparation", option.preparation, true);
    }
  }
  for (const choice of operations) {
    known(choice, [choice.position]);
    if (taken.has(choice.position))
      throw new ChoiceFault("DUPLICATE", `${choice.id} is an operation that stands twice.`, [choice.id], "position");
    taken.add(choice.position);
    if (choice.options.length > MOST_WAYS)
      throw new ChoiceFault(
        "TOO_MANY",
        `${choice.id} has ${choice.options.length} ways; an operation has at most ${MOST_WAYS}.`,
        [choice.id],
        "options",
      );
    checkOptions(choice.id, choice.options, orders);
    for (const option of choice.options) {
      checkTime(choice.id, option.id, "time", option.time, true);
      checkTime(choice.id, option.id, "before", option.before ?? 0, true);
    }
  }
}

function checkOptions(choice: string, options: readonly Option[], orders: readonly OrderTerms[]): void {
  const ids = new Set<string>();
  for (const { id, cost, counted, points, order } of options) {
    const at = `${id} of ${choice}`;
    if (ids.has(id)) throw new ChoiceFault("DUPLICATE", `${at} stands twice.`, [choice, id], "id");
    ids.add(id);
    if (!Number.isSafeInteger(cost))
      throw new ChoiceFault("NOT_WHOLE", `${at} costs ${cost}; it must be whole minor units.`, [choice, id], "cost");
    if (counted !== undefined && !Number.isSafeInteger(counted))
      throw new ChoiceFault(
        "NOT_WHOLE",
        `${at} counts ${counted} against the cap; it must be whole minor units.`,
        [choice, id],
        "counted",
      );
    if (!Number.isSafeInteger(points))
      throw new ChoiceFault("NOT_WHOLE", `${at} loses ${points}; it must be whole hundredths.`, [choice, id], "points");
    if (points < 0)
      throw new ChoiceFault("NEGATIVE", `${at} loses ${points} hundredths of a point.`, [choice, id], "points");
    if (order === undefined) continue;
    if (orders[order.supplier] === undefined)
      throw new ChoiceFault(
        "UNKNOWN_ROW",
        `${at} names supplier ${order.supplier}, who is not there.`,
        [choice, id],
        "order",
      );
    checkAmounts(`What ${at} is ordered for`, [order.goods], [choice, id]);
  }
}

function checkAmounts(what: string, amounts: readonly number[], rows: readonly string[]): void {
  for (const amount of amounts) {
    if (!Number.isSafeInteger(amount))
      throw new ChoiceFault("NOT_WHOLE", `${what} is ${amount}; it must be whole minor units.`, rows, "order");
    if (amount < 0) throw new ChoiceFault("NEGATIVE", `${what} is ${amount}.`, rows, "order");
  }
}

function checkTime(choice: string, id: string, field: string, time: number, positive: boolean): void {
  if (!Number.isFinite(time))
    throw new ChoiceFault("NOT_A_NUMBER", `${id} of ${choice} has no number as ${field}.`, [choice, id], field);
  if (positive && time < 0)
    throw new ChoiceFault("NEGATIVE", `${id} of ${choice} has ${time} as ${field}.`, [choice, id], field);
}
