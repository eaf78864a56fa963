/** The rows that a choice of quotes rests on: those of the plan, with prices, points and what is spent already. */
import type { Store } from "../store/client.ts";
import { NotFound } from "../store/fault.ts";
import { dayOf, SAYS_DAY } from "./day.ts";
import { loadRates, type Rates } from "./exchange.ts";
import { LANDING, type LandedQuote, type Landing, ORDER_TERMS, type OrderTermsRow } from "./landed.ts";
import { loadRows } from "./load.ts";
import { type JudgedPart, type JudgedQuote, loadSheet, type Sheet } from "./points.ts";
import type { PlanRows } from "./rows.ts";

export interface ChoiceRows {
  plan: PlanRows;
  /** Day the figures are for. */
  figuresFor: string;
  planRevision: number;
  restoration: Landing & {
    capMinor: number | null;
    pricePerDayMinor: number | null;
    pricePerPointMinor: number | null;
  };
  rates: Rates;
  sheet: Sheet;
  /** By id. */
  parts: ReadonlyMap<string, JudgedPart & { quantity: number; kept: boolean }>;
  quotes: ReadonlyMap<string, WeighedQuote>;
  remedies: ReadonlyMap<string, Priced & { code: string; title: string }>;
  ways: ReadonlyMap<string, Priced>;
  /** Section of each operation. */
  sections: ReadonlyMap<string, string>;
  /** Line of the judging sheet of each operation; null: none. */
  workLines: ReadonlyMap<string, string | null>;
}

export type WeighedQuote = LandedQuote & JudgedQuote & { supplier: { name: string } & OrderTermsRow };

export interface Priced {
  priceMinor: number;
  currency: string;
  points: number;
}

/** Throws {@link NotFound}. Without a date, the restoration's own day of the figures, else today. */
export async function loadChoiceRows(
  store: Store,
  restorationId: string,
  figuresFor: string | undefined,
): Promise<ChoiceRows> {
  // The revision is read first: what is changed while the rest is read makes the result stale.
  const restoration = await store.restoration.findUnique({
    where: { id: restorationId },
    select: {
      workshopId: true,
      planRevision: true,
      ...SAYS_DAY,
      ...LANDING,
      capMinor: true,
      pricePerDayMinor: true,
      pricePerPointMinor: true,
    },
  });
  if (restoration === null) throw new NotFound("restoration", restorationId);
  const day = figuresFor ?? dayOf(restoration);
  const where = { restorationId };
  const [plan, rates, sheet, parts, quotes, breaks, knockOns, suppliers, remedies, ways, operations] =
    await Promise.all([
      loadRows(store, restorationId),
      loadRates(store, restoration.workshopId, day),
      loadSheet(store, restorationId),
      store.part.findMany({
        where,
        select: {
          id: true,
          quantity: true,
          kept: true,
          section: true,
          visible: true,
          judgingSectionId: true,
          judgingLineId: true,
        },
      }),
      store.quote.findMany({
        where,
        select: {
          id: true,
          provenance: true,
          pointsByHand: true,
          currency: true,
          unitPriceMinor: true,
          minimumQuantity: true,
          carriageMinor: true,
          insuranceMinor: true,
          dutyRate: true,
          taxRate: true,
          incoterm: true,
          coreChargeMinor: true,
          coreReturned: true,
          supplierId: true,
        },
      }),
      // What hangs on the quotes is asked for by the restoration: by their ids it would be more than one query may name.
      store.priceBreak.findMany({
        where: { quote: where },
        select: { quoteId: true, quantity: true, unitPriceMinor: true },
        orderBy: { quantity: "asc" },
      }),
      store.knockOn.findMany({
        where: { quote: where },
        select: { quoteId: true, title: true, priceMinor: true, currency: true, points: true },
        orderBy: [{ position: "asc" }, { id: "asc" }],
      }),
      store.supplier.findMany({
        where: { workshopId: restoration.workshopId },
        select: { id: true, name: true, ...ORDER_TERMS },
      }),
      store.remedy.findMany({
        where,
        select: { id: true, code: true, title: true, priceMinor: true, currency: true, points: true },
      }),
      store.operationWay.findMany({ where, select: { id: true, priceMinor: true, currency: true, points: true } }),
      store.operation.findMany({ where, select: { id: true, section: true, judgingLineId: true } }),
    ]);
  const byId = <Row extends { id: string }>(rows: readonly Row[]): Map<string, Row> =>
    new Map(rows.map((row) => [row.id, row]));
  const breaksOf = grouped(breaks, ({ quoteId }) => quoteId);
  const knockOnsOf = grouped(knockOns, ({ quoteId }) => quoteId);
  const supplierOf = new Map(suppliers.map(({ id, ...supplier }) => [id, supplier]));
  return {
    plan,
    figuresFor: day,
    planRevision: restoration.planRevision,
    restoration,
    rates,
    sheet,
    parts: byId(parts),
    quotes: new Map(
      quotes.map(({ supplierId, ...quote }) => [
        quote.id,
        {
          ...quote,
          priceBreaks: breaksOf.get(quote.id) ?? [],
          knockOns: knockOnsOf.get(quote.id) ?? [],
          supplier: supplierOf.get(supplierId)!,
        },
      ]),
    ),
    remedies: byId(remedies),
    ways: byId(ways),
    sections: new Map(operations.map(({ id, section }) => [id, section])),
    workLines: new Map(operations.map(({ id, judgingLineId }) => [id, judgingLineId])),
  };
}

/** Rows under the row that they hang on, in the order in which they come. */
export function grouped<Row>(rows: readonly Row[], keyOf: (row: Row) => string): Map<string, Row[]> {
  const groups = new Map<string, Row[]>();
  for (const row of rows) {
    const known = groups.get(keyOf(row));
    if (known === undefined) groups.set(keyOf(row), [row]);
    else known.push(row);
  }
  return groups;
}
