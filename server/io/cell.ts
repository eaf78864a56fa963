/** One cell: from the text of a file to a value, and back. The table in columns.ts says how each column is meant. */
import type { FaultCode } from "../store/fault.ts";
import { currencyDecimals, MOST_MINOR, RATE } from "../store/rules.ts";
import { asText, textsOf } from "../store/texts.ts";
import type { Cell, Column } from "./columns.ts";
import { isDecimal, majorUnits, minorUnits, plain, shifted } from "./decimal.ts";

/** What is wrong with a cell: a stable code, and the rest of a sentence that begins with the column's name. */
export interface CellFault {
  code: FaultCode;
  complaint: string;
}

export type CellRead = { value: Cell } | { fault: CellFault };

const wrong = (code: FaultCode, complaint: string): CellRead => ({ fault: { code, complaint } });

const inWords = (choice: string): string => choice.toLowerCase().replaceAll("_", " ");

/**
 * Reads one cell that is not blank. Money stays decimal text, with the sign that it has, until its currency is known ({@link amountOf});
 * what range and order the values must keep is for the rules of the store.
 */
export function readCell(column: Column, text: string): CellRead {
  const { kind } = column;
  const bare = text.trim();
  switch (kind.is) {
    case "text":
      return { value: text };
    case "texts":
      return { value: asText(splitTexts(text)) };
    case "row":
    case "date":
      return { value: bare };
    case "capitals":
      return { value: bare.toUpperCase() };
    case "number":
    case "whole":
      return isDecimal(bare) ? { value: Number(bare) } : notANumber(bare);
    case "decimal":
      return isDecimal(bare) ? { value: bare } : wrong("NOT_A_NUMBER", RATE);
    case "percent":
      return isDecimal(bare) ? { value: Number(shifted(bare, -2)) } : notANumber(bare);
    case "money": {
      const signed = signApart(bare);
      const amount = signed?.amount ?? bare;
      if (!isDecimal(amount)) return notANumber(amount);
      return { value: signed === null ? amount : `${signed.sign} ${amount}` };
    }
    case "choice": {
      const asked = bare.toLowerCase().replace(/[\s_-]+/g, " ");
      const found = kind.of.find((one) => inWords(one) === asked);
      const allowed = kind.of.map((one) => (kind.capitals ? one : inWords(one))).join(", ");
      return found === undefined ? wrong("NOT_A_CHOICE", `must be one of ${allowed}`) : { value: found };
    }
    case "yesNo": {
      const asked = bare.toLowerCase();
      if (["yes", "y", "true", "1", "x"].includes(asked)) return { value: true };
      if (["no", "n", "false", "0"].includes(asked)) return { value: false };
      return wrong("NOT_A_CHOICE", "must be yes or no");
    }
  }
}

/** Texts with semicolons between them; one that holds such a sign, or begins with a quotation mark, stands in quotation marks. */
const splitTexts = (cell: string): string[] =>
  [...cell.matchAll(/\s*(?:"((?:[^"]|"")*)"\s*(?=;|$)|([^;]*))(?:;|$)/g)]
    .map(([, quoted, plain = ""]) => quoted?.replaceAll('""', '"') ?? plain.trim())
    .filter((one) => one !== "");

const inCell = (one: string): string =>
  one.trim() !== one || one.includes(";") || one.startsWith('"') ? `"${one.replaceAll('"', '""')}"` : one;

/** Signs that stand for one currency alone. */
const SIGN: Readonly<Record<string, string>> = {
  "£": "GBP",
  "€": "EUR",
  "₹": "INR",
  zł: "PLN",
  Kč: "CZK",
  "₽": "RUB",
  US$: "USD",
  CA$: "CAD",
  C$: "CAD",
  A$: "AUD",
  NZ$: "NZD",
};
const SIGNED =
  /^(?<minus>[-−])?\s*(?:(?<before>[A-Z]{0,3}\p{Sc}|zł|Kč|kr|[A-Z]{3})\s*(?<rest>[-−]?[\d.,'’\s]*\d)|(?<amount>[\d.,'’\s]*\d)\s*(?<after>[A-Z]{0,3}\p{Sc}|zł|Kč|kr|[A-Z]{3}))$/u;

