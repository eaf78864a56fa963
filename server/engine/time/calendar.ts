/**
 * The shop calendar: calendar days and working hours on one time line.
 *
 * Both are counted from the day of the figures: day 0 is the day of the figures, hour 0 is the moment at which it opens.
 * `W(t)` is the number of working hours before the instant t (in days; fractions run through a day's working
 * hours evenly). Two inverses turn hours into days, and they differ only where the shop stands still:
 * work that finishes at hour w is finished on the earlier of the days that fit, and work that starts at w starts on
 * the later. A wait of L calendar days that begins at hour w ends at `W(finish instant of w + L)`. From the
 * other side, the latest hour at which such a wait may begin is `W(start instant - L)`; the two are adjoint
 * (wait(w) <= s exactly when w <= latest(s)), so the backward pass is exact across the two kinds of time.
 */
import { dateOf, dayNumber, weekday } from "./date.ts";
import { type Days, days, type Hours, hours, SAME_INSTANT } from "./units.ts";

export interface CalendarInput {
  /** Working hours of Monday to Sunday, each 0 to 24; at least one above 0. */
  weekdayHours: readonly number[];
  /** ISO dates without work. */
  closedDates: readonly string[];
  /** ISO date: day 0. */
  figuresFor: string;
}

export class ShopCalendar {
  /** Day number (from 1970-01-01) of the day of the figures. */
  readonly origin: number;
  /** Hours of each weekday, Monday first. */
  private readonly weekdayHours: Float64Array;
  /** Hours of the week before each weekday, Monday first; the eighth is the whole week. */
  private readonly weekBefore = new Float64Array(8);
  /** Working hours of a week without closed dates. */
  readonly weekTotal: number;
  /** Pattern hours (closed dates not yet taken off) from the Monday of day 0's week to day 0. */
  private readonly patternAtOrigin: number;
  /** Weekday of day 0. */
  private readonly originWeekday: number;
  /** Span of days that holds every closed date that costs hours: [spanFrom, spanTo). */
  private readonly spanFrom: number;
  private readonly spanTo: number;
  /** Hours that closed dates cost between spanFrom and each day of the span, the day itself left out; length spanTo - spanFrom + 1. */
  private readonly lost: Float64Array;
  private readonly lostBeforeOrigin: number;
  /** 1 for each closed day of the span. */
  private readonly closed: Uint8Array;
  /** Working days of the span (days from the day of the figures) and the hours before each; the sentinel Infinity ends the second. */
  private readonly workDays: Int32Array;
  private readonly workHours: Float64Array;
  /** For equal slices of the span's hours, the last working day (an index) that opens at or before the slice begins. */
  private readonly slices: Int32Array;
  private readonly sliceWidth: number;

  constructor(input: CalendarInput) {
    if (input.weekdayHours.length !== 7) throw new RangeError(`a week has 7 days, not ${input.weekdayHours.length}`);
    this.weekdayHours = Float64Array.from(input.weekdayHours);
    for (let d = 0; d < 7; d++) {
      const h = this.weekdayHours[d]!;
      if (!(h >= 0 && h <= 24)) throw new RangeError(`a day has 0 to 24 working hours, not ${h}`);
      this.weekBefore[d + 1] = this.weekBefore[d]! + h;
    }
    this.weekTotal = this.weekBefore[7]!;
    if (!(this.weekTotal > 0)) throw new RangeError("at least one weekday must have working hours");
    this.origin = dayNumber(input.figuresFor);
    this.originWeekday = weekday(this.origin);
    this.patternAtOrigin = this.weekBefore[this.originWeekday]!;

    const closedDays = [...new Set(input.closedDates.map((date) => dayNumber(date) - this.origin))]
      .filter((day) => this.weekdayHours[weekday(day + this.origin)]! > 0)
      .sort((a, b) => a - b);
    this.spanFrom = Math.min(0, closedDays[0] ?? 0);
    this.spanTo = Math.max(0, (closedDays.at(-1) ?? -1) + 1);
    const length = this.spanTo - this.spanFrom;
    this.closed = new Uint8Array(length);
    for (const day of closedDays) this.closed[day - this.spanFrom] = 1;
    this.lost = new Float64Array(length + 1);
    for (let i = 0; i < length; i++) {
      const cost = this.closed[i] ? this.weekdayHours[weekday(i + this.spanFrom + this.origin)]! : 0;
      this.lost[i + 1] = this.lost[i]! + cost;
    }
    this.lostBeforeOrigin = this.lost[-this.spanFrom]!;

    const working: number[] = [];
    for (let day = this.spanFrom; day < this.spanTo; day++) if (this.hoursOf(day) > 0) working.push(day);
    this.workDays = Int32Array.from(working);
    this.workHours = new Float64Array(working.length + 1);
    for (let i = 0; i < working.length; i++) this.workHours[i] = this.hoursBefore(days(working[i]!));
    this.workHours[working.length] = Number.POSITIVE_INFINITY;
    const spanHours = this.hoursBefore(days(this.spanTo)) - this.hoursBefore(days(this.spanFrom));
    const count = Math.max(1, working.length);
    this.sliceWidth = spanHours > 0 ? spanHours / count : 1;
    this.slices = new Int32Array(count + 1);
    const first = this.hoursBefore(days(this.spanFrom));
    for (let k = 0, i = 0; k <= count; k++) {
      while (i + 1 < working.length && this.workHours[i + 1]! <= first + k * this.sliceWidth) i++;
      this.slices[k] = i;
    }
  }

