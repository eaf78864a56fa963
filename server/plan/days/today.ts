/** The one place that reads a clock for a plan. */

/** The ISO date of now, or of another moment, in a time zone (IANA name); without one, in that of the machine. */
export function today(timeZone: string | null = null, now: Date = new Date()): string {
  if (timeZone === null) return dateOf(now.getFullYear(), now.getMonth() + 1, now.getDate());
  const parts = new Intl.DateTimeFormat("en", { timeZone, year: "numeric", month: "numeric", day: "numeric" });
  const part = new Map(parts.formatToParts(now).map(({ type, value }) => [type, Number(value)]));
  return dateOf(part.get("year")!, part.get("month")!, part.get("day")!);
}

const dateOf = (...parts: number[]): string => parts.map((n) => String(n).padStart(2, "0")).join("-");

/** Whether a time zone of this name is known. */
export function isTimeZone(name: string): boolean {
  try {
    new Intl.DateTimeFormat("en", { timeZone: name });
    return true;
  } catch {
    return false;
  }
}

/** Changes with every quarter of an hour, on which each day begins in whatever time zone. */
export const quarterHour = (now: number = Date.now()): number => Math.floor(now / 900_000);

/** The hour of the day, 0 to 23, at a moment in a time zone; without one, in that of the machine. */
export const hourOf = (timeZone: string | null, now: Date): number =>
  timeZone === null
    ? now.getHours()
    : Number(new Intl.DateTimeFormat("en", { timeZone, hour: "numeric", hourCycle: "h23" }).format(now));
