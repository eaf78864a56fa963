/** Decimal numbers as text: what files hold. Conversions move the point in the text, so that no digit is ever rounded. */

/** Digits with an optional sign and an optional fraction after a point; no exponent, no grouping, no unit. */
export function isDecimal(text: string): boolean {
  return /^[+-]?(\d+(\.\d+)?|\.\d+)$/.test(text);
}

/** Moves the decimal point of a decimal text to the right (negative places: to the left), without surplus zeros. */
export function shifted(text: string, places: number): string {
  const negative = text.startsWith("-");
  const [whole = "", fraction = ""] = text.replace(/^[+-]/, "").split(".");
  const digits = whole + fraction;
  const point = whole.length + places;
  const padded = point < 0 ? "0".repeat(-point) + digits : digits.padEnd(point, "0");
  const left = padded.slice(0, Math.max(point, 0)).replace(/^0+(?=\d)/, "") || "0";
  const right = padded.slice(Math.max(point, 0)).replace(/0+$/, "");
  const result = right === "" ? left : `${left}.${right}`;
  return negative && result !== "0" ? `-${result}` : result;
}

/** A number in plain digits, never with an exponent: the shortest text that reads back as the same number. */
export function plain(value: number): string {
  const [mantissa = "0", exponent] = String(value).split("e");
  return exponent === undefined ? shifted(mantissa, 0) : shifted(mantissa, Number(exponent));
}

/** Minor units of an amount in major units; undefined when it has more decimals than the currency. */
export function minorUnits(text: string, decimals: number): number | undefined {
  const moved = shifted(text, decimals);
  return moved.includes(".") ? undefined : Number(moved);
}

/** An amount in major units with all decimals of its currency: 1250 pence are "12.50". */
export function majorUnits(minor: number, decimals: number): string {
  const digits = String(Math.abs(minor)).padStart(decimals + 1, "0");
  const cut = digits.length - decimals;
  return `${minor < 0 ? "-" : ""}${digits.slice(0, cut)}${decimals > 0 ? `.${digits.slice(cut)}` : ""}`;
}
