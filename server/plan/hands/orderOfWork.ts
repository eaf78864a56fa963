/**
 * The order in which the hands of the shop do the work of all its machines: who does what, and what each does before it.
 * All dates of a plan are with this order kept.
 */

import { createHash } from "node:crypto";
import { MOST_DAYS } from "../../engine/hands/dayHours.ts";
import { handovers } from "../../engine/hands/keptOrder.ts";
import { OrderSearch, type OrderWork } from "../../engine/hands/orderSearch.ts";
import type { Schedule } from "../../engine/hands/search.ts";
import type { HandLine, HandNeed, HandOperation, Shop } from "../../engine/hands/shop.ts";
import { Network, NetworkFault, type NetworkLink, type NetworkNode } from "../../engine/network/network.ts";
import type { ListWork } from "../../engine/odds/policies.ts";
import type { ShopCalendar } from "../../engine/time/calendar.ts";
import { days } from "../../engine/time/units.ts";
import { compareCodes } from "../../store/codes.ts";
import { shopCalendar, shopDays } from "../days/shopDays.ts";
import { chosenWays, nodesOf, operationNode, preparationNode } from "../network/work.ts";
import { type Acquisition, acquisitionsOf } from "../parts/acquisition.ts";
import { newest } from "../rows/kept.ts";
import { type HandRow, machinesOf, type OperationRow, type PlanRows } from "../rows/rows.ts";
import { type HandSpan, titlesOf } from "./handLoad.ts";

/** Work to do and nobody to do it: until there is, it counts as done by hands without end, and completion is open. */
export interface TradeWithoutHands {
  trade: string;
  operations: number;
  hours: number;
}

/** Schedules that are made within a request; fewer of large work. */
const QUICK = 150;
const QUICK_OPERATIONS = 20_000;

const OPERATION = operationNode("");

export interface OrderOfWork {
  /** By node: who does it, of a line of several each that it takes. Those that the same do have the same list. */
  hands: ReadonlyMap<string, readonly HandRow[]>;
  /** From what a hand does to what it does next, whichever machine either is of. */
  handovers: readonly HandOver[];
  /** By node of this machine: the hours of the shop until which its hands are on another machine's work. */
  takenUntil: ReadonlyMap<string, readonly Taken[]>;
  /** What the hands do on all machines, as it is planned; worked out when it is asked for. */
  spans: () => readonly HandSpan[];
  /** What whoever is free would go by if the order were not kept; worked out when it is asked for. */
  list: () => HandsList;
  /** No order of work ends before it, on these hands. */
  notBefore: string;
  hoursNotBefore: number;
  /** Trades with work to do and nobody to do it: that work counts as done by hands without end. */
  nobodyFor: readonly TradeWithoutHands[];
}

/** The list that the schedule is made from, and who may do what of it. */
export interface HandsList extends Pick<OrderWork, "places" | "hands"> {
  /** By node of this machine: the hands that it takes, and how far before others; what nobody can do takes none. */
  takes: ReadonlyMap<string, Pick<HandOperation, "needs" | "before" | "putDown">>;
  /** The work of machines of higher rank, as it is planned. */
  busy: ListWork["busy"];
}

export interface OrderAsked {
  /** The day on which all is finished is the same, and is what is asked for: hours within it are not. */
  daysAlone?: boolean;
}

interface HandOver extends NetworkLink {
  /** Whose, by id. */
  hand: string;
}

interface Taken {
  hand: string;
  until: number;
}

/** For what work does not wait: hands by their ids, or whatever other machines take of all of them. */
export type Freed = { hands: ReadonlySet<string> } | "OF_OTHER_MACHINES";

/** The order of the work that is left on a day; null where no hands are entered or all is done. Pure. Throws NetworkFault. */
export function orderOfWork(rows: PlanRows, figuresFor: string, asked: OrderAsked = {}): OrderOfWork | null {
  if (rows.hands.length === 0 || allDone(rows)) return null;
  if (asked.daysAlone) return ordered(rows, figuresFor, asked).orders.get(rows.restoration.id) ?? null;
  return shopOrder(rows, figuresFor).orders.get(rows.restoration.id) ?? null;
}

interface ShopOrder {
  /** By restoration of the shop that has work left. */
  orders: ReadonlyMap<string, OrderOfWork>;
  work: OrderWork;
}

const found = new WeakMap<object, Map<string, ShopOrder>>();

