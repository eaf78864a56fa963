/** Dates, days, money, odds and hours in words. Dates come in as ISO 8601 text and are never shifted by a time zone. */

export interface MoneyValue {
  /** Integer minor units. */
  minor: number;
  currency: string;
  /** The ISO 4217 exponent. */
  decimals: number;
}

const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
const WEEKDAYS = ["Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"];
const DAY = 86_400_000;

/** Days since 1 Jan 1970 of a calendar date. */
export function dayNumber(date: string): number {
  return Math.round(Date.parse(`${date}T00:00:00Z`) / DAY);
}

/** The calendar date of a day number. */
export function dateOfDay(day: number): string {
  return new Date(day * DAY).toISOString().slice(0, 10);
}

/** Calendar days from one date to another; negative where the second is earlier. */
export function daysBetween(from: string, to: string): number {
  return dayNumber(to) - dayNumber(from);
}

/** The date of now, or of another moment, in a time zone (IANA name); without one, in this browser's own. */
export function today(timeZone?: string, at: number = Date.now()): string {
  const parts = new Intl.DateTimeFormat("en", { timeZone, year: "numeric", month: "2-digit", day: "2-digit" });
  const part = new Map(parts.formatToParts(at).map(({ type, value }) => [type, value]));
  return `${part.get("year")}-${part.get("month")}-${part.get("day")}`;
}

/** "2 Aug 2027" */
export function dateInFull(date: string): string {
  const [year, month, day] = date.split("-");
  return `${Number(day)} ${MONTHS[Number(month) - 1]} ${year}`;
}

/** "2 Aug" */
export function dayAndMonth(date: string): string {
  const [, month, day] = date.split("-");
  return `${Number(day)} ${MONTHS[Number(month) - 1]}`;
}

/** "Mon 23 Nov 2026" */
export function dateWithWeekday(date: string): string {
  return `${WEEKDAYS[new Date(`${date}T00:00:00Z`).getUTCDay()]} ${dateInFull(date)}`;
}

/** "44 days", "1 day" */
export function days(count: number): string {
  return counted(count, "day");
}

/** "1 part", "3 parts"; `plural` where the word does not simply take an s. */
export function counted(count: number, one: string, plural = `${one}s`): string {
  return `${new Intl.NumberFormat("en-GB").format(count)} ${count === 1 ? one : plural}`;
}

/** "4 are free to start": said with {@link underWayInWords} wherever both are listed. */
export const freeInWords = (count: number): string =>
  count === 0 ? "none is free to start" : `${plainNumber(count)} ${count === 1 ? "is" : "are"} free to start`;

/** "2 are under way" */
export const underWayInWords = (count: number): string =>
  `${count === 0 ? "none" : plainNumber(count)} ${count < 2 ? "is" : "are"} under way`;

/** What the day of the figures is called in a sentence. */
export const dayWord = (isToday: boolean): string => (isToday ? "today" : "that day");

/** Days from the day of the figures: "in 9 days", "today", "4 days ago"; of a day that is not today "9 days later", "that same day", "4 days earlier". */
export function inDays(count: number, isToday = true): string {
  if (!isToday) return count === 0 ? "that same day" : `${days(Math.abs(count))} ${count > 0 ? "later" : "earlier"}`;
  if (count === 0) return "today";
  if (count === 1) return "tomorrow";
  return count > 0 ? `in ${days(count)}` : `${days(-count)} ago`;
}

/** "44 days late", "on the day", "9 days early" */
export function lateBy(count: number): string {
  if (count === 0) return "on the day";
  return count > 0 ? `${days(count)} late` : `${days(-count)} early`;
}

/** "37.5 h" */
export function hours(count: number): string {
  return `${new Intl.NumberFormat("en-GB", { maximumFractionDigits: 2 }).format(count)} h`;
}

/** A plain number for a cell: "0.05", "1,240" */
export function plainNumber(value: number, digits = 4): string {
  return new Intl.NumberFormat("en-GB", { maximumFractionDigits: digits }).format(value);
}

/** The size of a file: "640 kB", "2.1 MB" */
export function fileSize(bytes: number): string {
  if (bytes < 1e6) return `${plainNumber(Math.max(1, Math.round(bytes / 1e3)), 0)} kB`;
  return bytes < 1e9 ? `${plainNumber(bytes / 1e6, 1)} MB` : `${plainNumber(bytes / 1e9, 1)} GB`;
}

/** How long ago a moment was: "just now", "20 minutes ago", "3 hours ago", "5 days ago" */
export function ago(at: string, now: number = Date.now()): string {
  const minutes = Math.floor((now - Date.parse(at)) / 60_000);
  if (minutes < 1) return "just now";
  if (minutes < 60) return `${counted(minutes, "minute")} ago`;
  return minutes < 48 * 60 ? `${counted(Math.floor(minutes / 60), "hour")} ago` : inDays(-Math.floor(minutes / 1440));
}

/** A fraction as a percentage: 0.025 is "2.5 %" */
export function percent(fraction: number): string {
  return `${new Intl.NumberFormat("en-GB", { maximumFractionDigits: 3 }).format(Number((fraction * 100).toPrecision(12)))} %`;
}

