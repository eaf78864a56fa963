/** What a quantity costs by a quote, and what went to a supplier. Amounts are minor units. */

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

/** Paid and not refunded. */
export function paidMinor(payments: readonly { kind: string; amountMinor: number }[]): number {
  return payments.reduce((sum, { kind, amountMinor }) => sum + (kind === "REFUND" ? -amountMinor : amountMinor), 0);
}
