/**
 * The network: what must be finished before what, compiled once into typed arrays in topological order.
 * Links are finish-to-start with a lag in working hours or in calendar days (negative allowed).
 */

import type { DayHours } from "../hands/dayHours.ts";
import { type HandHours, hoursInCommon } from "../hands/handHours.ts";
import type { ShopCalendar } from "../time/calendar.ts";
import { days, SAME_INSTANT } from "../time/units.ts";

export interface NetworkNode {
  /** Unique in the network. */
  id: string;
  /** Work still to do, in working hours, 0 or more. */
  hours: number;
  /** Working hour before which it cannot start, from the day of the figures; default 0 (nothing starts before the day of the figures). */
  release?: number;
  /** Hands whose common hours it is done in; absent: the shop's own hours. */
  hands?: readonly HandHours[];
  /** Finished on this day (counted from the day of the figures): pinned, and out of the way of everything else. */
  doneOn?: number;
}

export interface NetworkLink {
  before: string;
  after: string;
  lag: number;
  /** True: lag is calendar days; false: working hours. */
  lagInDays: boolean;
}

export type NetworkFaultCode = "CYCLE" | "UNKNOWN_ROW" | "DUPLICATE" | "NEGATIVE" | "NOT_A_NUMBER";

/** Input that makes no network. `rows` are node ids: the path of a cycle with its first node repeated, or the two ends of a link. */
export class NetworkFault extends Error {
  constructor(
    readonly code: NetworkFaultCode,
    message: string,
    readonly rows: readonly string[],
    readonly field: string,
  ) {
    super(message);
    this.name = "NetworkFault";
  }
}

/**
 * A compiled network of n nodes and m links that still matter.
 * Arrays indexed by position (topological order, 0 to n - 1); links stand grouped by their later end in `in*`
 * and by their earlier end in `out*`, each group delimited by `inStart[v]` to `inStart[v + 1]` (`outStart` likewise).
 */
export class Network {
  readonly size: number;
  /** Node id at each position. */
  readonly ids: readonly string[];
  /** Position of each input node; -1 for done ones, which take no part. */
  readonly positionOf: Int32Array;
  readonly hours: Float64Array;
  readonly release: Float64Array;
  readonly inStart: Int32Array;
  readonly inFrom: Int32Array;
  readonly inLag: Float64Array;
  readonly inDays: Uint8Array;
  readonly outStart: Int32Array;
  readonly outTo: Int32Array;
  readonly outLag: Float64Array;
  readonly outDays: Uint8Array;
  /** Of each position the hours of its hands; null where they are the shop's own, in which the network counts. */
  readonly own: readonly (DayHours | null)[];
  readonly anyOwn: boolean;
  /**
   * Largest position that a lag in days leads to, or that follows work done in other hours than the shop's; -1: none.
   * From there on the end moves hour for hour.
   */
  readonly lastBend: number;
  private readonly positions: ReadonlyMap<string, number>;

