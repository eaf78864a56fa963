/**
 * Working hours of a hand, or those that several hands have in common, on the time line of the workshop: the working hours
 * of the shop, as the network counts them, day 0 the day of the figures. All hands start at opening, and the shop is open
 * as long as any of them works.
 *
 * `before(t)` is the number of hours that they work before an instant of that line. Its two inverses differ only where they
 * do not work: work that ends with so many hours ends on the earlier instant, work that begins then begins on the later.
 * `finishAfter` and `startBefore` are adjoint: finishAfter(s, w) <= f exactly when s <= startBefore(f, w) for instants s
 * and f at which they work.
 */
import type { ShopCalendar } from "../time/calendar.ts";
import { days, hours, SAME_INSTANT } from "../time/units.ts";

/** Hours of one day; what is not worked is 0. `day` counts from the day of the figures and may lie before it. */
export type HoursOf = (day: number) => number;

/** Days of one piece of the table. */
const PIECE = 512;
/** The most that is looked ahead day by day, some forty years; from there on the weeks count as alike. */
export const MOST_DAYS = 40 * 366;

export class DayHours {
  /** Hours before each day from `first` on. */
  private table: Float64Array;
  private first: number;
  private last: number;
  /** The hour at which each of these days opens. */
  private opening: Float64Array;
  /** For each whole hour of the table, a day that does not open later than that hour. */
  private dayAt: Int32Array;

  /**
   * @param hoursOf null: all hours of the shop are worked
   * @param steadyFrom day from which the weeks are alike
   */
  constructor(
    private readonly hoursOf: HoursOf | null,
    private readonly calendar: ShopCalendar,
    readonly steadyFrom = 0,
  ) {
    this.first = 0;
    this.last = 0;
    this.table = new Float64Array(1);
    this.opening = new Float64Array(1);
    this.dayAt = new Int32Array(1);
    if (hoursOf !== null) this.cover(-PIECE / 4, PIECE);
  }

  /** They are the shop's own. */
  get shops(): boolean {
    return this.hoursOf === null;
  }

  /** Working hours before an instant; negative before day 0. */
  before(t: number): number {
    if (this.hoursOf === null || !Number.isFinite(t)) return t;
    const day = this.calendar.startDay(hours(t));
    if (day >= MOST_DAYS || day < -MOST_DAYS) {
      const from = day < 0 ? -MOST_DAYS : MOST_DAYS - 7;
      const weeks = Math.floor((day - from) / 7);
      return this.before(t - weeks * this.calendar.weekTotal) + weeks * this.weekFrom(from);
    }
    this.reach(day);
    const at = day - this.first;
    const worked = this.table[at]!;
    return Math.min(worked + Math.max(0, t - this.opening[at]!), this.table[at + 1]!);
  }

  /** The instant at which work that begins at an instant or later, and takes so many hours, ends; Infinity: never. */
  finishAfter(t: number, work: number): number {
    if (this.hoursOf === null) return t + work;
    if (work <= 0 || !Number.isFinite(t)) return t;
    return this.endOf(this.before(t) + work);
  }

  /** The latest instant at which work of so many hours may begin that is to end by an instant; -Infinity: none. */
  startBefore(t: number, work: number): number {
    if (this.hoursOf === null) return t - work;
    if (work <= 0 || !Number.isFinite(t)) return t;
    return this.beginOf(this.before(t) - work);
  }

  /** The first working instant at or after one. */
  nextOpen(t: number): number {
    return this.hoursOf === null ? t : Math.max(t, this.beginOf(this.before(t)));
  }

  /** The last working instant at or before one. */
  lastOpen(t: number): number {
    return this.hoursOf === null ? t : Math.min(t, this.endOf(this.before(t)));
  }

  /** The earliest instant before which so many hours are worked. */
  endOf(worked: number): number {
    return this.instantOf(worked, -SAME_INSTANT);
  }

  /** The latest instant before which no more than so many hours are worked. */
  beginOf(worked: number): number {
    return this.instantOf(worked, SAME_INSTANT);
  }

  /** @param side which of the instants before which so many hours are worked */
  private instantOf(worked: number, side: number): number {
    const day = this.dayOf(worked + side);
    if (Number.isFinite(day)) return this.opening[day - this.first]! + worked - this.table[day - this.first]!;
    const from = day < 0 ? -MOST_DAYS : MOST_DAYS - 7;
    const week = this.weekFrom(from);
    // Nobody works by then, or there is no such hour.
    if (week <= 0 || !Number.isFinite(worked)) return day;
    const weeks = Math.floor((worked + side - this.table[from - this.first]!) / week);
    return this.instantOf(worked - weeks * week, side) + weeks * this.calendar.weekTotal;
  }

  /** Hours of the seven days from one on; at either end of the table these count for all weeks beyond. */
  private weekFrom(day: number): number {
    this.cover(Math.min(this.first, day), Math.max(this.last, day + 7));
    return this.table[day + 7 - this.first]! - this.table[day - this.first]!;
  }

  /** The day with before(opening) <= x < before(next opening). */
  private dayOf(x: number): number {
    while (x >= this.table[this.table.length - 1]!) {
      if (this.last >= MOST_DAYS) return Number.POSITIVE_INFINITY;
      this.cover(this.first, Math.min(MOST_DAYS, this.last * 2));
    }
    while (x < this.table[0]!) {
      if (this.first <= -MOST_DAYS) return Number.NEGATIVE_INFINITY;
      this.cover(Math.max(-MOST_DAYS, this.first * 2), this.last);
    }
    let at = this.dayAt[Math.floor(x - this.table[0]!)]!;
    while (this.table[at + 1]! <= x) at++;
    return at + this.first;
  }

  private reach(day: number): void {
    if (day >= this.first && day < this.last) return;
    const to = Math.min(MOST_DAYS, Math.max(this.last, day + PIECE));
    this.cover(Math.max(-MOST_DAYS - 7, Math.min(this.first, day - PIECE)), to);
  }

  private cover(first: number, last: number): void {
    if (first === this.first && last === this.last) return;
    const length = last - first;
    const table = new Float64Array(length + 1);
    for (let i = 0; i < length; i++) table[i + 1] = table[i]! + this.hoursOf!(first + i);
    const atZero = table[-first]!;
    for (let i = 0; i <= length; i++) table[i] = table[i]! - atZero;
    const worked = Math.max(0, Math.ceil(table[length]! - table[0]!));
    const dayAt = new Int32Array(worked + 1);
    for (let h = 0, at = 0; h <= worked; h++) {
      while (at < length && table[at + 1]! - table[0]! <= h) at++;
      dayAt[h] = Math.min(at, length - 1);
    }
    this.table = table;
    this.opening = Float64Array.from({ length: length + 1 }, (_, i) => this.calendar.hoursBefore(days(first + i)));
    this.first = first;
    this.last = last;
    this.dayAt = dayAt;
  }
}

/** What several have in common: of each day the least, since all start at opening. */
export const inCommon =
  (all: readonly HoursOf[]): HoursOf =>
  (day) =>
    all.reduce((least, hoursOf) => Math.min(least, hoursOf(day)), 24);
