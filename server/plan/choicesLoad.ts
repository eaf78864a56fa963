/** The rows that a choice of quotes rests on: those of the plan, with prices, points and what is spent already. */
import type { CustomsBasis } from "../engine/landedCost.ts";
import type { PaymentKind } from "../generated/prisma/enums.ts";
import type { Store } from "../store/client.ts";
import { NotFound } from "../store/fault.ts";
import { loadRates, type Rates } from "./exchange.ts";
import type { LandedQuote } from "./landed.ts";
import { loadRows } from "./load.ts";
import { type JudgedPart, type JudgedQuote, loadSheet, type Sheet } from "./points.ts";
import type { PlanRows } from "./rows.ts";
import { today } from "./today.ts";

export interface ChoiceRows {
  plan: PlanRows;
  /** Day the figures stand for. */
  dataDate: string;
  planRevision: number;
  restoration: {
    currency: string;
    customsBasis: CustomsBasis;
    capMinor: number | null;
    pricePerDayMinor: number | null;
    pricePerPointMinor: number | null;
  };
  rates: Rates;
  sheet: Sheet;
  /** By id. */
  parts: ReadonlyMap<string, JudgedPart & { quantity: number; locked: boolean }>;
  quotes: ReadonlyMap<string, WeighedQuote>;
  remedies: ReadonlyMap<string, Priced & { code: string; title: string }>;
  ways: ReadonlyMap<string, Priced>;
  /** Section of each operation. */
  sections: ReadonlyMap<string, string>;
  orders: readonly {
    code: string;
    state: string;
    totalMinor: number;
    currency: string;
    payments: readonly { kind: PaymentKind; amountMinor: number; currency: string }[];
  }[];
}

export type WeighedQuote = LandedQuote & JudgedQuote & { supplier: { name: string } };

export interface Priced {
  priceMinor: number;
  currency: string;
  points: number;
}

/** Throws {@link NotFound}. Without a date, the restoration's own data date, else today. */
export async function loadChoiceRows(
  store: Store,
  restorationId: string,
  dataDate: string | undefined,
): Promise<ChoiceRows> {
  // The revision is read first: what is changed while the rest is read makes the result stale.
  const restoration = await store.restoration.findUnique({
    where: { id: restorationId },
    select: {
      workshopId: true,
      planRevision: true,
      dataDate: true,
      currency: true,
      customsBasis: true,
      capMinor: true,
      pricePerDayMinor: true,
      pricePerPointMinor: true,
    },
  });
  if (restoration === null) throw new NotFound("restoration", restorationId);
  const day = dataDate ?? restoration.dataDate ?? today();
  const where = { restorationId };
  const [plan, rates, sheet, parts, quotes, remedies, ways, operations, orders] = await Promise.all([
    loadRows(store, restorationId),
    loadRates(store, restoration.workshopId, day),
    loadSheet(store, restorationId),
    store.part.findMany({
      where,
      select: { id: true, quantity: true, locked: true, section: true, visible: true, judgingSectionId: true },
    }),
    store.quote.findMany({
      where,
      select: {
        id: true,
        provenance: true,
        pointsAtRisk: true,
        currency: true,
        unitPriceMinor: true,
        minimumQuantity: true,
        freightMinor: true,
        insuranceMinor: true,
        dutyRate: true,
        taxRate: true,
        incoterm: true,
        coreChargeMinor: true,
        coreReturned: true,
        priceBreaks: { select: { quantity: true, unitPriceMinor: true }, orderBy: { quantity: "asc" } },
        knockOns: {
          select: { title: true, priceMinor: true, currency: true, points: true },
          orderBy: [{ position: "asc" }, { id: "asc" }],
        },
        supplier: { select: { name: true } },
      },
    }),
    store.remedy.findMany({
      where,
      select: { id: true, code: true, title: true, priceMinor: true, currency: true, points: true },
    }),
    store.operationWay.findMany({ where, select: { id: true, priceMinor: true, currency: true, points: true } }),
    store.operation.findMany({ where, select: { id: true, section: true } }),
    store.order.findMany({
      where,
      select: {
        code: true,
        state: true,
        totalMinor: true,
        currency: true,
        payments: { select: { kind: true, amountMinor: true, currency: true } },
      },
      orderBy: { code: "asc" },
    }),
  ]);
  const byId = <Row extends { id: string }>(rows: readonly Row[]): Map<string, Row> =>
    new Map(rows.map((row) => [row.id, row]));
  return {
    plan,
    dataDate: day,
    planRevision: restoration.planRevision,
    restoration,
    rates,
    sheet,
    parts: byId(parts),
    quotes: byId(quotes),
    remedies: byId(remedies),
    ways: byId(ways),
    sections: new Map(operations.map(({ id, section }) => [id, section])),
    orders,
  };
}
