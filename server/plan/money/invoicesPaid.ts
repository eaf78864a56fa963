/** How far each invoice is paid: what comes in goes to the oldest invoice first, as on any account. */
import { into } from "../../engine/money/exposure.ts";
import { currencyOf, rateOf } from "./exchange.ts";
import type { ExposureRows } from "./exposureLoad.ts";

export interface InvoicePaid {
  /** The day on which the last of it came in; null while some is outstanding. */
  paidOn: string | null;
  /** Outstanding, minor units of the restoration's currency. */
  leftMinor: number;
}

/** By id. An entry that was taken back, and the one that takes it back, are in none; nor is one in a currency without a rate. */
export function invoicesPaid({ invoices, restoration, ratesOn }: ExposureRows): ReadonlyMap<string, InvoicePaid> {
  const home = currencyOf(restoration.currency);
  const corrected = new Set(invoices.map(({ correctsId }) => correctsId));
  const standing = invoices.flatMap(({ id, kind, day, amountMinor, currency, correctsId }) => {
    if (correctsId !== null || corrected.has(id)) return [];
    const minor = into(amountMinor, currencyOf(currency), home, rateOf(null, currency, home.code, ratesOn(day)));
    // What is given back to the owner is asked for again, and what is taken off is as good as received.
    return minor === null ? [] : [{ id, day, minor: kind === "INVOICE" ? minor : -minor }];
  });
  const received = standing.filter(({ minor }) => minor < 0).map(({ day, minor }) => ({ day, minor: -minor }));
  const paid = new Map<string, InvoicePaid>();
  let at = 0;
  for (const { id, day, minor } of standing) {
    if (minor < 0) continue;
    let left = minor;
    let paidOn = day;
    while (left > 0 && at < received.length) {
      const from = received[at]!;
      const taken = Math.min(left, from.minor);
      left -= taken;
      from.minor -= taken;
      if (from.day > paidOn) paidOn = from.day;
      if (from.minor === 0) at++;
    }
    paid.set(id, { paidOn: left > 0 ? null : paidOn, leftMinor: left });
  }
  return paid;
}
