/** Dates of quotes and orders as they stand on a data date. */
import { addDays, daysBetween } from "../engine/date.ts";
import { firstOrderDay } from "./acquisition.ts";

/** Arrival if ordered on the data date, or on the first day on which the supplier takes the order. */
export function arrivalIfOrdered(quote: { orderFrom: string | null; leadDays: number }, dataDate: string): string {
  return addDays(firstOrderDay(quote, dataDate), quote.leadDays);
}

/** The date that a quote's lead time promises for an order placed on a day. */
export function promiseOf(quote: { leadDays: number }, placedOn: string): string {
  return addDays(placedOn, quote.leadDays);
}

/** Calendar days past the promise on the data date; 0 when it has arrived or is not yet due. */
export function orderDaysLate(
  order: { state: string; promisedOn: string; arrivedOn: string | null },
  dataDate: string,
): number {
  return isAwaited(order) ? Math.max(0, daysBetween(order.promisedOn, dataDate)) : 0;
}

const isAwaited = (order: { state: string; arrivedOn: string | null }): boolean =>
  order.state === "PLACED" && order.arrivedOn === null;

/** Orders past their promise on the data date, as a where-clause; `false`: all others. */
export function lateOrders(late: boolean, dataDate: string): object {
  const where = { state: "PLACED", arrivedOn: null, promisedOn: { lt: dataDate } };
  return late ? where : { NOT: where };
}