function shopOrder(rows: PlanRows, figuresFor: string): ShopOrder {
  // As they were read, all machines of the shop have one order between them.
  const read = rows.machines.find(({ restoration }) => restoration.id === rows.restoration.id);
  const asRead = read !== undefined && sameRows(rows, read);
  const key = asRead ? rows.machines : rows;
  const byDay = found.get(key) ?? new Map<string, ShopOrder>();
  found.set(key, byDay);
  const known = byDay.get(figuresFor);
  if (known !== undefined) return known;
  const made = ordered(rows, figuresFor, {});
  byDay.set(figuresFor, made);
  return made;
}

/** What a longer search for an order takes: all machines of the shop. Throws NetworkFault. */
export const orderWorkOf = (rows: PlanRows, figuresFor: string): OrderWork => shopOrder(rows, figuresFor).work;

/** Nodes in an order of work as the operations in it, by their ids. */
export const operationsIn = (nodes: readonly string[]): string[] =>
  nodes.flatMap((node) => (node.startsWith(OPERATION) ? [node.slice(OPERATION.length)] : []));

/** Rows whose operations are kept in an order; of its own machine and the others of the shop. */
export function placed(rows: PlanRows, list: readonly string[]): PlanRows {
  const places = new Map(list.map((id, i) => [id, i + 1]));
  const inPlace = (one: PlanRows): PlanRows => ({
    ...one,
    operations: one.operations.map((operation) => ({ ...operation, place: places.get(operation.id) ?? null })),
  });
  return { ...inPlace(rows), machines: rows.machines.map(inPlace) };
}

const sameRows = (rows: PlanRows, read: PlanRows): boolean =>
  (Object.keys(read) as (keyof PlanRows)[]).every((list) => list === "machines" || rows[list] === read[list]);

const allDone = ({ operations }: PlanRows): boolean => operations.every(({ state }) => state === "DONE");

/** The work of one machine that is left. */
interface MachineWork {
  rows: PlanRows;
  nodes: readonly NetworkNode[];
  links: readonly NetworkLink[];
  needs: ReadonlyMap<string, HandOperation["needs"]>;
  outstanding: readonly Acquisition[];
}

/** Those of which no network can be made take no part. */
function workOfMachines(machines: readonly PlanRows[], figuresFor: string, calendar: ShopCalendar): MachineWork[] {
  return machines.flatMap((rows) => {
    const { outstanding } = acquisitionsOf(rows, figuresFor, calendar);
    const { nodes, links } = byName(nodesOf(rows, chosenWays(rows), outstanding, calendar), rows, outstanding);
    if (machines.length > 1 && !makesNetwork(nodes, links, calendar)) return [];
    return [{ rows, nodes, links, needs: needsOf(rows, outstanding), outstanding }];
  });
}

function makesNetwork(...[nodes, links, calendar]: ConstructorParameters<typeof Network>): boolean {
  try {
    new Network(nodes, links, calendar);
    return true;
  } catch (error) {
    if (error instanceof NetworkFault) return false;
    throw error;
  }
}

function ordered(rows: PlanRows, figuresFor: string, { daysAlone = false }: OrderAsked): ShopOrder {
  const calendar = shopCalendar(rows, figuresFor);
  const work = workOfMachines(machinesOf(rows), figuresFor, calendar);
  const hands = handLines(rows);
  const before = new Map(work.flatMap(({ rows: of }) => levels(of, rows.hands, figuresFor)));
  const places = new Map(work.flatMap((one) => [...placesOf(one)]));
  const without = new Set(
    work.flatMap(({ nodes, needs }) =>
      nodes.filter(({ id }) => (needs.get(id) ?? []).some((asked) => tooFew(hands, asked))).map(({ id }) => id),
    ),
  );
  const targets = work.map(({ rows: { restoration } }) =>
    restoration.targetDate === null ? Number.POSITIVE_INFINITY : calendar.day(restoration.targetDate),
  );
  for (;;) {
    const operations = work.flatMap(({ nodes, needs }, restoration) =>
      nodes.map(
        ({ id, hours, release = 0, doneOn, hands: own }): HandOperation => ({
          id,
          ...(own !== undefined && { without: own }),
          hours,
          release,
          needs: without.has(id) ? [] : (needs.get(id) ?? []),
          restoration,
          ...before.get(id),
          ...(doneOn !== undefined && { doneOn }),
        }),
      ),
    );
    const links = work.flatMap((one) => one.links);
    const asked: OrderWork = { operations, links, hands, calendar: shopDays(rows, figuresFor), targets, places };
    const { shop, schedule, bounds } = searched(asked, daysAlone);
    const needsHands = new Set(operations.flatMap(({ id, needs }) => (needs.length > 0 ? [id] : [])));
    const never = shop.network.ids.filter(
      (id, v) =>
        needsHands.has(id) &&
        schedule.start[v]! < Number.POSITIVE_INFINITY &&
        shop.endDay(schedule.finish[v]!) - shop.endDay(schedule.start[v]!) > MOST_DAYS,
    );
    if (never.length > 0) {
      // All who could have done it have left by then, or never work together, or as good as never.
      for (const id of never) without.add(id);
      continue;
    }
    return {
      orders: ordersOf(work, { shop, schedule, bounds, hands: rows.hands, lines: hands, without }),
      work: asked,
    };
  }
}

