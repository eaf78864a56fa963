/** Decimal text is moved, never multiplied: what is written is what is meant. */
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { isDecimal, majorUnits, minorUnits, plain, shifted } from "../../server/io/decimal.ts";

describe("decimal text", () => {
  it.each(["1", "1.5", ".5", "-2.25", "+3", "007"])("%s is a number", (text) => expect(isDecimal(text)).toBe(true));
  it.each(["", "1,5", "12 h", "1e3", "0x1f", "1.2.3", "--1", "1.", "Infinity", "NaN", "١", "1_000"])(
    "%j is none",
    (text) => expect(isDecimal(text)).toBe(false),
  );

  it.each([
    ["1.15", 2, "115"],
    ["0.07", 2, "7"],
    ["2.5", -2, "0.025"],
    ["-12", -3, "-0.012"],
    ["0.0", 2, "0"],
    ["1005", -2, "10.05"],
  ])("%s moved by %i places is %s", (text, places, moved) => expect(shifted(text, places)).toBe(moved));

  it("is the same after moving there and back", () => {
    fc.assert(
      fc.property(
        fc.double({ noNaN: true, noDefaultInfinity: true }),
        fc.integer({ min: -6, max: 6 }),
        (number, places) => {
          expect(Number(shifted(shifted(plain(number), places), -places))).toBe(number + 0);
        },
      ),
    );
  });

  it("writes numbers without an exponent, and they read back the same", () => {
    fc.assert(
      fc.property(fc.double({ noNaN: true, noDefaultInfinity: true }), (number) => {
        expect(isDecimal(plain(number))).toBe(true);
        expect(Number(plain(number))).toBe(number + 0);
      }),
    );
  });
});

describe("money", () => {
  it("of 1.15 pounds is 115 pence, which multiplying by 100 is not", () => {
    expect(minorUnits("1.15", 2)).toBe(115);
    expect(1.15 * 100).not.toBe(115);
  });

  it("with more decimals than the currency has is not rounded but refused", () => {
    expect(minorUnits("1.005", 2)).toBeUndefined();
    expect(minorUnits("1.5", 0)).toBeUndefined();
    expect(minorUnits("1.500", 2)).toBe(150);
    expect(minorUnits("1.005", 3)).toBe(1005);
  });

  it("comes back to the minor unit, whatever the currency's decimals (ISO 4217: 0, 2, 3 or 4)", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 2 ** 31 - 1 }), fc.constantFrom(0, 2, 3, 4), (minor, decimals) => {
        expect(minorUnits(majorUnits(minor, decimals), decimals)).toBe(minor);
      }),
    );
  });
});
