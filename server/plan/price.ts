/** What a quantity costs by a quote, and what went to a supplier. Amounts are minor units. */
import { owedOf, type PaymentKind, paidOf } from "../engine/exposure.ts";

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

/** What an order comes to in the end: its total, less credits and goods returned; of one sent back, what was not refunded. */
export function committedMinor(order: {
  state: string;
  totalMinor: number;
  payments: readonly { kind: PaymentKind; amountMinor: number }[];
}): number {
  const owed = owedOf({ ...order, sentBack: order.state === "SENT_BACK" });
  return paidOf(order.payments) + (owed ?? 0);
}
