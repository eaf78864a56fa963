import { describe, expect, it } from "vitest";
import { type RateRow, Rates } from "../../server/plan/money/exchange.ts";
import { type LandedQuote, landedOf } from "../../server/plan/money/landed.ts";

const DAY = "2026-11-23";
const euro = (counter: string, rate: string, date = "2026-11-20"): RateRow => ({ date, base: "EUR", counter, rate });
const figure = (rates: readonly RateRow[], from: string, to: string) =>
  new Rates(rates, DAY).between(from, to)?.entered;

describe("exchange rates", () => {
  it("are the newest on or before the day, not those of days to come", () =>
    expect(
      figure([euro("GBP", "0.80", "2026-01-05"), euro("GBP", "0.84"), euro("GBP", "0.90", "2026-11-24")], "EUR", "GBP"),
    ).toMatchObject({ rate: "0.84", on: "2026-11-20" }));

  it("serve both ways about", () => {
    const back = new Rates([euro("GBP", "0.8")], DAY).between("GBP", "EUR")!;
    expect(Number(back.exact.top) / Number(back.exact.bottom)).toBe(1.25);
  });

  it("cross through one common currency, and are as old as the older of the two", () =>
    expect(figure([euro("GBP", "0.84"), euro("CHF", "0.96", "2026-10-01")], "CHF", "GBP")).toEqual({
      from: "CHF",
      to: "GBP",
      rate: "0.875",
      on: "2026-10-01",
    }));

  it("entered between the two stand before a cross rate that is no newer", () =>
    expect(
      figure(
        [euro("GBP", "0.84"), euro("CHF", "0.96"), { date: "2026-11-20", base: "CHF", counter: "GBP", rate: "0.9" }],
        "CHF",
        "GBP",
      )?.rate,
    ).toBe("0.9"));

  it("need a day: without one the words say what is missing", () =>
    expect(new Rates([], DAY).missing("CHF", "GBP")).toBe("No rate from CHF to GBP on or before 23 Nov 2026"));
});

const quote = (more: Partial<LandedQuote> = {}): LandedQuote => ({
  currency: "CHF",
  unitPriceMinor: 19_700,
  minimumQuantity: 1,
  priceBreaks: [],
  carriageMinor: 2_000,
  insuranceMinor: 560,
  dutyRate: 0.035,
  taxRate: 0.2,
  incoterm: "FCA",
  coreChargeMinor: 0,
  coreReturned: false,
  weightGrams: null,
  knockOns: [],
  supplier: { currency: "GBP", carriageMinor: 0, minimumMinor: 0, shareBy: "VALUE" },
  ...more,
});
const pounds = { currency: "GBP", customsBasis: "CIF" as const, carriageTaxed: true };
const rates = new Rates([euro("GBP", "0.8436"), euro("CHF", "0.9412"), euro("JPY", "163.92", "2026-11-02")], DAY);

