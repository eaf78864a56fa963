/**
 * What is not known for sure: hours of work, lead times, makers who run late, routes that fail and hunts.
 * Plain data, counted from the day of the figures; the same model and seed always give the same runs.
 */

import type { Estimate } from "../chance/beta.ts";
import type { HandHours } from "../hands/handHours.ts";
import type { NetworkLink } from "../network/network.ts";
import type { CalendarInput } from "../time/calendar.ts";

/** Stands for a day that never comes: a route failed and nothing follows it. */
export const NEVER = 2 ** 31 - 1;

/** Calendar days after which something found or delivered no longer counts as coming: a hundred years. */
export const HORIZON = 36_525;

export interface UncertainNode {
  /** Unique in the model. */
  id: string;
  /** What its streams of chance are named by: the same wherever the row stands; default its id. */
  name?: string;
  /** Working hours still to do: a number, or a three-point estimate read as PERT-beta. */
  hours: number | Estimate;
  /** Working hour before which it cannot start; default 0. */
  release?: number;
  /** Id of the trade whose factor its hours are taken by; absent: as estimated. */
  trade?: string;
  /** Hands in whose common hours it is done; absent: the shop's own hours. */
  hands?: readonly HandHours[];
  /** Finished on this day. */
  doneOn?: number;
}

/** A wait in calendar days. A fraction of a day counts as the whole day: what comes in its course can be used the next morning. */
export type Wait =
  | { kind: "FIXED"; days: number }
  | { kind: "PERT"; estimate: Estimate }
  /** exp of a normal variable: its mean and standard deviation, of log days. */
  | { kind: "LOGNORMAL"; mu: number; sigma: number };

/** A maker whose open orders share their luck: each run draws one factor for all of them. */
export interface Maker {
  id: string;
  /** As of a node. */
  name?: string;
  /** Standard deviation of the log of the factor by which all its waits are longer or shorter in a run; 0 or more. */
  lateness: number;
  /** The same of what it shares with all makers, so that all are late or early together; default 0. */
  crowd?: number;
}

/** How long a trade's work takes against its estimates: each run draws one factor for all of it, of which a part is the shop's. */
export interface TradeFactor {
  /** Its streams are named by it. */
  id: string;
  /** Mean of the factor's log. */
  mean: number;
  /** Standard deviation of its log that all trades have together in a run, and that of its own; 0 or more. */
  shop: number;
  own: number;
}

/** An order: placed already (a day before the day of the figures), or to be placed. */
export interface OrderRoute {
  kind: "ORDER";
  /** Day on which it goes or went out; as a fallback, the first day on which it can. */
  orderDay: number;
  wait: Wait;
  /** Id of the maker whose lateness it shares. */
  maker?: string;
  /** Chance that it comes to nothing, which is known on the day on which it was due. */
  failure?: number;
  /** What is done then; without it the part never comes in that run. */
  fallback?: Route;
}

/**
 * A hunt that goes on until something is found or the stop day is over. The chance that nothing has been found t weeks
 * on is exp(-rate t) times the product of (1 - chance) over the events up to then, the rate being gamma-distributed.
 */
export interface HuntRoute {
  kind: "HUNT";
  /** Shape of the rate's gamma distribution, and the weeks it is worth (its rate parameter), as believed on the day of the figures. */
  shape: number;
  weeks: number;
  events: readonly HuntDay[];
  /** From the find to the shop. */
  wait: Wait;
  /** Nothing found by the end of this day: the fallback is ordered on it. Absent: the hunt goes on. */
  stopDay?: number;
  fallback?: Route;
}

/** An event of a hunt: a day, and the chance that it is found then. */
export interface HuntDay {
  day: number;
  chance: number;
}

export type Route = OrderRoute | HuntRoute;

/** An outstanding part or snag. Its node's hours are 0 and its release is when it can be used. */
export interface UncertainHoldUp {
  /** Id of its node. */
  node: string;
  /** Null: nobody has it, and completion is open. It counts as in hand in the runs, which the result says. */
  route: Route | null;
}

export interface UncertainModel {
  calendar: CalendarInput;
  nodes: readonly UncertainNode[];
  links: readonly NetworkLink[];
  holdUps: readonly UncertainHoldUp[];
  makers: readonly Maker[];
  /** Absent: all work takes as long as is estimated. */
  trades?: readonly TradeFactor[];
  /** Day of the target date; null without one. */
  targetDay: number | null;
}

export type UncertainFaultCode = "OUT_OF_RANGE" | "NOT_A_NUMBER" | "UNKNOWN_ROW";

/** A model that says something impossible. `row` is the id of the node, maker or hold-up. */
export class UncertainFault extends Error {
  constructor(
    readonly code: UncertainFaultCode,
    readonly row: string,
    readonly field: string,
    message: string,
  ) {
    super(message);
    this.name = "UncertainFault";
  }
}

