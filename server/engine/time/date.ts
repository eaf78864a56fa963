/**
 * ISO 8601 calendar dates as day numbers: whole days from 1970-01-01 in the proleptic Gregorian calendar.
 * No clock and no time zone is involved.
 */

/** Day number of 9999-12-31. What lies beyond is written as that day, so that dates stay ten signs and sort as text. */
const LAST_DAY = 2_932_896;

/** Day number of a date written YYYY-MM-DD (not checked here; rows are checked where they come in). */
export function dayNumber(date: string): number {
  // Days kept before dates ended with the year 9999.
  if (date.startsWith("+")) return LAST_DAY;
  const year = Number(date.slice(0, 4));
  const month = Number(date.slice(5, 7));
  const day = Number(date.slice(8, 10));
  // Years are counted from March, so that the leap day is the last of its year.
  const y = month <= 2 ? year - 1 : year;
  const m = month <= 2 ? month + 9 : month - 3;
  return (
    365 * y +
    Math.floor(y / 4) -
    Math.floor(y / 100) +
    Math.floor(y / 400) +
    Math.floor((153 * m + 2) / 5) +
    day -
    719469
  );
}

/** The date of a day number, YYYY-MM-DD, at most 9999-12-31. */
export function dateOf(number: number): string {
  const z = Math.min(number, LAST_DAY) + 719468;
  const era = Math.floor(z / 146097);
  const dayOfEra = z - era * 146097;
  const yearOfEra = Math.floor(
    (dayOfEra - Math.floor(dayOfEra / 1460) + Math.floor(dayOfEra / 36524) - Math.floor(dayOfEra / 146096)) / 365,
  );
  const dayOfYear = dayOfEra - (365 * yearOfEra + Math.floor(yearOfEra / 4) - Math.floor(yearOfEra / 100));
  const m = Math.floor((5 * dayOfYear + 2) / 153);
  const day = dayOfYear - Math.floor((153 * m + 2) / 5) + 1;
  const month = m < 10 ? m + 3 : m - 9;
  const year = yearOfEra + era * 400 + (month <= 2 ? 1 : 0);
  return `${String(year).padStart(4, "0")}-${String(month).padStart(2, "0")}-${String(day).padStart(2, "0")}`;
}

/** Weekday of a day number: 0 is Monday, 6 is Sunday. */
export function weekday(number: number): number {
  return (((number + 3) % 7) + 7) % 7;
}

/** The date so many calendar days later (negative: earlier). */
export function addDays(date: string, count: number): string {
  return dateOf(dayNumber(date) + count);
}

/** Calendar days from one date to another; negative when the second is earlier. */
export function daysBetween(from: string, to: string): number {
  return dayNumber(to) - dayNumber(from);
}
