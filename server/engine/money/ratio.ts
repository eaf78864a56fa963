/** Exact fractions of whole numbers: what money and rates are worked out in, so that nothing is rounded before the end. */

/** top / bottom with bottom > 0; not reduced. */
export interface Ratio {
  readonly top: bigint;
  readonly bottom: bigint;
}

/** Longer texts are no figure that a person wrote down. */
const LONGEST = 60;
const MOST_EXPONENT = 400;

export const ZERO: Ratio = { top: 0n, bottom: 1n };
export const ONE: Ratio = { top: 1n, bottom: 1n };

/**
 * The exact value of a decimal text ("0.025"), or of the shortest decimal text that reads back as a number
 * (0.025 is 25 thousandths, as it was typed). Undefined for anything else: an empty text, a comma, not a finite number.
 */
export function ratioOf(value: string | number): Ratio | undefined {
  const text = String(value);
  const m = text.length <= LONGEST ? /^([+-]?)(\d+|(?=\.\d))(?:\.(\d+))?(?:e([+-]?\d+))?$/i.exec(text) : null;
  if (!m) return undefined;
  const [, sign, whole = "", fraction = "", exponent = "0"] = m;
  const places = Number(exponent) - fraction.length;
  if (Math.abs(places) > MOST_EXPONENT) return undefined;
  const digits = BigInt(whole + fraction) * (sign === "-" ? -1n : 1n);
  return places >= 0
    ? { top: digits * 10n ** BigInt(places), bottom: 1n }
    : { top: digits, bottom: 10n ** BigInt(-places) };
}

/** A whole number as a fraction. */
export function whole(n: number): Ratio {
  return { top: BigInt(n), bottom: 1n };
}

export function plus(a: Ratio, b: Ratio): Ratio {
  if (a.bottom === b.bottom) return { top: a.top + b.top, bottom: a.bottom };
  return { top: a.top * b.bottom + b.top * a.bottom, bottom: a.bottom * b.bottom };
}

export function minus(a: Ratio, b: Ratio): Ratio {
  return plus(a, { top: -b.top, bottom: b.bottom });
}

export function times(a: Ratio, b: Ratio): Ratio {
  return { top: a.top * b.top, bottom: a.bottom * b.bottom };
}

/** 1 / a. @throws RangeError for zero */
export function inverse(a: Ratio): Ratio {
  if (a.top === 0n) throw new RangeError("Zero has no inverse.");
  return a.top > 0n ? { top: a.bottom, bottom: a.top } : { top: -a.bottom, bottom: -a.top };
}

/** Negative, zero or positive as a is less than, equal to or more than b. */
export function compare(a: Ratio, b: Ratio): number {
  const difference = a.top * b.bottom - b.top * a.bottom;
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
}

/** 10 to a whole power, which may be negative. */
export function tenTo(power: number): Ratio {
  return power >= 0 ? { top: 10n ** BigInt(power), bottom: 1n } : { top: 1n, bottom: 10n ** BigInt(-power) };
}

/** The nearest whole number; exactly half way goes to the even neighbour (IEEE 754 roundTiesToEven). */
export function halfToEven({ top, bottom }: Ratio): bigint {
  // BigInt division cuts towards zero, so the sign is kept apart.
  const negative = top < 0n;
  const size = negative ? -top : top;
  const down = size / bottom;
  const twice = (size % bottom) * 2n;
  const up = twice > bottom || (twice === bottom && down % 2n === 1n);
  const rounded = up ? down + 1n : down;
  return negative ? -rounded : rounded;
}

/** A fraction as a decimal text of at most so many places, half to even, without surplus zeros. */
export function decimalText(value: Ratio, places: number): string {
  const scaled = halfToEven(times(value, tenTo(places)));
  const digits = String(scaled < 0n ? -scaled : scaled).padStart(places + 1, "0");
  const cut = digits.length - places;
  const fraction = digits.slice(cut).replace(/0+$/, "");
  return `${scaled < 0n ? "-" : ""}${digits.slice(0, cut)}${fraction === "" ? "" : `.${fraction}`}`;
}
