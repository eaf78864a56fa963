/**
 * Working hours of a hand, or those that several hands have in common, on a time line of the workshop: the clock, or its
 * working hours. All hands start at opening, and day 0 is the day of the figures.
 *
 * On the clock an instant is 24 x day + hours since opening. `before(t)` is
 * the number of working hours before an instant. Its two inverses differ only where nobody works: work that ends with so
 * many hours ends on the earlier instant, work that begins then begins on the later. `finishAfter` and `startBefore` are
 * adjoint: finishAfter(s, w) <= f exactly when s <= startBefore(f, w) for working instants s and f.
 */
import type { ShopCalendar } from "../calendar.ts";
import { days, hours, SAME_INSTANT } from "../units.ts";

/** Hours of one day; what is not worked is 0. `day` counts from the day of the figures and may lie before it. */
export type HoursOf = (day: number) => number;

/** A time line on which each day opens, and is long enough for whatever hours are worked on it. */
export interface TimeLine {
  opens(day: number): number;
  /** The day that has opened last at an instant, or what is the same instant. */
  dayAt(t: number): number;
}

export const CLOCK: TimeLine = {
  opens: (day) => 24 * day,
  dayAt: (t) => Math.floor((t + SAME_INSTANT) / 24),
};

/** The working hours of the shop, as the network counts. */
export const shopLine = (calendar: ShopCalendar): TimeLine => ({
  opens: (day) => calendar.hoursBefore(days(day)),
  dayAt: (t) => calendar.startDay(hours(t)),
});

/** Days of one piece of the table, and the most that is looked ahead: a hand that has left works no more. */
const PIECE = 512;
const MOST_DAYS = 40 * 366;

export class DayHours {
  /** Hours before each day from `first` on. */
  private table: Float64Array;
  private first: number;
  private last: number;
  /** For each whole hour of the table, a day that does not open later than that hour. */
  private dayAt: Int32Array;

  /** @param plain every hour of every day is worked, so that instants are hours */
  constructor(
    private readonly hoursOf: HoursOf,
    readonly plain = false,
    private readonly line: TimeLine = CLOCK,
  ) {
    this.first = 0;
    this.last = 0;
    this.table = new Float64Array(1);
    this.dayAt = new Int32Array(1);
    if (!plain) this.cover(-PIECE / 4, PIECE);
  }

  /** Working hours before an instant; negative before day 0. */
  before(t: number): number {
    if (this.plain || !Number.isFinite(t)) return t;
    const day = this.line.dayAt(t);
    this.reach(day);
    const at = day - this.first;
    const worked = this.table[at]!;
    return Math.min(worked + Math.max(0, t - this.line.opens(day)), this.table[at + 1]!);
  }

  /** The instant at which work that begins at an instant or later, and takes so many hours, ends; Infinity: never. */
  finishAfter(t: number, hours: number): number {
    if (this.plain) return t + hours;
    if (hours <= 0 || !Number.isFinite(t)) return t;
    return this.endOf(this.before(t) + hours);
  }

  /** The latest instant at which work of so many hours may begin that is to end by an instant; -Infinity: none. */
  startBefore(t: number, hours: number): number {
    if (this.plain) return t - hours;
    if (hours <= 0 || !Number.isFinite(t)) return t;
    return this.beginOf(this.before(t) - hours);
  }

  /** The first working instant at or after one. */
  nextOpen(t: number): number {
    return this.plain ? t : Math.max(t, this.beginOf(this.before(t)));
  }

  /** The last working instant at or before one. */
  lastOpen(t: number): number {
    return this.plain ? t : Math.min(t, this.endOf(this.before(t)));
  }

  /** The earliest instant before which so many hours are worked. */
  endOf(worked: number): number {
    const day = this.dayOf(worked - SAME_INSTANT);
    return Number.isFinite(day) ? this.line.opens(day) + worked - this.table[day - this.first]! : day;
  }

  /** The latest instant before which no more than so many hours are worked. */
  beginOf(worked: number): number {
    const day = this.dayOf(worked + SAME_INSTANT);
    return Number.isFinite(day) ? this.line.opens(day) + worked - this.table[day - this.first]! : day;
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
    const to = Math.min(2 * MOST_DAYS, Math.max(this.last, day + PIECE));
    this.cover(Math.max(-2 * MOST_DAYS, Math.min(this.first, day - PIECE)), to);
  }

  private cover(first: number, last: number): void {
    const days = last - first;
    const table = new Float64Array(days + 1);
    for (let i = 0; i < days; i++) table[i + 1] = table[i]! + this.hoursOf(first + i);
    const atZero = table[-first]!;
    for (let i = 0; i <= days; i++) table[i] = table[i]! - atZero;
    const hours = Math.max(0, Math.ceil(table[days]! - table[0]!));
    const dayAt = new Int32Array(hours + 1);
    for (let h = 0, at = 0; h <= hours; h++) {
      while (at < days && table[at + 1]! - table[0]! <= h) at++;
      dayAt[h] = Math.min(at, days - 1);
    }
    this.table = table;
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