describe("landed cost of a quote", () => {
  it("is the sum of its lines, each rounded once", () => {
    const cost = landedOf(
      quote({ knockOns: [{ title: "Bush", priceMinor: 1_234, currency: "JPY" }] }),
      2,
      pounds,
      rates,
    );
    expect(cost.totalMinor).toBe(cost.lines.reduce((sum, { amountMinor }) => sum + amountMinor, 0));
    expect(cost.problem).toBeNull();
    // 2 x 197.00 CHF at 0.8436 / 0.9412
    expect(cost.lines[0]).toMatchObject({ kind: "PRICE", amountMinor: 35_314 });
    // 1234 yen at 0.8436 / 163.92
    expect(cost.lines.at(-1)).toMatchObject({ kind: "KNOCK_ON", words: "Bush", amountMinor: 635 });
    expect(cost.rateDate).toBe("2026-11-02");
  });

  it("says rate and basis of duty and tax, and of nothing else", () => {
    const cost = landedOf(quote(), 1, pounds, rates);
    expect(cost.lines.filter((line) => line.rate !== null).map(({ kind, rate }) => [kind, rate])).toEqual([
      ["DUTY", 0.035],
      ["TAX", 0.2],
    ]);
  });

  it("is taxed on the carriage where the restoration says so", () => {
    const own = quote({ currency: "GBP", dutyRate: 0 });
    const taxOf = (landing: typeof pounds) =>
      landedOf(own, 1, landing, rates).lines.find(({ kind }) => kind === "TAX")?.amountMinor;
    // 20 % of 197.00, with 20.00 carriage and 5.60 insurance, and without.
    expect(taxOf(pounds)).toBe(4_452);
    expect(taxOf({ ...pounds, carriageTaxed: false })).toBe(3_940);
  });

  it("has no total while a rate is missing, and says which", () => {
    const cost = landedOf(quote({ currency: "NOK" }), 1, pounds, rates);
    expect(cost).toMatchObject({ totalMinor: null, problem: "No rate from NOK to GBP on or before 23 Nov 2026." });
    expect(cost.missing).toEqual([{ from: "NOK", to: "GBP", on: "2026-11-23" }]);
    const part = landedOf(quote({ knockOns: [{ title: "Bush", priceMinor: 1, currency: "NOK" }] }), 1, pounds, rates);
    expect(part.totalMinor).toBeNull();
    expect(part.missing).toEqual([{ from: "NOK", to: "GBP", on: "2026-11-23" }]);
    expect(part.lines.length).toBeGreaterThan(3);
  });

  it("buys the smallest number sold, and pays the charge back of the one old part that there is to return", () => {
    const own = quote({ currency: "GBP", minimumQuantity: 4, coreChargeMinor: 2_500, coreReturned: true, taxRate: 0 });
    const cost = landedOf(own, 1, pounds, rates);
    expect(cost.ordered).toBe(4);
    expect(cost.rateDate).toBeNull();
    const cores = cost.lines.filter(({ kind }) => kind.startsWith("CORE"));
    expect(cores.map(({ amountMinor }) => amountMinor)).toEqual([10_000, -2_500]);
    const kept = landedOf({ ...own, coreReturned: false }, 1, pounds, rates);
    expect(kept.totalMinor! - cost.totalMinor!).toBe(2_500);
  });

  it("gives back as many old parts as are wanted, and no more than there are", () => {
    const own = quote({ currency: "GBP", minimumQuantity: 4, coreChargeMinor: 2_500, coreReturned: true });
    const back = (quantity: number, cores?: number) =>
      landedOf(own, quantity, pounds, rates, { cores }).lines.find(({ kind }) => kind === "CORE_RETURN")?.amountMinor;
    expect([1, 2, 4, 5].map((quantity) => back(quantity))).toEqual([-2_500, -5_000, -10_000, -12_500]);
    // An order for the whole set, on a machine that has three; and spares for one that has four.
    expect(back(4, 3)).toBe(-7_500);
    expect(back(6, 4)).toBe(-10_000);
  });

  it("bears its share of what its supplier charges on the order, in money of the supplier's, with no duty or tax on it", () => {
    const supplier = { currency: "EUR", carriageMinor: 1_351, minimumMinor: 0, shareBy: "VALUE" as const };
    const own = quote({
      currency: "GBP",
      unitPriceMinor: 5_400,
      carriageMinor: 0,
      insuranceMinor: 0,
      dutyRate: 0,
      supplier,
    });
    // 13.51 euros are 11.40 pounds.
    const line = (goods: number) => ({ goods, carried: true });
    const together = { before: [line(1_680)], after: [line(8_800)] };
    const cost = landedOf(own, 1, pounds, rates, { together });
    expect(cost).toMatchObject({ chargeMinor: 388, order: line(5_400), totalMinor: 5_400 + 1_080 + 388 });
    expect(cost.lines.at(-1)).toMatchObject({ kind: "ORDER_CARRIAGE", amountMinor: 388 });
    expect(landedOf(own, 1, pounds, rates).chargeMinor).toBe(1_140);
    // Its own carriage stays its own.
    const stated = landedOf({ ...own, carriageMinor: 700 }, 1, pounds, rates, { together });
    expect(stated).toMatchObject({ chargeMinor: 0, order: { goods: 5_400, carried: false } });
    const unknown = { ...supplier, currency: "NOK" };
    expect(landedOf({ ...own, supplier: unknown }, 1, pounds, rates)).toMatchObject({
      totalMinor: null,
      missing: [{ from: "NOK", to: "GBP", on: DAY }],
    });
  });

  it("too large to be shown has no total, and no line either", () => {
    const cost = landedOf(quote({ currency: "GBP", unitPriceMinor: 2_000_000_000 }), 1_000, pounds, rates);
    expect(cost).toMatchObject({ lines: [], totalMinor: null, problem: "The amounts are too large to be shown." });
  });
});
