/**
 * Landed cost: what a quantity of a quote costs by the time it lies on the bench, line by line, in the restoration's
 * currency. Every line is exact until it is rounded once, half to even; the total is the sum of the rounded lines.
 */
import { INCOTERMS_2020, type Incoterm, type Party } from "./incoterms.ts";
import {
  atLeast,
  type Currency,
  type ExchangeRate,
  exactlyInto,
  exactMinor,
  exactRate,
  formatAmount,
  MoneyFault,
  type RateOnDay,
  roundedMinor,
} from "./money.ts";
import { decimalText, minus, plus, type Ratio, times, whole, ZERO } from "./ratio.ts";

/** What duty is on: the goods as they cross the border with carriage and insurance (CIF), or as loaded abroad (FOB). */
export type CustomsBasis = "CIF" | "FOB";

export interface PriceStep {
  /** From this many pieces on. */
  quantity: number;
  unitPriceMinor: number;
}

/** The old part that goes back in exchange. Its charge is a deposit: no duty and no tax are on it. */
export interface CoreExchange {
  /** Charged on each piece, minor units of the quote's currency. */
  chargeMinor: number;
  /** How many old parts go back; what exceeds the pieces bought earns nothing. */
  returned: number;
  /** Carriage of the old parts back, minor units of the restoration's currency; default 0. */
  carriageMinor?: number;
}

export interface LandedCostInput {
  /** Pieces wanted, a whole number of 1 or more. */
  quantity: number;
  /** Amounts of the quote are minor units of this currency. */
  currency: Currency;
  unitPriceMinor: number;
  minimumQuantity: number;
  priceBreaks: readonly PriceStep[];
  /** Carriage of the whole consignment, as stated on the quote. */
  carriageMinor: number;
  insuranceMinor: number;
  /** Fraction of the customs value, a decimal: 0.025 is 2.5 %. */
  dutyRate: string | number;
  /** Fraction of goods, duty and, where carriage is taxed, carriage and insurance. */
  taxRate: string | number;
  incoterm: Incoterm;
  /** The restoration's currency, and its rate from the quote's on a day. */
  into: Currency;
  rate: RateOnDay;
  /** Default CIF; countries differ. */
  customsBasis?: CustomsBasis;
  /** Tax is worked out on carriage and insurance too, to the border and onward; false: on goods and duty alone. Default true; countries differ. */
  carriageTaxed?: boolean;
  /** Carriage inside the country after the border, minor units of the restoration's currency; default 0. */
  onwardMinor?: number;
  core?: CoreExchange;
}

export type CostLineKind =
  | "PRICE"
  | "CARRIAGE"
  | "INSURANCE"
  | "DUTY"
  | "ONWARD"
  | "TAX"
  | "CORE_CHARGE"
  | "CORE_RETURN"
  | "CORE_CARRIAGE";

export interface CostLine {
  kind: CostLineKind;
  /** For people: what the line is and how it comes about. */
  words: string;
  /** Who pays it under the Incoterms rule; a line of the seller's is zero here. */
  paidBy: Party;
  /** Minor units of the restoration's currency; only the return of a core is negative. */
  amountMinor: number;
  /** What a rate was applied to, in minor units of the restoration's currency, rounded for showing; null without a rate. */
  basisMinor: number | null;
}

export interface LandedCost {
  /** ISO 4217, the restoration's. */
  currency: string;
  lines: readonly CostLine[];
  /** The sum of the lines. */
  totalMinor: number;
  /** Pieces that must be bought: the quantity, or the smallest number sold. */
  ordered: number;
  unitPriceMinor: number;
  /** The dated rate that was used, as it was entered; null when quote and restoration share a currency. */
  exchange: ExchangeRate | null;
}

/** Unit price at a quantity: that of the highest price break reached, or the price without one. */
export function unitPriceAt(unitPriceMinor: number, breaks: readonly PriceStep[], quantity: number): number {
  let reached = 0;
  let price = unitPriceMinor;
  for (const step of breaks) {
    if (step.quantity <= quantity && step.quantity > reached) {
      reached = step.quantity;
      price = step.unitPriceMinor;
    }
  }
  return price;
}