/** An amount and the sign or code of the currency beside it; null where none is there. */
export function signApart(text: string): { sign: string; amount: string } | null {
  // What is longer is no amount.
  const groups = text.length > 80 ? undefined : SIGNED.exec(text.trim())?.groups;
  if (groups === undefined) return null;
  const amount = (groups["minus"] ?? "") + (groups["rest"] ?? groups["amount"]!);
  return { sign: groups["before"] ?? groups["after"]!, amount: amount.replace(/^−/, "-") };
}

/** The one currency for which a sign or code stands; undefined where it may be several, as $ may. */
export const currencyOfSign = (sign: string): string | undefined =>
  SIGN[sign] ?? (/^[A-Z]{3}$/.test(sign) ? sign : undefined);

/** By sign and currency, remembered. */
const fitting = new Map<string, boolean>();
/** Whether an amount in a currency may have a sign: $ is that of US, Canadian, Australian and other dollars. */
export function fitsSign(sign: string, currency: string): boolean {
  const one = currencyOfSign(sign);
  if (one !== undefined || decimalsOf(currency) === undefined) return one === currency;
  const asked = `${sign} ${currency}`;
  if (!fitting.has(asked)) {
    if (fitting.size > 1000) fitting.clear();
    const signs = (["symbol", "narrowSymbol"] as const).flatMap((currencyDisplay) =>
      new Intl.NumberFormat("en", { style: "currency", currency, currencyDisplay }).formatToParts(0),
    );
    fitting.set(
      asked,
      signs.some(({ type, value }) => type === "currency" && value === sign),
    );
  }
  return fitting.get(asked)!;
}

/** What is said of a number such as 1,234 or 1.234 where nothing says what its mark is. */
export function eitherWay(text: string): string {
  const [all, cut] = [text.replace(/[.,]/, ""), text.replace(",", ".")];
  return `may be ${all} or ${cut}, and nothing says which: write ${all} or ${cut}0`;
}

function notANumber(text: string): CellRead {
  if (/^[+-]?[1-9]\d{0,2},\d{3}$/.test(text)) return wrong("NOT_A_NUMBER", eitherWay(text));
  if (/^[+-]?\d{1,3}(,\d{3})+\.\d+$/.test(text))
    return wrong("NOT_A_NUMBER", `must be a number in digits only: write ${text.replaceAll(",", "")}`);
  const hint = /^[+-]?\d+,\d+$/.test(text) ? ", with a point for the decimals" : ", in digits only";
  return wrong("NOT_A_NUMBER", `must be a number${hint}`);
}

/** Decimals of a currency, remembered; undefined for an unknown code. */
const decimals = new Map<string, number | undefined>();
export function decimalsOf(currency: string): number | undefined {
  if (!decimals.has(currency)) {
    if (decimals.size > 1000) decimals.clear();
    decimals.set(currency, currencyDecimals(currency));
  }
  return decimals.get(currency);
}

/** Minor units of a decimal text, with a currency sign before it or not, in a known currency. */
export function amountOf(text: string, currency: string, places: number, signed = false): CellRead {
  const apart = signApart(text);
  if (apart !== null && !fitsSign(apart.sign, currency))
    return wrong("NOT_A_CHOICE", `has the sign of another currency (${apart.sign}): it must be in ${currency}`);
  const minor = minorUnits(apart?.amount ?? text, places);
  if (minor === undefined) return wrong("OUT_OF_RANGE", `must have at most ${places} decimals, as ${currency} has`);
  if (minor < 0 && !signed) return wrong("NEGATIVE", "must not be negative");
  if (Math.abs(minor) > MOST_MINOR)
    return wrong("OUT_OF_RANGE", `must be at most ${majorUnits(MOST_MINOR, places)} ${currency}`);
  return { value: minor };
}

/** Writes a value as its column has it; money in the given currency. */
export function writeCell(column: Column, value: Cell, currency: string): string {
  if (value === null) return "";
  const { kind } = column;
  switch (kind.is) {
    case "number":
    case "whole":
      return plain(Number(value));
    case "percent":
      return shifted(plain(Number(value)), 2);
    case "money":
      return majorUnits(Number(value), decimalsOf(currency) ?? 0);
    case "choice":
      return kind.capitals ? String(value) : inWords(String(value));
    case "yesNo":
      return value === true ? "yes" : "no";
    case "texts":
      return textsOf(String(value)).map(inCell).join("; ");
    default:
      return String(value);
  }
}
