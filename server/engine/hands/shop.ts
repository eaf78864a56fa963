/**
 * The work of all live restorations and the hands that do it, compiled once for many schedules.
 * Operations stand at positions in topological order; links by their later end in `in*`, by their earlier end in `out*`.
 */

import { Network, type NetworkLink } from "../network/network.ts";
import type { ShopCalendar } from "../time/calendar.ts";
import { hours } from "../time/units.ts";
import { DayHours } from "./dayHours.ts";
import { type HandHours, hoursInCommon } from "./handHours.ts";

/** A person of the workshop, or so many unnamed hands of a trade that count as one line. */
export interface HandLine extends HandHours {
  id: string;
  trades: readonly string[];
  /** How many hands the line is: 1 for a person. */
  count: number;
}

export interface HandNeed {
  trade: string;
  hands: number;
}

export interface HandOperation {
  id: string;
  /** What each of its hands works, hours. */
  hours: number;
  /** Hour before which it cannot begin. */
  release: number;
  /** Finished on this day, counted from the day of the figures: what comes after it waits for its lag alone. */
  doneOn?: number;
  /** None: it needs no hand. */
  needs: readonly HandNeed[];
  /** Whose hours what needs no hand is done in; absent: the shop's own. */
  without?: readonly HandHours[];
  /** Lines that it was begun with: no others take it over. */
  begunBy?: readonly string[];
  /** Index of its restoration; 0 the highest rank. */
  restoration: number;
  /** It, and what must be done before it, takes its hands before all else that could; begun work before that. Default 0. */
  before?: 0 | 1 | 2;
  /**
   * Begun (`before` 2) and may be put down for other work: what its `before` is once it is. It goes on at once where the list
   * has nothing but begun work before it, else what is left of it is done in one go, when its place in the list comes, by
   * whoever can. So every order of work without the mark is one with it too, and the order that is kept is as exact.
   */
  putDown?: 0 | 1;
}

export interface ShopInput {
  operations: readonly HandOperation[];
  /** Each within one restoration: machines share hands, never an order. */
  links: readonly NetworkLink[];
  hands: readonly HandLine[];
  /** The shop is open as long as any hand works. */
  calendar: ShopCalendar;
  /** Day on which each restoration is to be finished, counted from the day of the figures; Infinity: none. */
  targets: readonly number[];
  /** Everybody works all hours of the shop: ends are compared by the hour, not by the day. */
  plain?: boolean;
}

/** One way to man an operation. */
export interface Team {
  lines: Int32Array;
  /** How many of each line. */
  counts: Int32Array;
  hours: DayHours;
  /** Hours of all operations that could ask for these lines: ties go to whom fewest others need. */
  claims: number;
}

/** Most ways to man one operation that are tried. */
const MOST_TEAMS = 60;

export class Shop {
  readonly network: Network;
  readonly size: number;
  readonly restorations: number;
  /** At each position. */
  readonly hours: Float64Array;
  readonly release: Float64Array;
  readonly restorationOf: Int32Array;
  /** None: it cannot be manned, and has no end. */
  readonly teams: readonly (readonly Team[])[];
  /** Some lag is negative. */
  readonly leads: boolean;
  /** At each position: the work with more of it takes its hands first. Null where none has any. */
  readonly before: Uint8Array | null;
  /** The same of what is put down; the same array where nothing may be. */
  readonly putDown: Uint8Array | null;
  readonly capacity: Int32Array;
  readonly lines: readonly HandLine[];
  readonly lineHours: readonly DayHours[];
  readonly targets: Float64Array;
  readonly calendar: ShopCalendar;
  readonly plain: boolean;