interface Searched {
  shop: Shop;
  schedule: Schedule;
  /** By machine: the hour before which none of its orders of work ends. */
  bounds: Float64Array;
}

/** By what was asked, the newest last: what changes no hour of any work, such as a price, needs no new search. */
const searches = new Map<string, Searched>();
const MOST_SEARCHES = 8;

function searched(asked: OrderWork, daysAlone: boolean): Searched {
  const text = JSON.stringify([{ ...asked, places: [...asked.places] }, daysAlone], (_, value) =>
    typeof value === "number" && !Number.isFinite(value) ? String(value) : value,
  );
  const key = createHash("sha256").update(text).digest("base64");
  let found = searches.get(key);
  if (found === undefined) {
    const { shop, search, bounds } = new OrderSearch(asked, daysAlone);
    search.run(Math.min(QUICK, Math.ceil(QUICK_OPERATIONS / Math.max(1, shop.size, shop.choices / 5))));
    found = { shop, schedule: search.schedule(), bounds };
  }
  newest(searches, key, found, MOST_SEARCHES);
  return found;
}

interface Found extends Searched {
  hands: readonly HandRow[];
  lines: readonly HandLine[];
  /** Nodes that nobody can do. */
  without: ReadonlySet<string>;
}

/** What is found for the shop, as each machine reads it. */
function ordersOf(
  work: readonly MachineWork[],
  { shop, schedule, bounds, hands, lines, without }: Found,
): Map<string, OrderOfWork> {
  const { calendar, network, restorationOf } = shop;
  const handsOfNode = handsOf(shop, schedule, hands);
  const pairs = handovers(shop, schedule);
  const links = pairs.map(([u, v, line]) => ({
    before: network.ids[u]!,
    after: network.ids[v]!,
    lag: 0,
    lagInDays: false,
    hand: shop.lines[line]!.id,
  }));
  const taken = work.map(() => new Map<string, Taken[]>());
  for (const [u, v, line] of pairs) {
    if (restorationOf[u] === restorationOf[v]) continue;
    const of = taken[restorationOf[v]!]!;
    const id = network.ids[v]!;
    of.set(id, [...(of.get(id) ?? []), { hand: shop.lines[line]!.id, until: schedule.finish[u]! }]);
  }
  const spans = (): HandSpan[] => {
    const titles = new Map(work.flatMap(({ rows, outstanding }) => [...titlesOf(rows, outstanding)]));
    return network.ids.flatMap((node, v): HandSpan[] => {
      const onIt = handsOfNode.get(node);
      if (onIt === undefined || network.hours[v] === 0) return [];
      return [
        {
          node,
          title: titles.get(node)!,
          machine: work[restorationOf[v]!]!.rows.restoration,
          hands: onIt,
          start: schedule.start[v]!,
          finish: schedule.finish[v]!,
          own: shop.teams[v]![schedule.team[v]!]!.hours,
        },
      ];
    });
  };
  const places = new Map(Array.from(schedule.list, (v, place) => [network.ids[v]!, place]));
  const busyBefore = (r: number): ListWork["busy"] =>
    network.ids.flatMap((_, v) => {
      const [from, until] = [schedule.start[v]!, schedule.finish[v]!];
      if (restorationOf[v]! >= r || schedule.team[v]! < 0 || !(until > from && Number.isFinite(until))) return [];
      const own = shop.teams[v]![schedule.team[v]!]!;
      return Array.from(own.lines, (line, i) => ({ hand: lines[line]!.id, from, until, count: own.counts[i]! }));
    });
  return new Map(
    work.map(({ rows: of, nodes, needs }, r) => [
      of.restoration.id,
      {
        hands: handsOfNode,
        handovers: links,
        takenUntil: taken[r]!,
        spans,
        list: () => {
          const before = new Map(levels(of, hands, calendar.date(days(0))));
          return {
            places,
            hands: lines,
            takes: new Map(
              nodes.map(({ id }) => [id, { needs: without.has(id) ? [] : (needs.get(id) ?? []), ...before.get(id) }]),
            ),
            busy: busyBefore(r),
          };
        },
        notBefore: calendar.date(days(Math.max(0, shop.endDay(bounds[r]!)))),
        hoursNotBefore: bounds[r]!,
        nobodyFor: nobodyFor(nodes, needs, lines, without),
      },
    ]),
  );
}

