/** What is to be ordered, in two: what is told one by one, and what is due later, which is counted and summed. */
import { into } from "../../engine/money/exposure.ts";
import { currencyOf, rateOf } from "../money/exchange.ts";
import type { ExposureRows } from "../money/exposureLoad.ts";
import { ordersAheadOf } from "../money/ordersAhead.ts";
import type { HoldUp } from "../plan.ts";

/** Calendar days ahead within which everything is told of one by one. */
export const FORTNIGHT = 14;

export interface LaterOrders {
  /** In the order of what is to be ordered: the most urgent first. */
  holdUps: readonly HoldUp[];
  /** Of them, those decided on. */
  decided: readonly HoldUp[];
}

/** What no day is sure enough for is due at once; a hunt without a day to order by comes later. */
const isSoon = ({ daysLeft, state }: HoldUp): boolean =>
  daysLeft === null ? state !== "HUNTED" : daysLeft <= FORTNIGHT;

export function laterOrders(toOrder: readonly HoldUp[]): LaterOrders {
  const holdUps = toOrder.filter((holdUp) => !isSoon(holdUp));
  return { holdUps, decided: holdUps.filter(({ decided }) => decided) };
}

/** What they come to: landed, and of snags the price of the remedy; in minor units of the restoration's currency, null where a rate is missing. */
export function costOfOrders(holdUps: readonly HoldUp[], rows: ExposureRows): number | null {
  const { plan, quotes, parts, remedies, restoration, rates } = rows;
  const home = currencyOf(restoration.currency);
  const ahead = ordersAheadOf(rows);
  const named = new Map(plan.quotes.map((quote) => [quote.id, quote]));
  let sum = 0;
  for (const { quoteId, remedyId } of holdUps) {
    const quote = named.get(quoteId ?? "");
    const remedy = remedies.get(remedyId ?? "");
    const cost =
      quote !== undefined
        ? ahead.landed(quote, quotes.get(quote.id)!, parts.get(quote.partId)!.quantity).totalMinor
        : remedy !== undefined
          ? into(remedy.priceMinor, currencyOf(remedy.currency), home, rateOf(null, remedy.currency, home.code, rates))
          : 0;
    if (cost === null) return null;
    sum += cost;
  }
  return sum;
}
