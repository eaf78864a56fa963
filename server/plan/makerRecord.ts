/** How a supplier has kept to what was promised, from all orders of the workshop. */
import { daysBetween } from "../engine/date.ts";

export interface MakerRecord {
  orders: number;
  arrived: number;
  /** Arrived on or before the day promised. */
  onTime: number;
  /** Calendar days past the promise, an early arrival counted as nought; null while nothing has arrived. */
  averageDaysLate: number | null;
}

/** The record that orders make. */
export function makerRecord(orders: readonly { promisedOn: string; arrivedOn: string | null }[]): MakerRecord {
  const late = orders.flatMap(({ promisedOn, arrivedOn }) =>
    arrivedOn === null ? [] : [Math.max(0, daysBetween(promisedOn, arrivedOn))],
  );
  return {
    orders: orders.length,
    arrived: late.length,
    onTime: late.filter((days) => days === 0).length,
    averageDaysLate: late.length === 0 ? null : late.reduce((sum, days) => sum + days, 0) / late.length,
  };
}