/**
 * Begun work is not put down for other work unless it may be, and is not to be done first, and whoever began it goes on with
 * it; then comes what is to be done first.
 */
const levels = (
  { operations, hoursBooked }: PlanRows,
  hands: readonly HandRow[],
  figuresFor: string,
): [node: string, Pick<HandOperation, "before" | "putDown" | "begunBy">][] =>
  operations.map((operation) => {
    const { id, state, first, mayBePutDown } = operation;
    if (state !== "UNDER_WAY") return [operationNode(id), { before: first ? 1 : 0 }];
    if (mayBePutDown && !first) return [operationNode(id), { before: 2, putDown: 0 }];
    const begunBy = begunByHands(operation, hoursBooked, hands, figuresFor);
    return [operationNode(id), begunBy.length > 0 ? { before: 2, begunBy } : { before: 2 }];
  });

/**
 * Hands that have booked hours on work for one hand, can do it, are here that day and stay; where none is, whoever can goes on
 * with it.
 */
function begunByHands(
  { id: operation, handsNeeded: [needed, ...others] }: OperationRow,
  booked: PlanRows["hoursBooked"],
  hands: readonly HandRow[],
  figuresFor: string,
): string[] {
  if (needed === undefined || needed.hands !== 1 || others.length > 0) return [];
  return hands.flatMap(({ id, people, accountId = null, trades, joinsOn, leavesOn, absences }) => {
    const here =
      (joinsOn ?? "") <= figuresFor &&
      leavesOn === null &&
      !absences.some(({ from, to }) => from <= figuresFor && figuresFor <= to);
    const began =
      accountId !== null &&
      booked.some((hours) => hours.operationId === operation && hours.accountId === accountId && hours.hours > 0);
    return people === 1 && here && began && trades.includes(needed.trade) ? [id] : [];
  });
}

/** Where its work stands in the order that is kept: what an arrival brings just before what waits for it. */
function placesOf({ rows, links }: MachineWork): Map<string, number> {
  const places = new Map(
    rows.operations.flatMap(({ id, place }) => (place === null ? [] : [[operationNode(id), place] as const])),
  );
  for (const { before, after } of links) {
    const place = places.get(after);
    if (place !== undefined && before.startsWith("preparation:"))
      places.set(before, Math.min(places.get(before) ?? Number.POSITIVE_INFINITY, place - 0.5));
  }
  return places;
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

function handsOf(shop: Shop, { team }: Schedule, rows: readonly HandRow[]): Map<string, readonly HandRow[]> {
  const byId = new Map(rows.map((hand) => [hand.id, hand]));
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

/**
 * Work on its hands, their order of work kept: what another machine's work takes of them is behind it first. What the order
 * knows and the work has not hands over what it was handed.
 */
export function onHands<Node extends Pick<NetworkNode, "id" | "hands" | "release">>(
  { nodes, links }: { nodes: readonly Node[]; links: readonly NetworkLink[] },
  order: OrderOfWork | null,
  freed?: Freed,
): { nodes: Node[]; links: NetworkLink[] } {
  if (order === null) return { nodes: [...nodes], links: [...links] };
  const here = new Set(nodes.map(({ id }) => id));
  const next = new Map<string, string[]>();
  const waitsFor = (hand: string): boolean => typeof freed !== "object" || !freed.hands.has(hand);
  for (const { before, after, hand } of order.handovers) {
    if (!waitsFor(hand)) continue;
    const known = next.get(before);
    if (known === undefined) next.set(before, [after]);
    else known.push(after);
  }
  const reached = (id: string): string[] =>
    (next.get(id) ?? []).flatMap((after) => (here.has(after) ? [after] : reached(after)));
  return {
    nodes: nodes.map((node) => {
      const hands = order.hands.get(node.id);
      if (hands === undefined) return node;
      const taken = freed === "OF_OTHER_MACHINES" ? [] : (order.takenUntil.get(node.id) ?? []);
      const until = Math.max(0, ...taken.filter(({ hand }) => waitsFor(hand)).map((one) => one.until));
      return until === 0 ? { ...node, hands } : { ...node, hands, release: Math.max(node.release ?? 0, until) };
    }),
    links: [
      ...links,
      ...[...here].flatMap((before) =>
        [...new Set(reached(before))].map((after) => ({ before, after, lag: 0, lagInDays: false })),
      ),
    ],
  };
}
