import { counted, type MoneyValue, money, plainNumber } from "../shared/format.ts";

/** "£380.00 more", "£66.00 less", "the same" */
export function moreOrLess(change: MoneyValue): string {
  if (change.minor === 0) return "the same";
  return `${money({ ...change, minor: Math.abs(change.minor) })} ${change.minor > 0 ? "more" : "less"}`;
}

/** "5.5 points", "1 point", "no points" */
export function points(count: number): string {
  if (count === 0) return "no points";
  return Number.isInteger(count) ? counted(count, "point") : `${plainNumber(count, 2)} points`;
}

/** "2 points more", "half a point fewer" in figures, "the same" */
export function pointsMore(change: number): string {
  if (change === 0) return "the same";
  return `${points(Math.abs(change))} ${change > 0 ? "more" : "fewer"}`;
}
