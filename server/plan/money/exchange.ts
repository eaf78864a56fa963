/** Exchange rates of a workshop on a day: entered ones either way about, and cross rates through one common currency. */
import {
  type Currency,
  convert,
  type ExchangeRate,
  MoneyFault,
  type RateOnDay,
  rateOn,
} from "../../engine/money/money.ts";
import { decimalText, type Ratio, ratioOf, times } from "../../engine/money/ratio.ts";
import type { Store, Tx } from "../../store/client.ts";
import { currencyDecimals } from "../../store/rules.ts";
import { dateInWords } from "../days/summaryWords.ts";

/** A rate as it is kept: 1 base = rate counter from that date on. */
export interface RateRow {
  date: string;
  base: string;
  counter: string;
  rate: string;
}

/** Digits of a cross rate where it is shown; it is used exactly. */
const SHOWN_PLACES = 10;

/** The rates that hold on a day. */
export class Rates {
  private readonly entered: readonly ExchangeRate[];
  private readonly currencies: readonly string[];
  private readonly known = new Map<string, RateOnDay | undefined>();

  constructor(
    rows: readonly RateRow[],
    readonly day: string,
  ) {
    this.entered = rows.map(({ date, base, counter, rate }) => ({ from: base, to: counter, rate, on: date }));
    this.currencies = [...new Set(rows.flatMap(({ base, counter }) => [base, counter]))].sort();
  }

  /**
   * The rate from one currency to another: the newest on or before the day, entered or through one common currency
   * (a cross rate is as old as the older of its two). Undefined when there is none.
   */
  between(from: string, to: string): RateOnDay | undefined {
    const key = `${from} ${to}`;
    if (!this.known.has(key)) this.known.set(key, this.find(from, to));
    return this.known.get(key);
  }

  /** What is missing, for people. */
  missing(from: string, to: string): string {
    return `No rate from ${from} to ${to} on or before ${dateInWords(this.day)}`;
  }

  private find(from: string, to: string): RateOnDay | undefined {
    let best = rateOn(this.entered, from, to, this.day);
    if (best?.entered === null) return best;
    for (const common of this.currencies) {
      if (common === from || common === to) continue;
      const [first, then] = [rateOn(this.entered, from, common, this.day), rateOn(this.entered, common, to, this.day)];
      if (!first?.entered || !then?.entered) continue;
      // A cross rate is no newer than the older of the two it is made of.
      const [on = ""] = [first.entered.on, then.entered.on].sort();
      if (best?.entered && best.entered.on >= on) continue;
      const exact = times(first.exact, then.exact);
      best = { exact, entered: { from, to, rate: decimalText(exact, SHOWN_PLACES), on } };
    }
    return best;
  }
}

/** The rates that hold on whatever day is asked, each day put together once. */
export function ratesOnDays(rows: readonly RateRow[]): (day: string) => Rates {
  const days = new Map<string, Rates>();
  return (day) => {
    let rates = days.get(day);
    if (rates === undefined) {
      rates = new Rates(rows, day);
      days.set(day, rates);
    }
    return rates;
  };
}

export const currencyOf = (code: string): Currency => ({ code, decimals: currencyDecimals(code) ?? 2 });

/** The rate of an entry: the one agreed for it, else the newest on or before its day. */
export const rateOf = (agreed: string | null, from: string, to: string, rates: Rates): Ratio | null =>
  agreed === null ? (rates.between(from, to)?.exact ?? null) : (ratioOf(agreed) ?? null);

/** The newest rate of each pair on or before a day, in two queries. */
export async function loadRates(store: Store | Tx, workshopId: string, day: string): Promise<Rates> {
  const newest = await store.exchangeRate.groupBy({
    by: ["base", "counter"],
    where: { workshopId, date: { lte: day } },
    _max: { date: true },
  });
  if (newest.length === 0) return new Rates([], day);
  const dates = [...new Set(newest.map((pair) => pair._max.date!))];
  const rows = await store.exchangeRate.findMany({ where: { workshopId, date: { in: dates } } });
  return new Rates(rows, day);
}

/** An amount in another currency at the rate of the day, rounded once; null without a rate, or where it cannot be shown. */
export function inCurrency(minor: number, from: string, to: string, rates: Rates): number | null {
  if (minor === 0 || from === to) return minor;
  const rate = rates.between(from, to);
  if (rate === undefined) return null;
  const named = (code: string) => ({ code, decimals: currencyDecimals(code) ?? 2 });
  try {
    // What is to a supplier's credit is as much with its sign turned.
    const amount = convert({ minor: Math.abs(minor), currency: from }, named(from), named(to), rate).minor;
    return minor < 0 ? -amount : amount;
  } catch (error) {
    if (error instanceof MoneyFault) return null;
    throw error;
  }
}
