/** What a quote costs by the time it lies on the bench, with what it brings with it, in the restoration's currency. */
import { INCOTERMS_2020, type Incoterm } from "../../engine/money/incoterms.ts";
import { type CostLineKind, type CustomsBasis, landedCost, type PriceStep } from "../../engine/money/landedCost.ts";
import { convert, type ExchangeRate, MoneyFault } from "../../engine/money/money.ts";
import {
  type OrderLine,
  type OrderTerms,
  type ShareBy,
  sharedCharge,
  sharesBy,
} from "../../engine/money/orderCharge.ts";
import { MOST_MINOR } from "../../store/rules.ts";
import { currencyOf, inCurrency, type Rates } from "./exchange.ts";

/** Amounts are minor units of the quote's currency; a knock-on's are of its own. */
export interface LandedQuote {
  currency: string;
  unitPriceMinor: number;
  minimumQuantity: number;
  priceBreaks: readonly PriceStep[];
  carriageMinor: number;
  insuranceMinor: number;
  /** Fractions. */
  dutyRate: number;
  taxRate: number;
  incoterm: Incoterm;
  coreChargeMinor: number;
  coreReturned: boolean;
  /** Of one piece; null: not known. */
  weightGrams: number | null;
  knockOns: readonly { title: string; priceMinor: number; currency: string }[];
  supplier: OrderTermsRow;
}

/** What a supplier charges on one order, in its own currency. */
export interface OrderTermsRow {
  currency: string;
  carriageMinor: number;
  minimumMinor: number;
  shareBy: ShareBy;
}

/** What {@link OrderTermsRow} takes of a supplier's row. */
export const ORDER_TERMS = { currency: true, carriageMinor: true, minimumMinor: true, shareBy: true } as const;

/** What stands on one order with a quote, before it and after it, all in the order of their codes. */
export interface Together {
  before: readonly OrderLine[];
  after: readonly OrderLine[];
}

/** An order of this quote and nothing else. */
export const ALONE: Together = { before: [], after: [] };

export interface LandedLine {
  kind: CostLineKind | "KNOCK_ON" | "ORDER_CARRIAGE" | "ORDER_MINIMUM";
  words: string;
  /** Minor units of the restoration's currency. */
  amountMinor: number;
  /** What a rate was applied to; null without one. */
  basisMinor: number | null;
  /** Duty or tax as a fraction; null on other lines. */
  rate: number | null;
}

export interface Landed {
  currency: string;
  /** Those that can be worked out. */
  lines: readonly LandedLine[];
  /** The sum of the lines; null when a rate is missing. */
  totalMinor: number | null;
  quantity: number;
  /** Pieces that must be bought: the quantity, or the smallest number sold. */
  ordered: number;
  /** Its line on the order; null where its supplier charges nothing on one. */
  order: OrderLine | null;
  /** Of the total, its share of what the supplier charges on the order. */
  chargeMinor: number;
  exchange: ExchangeRate | null;
  /** Date of the oldest rate used; null without one. */
  rateDate: string | null;
  /** For people: why there is no total. */
  problem: string | null;
  /** Rates that are not there, each pair once. */
  missing: readonly MissingRate[];
}

/** A rate that would have to be entered: from one currency to another, on or before a day. */
export interface MissingRate {
  from: string;
  to: string;
  on: string;
}

/** Where it lands: the currency it is told in, and by what rules duty and tax are worked out. */
export interface Landing {
  currency: string;
  customsBasis: CustomsBasis;
  carriageTaxed: boolean;
}

/** What {@link Landing} takes of a restoration's row. */
export const LANDING = { currency: true, customsBasis: true, carriageTaxed: true } as const;

/**
 * The landed cost of a quantity of a quote at the rates of a day.
 * @param cores old parts that there are to give in exchange: as many as the machine needs; default, as many as are wanted
 * @param together what else is on the order, for the share of what the supplier charges on it; default, nothing
 */
