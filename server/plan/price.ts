/** What a quantity costs by a quote, and what went to a supplier. Amounts are minor units. */
import { type PaymentKind, paidOf } from "../engine/exposure.ts";

/** Unit price at the price break of a quantity: the one for the largest quantity not above it. */
export function unitPriceAt(
  quote: { unitPriceMinor: number; priceBreaks: readonly { quantity: number; unitPriceMinor: number }[] },
  quantity: number,
): number {
  const reached = quote.priceBreaks.filter((step) => step.quantity <= quantity);
  const best = reached.reduce<{ quantity: number; unitPriceMinor: number } | undefined>(
    (a, b) => (a === undefined || b.quantity > a.quantity ? b : a),
    undefined,
  );
  return best?.unitPriceMinor ?? quote.unitPriceMinor;
}

/** Paid and not come back. An entry that takes another back has its amount with a minus. */
export const paidMinor = (payments: readonly { kind: PaymentKind; amountMinor: number }[]): number => paidOf(payments);
