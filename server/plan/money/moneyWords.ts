/** Amounts in sentences. */
import { currencyDecimals } from "../../store/rules.ts";

/** An amount of minor units as people write it: £1,250.00. */
export function moneyInWords(minor: number, currency: string): string {
  const decimals = currencyDecimals(currency) ?? 2;
  return new Intl.NumberFormat("en-GB", {
    style: "currency",
    currency,
    minimumFractionDigits: decimals,
    maximumFractionDigits: decimals,
  }).format(minor / 10 ** decimals);
}
