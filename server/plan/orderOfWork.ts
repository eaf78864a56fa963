/**
 * The order in which the hands of the shop do the work: who does what, and what each does before it. All dates of a plan
 * are with this order kept.
 */

import { lowerBounds } from "../engine/hands/bound.ts";
import { MOST_DAYS } from "../engine/hands/dayHours.ts";
import { handovers } from "../engine/hands/keptOrder.ts";
import { type Schedule, Search } from "../engine/hands/search.ts";
import { type HandLine, type HandNeed, type HandOperation, Shop } from "../engine/hands/shop.ts";
import type { NetworkLink, NetworkNode } from "../engine/network.ts";
import { days } from "../engine/units.ts";
import { compareCodes } from "../store/codes.ts";
import { type Acquisition, acquisitionsOf } from "./acquisition.ts";
import type { TradeWithoutHands } from "./plan.ts";
import type { HandRow, PlanRows } from "./rows.ts";
import { shopCalendar } from "./shopDays.ts";
import { chosenWays, nodesOf, operationNode, preparationNode } from "./work.ts";

/** Schedules that are made within a request; fewer of large work. */
const QUICK = 150;
const QUICK_OPERATIONS = 20_000;

export interface OrderOfWork {
  /** By node: who does it, of a line of several each that it takes. Those that the same do have the same list. */
  hands: ReadonlyMap<string, readonly HandRow[]>;
  /** From what a hand does to what it does next. */
  handovers: readonly NetworkLink[];
  /** No order of work ends before it, on these hands. */
  notBefore: string;
  hoursNotBefore: number;
  /** Trades with work to do and nobody to do it: that work counts as done by hands without end. */
  nobodyFor: readonly TradeWithoutHands[];
}

const found = new WeakMap<PlanRows, Map<string, OrderOfWork | null>>();

export interface OrderAsked {
  /** The day on which all is finished is the same, and is what is asked for: hours within it are not. */
  daysAlone?: boolean;
}

/** The order of the work that is left on a day; null where no hands are entered or all is done. Pure. Throws NetworkFault. */
export function orderOfWork(rows: PlanRows, figuresFor: string, asked: OrderAsked = {}): OrderOfWork | null {
  if (rows.hands.length === 0 || rows.operations.every(({ state }) => state === "DONE")) return null;
  if (asked.daysAlone) return ordered(rows, figuresFor, asked);
  const byDay = found.get(rows) ?? new Map<string, OrderOfWork | null>();
  found.set(rows, byDay);
  const known = byDay.get(figuresFor);
  if (known !== undefined) return known;
  const made = ordered(rows, figuresFor, asked);
  byDay.set(figuresFor, made);
  return made;
}

function ordered(rows: PlanRows, figuresFor: string, { daysAlone }: OrderAsked): OrderOfWork {
  const calendar = shopCalendar(rows, figuresFor);
  const { outstanding } = acquisitionsOf(rows, figuresFor, calendar);
  const { nodes, links } = byName(nodesOf(rows, chosenWays(rows), outstanding, calendar), rows, outstanding);
  const needs = needsOf(rows, outstanding);
  const hands = handLines(rows);
  // Begun work is not put down for other work.
  const before = new Map(
    rows.operations.map(
      ({ id, state, first }) => [operationNode(id), state === "UNDER_WAY" ? 2 : first ? 1 : 0] as const,
    ),
  );
  const without = new Set(
    nodes.filter(({ id }) => (needs.get(id) ?? []).some((asked) => tooFew(hands, asked))).map(({ id }) => id),
  );
  for (;;) {
    const operations = nodes.map(
      ({ id, hours, release = 0, doneOn }): HandOperation => ({
        id,
        hours,
        release,
        needs: without.has(id) ? [] : (needs.get(id) ?? []),
        restoration: 0,
        before: before.get(id) ?? 0,
        ...(doneOn !== undefined && { doneOn }),
      }),
    );
    const shop = new Shop({ operations, links, hands, calendar, targets: [Number.POSITIVE_INFINITY] });
    const bounds = lowerBounds(shop, operations);
    const search = new Search(shop, 1, null, Float64Array.of(0, bounds[0]!), daysAlone);
    search.run(Math.min(QUICK, Math.ceil(QUICK_OPERATIONS / Math.max(1, shop.size, shop.choices / 5))));
    const schedule = search.schedule();
    const never = shop.network.ids.filter(
      (id, v) =>
        !without.has(id) &&
        (needs.get(id) ?? []).length > 0 &&
        schedule.start[v]! < Number.POSITIVE_INFINITY &&
        shop.endDay(schedule.finish[v]!) - shop.endDay(schedule.start[v]!) > MOST_DAYS,
    );
    if (never.length > 0) {
      // All who could have done it have left by then, or never work together, or as good as never.
      for (const id of never) without.add(id);
      continue;
    }
    return {
      hands: handsOf(shop, schedule, rows),
      handovers: handovers(shop, schedule).map(([u, v]) => ({
        before: shop.network.ids[u]!,
        after: shop.network.ids[v]!,
        lag: 0,
        lagInDays: false,
      })),
      notBefore: calendar.date(days(Math.max(0, shop.endDay(bounds[0]!)))),
      hoursNotBefore: bounds[0]!,
      nobodyFor: nobodyFor(nodes, needs, hands, without),
    };
  }
}

