import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { INCOTERMS_2020, type Incoterm } from "../../server/engine/money/incoterms.ts";
import {
  type CostLineKind,
  type LandedCost,
  type LandedCostInput,
  landedCost,
  unitPriceAt,
} from "../../server/engine/money/landedCost.ts";
import { MoneyFault, rateOn } from "../../server/engine/money/money.ts";

const POUND = { code: "GBP", decimals: 2 };
const DOLLAR = { code: "USD", decimals: 2 };
const YEN = { code: "JPY", decimals: 0 };
const atHome = rateOn([], "GBP", "GBP", "2026-11-23")!;
const TERMS = Object.keys(INCOTERMS_2020) as Incoterm[];

/** A quote in pounds for a part from abroad: 100.00 each, 20.00 carriage, 5.00 insurance, 10 % duty, 20 % tax. */
const quote: LandedCostInput = {
  quantity: 1,
  currency: POUND,
  unitPriceMinor: 10_000,
  minimumQuantity: 1,
  priceBreaks: [],
  carriageMinor: 2000,
  insuranceMinor: 500,
  dutyRate: "0.1",
  taxRate: "0.2",
  incoterm: "EXW",
  into: POUND,
  rate: atHome,
};
const cost = (changes: Partial<LandedCostInput> = {}): LandedCost => landedCost({ ...quote, ...changes });
const line = (landed: LandedCost, kind: CostLineKind) => landed.lines.find((l) => l.kind === kind);
const amount = (landed: LandedCost, kind: CostLineKind) => line(landed, kind)?.amountMinor;

describe("a part bought abroad", () => {
  it("ex works costs its price, the way, the duty and the tax on all of them", () => {
    const landed = cost();
    expect(landed.lines.map((l) => [l.kind, l.amountMinor, l.basisMinor])).toEqual([
      ["PRICE", 10_000, null],
      ["CARRIAGE", 2000, null],
      ["INSURANCE", 500, null],
      ["DUTY", 1250, 12_500],
      ["TAX", 2750, 13_750],
    ]);
    expect(landed.totalMinor).toBe(16_500);
    expect(landed.lines.map((l) => l.words)).toEqual([
      "1 at 100.00 GBP each",
      "Carriage",
      "Insurance on the way",
      "Duty, 10 % of the customs value",
      "Tax, 20 % of customs value and duty",
    ]);
  });

  it("carriage paid (CPT) brings no carriage, but insurance is still the buyer's", () => {
    const landed = cost({ incoterm: "CPT" });
    expect(line(landed, "CARRIAGE")).toMatchObject({ amountMinor: 0, paidBy: "SELLER" });
    expect(line(landed, "CARRIAGE")?.words).toBe("Carriage: the seller pays it (CPT, carriage paid to)");
    expect(amount(landed, "INSURANCE")).toBe(500);
    expect(amount(landed, "DUTY")).toBe(1050);
  });

  it("delivered at the shop (DAP) brings neither, and duty falls on the price alone", () => {
    const landed = cost({ incoterm: "DAP", onwardMinor: 900 });
    expect(landed.lines.map((l) => [l.kind, l.amountMinor])).toEqual([
      ["PRICE", 10_000],
      ["CARRIAGE", 0],
      ["INSURANCE", 0],
      ["DUTY", 1000],
      ["ONWARD", 0],
      ["TAX", 2200],
    ]);
  });

  it("delivered duty paid (DDP) costs its price and nothing else", () => {
    const landed = cost({ incoterm: "DDP", onwardMinor: 900 });
    expect(landed.totalMinor).toBe(10_000);
    expect(line(landed, "DUTY")).toMatchObject({ amountMinor: 0, paidBy: "SELLER", basisMinor: null });
    expect(line(landed, "DUTY")?.words).toBe("Duty: the seller pays it (DDP, delivered duty paid)");
  });

  it("where duty is worked out free on board pays none on the way, nor on a way that is stated within the price", () => {
    expect(line(cost({ customsBasis: "FOB" }), "DUTY")).toMatchObject({ basisMinor: 10_000, amountMinor: 1000 });
    expect(line(cost({ customsBasis: "FOB", incoterm: "CIF" }), "DUTY")?.basisMinor).toBe(7500);
    expect(line(cost({ customsBasis: "FOB", incoterm: "CFR" }), "DUTY")?.basisMinor).toBe(8000);
    expect(line(cost({ customsBasis: "FOB", incoterm: "CIF", carriageMinor: 99_000 }), "DUTY")?.basisMinor).toBe(0);
  });

  it("is taxed with the way or without it, whatever duty is worked out on", () => {
    const taxed = (changes: Partial<LandedCostInput>) => {
      const { basisMinor, words } = line(cost({ onwardMinor: 900, ...changes }), "TAX")!;
      return [basisMinor, words.replace(/^Tax, 20 % of /, "")];
    };
    expect(taxed({})).toEqual([14_650, "customs value, duty and onward carriage"]);
    expect(taxed({ carriageTaxed: false })).toEqual([11_250, "the goods without their carriage, and duty"]);
    expect(taxed({ customsBasis: "FOB" })).toEqual([14_400, "customs value, duty, carriage and onward carriage"]);
    expect(taxed({ customsBasis: "FOB", carriageTaxed: false })).toEqual([11_000, "customs value and duty"]);
    // The way is within a price that the seller brings to the port (CFR): it comes off where it is not taxed. Duty is still on all of it.
    expect(taxed({ incoterm: "CFR", carriageTaxed: false })[0]).toBe(8_000 + 1_050);
  });

  it("is priced in the restoration's currency at the rate of a day, which is shown", () => {
    const rates = [{ from: "GBP", to: "USD", rate: "1.25", on: "2026-11-20" }];
    const rate = rateOn(rates, "USD", "GBP", "2026-11-23")!;
    const landed = cost({ currency: DOLLAR, rate });
    expect(amount(landed, "PRICE")).toBe(8000);
    expect(landed.lines[0]?.words).toBe("1 at 100.00 USD each");
    expect(landed.currency).toBe("GBP");
    expect(landed.exchange).toEqual(rates[0]);
  });

  it("is rounded once at the end of each line, not at the exchange: three pieces at 1 yen, 190 yen to the pound", () => {
    const rate = rateOn([{ from: "GBP", to: "JPY", rate: "190", on: "2026-11-20" }], "JPY", "GBP", "2026-11-23")!;
    const yen = { currency: YEN, rate, unitPriceMinor: 1, carriageMinor: 0, insuranceMinor: 0 };
    // A piece is 0.526 pence: three are 1.579, two pence; rounded piece by piece they would be three.
    expect(amount(cost({ ...yen, quantity: 3 }), "PRICE")).toBe(2);
    // Duty is on the exact 5.26 pounds of 1000 yen, 526.3 pence: 52.6, not on rounded figures.
    expect(line(cost({ ...yen, unitPriceMinor: 1000 }), "DUTY")).toMatchObject({ amountMinor: 53, basisMinor: 526 });
  });

  it("has half a penny of tax rounded to the even penny", () => {
    const bare = { carriageMinor: 0, insuranceMinor: 0, dutyRate: 0, taxRate: 0.05 };
    expect(amount(cost({ ...bare, unitPriceMinor: 1010 }), "TAX")).toBe(50);
    expect(amount(cost({ ...bare, unitPriceMinor: 1030 }), "TAX")).toBe(52);
  });
});

