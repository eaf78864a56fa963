import { dateOfDay, dayNumber } from "../shared/format.ts";

/** Turns dates into places on the axis, which runs from the day of the figures to past the latest end. */
export interface Scale {
  /** First and last day shown. */
  start: string;
  end: string;
  /** 0 at the day of the figures (and for every day before it) to 1 at the end. */
  at: (date: string) => number;
}

/** An axis that shows all of these dates, and some room after the latest. */
export function scaleOf(figuresFor: string, dates: readonly (string | null)[]): Scale {
  const start = dayNumber(figuresFor);
  const latest = Math.max(start + 14, ...dates.filter((date) => date !== null).map(dayNumber));
  const end = latest + Math.max(3, Math.round((latest - start) * 0.03));
  return {
    start: figuresFor,
    end: dateOfDay(end),
    at: (date) => Math.min(1, Math.max(0, (dayNumber(date) - start) / (end - start))),
  };
}

export interface Month {
  /** First of the month. */
  date: string;
  at: number;
  /** "Feb", with its year where it changes; blank where labels would touch. */
  label: string;
}

const NAMES = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/** Firsts of the months on an axis of so many pixels, labelled as often as there is room for: each month, or each 2nd, 3rd, 6th or 12th. */
export function monthsOf(scale: Scale, pixels: number): Month[] {
  const firsts: { date: string; year: number; month: number }[] = [];
  let year = Number(scale.start.slice(0, 4));
  let month = Number(scale.start.slice(5, 7));
  for (;;) {
    month += 1;
    if (month > 12) {
      month = 1;
      year += 1;
    }
    const date = `${year}-${String(month).padStart(2, "0")}-01`;
    if (date > scale.end) break;
    firsts.push({ date, year, month });
  }
  const apart = pixels / Math.max(1, firsts.length);
  const every = [1, 2, 3, 6, 12].find((step) => apart * step >= 44) ?? 12;
  let yearShown = 0;
  let taken = 0;
  return firsts.map(({ date, year, month }) => {
    const at = scale.at(date);
    const label = `${NAMES[month - 1]}${year === yearShown ? "" : ` ${year}`}`;
    const left = at * pixels;
    const wide = label.length * 7 + 10;
    if ((month - 1) % every !== 0 || left < taken || left + wide > pixels + 6) return { date, at, label: "" };
    yearShown = year;
    taken = left + wide;
    return { date, at, label };
  });
}

/** A place on the axis for SVG. */
export const percent = (at: number): string => `${(at * 100).toFixed(3)}%`;