  constructor(input: ShopInput) {
    const { operations, hands, calendar, plain = false } = input;
    this.plain = plain;
    this.calendar = calendar;
    this.network = new Network(
      operations.map(({ id, hours, release, doneOn }) => ({
        id,
        hours,
        release,
        ...(doneOn !== undefined && { doneOn }),
      })),
      input.links,
      calendar,
    );
    const n = this.network.size;
    this.size = n;
    this.leads = this.network.inLag.some((lag) => lag < 0);
    this.lines = hands;
    this.capacity = Int32Array.from(hands, ({ count }) => count);
    const always = new DayHours(null, calendar);
    this.lineHours = hands.map((line) => (plain ? always : hoursInCommon([line], calendar)));
    this.targets = Float64Array.from(input.targets);
    this.restorations = this.targets.length;
    this.hours = this.network.hours;
    this.release = this.network.release;
    this.restorationOf = new Int32Array(n);
    const claims = new Float64Array(hands.length);
    for (const { needs, hours: work, doneOn } of operations)
      if (doneOn === undefined)
        hands.forEach(({ trades }, line) => {
          if (needs.some(({ trade }) => trades.includes(trade))) claims[line]! += work;
        });
    const known = new Map<string, DayHours>();
    const hoursOfTeam = (lines: readonly number[]): DayHours => {
      if (lines.length === 1) return this.lineHours[lines[0]!]!;
      const key = lines.toSorted((a, b) => a - b).join(" ");
      let found = known.get(key);
      if (found === undefined) {
        found = plain
          ? always
          : hoursInCommon(
              lines.map((line) => hands[line]!),
              calendar,
            );
        known.set(key, found);
      }
      return found;
    };
    const byPattern = new Map<string, Team[]>();
    const teams: Team[][] = new Array(n);
    operations.forEach((operation, i) => {
      const v = this.network.positionOf[i]!;
      if (v < 0) return;
      this.restorationOf[v] = operation.restoration;
      const { needs, begunBy = null } = operation;
      const key = JSON.stringify([needs, begunBy, needs.length > 0 ? null : (operation.without ?? null)]);
      let ways = byPattern.get(key);
      if (ways === undefined) {
        ways = waysToMan(operation, hands).map((counts) => {
          const lines = [...counts.keys()];
          return {
            lines: Int32Array.from(lines),
            counts: Int32Array.from(lines, (line) => counts.get(line)!),
            hours:
              lines.length > 0
                ? hoursOfTeam(lines)
                : operation.without
                  ? hoursInCommon(operation.without, calendar)
                  : always,
            claims: lines.reduce((sum, line) => sum + claims[line]! / hands[line]!.count, 0),
          };
        });
        byPattern.set(key, ways);
      }
      teams[v] = ways;
    });
    this.teams = teams;
    const { inStart, inFrom } = this.network;
    for (let v = 0; v < n; v++)
      for (let k = inStart[v]!; k < inStart[v + 1]!; k++)
        // Else what goes first in one restoration could stand before what it waits for in another.
        if (this.restorationOf[inFrom[k]!] !== this.restorationOf[v])
          throw new RangeError(
            `${this.network.ids[v]!} waits for ${this.network.ids[inFrom[k]!]!} of another restoration`,
          );
    const level = ({ before = 0 }: HandOperation): number => before;
    this.before = operations.some(level) ? this.beforeOthers(operations.map(level)) : null;
    this.putDown =
      this.before !== null && operations.some(({ putDown }) => putDown !== undefined)
        ? this.beforeOthers(operations.map((one) => one.putDown ?? level(one)))
        : this.before;
  }

  /** Ways to man all operations, added up. */
  get choices(): number {
    return this.teams.reduce((sum, teams) => sum + teams.length, 0);
  }