/** Minor units as the digits of the major unit, exactly: 124050 with 2 decimals is "1240.50". */
export function majorText(minor: number, decimals: number): string {
  const sign = minor < 0 ? "-" : "";
  const digits = String(Math.abs(minor)).padStart(decimals + 1, "0");
  return decimals === 0 ? `${sign}${digits}` : `${sign}${digits.slice(0, -decimals)}.${digits.slice(-decimals)}`;
}

/** The largest amount in minor units that the API takes. */
export const MOST_MINOR = 2_147_483_647;

/**
 * Digits of the major unit, such as "1240.50", in minor units, by arithmetic on the text so that no cent is lost. Null
 * where they are none, or have more decimals than the currency. What is typed goes through amountTyped.
 */
export function minorOfText(text: string, decimals: number): number | null {
  const match = /^(-?)(\d*)(?:\.(\d*))?$/.exec(text);
  if (!match || !/\d/.test(text)) return null;
  const fraction = (match[3] ?? "").replace(/0+$/, "");
  if (fraction.length > decimals) return null;
  const minor = Number(`${match[2]}${fraction.padEnd(decimals, "0")}`);
  if (!Number.isSafeInteger(minor)) return null;
  return match[1] && minor !== 0 ? -minor : minor;
}

/** "£1,240.50", "US$88.00", "¥9,000": always with its currency, always to the last minor unit. */
export function money(value: MoneyValue): string {
  const text = majorText(value.minor, value.decimals) as Intl.StringNumericLiteral;
  const digits = { minimumFractionDigits: value.decimals, maximumFractionDigits: value.decimals };
  try {
    return new Intl.NumberFormat("en-GB", { style: "currency", currency: value.currency, ...digits }).format(text);
  } catch {
    return `${value.currency} ${new Intl.NumberFormat("en-GB", digits).format(text)}`;
  }
}

/** Out of how many odds are said: what people say, "17 in 20" and never "11 in 13". */
const OUT_OF = [2, 3, 4, 5, 10, 20];

/**
 * A chance as odds: 0.8 is "4 in 5"; in a column "80 in 100" like all others there. Within half of one in a hundred, and
 * never certain while it is not. The server says them alike in what it words itself.
 */
export function odds(chance: number, inHundred = false): string {
  if (chance <= 0) return "no chance";
  if (chance >= 1) return "certain";
  if (chance < 0.005) return "less than 1 in 200";
  if (chance > 0.995) return "more than 199 in 200";
  // Exactly where that can be, else the smallest that is near enough.
  for (const near of inHundred ? [] : [1e-9, 0.005]) {
    for (const of of OUT_OF) {
      const ins = Math.round(chance * of);
      if (ins > 0 && ins < of && Math.abs(ins / of - chance) < near) return `${ins} in ${of}`;
    }
  }
  return `${Math.min(99, Math.max(1, Math.round(chance * 100)))} in 100`;
}

/** A chance in a sentence: "the odds that it fills are 17 in 20", "it is certain that it fills", "there is no chance that it fills". */
export const oddsThat = (claim: string, chance: number): string =>
  chance >= 1
    ? `it is certain that ${claim}`
    : chance <= 0
      ? `there is no chance that ${claim}`
      : `the odds that ${claim} are ${odds(chance)}`;

/** How many of the runs: "17 in 20 runs", "every run" */
export const oddsOfRuns = (chance: number, inHundred = false): string =>
  chance <= 0 ? "no run" : chance >= 1 ? "every run" : `${odds(chance, inHundred)} runs`;

/** How often it holds: "17 in 20 times", "every time" */
export const oddsTimes = (chance: number): string =>
  chance <= 0 ? "never" : chance >= 1 ? "every time" : `${odds(chance)} times`;

/**
 * "the rear axle", "the rear axle and the chain", "the rear axle, the chain and the horn"; where a name has a comma in it
 * "hopper lid, cast; and chain". Of more than `most` it says how many more there are.
 */
export function listed(words: readonly string[], most = words.length): string {
  const shown = words.length > most ? [...words.slice(0, most), `${words.length - most} more`] : words;
  if (shown.length < 2) return shown.join("");
  const [comma, and] = words.slice(0, most).some((word) => word.includes(", ")) ? ["; ", "; and "] : [", ", " and "];
  return `${shown.slice(0, -1).join(comma)}${and}${shown.at(-1)}`;
}

/** A moment on the clock of whoever reads: "23 Nov 2026, 14:05". */
export function momentInFull(at: string): string {
  const when = new Date(at);
  const two = (part: number): string => String(part).padStart(2, "0");
  return `${when.getDate()} ${MONTHS[when.getMonth()]} ${when.getFullYear()}, ${two(when.getHours())}:${two(when.getMinutes())}`;
}

/** "5.5 points", "1 point", "no points" */
export function points(count: number): string {
  if (count === 0) return "no points";
  return Number.isInteger(count) ? counted(count, "point") : `${plainNumber(count, 2)} points`;
}
