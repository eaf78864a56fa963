/** How each outstanding part and snag is being got: by an order, a chosen quote or remedy, or as yet by nobody. */

import type { Estimate } from "../engine/beta.ts";
import type { ShopCalendar } from "../engine/calendar.ts";
import { daysBetween } from "../engine/date.ts";
import type { Standing } from "./plan.ts";
import type { OrderRow, PartRow, PlanRows, QuoteRow, RemedyRow, SnagRow } from "./rows.ts";

export interface Acquisition {
  /** "part:ID" or "snag:ID"; also the network's node for the arrival. */
  id: string;
  kind: "PART" | "SNAG";
  rowId: string;
  code: string;
  title: string;
  standing: Standing;
  /** No source: nothing says when it will be here. */
  open: boolean;
  /** False while the quickest quote or remedy stands in for a decision not yet taken. */
  decided: boolean;
  quoteId: string | null;
  orderId: string | null;
  remedyId: string | null;
  /** ISO date on which the order goes or went out. */
  orderOn: string | null;
  /** Day of arrival, counted from the data date; null while open. */
  arrival: number | null;
  /** Lead time in calendar days; null while open. */
  lead: { promised: number; estimate: Estimate | null } | null;
  /** Shop hours between arrival and fitting. */
  preparationHours: number;
  preparationTitle: string;
  /** Unfinished operations that wait for it. */
  operationIds: string[];
}

export interface LateOrder {
  order: OrderRow;
  daysLate: number;
}

/** Outstanding parts and snags, and orders past their promise, on a data date. */
export function acquisitionsOf(
  rows: PlanRows,
  dataDate: string,
  calendar: ShopCalendar,
): { outstanding: Acquisition[]; late: LateOrder[] } {
  const done = new Set(rows.operations.filter((o) => o.state === "DONE").map((o) => o.id));
  const waiting = groupBy(rows.needs, (n) => n.partId);
  const quotes = groupBy(rows.quotes, (q) => q.partId);
  const orders = groupBy(rows.orders, (o) => o.partId);
  const remedies = groupBy(rows.remedies, (r) => r.snagId);
  const outstanding: Acquisition[] = [];
  const late: LateOrder[] = [];

  for (const part of rows.parts) {
    if (part.stateOnHand === "IN_HAND") continue;
    const needs = waiting.get(part.id) ?? [];
    const operationIds = [...new Set(needs.map((n) => n.operationId))].filter((id) => !done.has(id));
    // Fitted already: every operation that needs it is done.
    if (needs.length > 0 && operationIds.length === 0) continue;
    const found = partAcquisition(part, quotes.get(part.id) ?? [], orders.get(part.id) ?? [], dataDate, calendar);
    if (found === null) continue;
    if (found.lateOrder !== null) late.push(found.lateOrder);
    outstanding.push({ ...found.acquisition, operationIds });
  }
  for (const snag of rows.snags) {
    if (snag.clearedOn !== null && snag.clearedOn <= dataDate) continue;
    if (done.has(snag.operationId)) continue;
    outstanding.push(snagAcquisition(snag, remedies.get(snag.id) ?? [], dataDate));
  }
  return { outstanding, late };
}

type PartAcquisition = { acquisition: Omit<Acquisition, "operationIds">; lateOrder: LateOrder | null };

