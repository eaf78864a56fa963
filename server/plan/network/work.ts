/** The work of a restoration as nodes and links: operations, and the returns of what is sent out. */

import type { NetworkLink, NetworkNode } from "../../engine/network/network.ts";
import type { ShopCalendar } from "../../engine/time/calendar.ts";
import { days } from "../../engine/time/units.ts";
import { ownHoursOfShop } from "../days/shopDays.ts";
import type { Acquisition } from "../parts/acquisition.ts";
import { Declined } from "../parts/declined.ts";
import type { OperationRow, OperationWayRow, PlanRows } from "../rows/rows.ts";

export const operationNode = (id: string): string => `operation:${id}`;
/** Work that an arrival brings before it fits, by the id of its part or snag. */
export const preparationNode = (id: string): string => `preparation:${id}`;
/** Work that was sent out is back. */
export const returnNode = (id: string): string => `return:${id}`;

/** By operation id: the way chosen for it, unless the owner declined it before it was begun. */
export function chosenWays(rows: PlanRows): Map<string, OperationWayRow> {
  const chosen = new Set(rows.operations.map((operation) => operation.chosenWayId));
  const declined = new Declined(rows);
  // Work that has gone out is out, whatever was said of it.
  const begun = new Set(rows.operations.filter(({ state }) => state !== "NOT_STARTED").map(({ id }) => id));
  const inForce = (way: OperationWayRow) => chosen.has(way.id) && (begun.has(way.operationId) || !declined.has(way.id));
  return new Map(rows.ways.filter(inForce).map((way) => [way.operationId, way]));
}

/** A wait outside the shop. Where its hours are behind it, `backOn` is the day of the return, counted from the day of the figures. */
export interface Away {
  days: number;
  backOn: number | null;
}

/** The wait of an operation that is sent out; null for one that is not, or is done. It went on the day it was begun. */
export function awayOf(o: OperationRow, way: OperationWayRow | undefined, calendar: ShopCalendar): Away | null {
  if (way === undefined || way.days === 0 || o.state === "DONE") return null;
  const gone = o.state === "UNDER_WAY" && o.remainingHours === 0 && o.startedOn !== null;
  return { days: way.days, backOn: gone ? Math.max(0, calendar.day(o.startedOn!) + way.days) : null };
}

export interface WorkOptions {
  /** Operations whose way is still to be chosen: the choice brings their time. */
  choosing?: ReadonlySet<string>;
}

/** Of work that needs nobody, or where nobody is entered. */
export function onShopHours(rows: PlanRows, calendar: ShopCalendar): Pick<NetworkNode, "hands"> {
  const hands = ownHoursOfShop(rows, calendar);
  return hands === undefined ? {} : { hands };
}

/** Operations and returns, with the links between them. */
export function workOf(
  rows: PlanRows,
  ways: ReadonlyMap<string, OperationWayRow>,
  calendar: ShopCalendar,
  { choosing }: WorkOptions = {},
): { nodes: NetworkNode[]; links: NetworkLink[] } {
  const nodes: NetworkNode[] = [];
  const links: NetworkLink[] = [];
  const sentOut = new Set<string>();
  const shop = onShopHours(rows, calendar);
  const from = ({ state, notBefore }: OperationRow): Pick<NetworkNode, "release"> =>
    state !== "NOT_STARTED" || notBefore === null
      ? {}
      : { release: Math.max(0, calendar.hoursBefore(calendar.day(notBefore))) };
  for (const o of rows.operations) {
    if (choosing?.has(o.id)) {
      nodes.push({ id: operationNode(o.id), hours: 0, ...from(o), ...shop });
      continue;
    }
    const done = o.state === "DONE";
    const hoursOfWay = ways.get(o.id)?.hours ?? o.hoursLikely;
    const hoursToDo = o.state === "UNDER_WAY" ? (o.remainingHours ?? hoursOfWay) : hoursOfWay;
    const node: NetworkNode = { id: operationNode(o.id), hours: hoursToDo, ...from(o), ...shop };
    // Without a date, done work was done by the day before the figures stand.
    if (done) node.doneOn = Math.min(-1, o.finishedOn === null ? -1 : calendar.day(o.finishedOn));
    nodes.push(node);
    const away = awayOf(o, ways.get(o.id), calendar);
    if (away === null) continue;
    sentOut.add(o.id);
    const back: NetworkNode = { id: returnNode(o.id), hours: 0 };
    if (away.backOn !== null) back.release = calendar.usableAfterArrival(days(away.backOn));
    nodes.push(back);
    const lag = away.backOn !== null ? 0 : away.days;
    links.push({ before: node.id, after: back.id, lag, lagInDays: true });
  }
  for (const l of rows.links)
    links.push({
      before: sentOut.has(l.beforeId) ? returnNode(l.beforeId) : operationNode(l.beforeId),
      after: operationNode(l.afterId),
      lag: l.lag,
      lagInDays: l.lagUnit === "DAYS",
    });
  return { nodes, links };
}

/** The whole network: operations, returns of what is sent out, arrivals, and the work that an arrival brings before it fits. */
export function nodesOf(
  rows: PlanRows,
  ways: ReadonlyMap<string, OperationWayRow>,
  acquisitions: readonly Acquisition[],
  calendar: ShopCalendar,
): { nodes: NetworkNode[]; links: NetworkLink[] } {
  const { nodes, links } = workOf(rows, ways, calendar);
  const shop = onShopHours(rows, calendar);
  for (const a of acquisitions) {
    nodes.push({
      id: a.id,
      hours: 0,
      release: a.arrival === null ? 0 : calendar.usableAfterArrival(days(a.arrival)),
    });
    let ready = a.id;
    if (a.preparationHours > 0) {
      ready = preparationNode(a.rowId);
      nodes.push({ id: ready, hours: a.preparationHours, ...shop });
      links.push({ before: a.id, after: ready, lag: 0, lagInDays: false });
    }
    for (const id of a.operationIds) links.push({ before: ready, after: operationNode(id), lag: 0, lagInDays: false });
  }
  return { nodes, links };
}