/** By node: what its streams of chance are named by. */
export const streamNames = ({ nodes }: UncertainModel): ReadonlyMap<string, string> =>
  new Map(nodes.map(({ id, name }) => [id, name ?? id]));

/** Throws {@link UncertainFault} where an estimate, chance, wait or name cannot be. Links and cycles are the network's to check. */
export function checkModel(model: UncertainModel): void {
  const nodes = new Set(model.nodes.map(({ id }) => id));
  const makers = new Set(model.makers.map(({ id }) => id));
  const trades = new Set((model.trades ?? []).map(({ id }) => id));
  for (const { id, hours, trade } of model.nodes) {
    if (typeof hours !== "number") checkEstimate(id, "hours", hours);
    if (trade !== undefined && !trades.has(trade))
      throw new UncertainFault("UNKNOWN_ROW", id, "trade", `${id} is of the trade ${trade}, which is not there.`);
  }
  for (const { id, mean, shop, own } of model.trades ?? []) {
    if (!Number.isFinite(mean))
      throw new UncertainFault("NOT_A_NUMBER", id, "mean", `${id} takes exp(${mean}) times its estimates.`);
    atLeast(id, "shop", shop, 0);
    atLeast(id, "own", own, 0);
  }
  for (const { id, lateness, crowd = 0 } of model.makers) {
    atLeast(id, "lateness", lateness, 0);
    atLeast(id, "crowd", crowd, 0);
  }
  if (model.targetDay !== null && !Number.isInteger(model.targetDay)) notWhole("", "targetDay", model.targetDay);
  for (const { node, route } of model.holdUps) {
    if (!nodes.has(node)) throw new UncertainFault("UNKNOWN_ROW", node, "node", `${node} has no node of its own.`);
    for (let at = route; at != null; at = at.fallback ?? null) checkRoute(node, at, makers);
  }
}

function checkRoute(row: string, route: Route, makers: ReadonlySet<string>): void {
  checkWait(row, route.wait);
  if (route.kind === "ORDER") {
    if (!Number.isInteger(route.orderDay)) notWhole(row, "orderDay", route.orderDay);
    chance(row, "failure", route.failure ?? 0);
    if (route.maker !== undefined && !makers.has(route.maker))
      throw new UncertainFault("UNKNOWN_ROW", row, "maker", `${row} names the maker ${route.maker}, who is not there.`);
    return;
  }
  if (route.stopDay !== undefined && !Number.isInteger(route.stopDay)) notWhole(row, "stopDay", route.stopDay);
  if (!(route.shape > 0 && route.weeks > 0))
    throw new UncertainFault(
      "OUT_OF_RANGE",
      row,
      route.shape > 0 ? "weeks" : "shape",
      `${row} hunts at a rate of shape ${route.shape} over ${route.weeks} weeks; both must be above 0.`,
    );
  for (const { day, chance: odds } of route.events) {
    if (!Number.isInteger(day)) notWhole(row, "events", day);
    chance(row, "events", odds);
  }
}

function checkWait(row: string, wait: Wait): void {
  if (wait.kind === "FIXED") atLeast(row, "wait", wait.days, 0);
  else if (wait.kind === "PERT") checkEstimate(row, "wait", wait.estimate);
  else {
    if (!Number.isFinite(wait.mu))
      throw new UncertainFault("NOT_A_NUMBER", row, "wait", `${row} waits exp(${wait.mu}) days.`);
    atLeast(row, "wait", wait.sigma, 0);
  }
}

function checkEstimate(row: string, field: string, { low, likely, high }: Estimate): void {
  atLeast(row, field, low, 0);
  if (!(low <= likely && likely <= high && Number.isFinite(high)))
    throw new UncertainFault(
      "OUT_OF_RANGE",
      row,
      field,
      `${row} is estimated at ${low}, ${likely} and ${high}; these must not fall.`,
    );
}

function atLeast(row: string, field: string, value: number, least: number): void {
  if (!Number.isFinite(value))
    throw new UncertainFault("NOT_A_NUMBER", row, field, `${row} has ${value} for ${field}; it must be a number.`);
  if (value < least)
    throw new UncertainFault(
      "OUT_OF_RANGE",
      row,
      field,
      `${row} has ${value} for ${field}; it must not be below ${least}.`,
    );
}

function notWhole(row: string, field: string, value: number): never {
  throw new UncertainFault("NOT_A_NUMBER", row, field, `${row} has ${value} for ${field}; it must be a whole day.`);
}

function chance(row: string, field: string, value: number): void {
  if (!(value >= 0 && value <= 1))
    throw new UncertainFault("OUT_OF_RANGE", row, field, `${row} has ${value} for ${field}; a chance is 0 to 1.`);
}
