/**
 * The work of a plan on the hands that are entered: each with the hours of the weekday on a day on which the shop is not
 * closed. Arrivals and links are the plan's own.
 */
import type { ShopCalendar } from "../engine/calendar.ts";
import { lowerBounds } from "../engine/hands/bound.ts";
import { Search } from "../engine/hands/search.ts";
import { type HandLine, type HandNeed, type HandOperation, Shop } from "../engine/hands/shop.ts";
import { days } from "../engine/units.ts";
import type { Acquisition } from "./acquisition.ts";
import type { OnHands } from "./plan.ts";
import type { OperationWayRow, PlanRows } from "./rows.ts";
import { nodesOf, operationNode, preparationNode } from "./work.ts";

/** Schedules that are made within a request. */
const QUICK = 150;

export function onHands(
  rows: PlanRows,
  ways: ReadonlyMap<string, OperationWayRow>,
  acquisitions: readonly Acquisition[],
  calendar: ShopCalendar,
): OnHands | null {
  if (rows.hands.length === 0 || rows.operations.every(({ state }) => state === "DONE")) return null;
  const { nodes, links } = nodesOf(rows, ways, acquisitions, calendar);
  const trades = tradesOf(rows, acquisitions);
  const operations = nodes.map(({ id, hours, release = 0, doneOn }): HandOperation => {
    const trade = trades.get(id) ?? "";
    const needs: HandNeed[] = trade === "" ? [] : [{ trade, hands: 1 }];
    return { id, hours, release, needs, restoration: 0, ...(doneOn !== undefined && { doneOn }) };
  });
  const hands = handLines(rows);
  const shop = new Shop({ operations, links, hands, calendar, targets: [Number.POSITIVE_INFINITY] });
  const nobodyFor = nobody(shop, operations);
  if (nobodyFor.length > 0) return { date: null, notBefore: null, nobodyFor };
  const bounds = lowerBounds(shop, operations);
  const search = new Search(shop, 1, null, Float64Array.of(0, bounds[0]!));
  search.run(QUICK);
  const date = (end: number): string => calendar.date(days(shop.endDay(end)));
  return { date: date(search.ends[0]!), notBefore: date(bounds[0]!), nobodyFor };
}

/** The hands in order of name; those without an hour in any week are nobody. */
const handLines = ({ hands }: PlanRows): HandLine[] =>
  hands
    .filter(({ weekdayHours }) => weekdayHours.some((hours) => hours > 0))
    .map(({ people: count, absences: away, ...hand }) => ({ ...hand, count, away }));

/** By node: the trade of the work that is to be done at it. What an arrival brings is done by who waits for it. */
function tradesOf(rows: PlanRows, acquisitions: readonly Acquisition[]): Map<string, string> {
  const own = new Map(rows.operations.map(({ id, trade }) => [id, trade]));
  const trades = new Map(rows.operations.map(({ id, trade }) => [operationNode(id), trade]));
  for (const { rowId, operationIds } of acquisitions)
    trades.set(preparationNode(rowId), own.get(operationIds[0] ?? "") ?? "");
  return trades;
}

function nobody(shop: Shop, operations: readonly HandOperation[]): OnHands["nobodyFor"] {
  const without = new Map<string, { trade: string; operations: number; hours: number }>();
  const hoursOf = new Map(operations.map(({ id, hours }) => [id, hours]));
  for (const { operation, trade } of shop.faults) {
    const hours = hoursOf.get(operation)!;
    const known = without.get(trade) ?? { trade, operations: 0, hours: 0 };
    if (hours > 0) without.set(trade, { trade, operations: known.operations + 1, hours: known.hours + hours });
  }
  return [...without.values()];
}
