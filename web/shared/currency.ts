/** Currencies of ISO 4217 in fields: their decimals, their choices, and the one that stands in a form. */
import { useFieldValue } from "./Form.tsx";

export interface Currency {
  code: string;
  name: string;
  decimals: number;
  used?: boolean;
}

interface Known {
  currencies: readonly Currency[];
}

/** Decimals of a currency; 2 where it is not in the list. */
export const decimalsOf = ({ currencies }: Known, currency: string): number =>
  currencies.find(({ code }) => code === currency)?.decimals ?? 2;

/** Those that parts are mostly bought in. */
const COMMON = [
  "GBP",
  "EUR",
  "USD",
  "CHF",
  "AUD",
  "CAD",
  "NZD",
  "JPY",
  "SEK",
  "NOK",
  "DKK",
  "PLN",
  "CZK",
  "ZAR",
  "INR",
];

/** Every currency, as choices of a field: the usual one first, then those in use, then the common ones, then the others by their code. */
export function currencyChoices({ currencies, currency }: Known & { currency?: string }) {
  const used = currencies.flatMap(({ code, used }) => (used ? code : [])).sort();
  const first = [...(currency === undefined ? [] : [currency]), ...used, ...COMMON];
  const place = (code: string) => (first.includes(code) ? first.indexOf(code) : first.length);
  return currencies
    .toSorted((a, b) => place(a.code) - place(b.code) || a.code.localeCompare(b.code))
    .map(({ code, name }) => ({ value: code, label: `${code}, ${name}` }));
}

/** The currency that stands in the form, else the usual one of a restoration or a club. Only within a Form. */
export function useFormCurrency(of: Known & { currency: string }): { currency: string; decimals: number } {
  const currency = String(useFieldValue("currency") ?? of.currency);
  return { currency, decimals: decimalsOf(of, currency) };
}