/** Landed cost of a quantity. @throws MoneyFault naming the field that cannot be used */
export function landedCost(input: LandedCostInput): LandedCost {
  const { currency, into, incoterm, core } = input;
  const rule = INCOTERMS_2020[incoterm];
  const wanted = pieces(input.quantity, "quantity", 1);
  const ordered = Math.max(wanted, pieces(input.minimumQuantity, "minimum quantity", 1));
  const unitPriceMinor = unitPriceAt(input.unitPriceMinor, input.priceBreaks, ordered);
  const abroad = (minor: number, field: string): Ratio =>
    exactlyInto(exactMinor(minor, field), input.rate.exact, currency.decimals, into.decimals);

  const price = times(abroad(unitPriceMinor, "unit price"), whole(ordered));
  const stated = {
    carriage: abroad(input.carriageMinor, "carriage"),
    insurance: abroad(input.insuranceMinor, "insurance"),
  };
  const carriage = rule.carriage === "BUYER" ? stated.carriage : ZERO;
  const insurance = rule.insurance === "BUYER" ? stated.insurance : ZERO;
  const onward = rule.onward === "BUYER" ? exactMinor(input.onwardMinor ?? 0, "onward carriage") : ZERO;

  const atTheBorder = plus(price, plus(carriage, insurance));
  const asLoaded = (): Ratio => {
    // What the seller pays for the way is within his price, and comes off it where he states it.
    let value = price;
    if (rule.carriage === "SELLER") value = minus(value, stated.carriage);
    if (rule.insurance === "SELLER") value = minus(value, stated.insurance);
    return atLeast(value, ZERO);
  };
  const dutyRate = exactRate(input.dutyRate, "duty rate");
  const taxRate = exactRate(input.taxRate, "tax rate");
  const dutiable = input.customsBasis ?? "CIF";
  const wayTaxed = input.carriageTaxed ?? true;
  const value = dutiable === "CIF" ? atTheBorder : asLoaded();
  const duty = rule.importDuty === "BUYER" ? times(value, dutyRate) : ZERO;
  const taxed = plus(wayTaxed ? plus(atTheBorder, onward) : asLoaded(), duty);
  const tax = rule.importDuty === "BUYER" ? times(taxed, taxRate) : ZERO;

  const lines: CostLine[] = [];
  const line = (kind: CostLineKind, paidBy: Party, exact: Ratio, words: string, basis?: Ratio): void => {
    lines.push({
      kind,
      words: paidBy === "SELLER" ? `${words}: the seller pays it (${incoterm}, ${rule.name})` : words,
      paidBy,
      amountMinor: roundedMinor(exact, words) + 0,
      basisMinor: basis === undefined || paidBy === "SELLER" ? null : roundedMinor(basis, words),
    });
  };
  const percent = (rate: Ratio): string => `${decimalText(times(rate, whole(100)), 6)} %`;
  const withRate = (words: string, payer: Party, rate: Ratio, on: string): string =>
    payer === "SELLER" ? words : `${words}, ${percent(rate)} of ${on}`;

  const unitPrice = `${formatAmount(unitPriceMinor, currency.decimals)} ${currency.code}`;
  const smallest = ordered > wanted ? ` (the smallest number sold; ${wanted} wanted)` : "";
  line("PRICE", "BUYER", price, `${ordered}${smallest} at ${unitPrice} each`);
  line("CARRIAGE", rule.carriage, carriage, "Carriage");
  line("INSURANCE", rule.insurance, insurance, "Insurance on the way");
  line("DUTY", rule.importDuty, duty, withRate("Duty", rule.importDuty, dutyRate, "the customs value"), value);
  if ((input.onwardMinor ?? 0) > 0) line("ONWARD", rule.onward, onward, "Carriage from the border to the shop");
  const taxedWords = taxedInWords(dutiable, wayTaxed, onward.top > 0n);
  line("TAX", rule.importDuty, tax, withRate("Tax", rule.importDuty, taxRate, taxedWords), taxed);
  if (core !== undefined) {
    const each = abroad(core.chargeMinor, "core charge");
    const back = Math.min(pieces(core.returned, "cores returned", 0), ordered);
    line("CORE_CHARGE", "BUYER", times(each, whole(ordered)), `Charge on the old part, for ${ordered}`);
    if (back > 0) {
      line("CORE_RETURN", "BUYER", times(each, whole(-back)), `Charge paid back: ${back} of ${ordered} sent in`);
      const way = exactMinor(core.carriageMinor ?? 0, "carriage of the old parts");
      if (way.top > 0n) line("CORE_CARRIAGE", "BUYER", way, "Carriage of the old parts back");
    }
  }
  const totalMinor = lines.reduce((total, { amountMinor }) => total + amountMinor, 0);
  if (!Number.isSafeInteger(totalMinor))
    throw new MoneyFault("OUT_OF_RANGE", "The total is too large to be kept.", "total");
  return { currency: into.code, lines, totalMinor, ordered, unitPriceMinor, exchange: input.rate.entered };
}

/** What tax is worked out on; the customs value has the carriage in it by CIF and not by FOB. */
function taxedInWords(basis: CustomsBasis, wayTaxed: boolean, onward: boolean): string {
  if (!wayTaxed) return basis === "CIF" ? "the goods without their carriage, and duty" : "customs value and duty";
  const parts = ["customs value", "duty"];
  if (basis === "FOB") parts.push("carriage");
  if (onward) parts.push("onward carriage");
  return `${parts.slice(0, -1).join(", ")} and ${parts.at(-1)}`;
}

function pieces(n: number, field: string, least: number): number {
  if (!Number.isSafeInteger(n))
    throw new MoneyFault("NOT_A_NUMBER", `The ${field} must be a whole number (it is ${n}).`, field);
  if (n < least) throw new MoneyFault("OUT_OF_RANGE", `The ${field} must be at least ${least} (it is ${n}).`, field);
  return n;
}
