/**
 * Money: whole minor units beside an ISO 4217 code. How many decimals a currency has is handed in.
 * Nothing here is worked out in floating point: rates are decimal texts, results are exact until they are rounded once,
 * half to even.
 */
import { compare, halfToEven, inverse, ONE, type Ratio, ratioOf, tenTo, times, whole } from "./ratio.ts";

export interface Money {
  minor: number;
  /** ISO 4217 */
  currency: string;
}

/** A currency and the decimals of its major unit: pound sterling 2, yen 0, Bahraini dinar 3. */
export interface Currency {
  code: string;
  decimals: number;
}

/** One unit of `from` costs `rate` units of `to` on that day. */
export interface ExchangeRate {
  from: string;
  to: string;
  /** Decimal text, more than zero. */
  rate: string;
  /** ISO 8601 date from which it holds. */
  on: string;
}

export type MoneyFaultCode = "NOT_A_NUMBER" | "NEGATIVE" | "OUT_OF_RANGE" | "TOO_MANY_DECIMALS" | "OTHER_CURRENCY";

/** An amount, rate or currency that cannot be used; `field` names what was handed in. */
export class MoneyFault extends Error {
  constructor(
    readonly code: MoneyFaultCode,
    message: string,
    readonly field: string,
  ) {
    super(message);
    this.name = "MoneyFault";
  }
}

/** Rounds an exact number of minor units once, half to even. @throws MoneyFault OUT_OF_RANGE past 2^53 - 1 */
export function roundedMinor(exact: Ratio, field = "amount"): number {
  const minor = Number(halfToEven(exact));
  if (!Number.isSafeInteger(minor)) throw new MoneyFault("OUT_OF_RANGE", "The amount is too large to be kept.", field);
  return minor;
}

/** A whole number of minor units, checked. @throws MoneyFault NOT_A_NUMBER, NEGATIVE */
export function exactMinor(minor: number, field: string): Ratio {
  if (!Number.isSafeInteger(minor))
    throw new MoneyFault("NOT_A_NUMBER", `The ${field} must be a whole number of minor units (it is ${minor}).`, field);
  if (minor < 0) throw new MoneyFault("NEGATIVE", `The ${field} must not be negative (it is ${minor}).`, field);
  return whole(minor);
}

/** A rate as a fraction of one, from a decimal text or a number, checked. @throws MoneyFault NOT_A_NUMBER, NEGATIVE */
export function exactRate(rate: string | number, field: string): Ratio {
  const exact = ratioOf(rate);
  if (exact === undefined)
    throw new MoneyFault("NOT_A_NUMBER", `The ${field} must be a decimal such as 0.025 (it is ${rate}).`, field);
  if (exact.top < 0n) throw new MoneyFault("NEGATIVE", `The ${field} must not be negative (it is ${rate}).`, field);
  return exact;
}

/**
 * Minor units of an amount written in major units ("12.50"), sign allowed, decimal point, no grouping.
 * @throws MoneyFault NOT_A_NUMBER; TOO_MANY_DECIMALS when the currency has no coin so small; OUT_OF_RANGE
 */
export function parseAmount(text: string, decimals: number): number {
  const trimmed = text.trim();
  const exact = /e/i.test(trimmed) ? undefined : ratioOf(trimmed);
  if (exact === undefined)
    throw new MoneyFault("NOT_A_NUMBER", `An amount is digits with a decimal point (it is ${trimmed}).`, "amount");
  const minor = times(exact, tenTo(decimals));
  if (minor.top % minor.bottom !== 0n)
    throw new MoneyFault(
      "TOO_MANY_DECIMALS",
      `The currency has ${decimals} decimals, the amount has more (it is ${trimmed}).`,
      "amount",
    );
  // Adding zero turns a minus zero into zero.
  return roundedMinor(minor) + 0;
}

/** An amount in major units with all the decimals of its currency: 1250 pence are "12.50". */
export function formatAmount(minor: number, decimals: number): string {
  const digits = String(Math.abs(minor)).padStart(decimals + 1, "0");
  const cut = digits.length - decimals;
  return `${minor < 0 ? "-" : ""}${digits.slice(0, cut)}${decimals > 0 ? `.${digits.slice(cut)}` : ""}`;
}