/** Null when the part is in hand. */
function partAcquisition(
  part: PartRow,
  quotes: readonly QuoteRow[],
  orders: readonly OrderRow[],
  dataDate: string,
  calendar: ShopCalendar,
): PartAcquisition | null {
  const base = {
    id: `part:${part.id}`,
    kind: "PART" as const,
    rowId: part.id,
    code: part.code,
    title: part.name,
    remedyId: null,
    preparationTitle: `Prepare ${part.name}`,
  };
  const live = orders.filter((o) => o.state !== "SENT_BACK").sort((a, b) => b.placedOn.localeCompare(a.placedOn));
  if (live.some((o) => o.arrivedOn !== null && o.arrivedOn < dataDate)) return null;
  const order = live[0];
  if (order !== undefined) {
    const quote = quotes.find((q) => q.id === order.quoteId);
    const expected = order.arrivedOn ?? order.expectedOn ?? order.promisedOn;
    const daysLate = order.arrivedOn === null ? Math.max(0, daysBetween(order.promisedOn, dataDate)) : 0;
    return {
      acquisition: {
        ...base,
        standing: daysLate > 0 ? "LATE" : "ORDERED",
        open: false,
        decided: true,
        quoteId: order.quoteId,
        orderId: order.id,
        orderOn: order.placedOn,
        arrival: Math.max(0, calendar.day(expected)),
        lead: { promised: daysBetween(order.placedOn, order.promisedOn), estimate: null },
        preparationHours: quote?.preparationHours ?? 0,
      },
      lateOrder: daysLate > 0 ? { order, daysLate } : null,
    };
  }
  const chosen = quotes.find((q) => q.id === part.chosenQuoteId);
  const quote = chosen ?? quickest(quotes, dataDate);
  if (quote === undefined) {
    // A part on the shelf that only needs work has a source: itself.
    if (part.stateOnHand === "NEEDS_WORK") return null;
    return {
      acquisition: {
        ...base,
        standing: "NO_SOURCE",
        open: true,
        decided: false,
        quoteId: null,
        orderId: null,
        orderOn: null,
        arrival: null,
        lead: null,
        preparationHours: 0,
      },
      lateOrder: null,
    };
  }
  const orderOn = firstOrderDay(quote, dataDate);
  return {
    acquisition: {
      ...base,
      standing: chosen === undefined ? "UNDECIDED" : "TO_ORDER",
      open: false,
      decided: chosen !== undefined,
      quoteId: quote.id,
      orderId: null,
      orderOn,
      arrival: calendar.day(orderOn) + quote.leadDays,
      lead: { promised: quote.leadDays, estimate: estimateOf(quote) },
      preparationHours: quote.preparationHours,
    },
    lateOrder: null,
  };
}

function snagAcquisition(snag: SnagRow, remedies: readonly RemedyRow[], dataDate: string): Acquisition {
  const chosen = remedies.find((r) => r.id === snag.chosenRemedyId);
  const remedy =
    chosen ?? [...remedies].sort((a, b) => a.days - b.days || a.hours - b.hours || a.priceMinor - b.priceMinor)[0];
  return {
    id: `snag:${snag.id}`,
    kind: "SNAG",
    rowId: snag.id,
    code: snag.code,
    title: snag.title,
    standing: remedy === undefined ? "NO_SOURCE" : chosen === undefined ? "UNDECIDED" : "TO_ORDER",
    open: remedy === undefined,
    decided: chosen !== undefined,
    quoteId: null,
    orderId: null,
    remedyId: remedy?.id ?? null,
    orderOn: remedy === undefined ? null : dataDate,
    arrival: remedy === undefined ? null : remedy.days === 0 ? -1 : remedy.days,
    lead: remedy === undefined ? null : { promised: remedy.days, estimate: null },
    preparationHours: remedy?.hours ?? 0,
    preparationTitle: `Cure: ${snag.title}`,
    operationIds: [snag.operationId],
  };
}

/** The first day on which an order for this quote can go out. */
export function firstOrderDay(quote: { orderFrom: string | null }, dataDate: string): string {
  return quote.orderFrom !== null && quote.orderFrom > dataDate ? quote.orderFrom : dataDate;
}

/** Past its validity on the data date. */
export function isExpired(quote: { validUntil: string | null }, dataDate: string): boolean {
  return quote.validUntil !== null && quote.validUntil < dataDate;
}

/** What stands in for an undecided part: the quote that brings it first, those still valid before those to be asked again, the cheaper of two as quick. */
function quickest(quotes: readonly QuoteRow[], dataDate: string): QuoteRow | undefined {
  const arrival = (q: QuoteRow): number => daysBetween(dataDate, firstOrderDay(q, dataDate)) + q.leadDays;
  return [...quotes].sort(
    (a, b) =>
      Number(isExpired(a, dataDate)) - Number(isExpired(b, dataDate)) ||
      arrival(a) - arrival(b) ||
      a.unitPriceMinor - b.unitPriceMinor ||
      a.code.localeCompare(b.code),
  )[0];
}

function estimateOf(quote: QuoteRow): Estimate | null {
  const { leadLow: low, leadLikely: likely, leadHigh: high } = quote;
  return low === null || likely === null || high === null ? null : { low, likely, high };
}

function groupBy<Row>(rows: readonly Row[], key: (row: Row) => string): Map<string, Row[]> {
  const groups = new Map<string, Row[]>();
  for (const row of rows) {
    const k = key(row);
    const group = groups.get(k);
    if (group === undefined) groups.set(k, [row]);
    else group.push(row);
  }
  return groups;
}