  constructor(
    nodes: readonly NetworkNode[],
    links: readonly NetworkLink[],
    readonly calendar: ShopCalendar,
  ) {
    const count = nodes.length;
    const indexOf = new Map<string, number>();
    for (let i = 0; i < count; i++) {
      const node = nodes[i]!;
      if (indexOf.has(node.id)) throw new NetworkFault("DUPLICATE", `${node.id} stands twice.`, [node.id], "id");
      if (!Number.isFinite(node.hours))
        throw new NetworkFault(
          "NOT_A_NUMBER",
          `${node.id} has no number of hours (it has ${node.hours}).`,
          [node.id],
          "hours",
        );
      if (node.hours < 0)
        throw new NetworkFault(
          "NEGATIVE",
          `${node.id} has ${node.hours} hours; hours must not be negative.`,
          [node.id],
          "hours",
        );
      indexOf.set(node.id, i);
    }
    const m = links.length;
    const linkBefore = new Int32Array(m);
    const linkAfter = new Int32Array(m);
    for (let k = 0; k < m; k++) {
      const link = links[k]!;
      const before = indexOf.get(link.before);
      const after = indexOf.get(link.after);
      if (before === undefined || after === undefined) {
        const missing = before === undefined ? link.before : link.after;
        throw new NetworkFault(
          "UNKNOWN_ROW",
          `The link ${link.before} to ${link.after} names ${missing}, which is not there.`,
          [link.before, link.after],
          before === undefined ? "before" : "after",
        );
      }
      if (!Number.isFinite(link.lag))
        throw new NetworkFault(
          "NOT_A_NUMBER",
          `The lag of the link ${link.before} to ${link.after} is no number.`,
          [link.before, link.after],
          "lag",
        );
      linkBefore[k] = before;
      linkAfter[k] = after;
    }

    const order = topologicalOrder(nodes, linkBefore, linkAfter);
    this.positionOf = new Int32Array(count).fill(-1);
    const ids: string[] = [];
    for (let k = 0; k < count; k++) {
      const i = order[k]!;
      if (nodes[i]!.doneOn !== undefined) continue;
      this.positionOf[i] = ids.length;
      ids.push(nodes[i]!.id);
    }
    const n = ids.length;
    this.size = n;
    this.ids = ids;
    this.positions = new Map(ids.map((id, position) => [id, position]));
    this.hours = new Float64Array(n);
    this.release = new Float64Array(n);
    for (let i = 0; i < count; i++) {
      const v = this.positionOf[i]!;
      if (v < 0) continue;
      this.hours[v] = nodes[i]!.hours;
      this.release[v] = Math.max(0, nodes[i]!.release ?? 0);
    }

    // A link out of done work is a date, no longer a wait on anybody; a link into done work was overtaken by events.
    this.inStart = new Int32Array(n + 1);
    this.outStart = new Int32Array(n + 1);
    let live = 0;
    for (let k = 0; k < m; k++) {
      const a = this.positionOf[linkBefore[k]!]!;
      const b = this.positionOf[linkAfter[k]!]!;
      if (b < 0) continue;
      if (a < 0) {
        const link = links[k]!;
        const doneOn = nodes[linkBefore[k]!]!.doneOn!;
        const free = link.lagInDays
          ? calendar.usableAfterArrival(days(doneOn + Math.ceil(link.lag)))
          : calendar.usableAfterArrival(days(doneOn)) + link.lag;
        if (free > this.release[b]!) this.release[b] = free;
        continue;
      }
      this.inStart[b + 1]!++;
      this.outStart[a + 1]!++;
      live++;
    }
    for (let v = 0; v < n; v++) {
      this.inStart[v + 1]! += this.inStart[v]!;
      this.outStart[v + 1]! += this.outStart[v]!;
    }
    this.inFrom = new Int32Array(live);
    this.inLag = new Float64Array(live);
    this.inDays = new Uint8Array(live);
    this.outTo = new Int32Array(live);
    this.outLag = new Float64Array(live);
    this.outDays = new Uint8Array(live);
    const inNext = this.inStart.slice();
    const outNext = this.outStart.slice();
    let lastBend = -1;
    for (let k = 0; k < m; k++) {
      const a = this.positionOf[linkBefore[k]!]!;
      const b = this.positionOf[linkAfter[k]!]!;
      if (a < 0 || b < 0) continue;
      const { lag, lagInDays } = links[k]!;
      const inDays = lagInDays && lag !== 0 ? 1 : 0;
      const p = inNext[b]!++;
      this.inFrom[p] = a;
      this.inLag[p] = lag;
      this.inDays[p] = inDays;
      const q = outNext[a]!++;
      this.outTo[q] = b;
      this.outLag[q] = lag;
      this.outDays[q] = inDays;
      if (inDays && b > lastBend) lastBend = b;
    }
    const known = new Map<readonly HandHours[], DayHours | null>();
    const own = new Array<DayHours | null>(n).fill(null);
    for (let i = 0; i < count; i++) {
      const v = this.positionOf[i]!;
      const { hands } = nodes[i]!;
      if (v < 0 || hands === undefined) continue;
      if (!known.has(hands)) known.set(hands, ownHours(hands, calendar));
      own[v] = known.get(hands)!;
      if (own[v] !== null && v >= lastBend) lastBend = v + 1;
    }
    this.own = own;
    this.anyOwn = own.some((hours) => hours !== null);
    this.lastBend = lastBend;
  }

