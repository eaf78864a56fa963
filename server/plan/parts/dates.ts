/** Dates of quotes and orders as they stand on a day of figures. */
import { addDays, daysBetween } from "../../engine/time/date.ts";
import { firstOrderDay } from "./acquisition.ts";

/** Arrival if ordered on the day of the figures, or on the first day on which the supplier takes the order. */
export function arrivalIfOrdered(quote: { orderFrom: string | null; leadDays: number }, figuresFor: string): string {
  return addDays(firstOrderDay(quote, figuresFor), quote.leadDays);
}

/** The date that a quote's lead time promises for an order placed on a day. */
export function promiseOf(quote: { leadDays: number }, placedOn: string): string {
  return addDays(placedOn, quote.leadDays);
}

/** Calendar days past the promise on the day of the figures; 0 when it has arrived or is not yet due. */
export function orderDaysLate(
  order: { state: string; promisedOn: string; arrivedOn: string | null },
  figuresFor: string,
): number {
  return isAwaited(order) ? Math.max(0, daysBetween(order.promisedOn, figuresFor)) : 0;
}

const isAwaited = (order: { state: string; arrivedOn: string | null }): boolean =>
  order.state === "PLACED" && order.arrivedOn === null;

/** Orders past their promise on the day of the figures, as a where-clause; `false`: all others. */
export function lateOrders(late: boolean, figuresFor: string): object {
  const where = { state: "PLACED", arrivedOn: null, promisedOn: { lt: figuresFor } };
  return late ? where : { NOT: where };
}