  /** What must be done before work that goes first goes first with it. */
  private beforeOthers(levels: readonly number[]): Uint8Array {
    const { network } = this;
    const level = new Uint8Array(this.size);
    levels.forEach((own, i) => {
      const v = network.positionOf[i]!;
      if (v >= 0) level[v] = own;
    });
    for (let v = this.size - 1; v >= 0; v--)
      for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++)
        level[v] = Math.max(level[v]!, level[network.outTo[k]!]!);
    return level;
  }

  /**
   * A list in the order in which its work takes its hands: what is begun, then the rest as given, with what goes first before
   * all else of its own restoration. What may be put down is, where something that is not begun stands before it.
   * Within each level as given, so each is still after what comes before it.
   */
  firstFirst(list: Int32Array): Int32Array {
    const { before, putDown, restorationOf } = this;
    if (before === null) return list;
    let level = before;
    if (putDown !== before) {
      level = putDown!.slice();
      for (const v of list) {
        if (before[v] !== 2) break;
        level[v] = 2;
      }
    }
    const begunFirst = [...list].sort((a, b) => Number(level[b] === 2) - Number(level[a] === 2));
    // The places of a restoration stay its own: what is first in one takes no hand from another of higher rank.
    const next = Array.from({ length: this.restorations }, (_, r) =>
      begunFirst
        .filter((v) => restorationOf[v] === r)
        .sort((a, b) => level[b]! - level[a]!)
        .values(),
    );
    return Int32Array.from(begunFirst, (v) => next[restorationOf[v]!]!.next().value!);
  }

  /** The list where nothing is put down: what is begun stands before all else. The same list where nothing may be. */
  goingOn(list: Int32Array): Int32Array {
    const { before, putDown } = this;
    return putDown === before ? list : list.slice().sort((a, b) => Number(before![b] === 2) - Number(before![a] === 2));
  }

  /** Day on which what ends at an hour is finished; Infinity: never. */
  endDay(end: number): number {
    return Number.isFinite(end) ? this.calendar.finishDay(hours(end)) : end;
  }

  /** Hour from which what comes before an operation, and its lags, let it begin; -Infinity: nothing comes before it. */
  readyAfter(v: number, finish: Float64Array): number {
    const { network, calendar } = this;
    let ready = Number.NEGATIVE_INFINITY;
    for (let k = network.inStart[v]!; k < network.inStart[v + 1]!; k++) {
      let t = finish[network.inFrom[k]!]!;
      const lag = network.inLag[k]!;
      if (lag !== 0 && Number.isFinite(t)) t = network.inDays[k] ? calendar.afterDays(hours(t), lag) : t + lag;
      if (t > ready) ready = t;
    }
    return ready;
  }

  /** Hour by which an operation must have ended for what comes after it, else for the end of its restoration. */
  dueBefore(v: number, start: Float64Array, ends: Float64Array): number {
    const { network, calendar } = this;
    let due = ends[this.restorationOf[v]!]!;
    for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++) {
      let t = start[network.outTo[k]!]!;
      const lag = network.outLag[k]!;
      if (lag !== 0 && Number.isFinite(t)) t = network.outDays[k] ? calendar.latestBeforeDays(hours(t), lag) : t - lag;
      if (t < due) due = t;
    }
    return due;
  }
}

/** Each way: how many of each line. No hand counts twice in one operation; the trade that fewest can do is manned first. */
function waysToMan({ needs, begunBy }: HandOperation, hands: readonly HandLine[]): Map<number, number>[] {
  const asked = needs
    .map(({ trade, hands: count }) => ({
      count,
      able: hands.flatMap(({ id, trades }, line) =>
        trades.includes(trade) && (begunBy === undefined || begunBy.includes(id)) ? [line] : [],
      ),
    }))
    .sort((a, b) => a.able.length - b.able.length);
  let ways: Map<number, number>[] = [new Map()];
  for (const { able, count } of asked) {
    const most = Math.max(1, Math.floor(MOST_TEAMS / ways.length));
    ways = ways.flatMap((way) => {
      const free = able.flatMap((line) => new Array<number>(hands[line]!.count - (way.get(line) ?? 0)).fill(line));
      return picks(free, count, most).map((chosen) => {
        const next = new Map(way);
        for (const line of chosen) next.set(line, (next.get(line) ?? 0) + 1);
        return next;
      });
    });
  }
  return ways;
}

/**
 * Ways to pick so many hands, those of one line being alike: all of them where they are few, else so many that every hand
 * is in as many as any other: neighbours, every second, every third …, from each hand on.
 */
function picks(free: readonly number[], count: number, most: number): number[][] {
  if (count > free.length) return [];
  const found = new Map<string, number[]>();
  const add = (chosen: readonly number[]): void => {
    const sorted = [...chosen].sort((a, b) => a - b);
    found.set(sorted.join(" "), sorted);
  };
  const all = (from: number, chosen: readonly number[]): boolean => {
    if (chosen.length === count) {
      add(chosen);
      return found.size <= most;
    }
    for (let i = from; i <= free.length - (count - chosen.length); i++) {
      // Of hands that are alike the first is taken first.
      if (i > from && free[i] === free[i - 1]) continue;
      if (!all(i + 1, [...chosen, free[i]!])) return false;
    }
    return true;
  };
  if (all(0, [])) return [...found.values()];
  found.clear();
  const n = free.length;
  for (let stride = 1; stride < n && found.size < most; stride++)
    for (let from = 0; from < n && found.size < most; from++) {
      const places = new Set<number>();
      for (let k = 0, at = from; k < count; k++, at = (at + stride) % n) {
        while (places.has(at)) at = (at + 1) % n;
        places.add(at);
      }
      add([...places].map((place) => free[place]!));
    }
  return [...found.values()];
}
