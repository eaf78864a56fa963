import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  allocate,
  convert,
  formatAmount,
  MoneyFault,
  parseAmount,
  rateOn,
  roundedMinor,
  share,
  sum,
} from "../../server/engine/money/money.ts";
import { compare, decimalText, halfToEven, ratioOf, times } from "../../server/engine/money/ratio.ts";

const POUND = { code: "GBP", decimals: 2 };
const YEN = { code: "JPY", decimals: 0 };
const DINAR = { code: "BHD", decimals: 3 };
const refusal = (act: () => unknown): string => {
  try {
    act();
  } catch (error) {
    if (error instanceof MoneyFault) return error.code;
    throw error;
  }
  return "none";
};

describe("an amount", () => {
  it("is read to the last coin of its currency", () => {
    expect(parseAmount("12.50", 2)).toBe(1250);
    expect(parseAmount("12.5", 2)).toBe(1250);
    expect(parseAmount(" 1943 ", 0)).toBe(1943);
    expect(parseAmount("0.005", 3)).toBe(5);
    expect(parseAmount("-3.10", 2)).toBe(-310);
    expect(parseAmount("12.500", 2)).toBe(1250);
  });
  it("is refused when its currency has no coin so small", () => {
    expect(refusal(() => parseAmount("12.505", 2))).toBe("TOO_MANY_DECIMALS");
    expect(refusal(() => parseAmount("0.5", 0))).toBe("TOO_MANY_DECIMALS");
  });
  it.each(["", "twelve", "12,50", "1 200", "£5", "1e3", "--2", ".", "NaN", "9".repeat(80)])(
    "is not guessed from '%s'",
    (text) => expect(refusal(() => parseAmount(text, 2))).toBe("NOT_A_NUMBER"),
  );
  it("past what can be kept exactly is refused, not bent", () =>
    expect(refusal(() => parseAmount("90071992547409.92", 2))).toBe("OUT_OF_RANGE"));
  it("is shown with all decimals of its currency, and reads back as itself", () => {
    expect(formatAmount(5, 2)).toBe("0.05");
    expect(formatAmount(-1250, 2)).toBe("-12.50");
    expect(formatAmount(1943, 0)).toBe("1943");
    fc.assert(
      fc.property(fc.maxSafeInteger(), fc.integer({ min: 0, max: 4 }), (minor, decimals) => {
        expect(parseAmount(formatAmount(minor, decimals), decimals)).toBe(minor);
      }),
    );
  });
  it("in one currency is not added to an amount in another", () => {
    const pounds = { minor: 100, currency: "GBP" };
    expect(sum([pounds, { minor: 250, currency: "GBP" }], "GBP")).toEqual({ minor: 350, currency: "GBP" });
    expect(refusal(() => sum([pounds, { minor: 100, currency: "EUR" }], "GBP"))).toBe("OTHER_CURRENCY");
  });
});

describe("rounding", () => {
  it("sends exactly half a penny to the even penny", () => {
    expect([share(5, "0.1"), share(15, "0.1"), share(25, "0.1"), share(35, "0.1")]).toEqual([0, 2, 2, 4]);
    expect([share(-5, "0.1"), share(-15, "0.1"), share(-25, "0.1")].map((n) => n + 0)).toEqual([0, -2, -2]);
  });
  it("is not misled by floating point: 1.5 % of 70.00 is 1.05, and 1.005 pounds' worth of pennies is even", () => {
    expect(share(7000, 0.015)).toBe(105);
    // In floating point 1.005 x 100 is 100.49999999999999, and 8.325 x 100 is 832.4999999999999.
    expect(share(100, 1.005)).toBe(100);
    expect(share(1000, "0.8325")).toBe(832);
    expect(share(1000, "0.8335")).toBe(834);
  });
  it("takes a rate in any plain decimal, and nothing else", () => {
    expect(share(1_000_000, 1e-6)).toBe(1);
    expect(refusal(() => share(100, "20 %"))).toBe("NOT_A_NUMBER");
    expect(refusal(() => share(100, Number.NaN))).toBe("NOT_A_NUMBER");
    expect(refusal(() => share(100, "1e999"))).toBe("NOT_A_NUMBER");
    expect(refusal(() => share(100, "-0.2"))).toBe("NEGATIVE");
  });
  it("moves nothing by more than half a unit, and never against the order", () => {
    const fraction = fc.record({
      top: fc.bigInt({ min: -(10n ** 12n), max: 10n ** 12n }),
      bottom: fc.bigInt({ min: 1n, max: 10n ** 9n }),
    });
    fc.assert(
      fc.property(fraction, fraction, (a, b) => {
        const off = 2n * (halfToEven(a) * a.bottom - a.top);
        expect((off < 0n ? -off : off) <= a.bottom).toBe(true);
        if ((off < 0n ? -off : off) === a.bottom) expect(halfToEven(a) % 2n).toBe(0n);
        if (compare(a, b) < 0) expect(halfToEven(a) <= halfToEven(b)).toBe(true);
      }),
    );
  });
  it("refuses a result too large to be kept", () =>
    expect(refusal(() => roundedMinor({ top: 10n ** 20n, bottom: 1n }))).toBe("OUT_OF_RANGE"));
});

describe("a decimal", () => {
  it("is the number as it was typed, whatever the machine makes of it", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 10 ** 9 }), fc.integer({ min: 0, max: 9 }), (digits, places) => {
        const text = decimalText({ top: BigInt(digits), bottom: 10n ** BigInt(places) }, places);
        expect(compare(ratioOf(text)!, ratioOf(Number(text))!)).toBe(0);
        expect(compare(times(ratioOf(text)!, { top: 10n ** BigInt(places), bottom: 1n }), ratioOf(digits)!)).toBe(0);
      }),
    );
  });
});

