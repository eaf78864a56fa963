import { dayNumber } from "../shared/format.ts";
import type { ShopWeek } from "./schedule.ts";

/** Days on a sheet: a day number counts from 1 Jan 1970, and a day is `perDay` pixels wide. */
export interface TimeScale {
  /** A Monday. */
  from: number;
  /** The day after the last. */
  to: number;
  perDay: number;
  width: number;
  /** Left edge of a day. */
  x: (day: number) => number;
}

export interface Tick {
  day: number;
  label: string;
}

export interface ClosedRun {
  from: number;
  /** The day after the last. */
  to: number;
  reason: string;
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const WEEKDAYS = ["sunday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday"] as const;

/** 1 Jan 1970 was a Thursday. */
const weekday = (day: number): number => (((day + 4) % 7) + 7) % 7;
const mondayOf = (day: number): number => day - ((weekday(day) + 6) % 7);

/** A scale that holds all the dates. `perDay` 0 fits it into `width` pixels. */
export function scaleOver(dates: readonly string[], width: number, perDay: number): TimeScale {
  const numbers = dates.map(dayNumber);
  const from = mondayOf(numbers.reduce((least, day) => Math.min(least, day), Number.POSITIVE_INFINITY));
  const to = mondayOf(numbers.reduce((most, day) => Math.max(most, day), from) + 6) + 7;
  const each = perDay > 0 ? Math.max(perDay, width / (to - from)) : width / (to - from);
  return { from, to, perDay: each, width: each * (to - from), x: (day) => (day - from) * each };
}

/** Mondays, as many as there is room for; months (or years) above them. */
export function ticksOf(scale: TimeScale): { weeks: Tick[]; months: Tick[] } {
  const step = Math.max(1, Math.ceil(26 / (scale.perDay * 7)));
  const weeks: Tick[] = [];
  for (let day = scale.from, count = 0; day < scale.to; day += 7, count += 1)
    if (count % step === 0) weeks.push({ day, label: String(new Date(day * 86_400_000).getUTCDate()) });
  const months: Tick[] = [];
  const monthStep = [1, 2, 3, 6, 12].find((many) => many * 30 * scale.perDay >= 44) ?? 12;
  for (let day = scale.from; day < scale.to; day += 1) {
    const date = new Date(day * 86_400_000);
    if (date.getUTCDate() !== 1 || date.getUTCMonth() % monthStep !== 0) continue;
    const year = date.getUTCMonth() === 0 || months.length === 0 ? ` ${date.getUTCFullYear()}` : "";
    months.push({ day, label: monthStep === 12 ? year.trim() : `${MONTHS[date.getUTCMonth()]}${year}` });
  }
  return { weeks: scale.perDay * 7 * step < 26 ? [] : weeks, months };
}

/** Whether the shop works on a day: the one statement of the calendar that the screens draw. */
export function closedOn(week: ShopWeek): (day: number) => string | null {
  const closed = new Map(week.closedDates.edges.map(({ node }) => [dayNumber(node.date), node.reason]));
  return (day) => {
    if (closed.has(day)) return closed.get(day) || "closed";
    const name = WEEKDAYS[weekday(day)] ?? "sunday";
    return week.shopDays[name] > 0 ? null : name;
  };
}

/** Runs of days without work. Where a day is too narrow to be seen, only runs of at least two pixels. */
export function closedRuns(scale: TimeScale, week: ShopWeek): ClosedRun[] {
  const closed = closedOn(week);
  const runs: ClosedRun[] = [];
  let open: ClosedRun | null = null;
  for (let day = scale.from; day <= scale.to; day += 1) {
    const reason = day < scale.to ? closed(day) : null;
    if (reason !== null) {
      if (open) open.to = day + 1;
      else open = { from: day, to: day + 1, reason };
    } else if (open) {
      if ((open.to - open.from) * scale.perDay >= 2) runs.push(open);
      open = null;
    }
  }
  return runs;
}
