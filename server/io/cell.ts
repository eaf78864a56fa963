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
 * Reads one cell that is not blank. Money stays decimal text until its currency is known ({@link amountOf});
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
    case "money":
      return isDecimal(bare) ? { value: bare } : notANumber(bare);
    case "choice": {
      const asked = bare.toLowerCase().replace(/[\s_-]+/g, " ");
      const found = kind.of.find((one) => inWords(one) === asked);
      const allowed = kind.of.map((one) => (kind.capitals ? one : inWords(one))).join(", ");
      return found === undefined ? wrong("NOT_A_CHOICE", `must be one of ${allowed}`) : { value: found };
    }
    case "yesNo": {
      const asked = bare.toLowerCase();
      if (["yes", "y", "true"].includes(asked)) return { value: true };
      if (["no", "n", "false"].includes(asked)) return { value: false };
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

function notANumber(text: string): CellRead {
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

/** Minor units of a decimal text in a known currency. */
export function amountOf(text: string, currency: string, places: number, signed = false): CellRead {
  const minor = minorUnits(text, places);
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
