/** What an option costs, wherever options are compared: what it is bought for, and the hours that it brings at their rate. */
import { wages } from "../../engine/money/exposure.ts";
import { roundedMinor } from "../../engine/money/money.ts";
import type { OperationRow } from "../rows/rows.ts";

type HandsNeeded = OperationRow["handsNeeded"];

/** What an hour is charged at, minor units of the restoration's currency; null when not said. */
export interface HourRates {
  money: { hourlyRateMinor: number | null };
  /** By trade, where it differs from the restoration's. */
  tradeRates: ReadonlyMap<string, number>;
}

/** The rates, and whether the workshop counts its own hours at them. */
export interface OwnHours extends HourRates {
  money: { hourlyRateMinor: number | null; countOwnHours: boolean };
}

/** Minor units of the restoration's currency. */
export interface OptionCost {
  /** Landed; of a remedy or a way its price. Null: it cannot be worked out. */
  landedMinor: number | null;
  /** Shop hours: of the operation or the way, or of preparing, curing and what comes with it. */
  hours: number;
  /** Charged for an hour, of all hands that it takes; null when not said. */
  rateMinor: number | null;
  /** The hours at the rate, rounded once as the owner's money rounds them; 0 without a rate. */
  labourMinor: number;
  /** What options are compared by: landed, with the hours where the workshop counts its own. Null: it cannot be worked out. */
  costMinor: number | null;
}

/** What an hour of a trade is charged at; of work that has no trade (null), such as preparing a part, by the restoration's rate. */
export const hourlyRateOf = ({ tradeRates, money }: HourRates, trade: string | null): number | null =>
  (trade === null ? undefined : tradeRates.get(trade)) ?? money.hourlyRateMinor;

/** What an hour of an operation is charged at: that of every hand that it takes; null when one is not said. */
export function hourlyRateOfHands(rates: HourRates, hands: HandsNeeded): number | null {
  const each = hands.map(({ trade, hands: count }) => {
    const rate = hourlyRateOf(rates, trade);
    return rate === null ? null : count * rate;
  });
  return each.includes(null) ? null : each.reduce<number>((sum, rate) => sum + rate!, 0);
}

/** The cost of an option. @param hands that work its hours; null: one of no trade */
export function costOfOption(
  rates: OwnHours,
  landedMinor: number | null,
  hours: number,
  hands: HandsNeeded | null,
): OptionCost {
  const rateMinor = hands === null ? hourlyRateOf(rates, null) : hourlyRateOfHands(rates, hands);
  const labourMinor = rateMinor === null ? 0 : roundedMinor(wages(hours, rateMinor));
  const costMinor = landedMinor === null ? null : landedMinor + (rates.money.countOwnHours ? labourMinor : 0);
  return { landedMinor, hours, rateMinor, labourMinor, costMinor };
}

/** By trade, what an hour is charged at, of those that have a rate of their own. */
export const tradeRatesOf = (rates: readonly { trade: string; rateMinor: number | null }[]): Map<string, number> =>
  new Map(rates.flatMap(({ trade, rateMinor }) => (rateMinor === null ? [] : [[trade, rateMinor]])));

/** Rates as a restoration's row has them, of work that has no trade. */
export const ratesOf = (money: OwnHours["money"]): OwnHours => ({ money, tradeRates: NO_TRADES });

const NO_TRADES: ReadonlyMap<string, number> = new Map();