  /** Working hours of one day (0 on a day off). */
  hoursOf(day: number): number {
    return this.closed[day - this.spanFrom] === 1 ? 0 : this.weekdayHours[this.weekdayOf(day)]!;
  }

  /** 0 for a Monday. */
  weekdayOf(day: number): number {
    return (((day + this.originWeekday) % 7) + 7) % 7;
  }

  /** Hours of a weekday, 0 Monday, on no closed date. */
  weekHours(weekday: number): number {
    return this.weekdayHours[weekday]!;
  }

  /** Working hours from the opening of the day of the figures to the opening of the given day; negative before the day of the figures. */
  hoursBefore(day: Days): Hours {
    const aligned = day + this.originWeekday;
    const week = Math.floor(aligned / 7);
    const pattern = week * this.weekTotal + this.weekBefore[aligned - 7 * week]! - this.patternAtOrigin;
    const i = day <= this.spanFrom ? 0 : day >= this.spanTo ? this.lost.length - 1 : day - this.spanFrom;
    return hours(pattern - (this.lost[i]! - this.lostBeforeOrigin));
  }

  /** The day on which work that starts at this hour starts: hoursBefore(day) <= w < hoursBefore(day + 1). */
  startDay(w: Hours): Days {
    return this.dayAt(w + SAME_INSTANT);
  }

  /** The day on which work that finishes at this hour is finished: hoursBefore(day) < w <= hoursBefore(day + 1). */
  finishDay(w: Hours): Days {
    return this.dayAt(w - SAME_INSTANT);
  }

  /**
   * The hour at which a wait of so many calendar days is over that begins when work finishes at hour w.
   * Never decreases with w. At hour 0 the wait begins as the day of the figures opens.
   */
  afterDays(w: Hours, wait: number): Hours {
    if (wait === 0) return w;
    if (w <= SAME_INSTANT && w >= -SAME_INSTANT) return this.hoursAt(wait);
    const day = this.finishDay(w);
    const share = Math.min(1, Math.max(0, (w - this.hoursBefore(day)) / this.hoursOf(day)));
    return this.hoursAt(day + wait, share);
  }

  /** The latest hour at which a wait of so many calendar days may begin that must be over by hour s. */
  latestBeforeDays(s: Hours, wait: number): Hours {
    if (wait === 0) return s;
    const day = this.startDay(s);
    const share = Math.min(1, Math.max(0, (s - this.hoursBefore(day)) / this.hoursOf(day)));
    const latest = this.hoursAt(day - wait, share);
    // Hour 0 is the opening of the day of the figures. A wait that would have had to begin on the days off before it is too late by then.
    if (day + share < wait && latest > -SAME_INSTANT && latest <= SAME_INSTANT) return hours(-10 * SAME_INSTANT);
    return latest;
  }

  /** First hour at which something that arrives on this day can be used: the start of the next working day. */
  usableAfterArrival(day: Days): Hours {
    return this.hoursBefore(days(day + 1));
  }

  /** The latest day of arrival for something that must be usable at hour w. */
  latestArrival(w: Hours): Days {
    return days(this.startDay(w) - 1);
  }

  /** The hour from which no date is closed any more, so that whatever begins whole weeks later is done as many weeks later. */
  get steadyFrom(): Hours {
    return this.hoursBefore(days(this.spanTo));
  }

  /** ISO date of a day counted from the day of the figures. */
  date(day: Days): string {
    return dateOf(this.origin + day);
  }

  /** Day counted from the day of the figures of an ISO date. */
  day(date: string): Days {
    return days(dayNumber(date) - this.origin);
  }

  /** Hours before the instant `day + share`, share 0 to 1 of a day; a fraction in `day` runs through working hours evenly. */
  private hoursAt(day: number, share = 0): Hours {
    const whole = Math.floor(day);
    const part = share + (day - whole);
    if (part <= 1) return hours(this.hoursBefore(days(whole)) + part * this.hoursOf(whole));
    return hours(this.hoursBefore(days(whole + 1)) + (part - 1) * this.hoursOf(whole + 1));
  }

  /** The working day with hoursBefore(day) <= x < hoursBefore(day + 1). */
  private dayAt(x: number): Days {
    const from = this.hoursBefore(days(this.spanFrom));
    const to = this.hoursBefore(days(this.spanTo));
    if (x >= from && x < to) {
      let i = this.slices[Math.min(this.slices.length - 1, Math.floor((x - from) / this.sliceWidth))]!;
      while (this.workHours[i + 1]! <= x) i++;
      while (i > 0 && this.workHours[i]! > x) i--;
      return days(this.workDays[i]!);
    }
    // Outside the span of closed dates the weeks are all alike.
    const lost = x < from ? -this.lostBeforeOrigin : this.lost[this.lost.length - 1]! - this.lostBeforeOrigin;
    const pattern = x + lost + this.patternAtOrigin;
    const week = Math.floor(pattern / this.weekTotal);
    const rest = pattern - week * this.weekTotal;
    let d = 0;
    while (d < 6 && (this.weekBefore[d + 1]! <= rest || this.weekdayHours[d] === 0)) d++;
    while (this.weekdayHours[d] === 0) d--;
    return days(7 * week + d - this.originWeekday);
  }
}