describe("price breaks and the smallest number sold", () => {
  const breaks = [
    { quantity: 100, unitPriceMinor: 80 },
    { quantity: 10, unitPriceMinor: 90 },
  ];
  it("give the price of the highest break reached, in whatever order they stand", () => {
    expect([1, 9, 10, 99, 100, 5000].map((n) => unitPriceAt(100, breaks, n))).toEqual([100, 100, 90, 90, 80, 80]);
  });
  it("make sixteen spokes cost as much as the hundred that must be bought, at the price of a hundred", () => {
    const landed = cost({ quantity: 16, unitPriceMinor: 100, minimumQuantity: 100, priceBreaks: breaks });
    expect(landed.ordered).toBe(100);
    expect(amount(landed, "PRICE")).toBe(8000);
    expect(landed.lines[0]?.words).toBe("100 (the smallest number sold; 16 wanted) at 0.80 GBP each");
  });
});

describe("an old part taken in exchange", () => {
  const core = { chargeMinor: 4000, returned: 2 };
  it("costs its charge, and earns it back when it is sent in", () => {
    const landed = cost({ quantity: 2, core });
    expect(amount(landed, "CORE_CHARGE")).toBe(8000);
    expect(amount(landed, "CORE_RETURN")).toBe(-8000);
    expect(landed.totalMinor).toBe(cost({ quantity: 2 }).totalMinor);
  });
  it("that is past saving leaves the charge to be paid", () => {
    const landed = cost({ quantity: 2, core: { ...core, returned: 1 } });
    expect(landed.totalMinor - cost({ quantity: 2 }).totalMinor).toBe(4000);
    expect(line(cost({ core: { ...core, returned: 0 } }), "CORE_RETURN")).toBeUndefined();
  });
  it("earns back no more than was charged, and its way is paid", () => {
    const landed = cost({ core: { ...core, returned: 5, carriageMinor: 700 } });
    expect(amount(landed, "CORE_RETURN")).toBe(-4000);
    expect(amount(landed, "CORE_CARRIAGE")).toBe(700);
  });
});

