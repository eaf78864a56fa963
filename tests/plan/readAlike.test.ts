import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { computePlan } from "../../server/plan/compute.ts";
import type { PlanRows, QuoteRow } from "../../server/plan/rows/rows.ts";
import { MONDAY, operation, part, quote, rowsOf } from "../support/planRows.ts";

/** Barrel is chosen, lid is not: of its two quotes, as quick as each other, the cheaper stands in. */
const read = (): PlanRows =>
  rowsOf({
    operations: [operation("fit", 8)],
    parts: [part("barrel", { chosenQuoteId: "Q1" }), part("lid")],
    needs: ["barrel", "lid"].map((partId) => ({ operationId: "fit", partId })),
    quotes: [quote("Q1", "barrel", 20), quote("Q2", "lid", 9), quote("Q3", "lid", 9, { unitPriceMinor: 120 })],
  });

const withQuote = (rows: PlanRows, id: string, change: Partial<QuoteRow>): PlanRows => ({
  ...rows,
  quotes: rows.quotes.map((one) => (one.id === id ? { ...one, ...change } : one)),
});

const planOf = (rows: PlanRows, figuresFor = MONDAY) => computePlan(rows, { figuresFor, confidence: null });

describe("a plan for rows that differ in prices", () => {
  it("is the same one while the dearer quote was chosen", () => {
    const rows = read();
    expect(planOf(withQuote(rows, "Q1", { unitPriceMinor: 999 }))).toBe(planOf(rows));
  });

  it("is another where the price decides which quote stands in", () => {
    const rows = read();
    expect(planOf(rows).quoteInForce.get("lid")).toBe("Q2");
    expect(planOf(withQuote(rows, "Q2", { unitPriceMinor: 130 })).quoteInForce.get("lid")).toBe("Q3");
  });

  it.each<Partial<QuoteRow>>([
    { leadDays: 21 },
    { orderFrom: "2026-12-01" },
    { validUntil: "2026-01-01" },
    { preparationHours: 3 },
    { ruledOut: true },
    { supplierId: "another" },
    { code: "Q9" },
    { currency: "JPY" },
  ])("is another after %j", (change) => {
    const rows = read();
    const before = planOf(rows);
    expect(planOf(withQuote(rows, "Q1", { unitPriceMinor: 999, ...change }))).not.toBe(before);
  });

  it("takes no yen for a penny: of two as quick in different currencies it asks no price", () => {
    const standing = (unitPriceMinor: number) =>
      planOf(withQuote(read(), "Q3", { currency: "JPY", unitPriceMinor })).quoteInForce.get("lid");
    expect(standing(1)).toBe("Q2");
    expect(standing(120)).toBe("Q2");
  });

  it("says what one worked out anew says, whatever the prices", () => {
    const price = fc.integer({ min: 0, max: 3 });
    fc.assert(
      fc.property(fc.array(fc.tuple(price, price, price), { minLength: 1, maxLength: 8 }), (changes) => {
        let rows = read();
        for (const prices of changes) {
          prices.forEach((unitPriceMinor, i) => {
            rows = withQuote(rows, `Q${i + 1}`, { unitPriceMinor });
          });
          const [kept, anew] = [planOf(rows), planOf(structuredClone(rows))];
          expect([...kept.quoteInForce]).toEqual([...anew.quoteInForce]);
          expect(kept.ladder).toEqual(anew.ladder);
          expect(kept.completion).toEqual(anew.completion);
        }
      }),
    );
  });

  it("is another on another day, and for rows read anew", () => {
    const rows = read();
    const before = planOf(rows);
    expect(planOf(rows, "2026-11-24")).not.toBe(before);
    expect(planOf({ ...rows, operations: [...rows.operations] })).not.toBe(before);
  });

  it("is another where another machine of the shop has another price: which quote it needs is not known here", () => {
    const [rows, other] = [read(), { ...read(), restoration: { ...read().restoration, id: "another", rank: 2 } }];
    const both = { ...rows, machines: [rows, other] };
    const before = planOf(both);
    expect(planOf({ ...both, machines: [withQuote(rows, "Q1", { unitPriceMinor: 999 }), other] })).toBe(before);
    expect(planOf({ ...both, machines: [rows, withQuote(other, "Q1", { unitPriceMinor: 999 })] })).not.toBe(before);
  });
});