export function landedOf(
  quote: LandedQuote,
  quantity: number,
  { currency, customsBasis, carriageTaxed }: Landing,
  rates: Rates,
  { cores = quantity, together = ALONE }: { cores?: number | undefined; together?: Together } = {},
): Landed {
  const ordered = Math.max(quantity, quote.minimumQuantity);
  const problems: string[] = [];
  const lines: LandedLine[] = [];
  const dates: string[] = [];
  const missing = new Map<string, MissingRate>();
  const lacks = (from: string): void => {
    problems.push(rates.missing(from, currency));
    missing.set(from, { from, to: currency, on: rates.day });
  };
  const into = currencyOf(currency);
  let exchange: ExchangeRate | null = null;
  let order: OrderLine | null = null;
  let chargeMinor = 0;
  try {
    const rate = rates.between(quote.currency, currency);
    if (rate === undefined) lacks(quote.currency);
    else {
      const core =
        quote.coreChargeMinor > 0
          ? {
              core: {
                chargeMinor: quote.coreChargeMinor,
                returned: quote.coreReturned ? Math.min(quantity, cores) : 0,
              },
            }
          : {};
      const cost = landedCost({
        ...quote,
        ...core,
        quantity,
        currency: currencyOf(quote.currency),
        into,
        rate,
        customsBasis,
        carriageTaxed,
      });
      exchange = cost.exchange;
      if (exchange !== null) dates.push(exchange.on);
      for (const { kind, words, amountMinor, basisMinor } of cost.lines)
        lines.push({ kind, words, amountMinor, basisMinor, rate: basisMinor === null ? null : rateOf(kind, quote) });
    }
    for (const { title, priceMinor, currency: from } of quote.knockOns) {
      if (priceMinor === 0) continue;
      const way = rates.between(from, currency);
      if (way === undefined) {
        lacks(from);
        continue;
      }
      const { minor } = convert({ minor: priceMinor, currency: from }, currencyOf(from), into, way);
      if (way.entered !== null) dates.push(way.entered.on);
      lines.push({ kind: "KNOCK_ON", words: title, amountMinor: minor, basisMinor: null, rate: null });
    }
    const { supplier } = quote;
    const terms = orderTerms(supplier, currency, rates);
    if (terms === undefined) lacks(supplier.currency);
    else if (terms !== null && problems.length === 0) {
      const grams = quote.weightGrams === null ? null : quote.weightGrams * ordered;
      order = { goods: lines.find(({ kind }) => kind === "PRICE")!.amountMinor, grams, carried: isCarried(quote) };
      const all = [...together.before, order, ...together.after];
      const { carriage, shortfall } = sharedCharge(terms, all, supplier.shareBy)[together.before.length]!;
      chargeMinor = carriage + shortfall;
      const known = rates.between(supplier.currency, currency)?.entered;
      if (known) dates.push(known.on);
      for (const [kind, amountMinor, words, sharing] of [
        ["ORDER_CARRIAGE", carriage, "The supplier's carriage", all.filter(({ carried }) => carried)],
        ["ORDER_MINIMUM", shortfall, "What the order falls short of the supplier's minimum", all],
      ] as const)
        if (amountMinor > 0)
          lines.push({
            kind,
            words: `${words}${ofSeveral(sharing, supplier.shareBy)}`,
            amountMinor,
            basisMinor: null,
            rate: null,
          });
    }
  } catch (error) {
    if (!(error instanceof MoneyFault)) throw error;
    problems.push(error.message);
  }
  const total = lines.reduce((sum, { amountMinor }) => sum + amountMinor, 0);
  const largest = Math.max(total, ...lines.flatMap((line) => [Math.abs(line.amountMinor), line.basisMinor ?? 0]));
  const fits = largest <= MOST_LANDED;
  if (!fits) problems.push("The amounts are too large to be shown");
  return {
    currency,
    lines: fits ? lines : [],
    totalMinor: problems.length === 0 ? total : null,
    quantity,
    ordered,
    order: problems.length === 0 ? order : null,
    chargeMinor: problems.length === 0 ? chargeMinor : 0,
    exchange,
    rateDate: dates.sort()[0] ?? null,
    problem:
      problems.length === 0 ? null : `${[...new Set(problems)].map((words) => words.replace(/\.$/, "")).join("; ")}.`,
    missing: [...missing.values()],
  };
}

/** The most that one quote may land for, in minor units: thousands of them still add up to the last minor unit. */
const MOST_LANDED = 1000 * MOST_MINOR;

/** What a supplier charges on one order, in a currency; null: nothing; undefined: no rate is known. */
export function orderTerms(
  { currency: from, carriageMinor, minimumMinor }: OrderTermsRow,
  currency: string,
  rates: Rates,
): OrderTerms | null | undefined {
  if (carriageMinor === 0 && minimumMinor === 0) return null;
  const [carriage, minimum] = [carriageMinor, minimumMinor].map((minor) => inCurrency(minor, from, currency, rates));
  return carriage == null || minimum == null ? undefined : { carriage, minimum };
}

/** The supplier's carriage of an order is for it too: it states none of its own, and its rule leaves carriage to the buyer. */
const isCarried = ({ carriageMinor, incoterm }: LandedQuote): boolean =>
  carriageMinor === 0 && INCOTERMS_2020[incoterm].carriage === "BUYER";

/** Of several that share it, by what it is shared where that is not their value, or was not to be. */
function ofSeveral(lines: readonly OrderLine[], by: ShareBy): string {
  if (lines.length === 1) return "";
  const how =
    by === "VALUE"
      ? ""
      : sharesBy(by, lines) === "WEIGHT"
        ? " by weight"
        : " by value, as not every part on it has its weight noted";
  return `, its share of an order of ${lines.length} parts${how}`;
}

function rateOf(kind: CostLineKind, { dutyRate, taxRate }: LandedQuote): number | null {
  return kind === "DUTY" ? dutyRate : kind === "TAX" ? taxRate : null;
}