describe("what cannot be used", () => {
  const refused = (changes: Partial<LandedCostInput>) => {
    try {
      cost(changes);
    } catch (error) {
      if (error instanceof MoneyFault) return [error.code, error.field];
      throw error;
    }
    return [];
  };
  it("is refused by name", () => {
    expect(refused({ quantity: 0 })).toEqual(["OUT_OF_RANGE", "quantity"]);
    expect(refused({ quantity: 1.5 })).toEqual(["NOT_A_NUMBER", "quantity"]);
    expect(refused({ carriageMinor: -1 })).toEqual(["NEGATIVE", "carriage"]);
    expect(refused({ unitPriceMinor: 0.5 })).toEqual(["NOT_A_NUMBER", "unit price"]);
    expect(refused({ dutyRate: "2,5" })).toEqual(["NOT_A_NUMBER", "duty rate"]);
    expect(refused({ taxRate: -0.2 })).toEqual(["NEGATIVE", "tax rate"]);
    expect(refused({ quantity: 1_000_000, unitPriceMinor: 10 ** 12 })[0]).toBe("OUT_OF_RANGE");
  });
});

const minor = fc.integer({ min: 0, max: 5_000_000 });
const fraction = fc.integer({ min: 0, max: 100_000 }).map((n) => n / 100_000);
const anyQuote = fc
  .record({
    quantity: fc.integer({ min: 1, max: 400 }),
    unitPriceMinor: minor,
    minimumQuantity: fc.integer({ min: 1, max: 50 }),
    priceBreaks: fc.array(fc.record({ quantity: fc.integer({ min: 1, max: 400 }), unitPriceMinor: minor }), {
      maxLength: 4,
    }),
    carriageMinor: minor,
    insuranceMinor: minor,
    dutyRate: fraction,
    taxRate: fraction,
    incoterm: fc.constantFrom(...TERMS),
    customsBasis: fc.constantFrom("CIF" as const, "FOB" as const),
    carriageTaxed: fc.boolean(),
    onwardMinor: minor,
    core: fc.option(fc.record({ chargeMinor: minor, returned: fc.nat(500), carriageMinor: minor }), { nil: undefined }),
    perUnit: fc.integer({ min: 1, max: 10 ** 7 }),
    decimals: fc.integer({ min: 0, max: 4 }),
  })
  .map(({ perUnit, decimals, ...rest }): LandedCostInput => {
    const rate = rateOn(
      [{ from: "XTS", to: "GBP", rate: `${perUnit / 10_000}`, on: "2026-01-01" }],
      "XTS",
      "GBP",
      "2026-06-01",
    );
    return { ...rest, currency: { code: "XTS", decimals }, into: POUND, rate: rate! };
  });

describe("any quote", () => {
  it("has lines that add up to its total, none of them negative but the return of a core", () => {
    fc.assert(
      fc.property(anyQuote, (input) => {
        const landed = landedCost(input);
        expect(landed.lines.reduce((a, l) => a + l.amountMinor, 0)).toBe(landed.totalMinor);
        expect(landed.totalMinor).toBeGreaterThanOrEqual(0);
        for (const l of landed.lines) {
          expect(Number.isSafeInteger(l.amountMinor)).toBe(true);
          if (l.kind !== "CORE_RETURN") expect(l.amountMinor).toBeGreaterThanOrEqual(0);
          if (l.paidBy === "SELLER") expect(l.amountMinor).toBe(0);
        }
      }),
    );
  });
  it("delivered duty paid, with no core to return, costs its price", () => {
    fc.assert(
      fc.property(anyQuote, (input) => {
        const landed = landedCost({ ...input, incoterm: "DDP", core: undefined });
        expect(landed.totalMinor).toBe(amount(landed, "PRICE"));
      }),
    );
  });
  it("costs no less at a higher rate of duty, of tax or of exchange", () => {
    fc.assert(
      fc.property(anyQuote, fraction, (input, more) => {
        const total = landedCost(input).totalMinor;
        const dearer = (changes: Partial<LandedCostInput>) => landedCost({ ...input, ...changes }).totalMinor;
        expect(dearer({ dutyRate: Number(input.dutyRate) + more })).toBeGreaterThanOrEqual(total);
        expect(dearer({ taxRate: Number(input.taxRate) + more })).toBeGreaterThanOrEqual(total);
        // Free on board, a larger part of the price stated as carriage lowers the duty; untaxed, the tax.
        const asLoaded = input.customsBasis === "FOB" || input.carriageTaxed === false;
        const within = asLoaded && INCOTERMS_2020[input.incoterm].carriage === "SELLER";
        if (!within) expect(dearer({ carriageMinor: input.carriageMinor + 5000 })).toBeGreaterThanOrEqual(total);
        const { top, bottom } = input.rate.exact;
        const stronger = { exact: { top: top * 2n, bottom }, entered: null };
        if (input.core === undefined) expect(dearer({ rate: stronger })).toBeGreaterThanOrEqual(total);
      }),
    );
  });
  it("costs the buyer no more where the seller pays for more of the way, at the same price", () => {
    fc.assert(
      fc.property(anyQuote, (input) => {
        const at = (incoterm: Incoterm) =>
          landedCost({ ...input, customsBasis: "CIF", carriageTaxed: true, incoterm }).totalMinor;
        const totals = [at("EXW"), at("CFR"), at("CIF"), at("DAP"), at("DDP")];
        expect(totals).toEqual(totals.toSorted((a, b) => b - a));
        expect(at("FCA")).toBe(at("EXW"));
      }),
    );
  });
});