/** In one order, by the codes of the rows: the same data give the same order of work in another database. */
function byName(
  { nodes, links }: { nodes: readonly NetworkNode[]; links: readonly NetworkLink[] },
  rows: PlanRows,
  outstanding: readonly Acquisition[],
): { nodes: NetworkNode[]; links: NetworkLink[] } {
  const codes = new Map([
    ...rows.operations.map(({ id, code }) => [id, code] as const),
    ...outstanding.map(({ rowId, code }) => [rowId, code] as const),
  ]);
  const nameOf = (node: string): string => {
    const at = node.indexOf(":") + 1;
    return node.slice(0, at) + (codes.get(node.slice(at)) ?? node.slice(at));
  };
  const names = new Map(nodes.map(({ id }) => [id, nameOf(id)]));
  const by = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);
  return {
    nodes: nodes.toSorted((a, b) => by(names.get(a.id)!, names.get(b.id)!)),
    links: links.toSorted(
      (a, b) =>
        by(names.get(a.before)!, names.get(b.before)!) ||
        by(names.get(a.after)!, names.get(b.after)!) ||
        Number(a.lagInDays) - Number(b.lagInDays) ||
        a.lag - b.lag,
    ),
  };
}

/** By node: the hands that the work at it takes. What an arrival brings is done by who does the first that waits for it. */
export function needsOf(
  rows: PlanRows,
  outstanding: readonly Acquisition[],
): ReadonlyMap<string, HandOperation["needs"]> {
  const own = new Map(
    rows.operations.map(({ id, handsNeeded }) => [id, handsNeeded.filter(({ trade }) => trade !== "")]),
  );
  const needs = new Map<string, HandOperation["needs"]>();
  for (const [id, asked] of own) needs.set(operationNode(id), asked);
  const codes = new Map(rows.operations.map(({ id, code }) => [id, code]));
  for (const { rowId, operationIds } of outstanding) {
    const [operation = ""] = operationIds.toSorted((a, b) => compareCodes(codes.get(a) ?? "", codes.get(b) ?? ""));
    const [first] = own.get(operation) ?? [];
    if (first !== undefined) needs.set(preparationNode(rowId), [{ trade: first.trade, hands: 1 }]);
  }
  return needs;
}

/** Those without an hour in any week are nobody. */
const handLines = ({ hands }: PlanRows): HandLine[] =>
  hands
    .filter(({ weekdayHours }) => weekdayHours.some((hours) => hours > 0))
    .map(({ people, ...hand }) => ({ ...hand, count: people }));

const tooFew = (hands: readonly HandLine[], { trade, hands: asked }: HandNeed): boolean =>
  hands.reduce((sum, { trades, count }) => (trades.includes(trade) ? sum + count : sum), 0) < asked;

function handsOf(shop: Shop, { team }: Schedule, rows: PlanRows): Map<string, readonly HandRow[]> {
  const byId = new Map(rows.hands.map((hand) => [hand.id, hand]));
  const rowsOf = new Map<unknown, HandRow[]>();
  const hands = new Map<string, readonly HandRow[]>();
  shop.network.ids.forEach((id, v) => {
    if (team[v]! < 0 || shop.teams[v]![team[v]!]!.lines.length === 0) return;
    const own = shop.teams[v]![team[v]!]!;
    const known =
      rowsOf.get(own) ??
      Array.from(own.lines).flatMap((line, i) =>
        new Array<HandRow>(own.counts[i]!).fill(byId.get(shop.lines[line]!.id)!),
      );
    rowsOf.set(own, known);
    hands.set(id, known);
  });
  return hands;
}

/** By trade, the work that is without hands: those of which too few do it, else, where all have left, of all that it takes. */
function nobodyFor(
  nodes: readonly { id: string; hours: number; doneOn?: number }[],
  needs: ReadonlyMap<string, readonly HandNeed[]>,
  hands: readonly HandLine[],
  without: ReadonlySet<string>,
): TradeWithoutHands[] {
  const trades = new Map<string, TradeWithoutHands>();
  for (const { id, hours, doneOn } of nodes) {
    if (!without.has(id) || hours === 0 || doneOn !== undefined) continue;
    const all = needs.get(id) ?? [];
    const few = all.filter((asked) => tooFew(hands, asked));
    for (const { trade } of few.length > 0 ? few : all) {
      const known = trades.get(trade) ?? { trade, operations: 0, hours: 0 };
      trades.set(trade, { trade, operations: known.operations + 1, hours: known.hours + hours });
    }
  }
  return [...trades.values()];
}

/** Work on its hands, their order of work kept. What the order knows and the work has not hands over what it was handed. */
export function onHands<Node extends Pick<NetworkNode, "id" | "hands">>(
  { nodes, links }: { nodes: readonly Node[]; links: readonly NetworkLink[] },
  order: OrderOfWork | null,
): { nodes: Node[]; links: NetworkLink[] } {
  if (order === null) return { nodes: [...nodes], links: [...links] };
  const here = new Set(nodes.map(({ id }) => id));
  const next = new Map<string, string[]>();
  for (const { before, after } of order.handovers) {
    const known = next.get(before);
    if (known === undefined) next.set(before, [after]);
    else known.push(after);
  }
  const reached = (id: string): string[] =>
    (next.get(id) ?? []).flatMap((after) => (here.has(after) ? [after] : reached(after)));
  return {
    nodes: nodes.map((node) => {
      const hands = order.hands.get(node.id);
      return hands === undefined ? node : { ...node, hands };
    }),
    links: [
      ...links,
      ...[...here].flatMap((before) =>
        [...new Set(reached(before))].map((after) => ({ before, after, lag: 0, lagInDays: false })),
      ),
    ],
  };
}
