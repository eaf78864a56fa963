import { days, hours } from "../shared/format.ts";

/** "after 14 calendar days", "at once", "may overlap by 4 shop hours" */
export function lagWords(lag: number, unit: "HOURS" | "DAYS"): string {
  if (lag === 0) return "at once";
  const size = unit === "DAYS" ? days(Math.abs(lag)) : hours(Math.abs(lag));
  const kind = unit === "DAYS" ? "" : " of the shop";
  return lag > 0 ? `after ${size}${kind}` : `up to ${size}${kind} sooner`;
}