describe("an amount split over weights", () => {
  it("loses no penny: ten pounds between three", () => expect(allocate(1000, [1, 1, 1])).toEqual([334, 333, 333]));
  it("gives the odd pennies to the largest remainders", () => {
    expect(allocate(100, ["0.5", "0.25", "0.25"])).toEqual([50, 25, 25]);
    expect(allocate(101, ["0.5", "0.25", "0.25"])).toEqual([51, 25, 25]);
    expect(allocate(-1000, [1, 1, 1])).toEqual([-334, -333, -333]);
    expect(allocate(7, [0, 3, 0])).toEqual([0, 7, 0]);
  });
  it("is refused without a weight to go by", () => {
    expect(refusal(() => allocate(100, []))).toBe("OUT_OF_RANGE");
    expect(refusal(() => allocate(100, [0, 0]))).toBe("OUT_OF_RANGE");
    expect(refusal(() => allocate(100, [1, -1]))).toBe("NEGATIVE");
  });
  it("adds up to itself, each part within a minor unit of its due, for any amount and weights", () => {
    const weights = fc
      .array(fc.integer({ min: 0, max: 100_000 }), { minLength: 1, maxLength: 12 })
      .filter((w) => w.some((x) => x > 0));
    fc.assert(
      fc.property(fc.integer({ min: -(10 ** 9), max: 10 ** 9 }), weights, (minor, whole) => {
        const parts = allocate(
          minor,
          whole.map((w) => decimalText({ top: BigInt(w), bottom: 1000n }, 3)),
        );
        expect(parts.reduce((a, b) => a + b, 0)).toBe(minor + 0);
        const all = whole.reduce((a, b) => a + b, 0);
        parts.forEach((part, i) => {
          expect(Math.abs(part - (minor * whole[i]!) / all)).toBeLessThan(1 + 1e-6);
          if (whole[i] === 0) expect(part).toBe(0);
        });
      }),
    );
  });
});

describe("a dated rate", () => {
  const rates = [
    { from: "GBP", to: "JPY", rate: "195.5", on: "2026-10-01" },
    { from: "GBP", to: "JPY", rate: "200", on: "2026-11-20" },
    { from: "GBP", to: "JPY", rate: "210", on: "2026-12-01" },
    { from: "BHD", to: "GBP", rate: "2.08", on: "2026-11-01" },
  ];
  it("is the newest of the day asked for or before it", () => {
    expect(rateOn(rates, "GBP", "JPY", "2026-11-23")?.entered?.rate).toBe("200");
    expect(rateOn(rates, "GBP", "JPY", "2026-11-19")?.entered?.rate).toBe("195.5");
    expect(rateOn(rates, "GBP", "JPY", "2026-09-30")).toBeUndefined();
    expect(rateOn(rates, "GBP", "SEK", "2026-11-23")).toBeUndefined();
  });
  it("works the other way about, exactly", () => {
    const back = rateOn(rates, "JPY", "GBP", "2026-11-23")!;
    expect(back.entered?.from).toBe("GBP");
    expect(convert({ minor: 7220, currency: "JPY" }, YEN, POUND, back)).toEqual({ minor: 3610, currency: "GBP" });
  });
  it("of one day prefers the way it was entered", () => {
    const both = [
      { from: "JPY", to: "GBP", rate: "0.005", on: "2026-11-20" },
      { from: "GBP", to: "JPY", rate: "201", on: "2026-11-20" },
    ];
    expect(rateOn(both, "GBP", "JPY", "2026-11-23")?.entered?.rate).toBe("201");
    expect(rateOn(both.toReversed(), "GBP", "JPY", "2026-11-23")?.entered?.rate).toBe("201");
  });
  it("minds the decimals of both currencies", () => {
    const there = rateOn(rates, "GBP", "JPY", "2026-11-23")!;
    expect(convert({ minor: 1250, currency: "GBP" }, POUND, YEN, there)).toEqual({ minor: 2500, currency: "JPY" });
    const dinar = rateOn(rates, "BHD", "GBP", "2026-11-23")!;
    expect(convert({ minor: 1500, currency: "BHD" }, DINAR, POUND, dinar)).toEqual({ minor: 312, currency: "GBP" });
  });
  it("within one currency changes nothing", () => {
    const same = rateOn([], "GBP", "GBP", "2026-11-23")!;
    expect(same.entered).toBeNull();
    expect(convert({ minor: 1234, currency: "GBP" }, POUND, POUND, same).minor).toBe(1234);
  });
  it("must be a decimal above zero", () => {
    const bad = (rate: string) => () =>
      rateOn([{ from: "GBP", to: "SEK", rate, on: "2026-01-01" }], "GBP", "SEK", "2026-01-01");
    expect(refusal(bad("0"))).toBe("OUT_OF_RANGE");
    expect(refusal(bad("13,2"))).toBe("NOT_A_NUMBER");
    expect(refusal(bad("-13"))).toBe("NEGATIVE");
  });
  it("is not used on an amount in some other currency", () =>
    expect(
      refusal(() => convert({ minor: 1, currency: "SEK" }, POUND, YEN, rateOn(rates, "GBP", "JPY", "2026-11-23")!)),
    ).toBe("OTHER_CURRENCY"));
});
