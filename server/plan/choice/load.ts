/** The rows that a choice of quotes rests on: those of the plan, with prices, points and what is spent already. */
import type { Store, Tx } from "../../store/client.ts";
import { NotFound } from "../../store/fault.ts";
import { dayOf, SAYS_DAY } from "../days/day.ts";
import { loadRates, type Rates } from "../money/exchange.ts";
import { LANDING, type LandedQuote, type Landing, ORDER_TERMS, type OrderTermsRow } from "../money/landed.ts";
import { loadRows } from "../rows/load.ts";
import type { PlanRows } from "../rows/rows.ts";
import { type JudgedPart, type JudgedQuote, loadSheet, type Sheet } from "./points.ts";

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
  parts: ReadonlyMap<string, PricedPart>;
  quotes: ReadonlyMap<string, WeighedQuote>;
  remedies: ReadonlyMap<string, Priced & { code: string; title: string }>;
  ways: ReadonlyMap<string, Priced>;
  /** Group of each operation. */
  groups: ReadonlyMap<string, string>;
  /** Line of the judging sheet of each operation; null: none. */
  workLines: ReadonlyMap<string, string | null>;
}

export type PricedPart = JudgedPart & { quantity: number; kept: boolean; estimateMinor: number | null };

/** The deposit is in the quote's currency. */
export type WeighedQuote = LandedQuote &
  JudgedQuote & { depositMinor: number; supplier: { name: string } & OrderTermsRow };

export interface Priced {
  priceMinor: number;
  currency: string;
  points: number;
}

/** Where the rows come from that there are most of: read anew, or kept. Each is told the plan revision that the store has now. */
export interface ManyRows {
  plan: (store: Store, restorationId: string, revision: number) => Promise<PlanRows>;
  parts: (store: Store, restorationId: string, revision: number) => Promise<ReadonlyMap<string, PricedPart>>;
  quotes: (store: Store, restorationId: string, revision: number) => Promise<ReadonlyMap<string, WeighedQuote>>;
  rates: (
    store: Store,
    restoration: { id: string; workshopId: string },
    day: string,
    revision: number,
  ) => Promise<Rates>;
}

export const READ_ANEW: ManyRows = {
  plan: (store, restorationId) => loadRows(store, restorationId),
  parts: (store, restorationId) => loadParts(store, { restorationId }),
  quotes: (store, restorationId) => loadQuotes(store, { restorationId }),
  rates: (store, { workshopId }, day) => loadRates(store, workshopId, day),
};

/** Throws {@link NotFound}. Without a date, the restoration's own day of the figures, else today. */
export async function loadChoiceRows(
  store: Store,
  restorationId: string,
  figuresFor: string | undefined,
  many = READ_ANEW,
): Promise<ChoiceRows> {
  // The revision is read first: what is changed while the rest is read makes the result stale.
  const restoration = await store.restoration.findUnique({
    where: { id: restorationId },
    select: {
      id: true,
      workshopId: true,
      planRevision: true,
      ...SAYS_DAY,
      ...LANDING,
      capMinor: true,
      pricePerDayMinor: true,
      pricePerPointMinor: true,
    },
  });
  if (restoration === null) throw new NotFound("restoration");
  const day = figuresFor ?? dayOf(restoration);
  const where = { restorationId };
  const { planRevision } = restoration;
  const [plan, rates, sheet, parts, quotes, remedies, ways, operations] = await Promise.all([
    many.plan(store, restorationId, planRevision),
    many.rates(store, restoration, day, planRevision),
    loadSheet(store, restorationId),
    many.parts(store, restorationId, planRevision),
    many.quotes(store, restorationId, planRevision),
    store.remedy.findMany({
      where,
      select: { id: true, code: true, title: true, priceMinor: true, currency: true, points: true },
    }),
    store.operationWay.findMany({ where, select: { id: true, priceMinor: true, currency: true, points: true } }),
    store.operation.findMany({ where, select: { id: true, group: true, judgingLineId: true } }),
  ]);
  return {
    plan,
    figuresFor: day,
    planRevision,
    restoration,
    rates,
    sheet,
    parts,
    quotes,
    remedies: byId(remedies),
    ways: byId(ways),
    groups: new Map(operations.map(({ id, group }) => [id, group])),
    workLines: new Map(operations.map(({ id, judgingLineId }) => [id, judgingLineId])),
  };
}

const byId = <Row extends { id: string }>(rows: readonly Row[]): Map<string, Row> =>
  new Map(rows.map((row) => [row.id, row]));

/** Which rows of a restoration: all, or those with the ids. */
export interface Which {
  restorationId: string;
  id?: { in: string[] };
}

export const loadParts = async (store: Store, where: Which): Promise<Map<string, PricedPart>> =>
  byId(
    await store.part.findMany({
      where,
      select: {
        id: true,
        quantity: true,
        kept: true,
        group: true,
        visible: true,
        judgingSectionId: true,
        judgingLineId: true,
        estimateMinor: true,
      },
    }),
  );

/** The suppliers of a restoration's workshop. */
export const suppliersOf = (restorationId: string) => ({
  workshop: { restorations: { some: { id: restorationId } } },
});

export async function loadQuotes(store: Store | Tx, where: Which): Promise<Map<string, WeighedQuote>> {
  const [quotes, breaks, knockOns, suppliers] = await Promise.all([
    store.quote.findMany({
      where,
      select: {
        id: true,
        provenance: true,
        pointsByHand: true,
        currency: true,
        unitPriceMinor: true,
        depositMinor: true,
        minimumQuantity: true,
        carriageMinor: true,
        insuranceMinor: true,
        dutyRate: true,
        taxRate: true,
        incoterm: true,
        coreChargeMinor: true,
        coreReturned: true,
        weightGrams: true,
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
      where: suppliersOf(where.restorationId),
      select: { id: true, name: true, ...ORDER_TERMS },
    }),
  ]);
  const breaksOf = grouped(breaks, ({ quoteId }) => quoteId);
  const knockOnsOf = grouped(knockOns, ({ quoteId }) => quoteId);
  const supplierOf = new Map(suppliers.map(({ id, ...supplier }) => [id, supplier]));
  return new Map(
    quotes.map(({ supplierId, ...quote }) => [
      quote.id,
      {
        ...quote,
        priceBreaks: breaksOf.get(quote.id) ?? [],
        knockOns: knockOnsOf.get(quote.id) ?? [],
        supplier: supplierOf.get(supplierId)!,
      },
    ]),
  );
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
