import { describe, expect, it } from "vitest";
import { INCOTERMS_2020, type Incoterm } from "../../server/engine/money/incoterms.ts";
import { landedCost } from "../../server/engine/money/landedCost.ts";
import { rateOn } from "../../server/engine/money/money.ts";

const EURO = { code: "EUR", decimals: 2 };
const DOLLAR = { code: "USD", decimals: 2 };
const plainQuote = {
  quantity: 1,
  minimumQuantity: 1,
  priceBreaks: [],
  carriageMinor: 0,
  insuranceMinor: 0,
  dutyRate: "0",
  taxRate: "0",
  incoterm: "FOB" as Incoterm,
};

describe("customs guidance example: goods of 10000, freight 100, insurance 50, duty 10 %, onward carriage 500, VAT 20 %", () => {
  const landed = landedCost({
    ...plainQuote,
    currency: EURO,
    into: EURO,
    rate: rateOn([], "EUR", "EUR", "2026-11-23")!,
    unitPriceMinor: 1_000_000,
    carriageMinor: 10_000,
    insuranceMinor: 5000,
    dutyRate: "0.1",
    taxRate: "0.2",
    onwardMinor: 50_000,
  });
  const line = (kind: string) => landed.lines.find((l) => l.kind === kind);
  it("has a duty of 1015 on a customs value of 10150", () =>
    expect(line("DUTY")).toMatchObject({ amountMinor: 101_500, basisMinor: 1_015_000 }));
  it("has a VAT of 2333.00 on a base of 11665", () =>
    expect(line("TAX")).toMatchObject({ amountMinor: 233_300, basisMinor: 1_166_500 }));
  it("costs 13998.00 in all", () => expect(landed.totalMinor).toBe(1_399_800));
});

/** Published by the Australian customs authority for importers, as quoted by readers of its page; from memory of the rule: duty on the goods as loaded, GST on goods, duty and the way. */
describe("customs guidance example of a country that values free on board: goods of 1200, the way 150, duty 5 %, GST 10 %", () => {
  const imported = (carriageTaxed: boolean) =>
    landedCost({
      ...plainQuote,
      currency: DOLLAR,
      into: DOLLAR,
      rate: rateOn([], "USD", "USD", "2026-11-23")!,
      unitPriceMinor: 120_000,
      carriageMinor: 15_000,
      dutyRate: "0.05",
      taxRate: "0.1",
      customsBasis: "FOB",
      carriageTaxed,
    });
  const line = (kind: string, carriageTaxed = true) => imported(carriageTaxed).lines.find((l) => l.kind === kind);
  it("has a duty of 60 on the goods alone", () =>
    expect(line("DUTY")).toMatchObject({ amountMinor: 6_000, basisMinor: 120_000 }));
  it("has a tax of 141 on 1410, the way in it", () =>
    expect(line("TAX")).toMatchObject({ amountMinor: 14_100, basisMinor: 141_000 }));
  it("has one of 126 on 1260 where the way is not taxed", () =>
    expect(line("TAX", false)).toMatchObject({ amountMinor: 12_600, basisMinor: 126_000 }));
});

describe("Incoterms 2020 (from memory)", () => {
  const where = (test: (term: Incoterm) => boolean) => (Object.keys(INCOTERMS_2020) as Incoterm[]).filter(test).sort();
  it("are eleven rules", () => expect(Object.keys(INCOTERMS_2020).length).toBe(11));
  it("have the seller pay the main carriage under CPT, CIP, CFR, CIF, DAP, DPU and DDP", () =>
    expect(where((t) => INCOTERMS_2020[t].carriage === "SELLER")).toEqual(
      ["CPT", "CIP", "CFR", "CIF", "DAP", "DPU", "DDP"].sort(),
    ));
  it("have the buyer pay it under EXW, FCA, FAS and FOB", () =>
    expect(where((t) => INCOTERMS_2020[t].carriage === "BUYER")).toEqual(["EXW", "FAS", "FCA", "FOB"]));
  it("have the seller buy insurance under CIF and CIP, and bear the risk under the D rules", () =>
    expect(where((t) => INCOTERMS_2020[t].insurance === "SELLER")).toEqual(["CIF", "CIP", "DAP", "DDP", "DPU"]));
  it("have the seller deliver to the shop under the D rules alone", () =>
    expect(where((t) => INCOTERMS_2020[t].onward === "SELLER")).toEqual(["DAP", "DDP", "DPU"]));
  it("leave import duty to the buyer except under DDP", () =>
    expect(where((t) => INCOTERMS_2020[t].importDuty === "SELLER")).toEqual(["DDP"]));
});

describe("quantity discount, textbook exercise: demand 5000 a year, 49 an order, holding 20 % of the price", () => {
  // 5.00 each under 1000, 4.80 from 1000, 4.75 from 2000. The 49 for an order stand as the carriage of a consignment.
  it.each([
    [700, 2_570_000],
    [1000, 2_472_500],
    [2000, 2_482_250],
  ])("ordered %i at a time costs the published sum a year", (quantity, yearMinor) => {
    const order = landedCost({
      ...plainQuote,
      currency: DOLLAR,
      into: DOLLAR,
      rate: rateOn([], "USD", "USD", "2026-11-23")!,
      quantity,
      unitPriceMinor: 500,
      priceBreaks: [
        { quantity: 1000, unitPriceMinor: 480 },
        { quantity: 2000, unitPriceMinor: 475 },
      ],
      carriageMinor: 4900,
    });
    const orders = 5000 / quantity;
    const held = (quantity / 2) * 0.2 * order.unitPriceMinor;
    expect(orders * order.totalMinor + held).toBeCloseTo(yearMinor, 6);
  });
});
