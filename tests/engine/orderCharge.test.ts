import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { orderCharge, sharedCharge, sharesBy } from "../../server/engine/money/orderCharge.ts";

const carried = (...goods: number[]) => goods.map((one) => ({ goods: one, carried: true }));

describe("what is charged on an order of several parts", () => {
  it("is shared by value to the penny: of 11.40 carriage, goods of 16.80, 54.00 and 88.00 bear 1.20, 3.88 and 6.32", () => {
    const shares = sharedCharge({ carriage: 1_140, minimum: 0 }, carried(1_680, 5_400, 8_800));
    expect(shares).toEqual([
      { carriage: 120, shortfall: 0 },
      { carriage: 388, shortfall: 0 },
      { carriage: 632, shortfall: 0 },
    ]);
  });

  it("is the minimum where the goods are less, and carriage beside it", () => {
    const terms = { carriage: 1_000, minimum: 5_000 };
    expect(orderCharge(terms, carried(2_000, 1_500))).toEqual({ carriage: 1_000, shortfall: 1_500 });
    expect(orderCharge(terms, carried(2_000, 4_000))).toEqual({ carriage: 1_000, shortfall: 0 });
    expect(orderCharge(terms, [])).toEqual({ carriage: 0, shortfall: 0 });
    // 15.00 short over 20.00 and 15.00: 8.571 and 6.428.
    expect(sharedCharge({ carriage: 0, minimum: 5_000 }, carried(2_000, 1_500)).map((one) => one.shortfall)).toEqual([
      857, 643,
    ]);
  });

  it("leaves a quote that states its own carriage out of the carriage, and not out of the minimum", () => {
    const lines = [{ goods: 3_000, carried: false }, ...carried(1_000)];
    expect(sharedCharge({ carriage: 900, minimum: 4_400 }, lines)).toEqual([
      { carriage: 0, shortfall: 300 },
      { carriage: 900, shortfall: 100 },
    ]);
    expect(orderCharge({ carriage: 900, minimum: 0 }, lines.slice(0, 1)).carriage).toBe(0);
  });

  it("is shared by weight where that of every part is known, by largest remainders: 3.3, 1.2 and 0.5 kg bear 7.52, 2.74 and 1.14", () => {
    const weighed = (...grams: (number | null)[]) =>
      carried(1_680, 5_400, 8_800).map((line, i) => ({ ...line, grams: grams[i]! }));
    const terms = { carriage: 1_140, minimum: 16_000 };
    // 11.40 over 5.0 kg: 7.524, 2.736 and 1.140. The 1.20 that is short likewise: 0.792, 0.288 and 0.120.
    expect(sharedCharge(terms, weighed(3_300, 1_200, 500), "WEIGHT")).toEqual([
      { carriage: 752, shortfall: 79 },
      { carriage: 274, shortfall: 29 },
      { carriage: 114, shortfall: 12 },
    ]);
    const byValue = sharedCharge(terms, weighed(3_300, null, 500), "WEIGHT");
    expect(byValue.map((one) => one.carriage)).toEqual([120, 388, 632]);
    expect(sharesBy("WEIGHT", weighed(3_300, null, 500))).toBe("VALUE");
  });

  it("is borne alike by goods that cost nothing", () =>
    expect(sharedCharge({ carriage: 300, minimum: 0 }, carried(0, 0)).map((one) => one.carriage)).toEqual([150, 150]));

  it("always adds up to the larger of minimum and goods, and carriage", () => {
    const line = fc.record({ goods: fc.nat(100_000), grams: fc.option(fc.nat(9_000)), carried: fc.boolean() });
    const terms = fc.record({ carriage: fc.nat(20_000), minimum: fc.nat(200_000) });
    const by = fc.constantFrom("VALUE" as const, "WEIGHT" as const);
    fc.assert(
      fc.property(terms, fc.array(line, { minLength: 1, maxLength: 8 }), by, ({ carriage, minimum }, lines, how) => {
        const goods = lines.reduce((sum, one) => sum + one.goods, 0);
        const shares = sharedCharge({ carriage, minimum }, lines, how);
        const sum = shares.reduce((total, share) => total + share.carriage + share.shortfall, goods);
        expect(sum).toBe(Math.max(minimum, goods) + (lines.some((one) => one.carried) ? carriage : 0));
        for (const share of shares) expect(Math.min(share.carriage, share.shortfall)).toBeGreaterThanOrEqual(0);
      }),
    );
  });
});

describe("an order of which some parts have a carriage of their own", () => {
  it("is shared by the weight of those that share it, whatever is not known of the others", () => {
    const lines = [
      { goods: 39_000, grams: 4_000, carried: true },
      { goods: 7_400, grams: 1_000, carried: true },
      { goods: 500, grams: null, carried: false },
    ];
    expect(sharedCharge({ carriage: 3_000, minimum: 0 }, lines, "WEIGHT").map(({ carriage }) => carriage)).toEqual([
      2_400, 600, 0,
    ]);
    // Of the minimum all have their share, by value as one is not weighed.
    const short = sharedCharge({ carriage: 0, minimum: 93_800 }, lines, "WEIGHT").map(({ shortfall }) => shortfall);
    expect(short).toEqual([39_000, 7_400, 500]);
  });
});
