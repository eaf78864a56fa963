/** How numbers and amounts are read that somebody types: the one rule of every field. */
import { MOST_MINOR, majorText, minorOfText } from "./format.ts";

type Read = { value: number } | { fault: string };

/** Marks that part thousands and stand before no decimals. */
const APART = /[ '’\u00a0\u2009\u202f]/g;

/**
 * What was typed as digits with a point before the decimals; null where it is no number. A comma with one or two digits
 * after it stands before decimals; marks between groups of three go. One mark before three digits may be either: where
 * no more than two decimals are taken it is `doubt`, and where more are a comma is, as a point is how this program writes.
 * @param decimals how many the field takes
 */
function digitsOf(text: string, decimals: number): string | { doubt: [thousands: string, decimals: string] } | null {
  const trimmed = text.trim().replace(/^[−-]\s*/, "-");
  const bare = /^-?\d{1,3}([ '’\u00a0\u2009\u202f])\d{3}(\1\d{3})*([.,]\d*)?$/.test(trimmed)
    ? trimmed.replace(APART, "")
    : trimmed;
  if (/^-?\d{1,3}(,\d{3})+\.\d*$/.test(bare) || /^-?\d{1,3}(,\d{3}){2,}$/.test(bare)) return bare.replaceAll(",", "");
  if (/^-?\d{1,3}(\.\d{3})+,\d*$/.test(bare) || /^-?\d{1,3}(\.\d{3}){2,}$/.test(bare))
    return bare.replaceAll(".", "").replace(",", ".");
  const point = bare.replace(",", ".");
  // Where thousands are parted already, by a space say, the mark that is left stands before decimals.
  if (bare === trimmed && /^-?[1-9]\d{0,2}[.,]\d{3}$/.test(bare)) {
    const thousands = point.replace(".", "");
    if (decimals === 0) return thousands;
    if (decimals < 3 || bare !== point) return { doubt: [thousands, point] };
  }
  return /^-?(\d+\.?\d*|\.\d+)$/.test(point) ? point : null;
}

/** A number of a field. Blank is no number. */
export function numberTyped(text: string, whole = false): Read {
  const digits = digitsOf(text, whole ? 0 : Number.POSITIVE_INFINITY);
  if (digits === null) return { fault: whole ? "Must be a whole number." : "Must be a number, such as 12.5 or 12,5." };
  if (typeof digits !== "string")
    return { fault: `“${text.trim()}” may be ${digits.doubt.join(" or ")}: write one of them.` };
  const value = Number(digits);
  return whole && !Number.isInteger(value) ? { fault: "Must be a whole number." } : { value };
}

/** An amount typed in the major unit, in minor units, by arithmetic on the text so that no cent is lost. */
export function amountTyped(text: string, currency: string, decimals: number): Read {
  const digits = digitsOf(text, decimals);
  if (digits !== null && typeof digits !== "string") {
    const [thousands, others] = digits.doubt;
    const amount = `${thousands}.${"0".repeat(decimals)}`;
    return {
      fault: `“${text.trim()}” may be ${thousands} or ${others}: write ${amount}, or ${decimals < 3 ? `with at most ${decimals} decimals` : others}.`,
    };
  }
  const value = digits === null ? null : minorOfText(digits, decimals);
  if (value !== null && value > MOST_MINOR)
    return { fault: `Must be at most ${majorText(MOST_MINOR, decimals)} ${currency}.` };
  if (value !== null) return { value };
  return {
    fault:
      decimals === 0
        ? `Must be an amount in whole ${currency}.`
        : `Must be an amount in ${currency} with at most ${decimals} decimals, such as ${majorText(124050, decimals)}.`,
  };
}