/** The sum of amounts of one currency. @throws MoneyFault OTHER_CURRENCY, OUT_OF_RANGE */
export function sum(amounts: readonly Money[], currency: string): Money {
  let total = 0n;
  for (const amount of amounts) {
    if (amount.currency !== currency)
      throw new MoneyFault(
        "OTHER_CURRENCY",
        `An amount in ${amount.currency} cannot be added to amounts in ${currency} without a rate.`,
        "currency",
      );
    total += BigInt(amount.minor);
  }
  return { minor: roundedMinor({ top: total, bottom: 1n }), currency };
}

/** So much of an amount, rounded once, half to even. The rate is a fraction of one: "0.2" is 20 %. */
export function share(minor: number, rate: string | number): number {
  return roundedMinor(times(whole(minor), exactRate(rate, "rate")));
}

/**
 * Splits an amount over weights so that the parts add up to it exactly and each lies within one minor unit of its due
 * (largest remainders first, equal ones in the order given).
 * @throws MoneyFault NOT_A_NUMBER, NEGATIVE for a weight; OUT_OF_RANGE when all weights are zero
 */
export function allocate(minor: number, weights: readonly (string | number)[]): number[] {
  const exact = weights.map((w) => exactRate(w, "weight"));
  // Every bottom is a power of ten, so the largest makes all weights whole numbers.
  let bottom = 1n;
  for (const w of exact) if (w.bottom > bottom) bottom = w.bottom;
  const parts = exact.map((w) => (w.top * bottom) / w.bottom);
  const all = parts.reduce((a, b) => a + b, 0n);
  if (all === 0n) throw new MoneyFault("OUT_OF_RANGE", "At least one weight must be more than zero.", "weight");
  const size = BigInt(Math.abs(minor));
  const down = parts.map((p) => (size * p) / all);
  const left = Number(size - down.reduce((a, b) => a + b, 0n));
  const order = parts
    .map((p, i) => ({ i, rest: (size * p) % all }))
    .sort((a, b) => (a.rest === b.rest ? a.i - b.i : a.rest > b.rest ? -1 : 1));
  for (const { i } of order.slice(0, left)) down[i]! += 1n;
  return down.map((p) => (minor < 0 ? -Number(p) : Number(p)) + 0);
}

/** A rate that was found, ready to be used. */
export interface RateOnDay {
  /** Units of the second currency for one of the first, exact. */
  exact: Ratio;
  /** The rate as it was entered; it may have been entered the other way about. Null between equal currencies. */
  entered: ExchangeRate | null;
}

/**
 * The rate from one currency to another on a day: the newest one entered for that day or before it, in either direction
 * (of two for one day, the one that needs no turning round). Undefined when there is none.
 * @throws MoneyFault NOT_A_NUMBER, OUT_OF_RANGE for a rate that is no decimal above zero
 */
export function rateOn(rates: readonly ExchangeRate[], from: string, to: string, day: string): RateOnDay | undefined {
  if (from === to) return { exact: ONE, entered: null };
  let best: ExchangeRate | undefined;
  for (const rate of rates) {
    const straight = rate.from === from && rate.to === to;
    if ((!straight && !(rate.from === to && rate.to === from)) || rate.on > day) continue;
    if (best === undefined || rate.on > best.on || (rate.on === best.on && straight && best.from !== from)) best = rate;
  }
  if (best === undefined) return undefined;
  const exact = exactRate(best.rate, "exchange rate");
  if (exact.top === 0n)
    throw new MoneyFault("OUT_OF_RANGE", "An exchange rate must be more than zero.", "exchange rate");
  return { exact: best.from === from ? exact : inverse(exact), entered: best };
}

/** Minor units of one currency as exact minor units of another; not rounded. */
export function exactlyInto(minor: Ratio, rate: Ratio, fromDecimals: number, toDecimals: number): Ratio {
  return times(times(minor, rate), tenTo(toDecimals - fromDecimals));
}

/** An amount in another currency at a rate, rounded once, half to even. */
export function convert(amount: Money, from: Currency, to: Currency, rate: RateOnDay): Money {
  if (amount.currency !== from.code)
    throw new MoneyFault(
      "OTHER_CURRENCY",
      `The amount is in ${amount.currency}, the rate is for ${from.code}.`,
      "currency",
    );
  return {
    minor: roundedMinor(exactlyInto(whole(amount.minor), rate.exact, from.decimals, to.decimals)),
    currency: to.code,
  };
}

/** The larger of two exact amounts. */
export function atLeast(a: Ratio, floor: Ratio): Ratio {
  return compare(a, floor) < 0 ? floor : a;
}