  /** The hour at which work at a position is finished that can begin at an hour. */
  finishOf(v: number, start: number, work: number): number {
    const own = this.own[v]!;
    return own === null ? start + work : own.finishAfter(start, work);
  }

  /** The latest hour at which work at a position may begin that must be finished by an hour. */
  startOf(v: number, finish: number, work: number): number {
    const own = this.own[v]!;
    return own === null ? finish - work : own.startBefore(finish, work);
  }

  /** The first hour, from one on, at which work at a position is under way. */
  openFrom(v: number, start: number): number {
    return this.own[v]?.nextOpen(start) ?? start;
  }

  /** The hour from which the weeks are alike, for the shop and all hands. */
  get steadyFrom(): number {
    const day = this.own.reduce((last, own) => Math.max(last, own?.steadyFrom ?? 0), 0);
    return Math.max(this.calendar.steadyFrom, this.calendar.hoursBefore(days(day)));
  }

  /** Position of a live node by its id, or -1 when it is done or unknown. */
  position(id: string): number {
    return this.positions.get(id) ?? -1;
  }
}

/** Indexes of the nodes, each after all that come before it (Kahn 1962); a cycle is a fault that names its whole path. */
function topologicalOrder(nodes: readonly NetworkNode[], before: Int32Array, after: Int32Array): Int32Array {
  const n = nodes.length;
  const m = before.length;
  const start = new Int32Array(n + 1);
  const waitsFor = new Int32Array(n);
  for (let k = 0; k < m; k++) {
    start[before[k]! + 1]!++;
    waitsFor[after[k]!]!++;
  }
  for (let v = 0; v < n; v++) start[v + 1]! += start[v]!;
  const next = start.slice();
  const to = new Int32Array(m);
  for (let k = 0; k < m; k++) to[next[before[k]!]!++] = after[k]!;

  const order = new Int32Array(n);
  let filled = 0;
  for (let v = 0; v < n; v++) if (waitsFor[v] === 0) order[filled++] = v;
  for (let read = 0; read < filled; read++) {
    const v = order[read]!;
    for (let k = start[v]!; k < start[v + 1]!; k++) {
      const w = to[k]!;
      if (--waitsFor[w]! === 0) order[filled++] = w;
    }
  }
  if (filled === n) return order;

  // Every node left over has a predecessor that is left over too; walking backwards must come round.
  const left = new Int32Array(n).fill(-1);
  for (let k = 0; k < m; k++) if (waitsFor[before[k]!]! > 0 && waitsFor[after[k]!]! > 0) left[after[k]!] = before[k]!;
  let v = waitsFor.findIndex((w) => w > 0);
  const seen = new Uint8Array(n);
  while (!seen[v]) {
    seen[v] = 1;
    v = left[v]!;
  }
  const path = [nodes[v]!.id];
  for (let w = left[v]!; w !== v; w = left[w]!) path.push(nodes[w]!.id);
  path.push(nodes[v]!.id);
  path.reverse();
  throw new NetworkFault("CYCLE", `These wait for one another in a circle: ${path.join(" → ")}.`, path, "after");
}

/**
 * The hours of hands where they are not the shop's own. What slips past the day on which a hand leaves is counted as done
 * by another with its hours.
 */
function ownHours(hands: readonly HandHours[], calendar: ShopCalendar): DayHours | null {
  const common = hoursInCommon(
    hands.map((hand) => ({ ...hand, leavesOn: null })),
    calendar,
  );
  return common.shops ? null : common;
}

/** True when two hours are the same instant. */
export function sameInstant(a: number, b: number): boolean {
  return Math.abs(a - b) <= SAME_INSTANT;
}

/** Earliest times; `start` and `finish` are indexed by position. */
export interface ForwardPass {
  start: Float64Array;
  finish: Float64Array;
  /** Latest of all finishes; 0 for an empty network. */
  end: number;
}
