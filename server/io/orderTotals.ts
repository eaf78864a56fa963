/** What an order of the files comes to where its total is left blank: the landed cost by the rows that are held. */
import { grouped } from "../plan/choice/load.ts";
import { type RateRow, type Rates, ratesOnDays } from "../plan/money/exchange.ts";
import { type Landed, type LandedQuote, type Landing, landedOf } from "../plan/money/landed.ts";
import type { Values } from "./columns.ts";
import type { Held } from "./held.ts";

/** The rates that are held, on whatever day is asked. */
export const heldRatesOn = (held: Held): ((day: string) => Rates) =>
  ratesOnDays(held.get("exchangeRate")!.map((row) => row.values as unknown as RateRow));

/** Reads parts, suppliers, quotes, price breaks, knock-ons and rates once; they stand in the files before the orders. */
export class OrderTotals {
  private readonly quotes: ReadonlyMap<unknown, Values>;
  /** By code of the part: how many the machine needs. */
  private readonly pieces: ReadonlyMap<unknown, number>;
  private readonly suppliers: ReadonlyMap<unknown, Values>;
  private readonly breaks: ReadonlyMap<string, Values[]>;
  private readonly knockOns: ReadonlyMap<string, Values[]>;
  private readonly ratesOn: (day: string) => Rates;

  constructor(private readonly held: Held) {
    const values = (table: "part" | "supplier" | "quote" | "priceBreak" | "knockOn") =>
      held.get(table)!.map((row) => row.values);
    const byQuote = (rows: readonly Values[]) => grouped(rows, (row) => String(row["quote"]));
    this.quotes = new Map(values("quote").map((quote) => [quote["code"], quote]));
    this.suppliers = new Map(values("supplier").map((supplier) => [supplier["code"], supplier]));
    this.pieces = new Map(values("part").map((part) => [part["code"], Number(part["quantity"])]));
    this.breaks = byQuote(values("priceBreak"));
    this.knockOns = byQuote(values("knockOn"));
    this.ratesOn = heldRatesOn(held);
  }

  /** In the order's currency; undefined where the order names no quote that is held, or its quote no such supplier. */
  of(order: Values): Landed | undefined {
    const quote = this.quotes.get(order["quote"]);
    const supplier = this.suppliers.get(quote?.["supplier"]);
    if (quote === undefined || supplier === undefined) return undefined;
    const code = String(order["quote"]);
    const landed = {
      ...quote,
      priceBreaks: this.breaks.get(code) ?? [],
      knockOns: this.knockOns.get(code) ?? [],
      supplier,
    } as unknown as LandedQuote;
    const { customsBasis, carriageTaxed } = this.held.get("restoration")![0]!.values as unknown as Landing;
    const into = { currency: String(order["currency"]), customsBasis, carriageTaxed };
    const cores = this.pieces.get(quote["part"]);
    return landedOf(landed, Number(order["quantity"]), into, this.ratesOn(String(order["placedOn"])), { cores });
  }
}
