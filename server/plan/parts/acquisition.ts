/** How each outstanding part and snag is being got: by an order, a chosen quote or remedy, or as yet by nobody. */

import type { ShopCalendar } from "../../engine/time/calendar.ts";
import { daysBetween } from "../../engine/time/date.ts";
import { compareCodes } from "../../store/codes.ts";
import type { HuntRow, OrderRow, PartRow, PlanRows, QuoteRow, RemedyRow, SnagRow } from "../rows/rows.ts";
import { Declined } from "./declined.ts";
import { RuledOut } from "./ruledOut.ts";

export type SupplyState =
  | "IN_HAND"
  | "NO_SOURCE"
  | "HUNTED"
  | "UNDECIDED"
  | "TO_ORDER"
  | "ORDERED"
  | "LATE"
  | "ARRIVED";

export interface Acquisition {
  /** "part:ID" or "snag:ID"; also the network's node for the arrival. */
  id: string;
  kind: "PART" | "SNAG";
  rowId: string;
  code: string;
  title: string;
  state: SupplyState;
  /** No source: nothing says when it will be here. */
  open: boolean;
  /** False while the quickest quote or remedy stands in for a decision not yet taken. */
  decided: boolean;
  quoteId: string | null;
  orderId: string | null;
  remedyId: string | null;
  /** The decision by which the owner declined what was asked last about it; null where another is chosen, or it is ordered. */
  declinedId: string | null;
  /** ISO date on which the order goes or went out. */
  orderOn: string | null;
  /** Day of arrival, counted from the day of the figures; null while open. */
  arrival: number | null;
  /** Lead time as promised, in calendar days; null while open. */
  leadDays: number | null;
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

/** Outstanding parts and snags, and orders past their promise, on a day of figures. */
export function acquisitionsOf(
  rows: PlanRows,
  figuresFor: string,
  calendar: ShopCalendar,
): { outstanding: Acquisition[]; late: LateOrder[] } {
  const done = new Set<string>();
  for (const o of rows.operations) if (o.state === "DONE") done.add(o.id);
  const needs = groupBy(rows.needs, (n) => n.partId);
  const quotes = groupBy(rows.quotes, (q) => q.partId);
  const orders = groupBy(rows.orders, (o) => o.partId);
  const remedies = groupBy(rows.remedies, (r) => r.snagId);
  const ruledOut = new RuledOut(rows);
  const hunts = new Map(rows.hunts.map((hunt) => [hunt.partId, hunt]));
  const declined = new Declined(rows);
  const broughtHours = new Map<string, number>();
  for (const { quoteId, hours } of rows.knockOns) broughtHours.set(quoteId, (broughtHours.get(quoteId) ?? 0) + hours);
  const outstanding: Acquisition[] = [];
  const late: LateOrder[] = [];

  for (const part of rows.parts) {
    if (part.stateOnHand === "IN_HAND") continue;
    const operationIds: string[] = [];
    const own = needs.get(part.id) ?? NONE;
    for (const { operationId } of own)
      if (!done.has(operationId) && !operationIds.includes(operationId)) operationIds.push(operationId);
    // Fitted already: every operation that needs it is done.
    if (own.length > 0 && operationIds.length === 0) continue;
    const everyQuote = quotes.get(part.id) ?? NONE;
    const live = liveOrder(orders.get(part.id) ?? NONE, figuresFor);
    if (live === "ARRIVED") continue;
    if (live !== null) {
      const ordered = orderedPart(part, live, everyQuote, operationIds, figuresFor, calendar);
      outstanding.push(ordered);
      if (ordered.state === "LATE") late.push({ order: live, daysLate: daysBetween(live.promisedOn, figuresFor) });
      continue;
    }
    // What the owner declined is neither in force nor stands in.
    const partQuotes = everyQuote.filter(({ id }) => !declined.has(id));
    const chosen = partQuotes.find((q) => q.id === part.chosenQuoteId);
    const stopped = chosen === undefined ? stoppedHunt(part, hunts.get(part.id), partQuotes, figuresFor) : null;
    if (stopped !== null) {
      const from = { ...stopped.quote, orderFrom: firstOrderDay(stopped.quote, stopped.on) };
      const fallback = quotedPart(part, from, true, operationIds, figuresFor, calendar);
      outstanding.push(stopped.searching ? { ...fallback, state: "HUNTED" } : fallback);
      continue;
    }
    // What is ruled out stands in for nothing.
    const quote =
      chosen ??
      quickest(
        partQuotes.filter((one) => !ruledOut.has(one)),
        figuresFor,
      );
    if (quote !== undefined)
      outstanding.push(quotedPart(part, quote, chosen !== undefined, operationIds, figuresFor, calendar));
    // A part on the shelf that only needs work has a source: itself.
    else if (part.stateOnHand === "MISSING") outstanding.push(openPart(part, operationIds));
    const last = outstanding.at(-1);
    if (chosen === undefined && last?.rowId === part.id)
      last.declinedId = declined.last(everyQuote.map(({ id }) => id));
  }
  for (const acquisition of outstanding)
    if (acquisition.quoteId !== null) acquisition.preparationHours += broughtHours.get(acquisition.quoteId) ?? 0;
  for (const snag of rows.snags) {
    if (snag.clearedOn !== null && snag.clearedOn <= figuresFor) continue;
    if (!done.has(snag.operationId))
      outstanding.push(openSnag(snag, remedies.get(snag.id) ?? NONE, declined, figuresFor));
  }
  return { outstanding, late };
}

const NONE: readonly never[] = [];

/** Whether a hunt had begun by the day of the figures: on a day before, nobody looks. */
export const huntHasBegun = ({ begunOn }: Pick<HuntRow, "begunOn">, figuresFor: string): boolean =>
  begunOn <= figuresFor;

/** Whether a hunt is on: begun, and looked for until its stop date, or until it is found. */
export const huntIsOn = (hunt: Pick<HuntRow, "state" | "begunOn" | "stopDate">, figuresFor: string): boolean =>
  hunt.state === "SEARCHING" &&
  huntHasBegun(hunt, figuresFor) &&
  (hunt.stopDate === null || hunt.stopDate >= figuresFor);

/**
 * What a hunt comes to where nothing is found: its fallback, ordered on the stop date, or as soon as can be once that has
 * passed. Null while no hunt has begun, or where it has no stop date or no fallback.
 */
function stoppedHunt(
  part: PartRow,
  hunt: HuntRow | undefined,
  quotes: readonly QuoteRow[],
  figuresFor: string,
): { quote: QuoteRow; on: string; searching: boolean } | null {
  const quote = quotes.find(({ id }) => id === part.fallbackQuoteId);
  if (hunt === undefined || quote === undefined || hunt.state === "FOUND" || !huntHasBegun(hunt, figuresFor))
    return null;
  if (hunt.state === "STOPPED") return { quote, on: figuresFor, searching: false };
  if (hunt.stopDate === null) return null;
  const passed = hunt.stopDate < figuresFor;
  return { quote, on: passed ? figuresFor : hunt.stopDate, searching: !passed };
}

const cameBy = ({ arrivedOn }: OrderRow, figuresFor: string): boolean => arrivedOn !== null && arrivedOn <= figuresFor;

const stateOfCome = ({ state }: OrderRow): SupplyState => (state === "ARRIVED" ? "ARRIVED" : "IN_HAND");

/** The state of a part that is no longer waited for: what has come is still to be tried until it is accepted. */
export function stateWhenHere(orders: readonly OrderRow[], figuresFor: string): SupplyState {
  const come = orders.findLast((order) => order.state !== "SENT_BACK" && cameBy(order, figuresFor));
  return come === undefined ? "IN_HAND" : stateOfCome(come);
}

/** The newest order that was not sent back; null without one; ARRIVED when one has come before the day of the figures. */
function liveOrder(orders: readonly OrderRow[], figuresFor: string): OrderRow | "ARRIVED" | null {
  let newest: OrderRow | null = null;
  for (const order of orders) {
    if (order.state === "SENT_BACK") continue;
    if (order.arrivedOn !== null && order.arrivedOn < figuresFor) return "ARRIVED";
    if (newest === null || order.placedOn > newest.placedOn) newest = order;
  }
  return newest;
}

function orderedPart(
  part: PartRow,
  order: OrderRow,
  quotes: readonly QuoteRow[],
  operationIds: string[],
  figuresFor: string,
  calendar: ShopCalendar,
): Acquisition {
  const expected = order.arrivedOn ?? order.expectedOn ?? order.promisedOn;
  return {
    id: `part:${part.id}`,
    kind: "PART",
    rowId: part.id,
    code: part.code,
    title: part.name,
    state: cameBy(order, figuresFor)
      ? stateOfCome(order)
      : order.arrivedOn === null && order.promisedOn < figuresFor
        ? "LATE"
        : "ORDERED",
    open: false,
    decided: true,
    quoteId: order.quoteId,
    orderId: order.id,
    remedyId: null,
    declinedId: null,
    orderOn: order.placedOn,
    arrival: Math.max(0, calendar.day(expected)),
    leadDays: daysBetween(order.placedOn, order.promisedOn),
    preparationHours: quotes.find((q) => q.id === order.quoteId)?.preparationHours ?? 0,
    preparationTitle: `Prepare ${part.name}`,
    operationIds,
  };
}

function quotedPart(
  part: PartRow,
  quote: QuoteRow,
  decided: boolean,
  operationIds: string[],
  figuresFor: string,
  calendar: ShopCalendar,
): Acquisition {
  const orderOn = firstOrderDay(quote, figuresFor);
  return {
    id: `part:${part.id}`,
    kind: "PART",
    rowId: part.id,
    code: part.code,
    title: part.name,
    state: decided ? "TO_ORDER" : "UNDECIDED",
    open: false,
    decided,
    quoteId: quote.id,
    orderId: null,
    remedyId: null,
    declinedId: null,
    orderOn,
    arrival: calendar.day(orderOn) + quote.leadDays,
    leadDays: quote.leadDays,
    preparationHours: quote.preparationHours,
    preparationTitle: `Prepare ${part.name}`,
    operationIds,
  };
}

const openPart = (part: PartRow, operationIds: string[]): Acquisition => ({
  id: `part:${part.id}`,
  kind: "PART",
  rowId: part.id,
  code: part.code,
  title: part.name,
  state: "NO_SOURCE",
  open: true,
  decided: false,
  quoteId: null,
  orderId: null,
  remedyId: null,
  declinedId: null,
  orderOn: null,
  arrival: null,
  leadDays: null,
  preparationHours: 0,
  preparationTitle: "",
  operationIds,
});

function openSnag(snag: SnagRow, all: readonly RemedyRow[], declined: Declined, figuresFor: string): Acquisition {
  const remedies = all.filter(({ id }) => !declined.has(id));
  const chosen = remedies.find((r) => r.id === snag.chosenRemedyId);
  const remedy =
    chosen ??
    [...remedies].sort(
      (a, b) => a.days - b.days || a.hours - b.hours || cheaper(a, b) || compareCodes(a.code, b.code),
    )[0];
  return {
    id: `snag:${snag.id}`,
    kind: "SNAG",
    rowId: snag.id,
    code: snag.code,
    title: snag.title,
    state: remedy === undefined ? "NO_SOURCE" : chosen === undefined ? "UNDECIDED" : "TO_ORDER",
    open: remedy === undefined,
    decided: chosen !== undefined,
    quoteId: null,
    orderId: null,
    remedyId: remedy?.id ?? null,
    declinedId: chosen === undefined ? declined.last(all.map(({ id }) => id)) : null,
    orderOn: remedy === undefined ? null : figuresFor,
    // A remedy that needs nothing from outside can begin at once.
    arrival: remedy === undefined ? null : remedy.days === 0 ? -1 : remedy.days,
    leadDays: remedy?.days ?? null,
    preparationHours: remedy?.hours ?? 0,
    preparationTitle: `Remedy: ${snag.title}`,
    operationIds: [snag.operationId],
  };
}

/** The first day on which an order for this quote can go out. */
export function firstOrderDay(quote: { orderFrom: string | null }, figuresFor: string): string {
  return quote.orderFrom !== null && quote.orderFrom > figuresFor ? quote.orderFrom : figuresFor;
}

/** Past its validity on the day of the figures. */
export function isExpired(quote: { validUntil: string | null }, figuresFor: string): boolean {
  return quote.validUntil !== null && quote.validUntil < figuresFor;
}

/** The quote by which a part that is not outstanding came: its newest order that was not sent back, else the one chosen. */
export function fittedQuote(part: PartRow, orders: readonly OrderRow[], declined: Declined): string | null {
  let newest: OrderRow | null = null;
  for (const order of orders)
    if (order.state !== "SENT_BACK" && (newest === null || order.placedOn > newest.placedOn)) newest = order;
  if (newest !== null) return newest.quoteId;
  return part.chosenQuoteId !== null && declined.has(part.chosenQuoteId) ? null : part.chosenQuoteId;
}

/** What stands in for an undecided part: the quote that brings it first, those still valid before those to be asked again, the cheaper of two as quick in one currency. */
function quickest(quotes: readonly QuoteRow[], figuresFor: string): QuoteRow | undefined {
  let best: QuoteRow | undefined;
  for (const quote of quotes) if (best === undefined || sooner(quote, best, figuresFor) < 0) best = quote;
  return best;
}

function sooner(a: QuoteRow, b: QuoteRow, figuresFor: string): number {
  const arrival = (q: QuoteRow): number =>
    q.leadDays + (q.orderFrom === null ? 0 : daysBetween(figuresFor, firstOrderDay(q, figuresFor)));
  return (
    Number(isExpired(a, figuresFor)) - Number(isExpired(b, figuresFor)) ||
    arrival(a) - arrival(b) ||
    cheaper({ ...a, priceMinor: a.unitPriceMinor }, { ...b, priceMinor: b.unitPriceMinor }) ||
    compareCodes(a.code, b.code)
  );
}

/** By price within a currency; without a rate no sum in one is more or less than a sum in another, and they stand by its code. */
const cheaper = (
  a: Pick<RemedyRow, "priceMinor" | "currency">,
  b: Pick<RemedyRow, "priceMinor" | "currency">,
): number => (a.currency === b.currency ? a.priceMinor - b.priceMinor : a.currency < b.currency ? -1 : 1);

export function groupBy<Row>(rows: readonly Row[], key: (row: Row) => string): Map<string, Row[]> {
  const groups = new Map<string, Row[]>();
  for (const row of rows) {
    const k = key(row);
    const group = groups.get(k);
    if (group === undefined) groups.set(k, [row]);
    else group.push(row);
  }
  return groups;
}
