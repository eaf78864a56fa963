/** What comes to more than the owner's limit: chosen, so that it waits for consent before it is ordered, or ordered. */
import { into } from "../../engine/money/exposure.ts";
import { compareCodes } from "../../store/codes.ts";
import { chosenWays } from "../network/work.ts";
import { newestAbout } from "../parts/declined.ts";
import type { HoldUp } from "../plan.ts";
import { currencyOf, rateOf } from "./exchange.ts";
import { Ahead } from "./exposureAhead.ts";
import type { ExposureRows } from "./exposureLoad.ts";
import { landedOf } from "./landed.ts";
import { type OrdersAhead, ordersAheadOf } from "./ordersAhead.ts";

export interface ConsentDue {
  kind: "PART" | "SNAG" | "OPERATION" | "ORDER";
  rowId: string;
  code: string;
  title: string;
  /** What the owner would be asked about: a part's chosen quote, an order's own, a snag's chosen remedy, an operation's chosen way. */
  quoteId: string | null;
  remedyId: string | null;
  wayId: string | null;
  /** Landed, of a part as an order of its own; of an order what it comes to; in minor units of the restoration's currency. */
  amountMinor: number;
}

/** The dearest first; none without a limit. Whether the owner was asked is not looked at. */
export function consentDue(rows: ExposureRows): ConsentDue[] {
  const limit = rows.money.consentOverMinor;
  if (limit === null) return [];
  const sums = new Map<string, number>();
  const home = currencyOf(rows.restoration.currency);
  const ahead = new Ahead(rows);
  const { entries, accounts, deposited } = ahead;
  // Of what is looked for the dearer of find and fallback counts: each other chosen part has one price.
  for (const { id, bucket, high } of entries)
    if (bucket === "CHOSEN") sums.set(id, (sums.get(id) ?? deposited.get(id) ?? 0) + high);
  // An order is of one part: until it goes out with others it would be charged all that an order is charged.
  for (const [partId, quoteId] of ahead.toOrder) {
    const [alone, shared] = [true, false].map((later) => ahead.landed(partId, quoteId, later).totalMinor);
    const known = sums.get(partId);
    if (known !== undefined && alone != null && shared != null) sums.set(partId, known + alone - shared);
  }
  // Consent is for the whole sum, however much of it is paid.
  for (const { id, rest, totalMinor, currency, rate } of accounts) {
    const total = rest === "CHOSEN" ? into(totalMinor, currency, home, rate) : null;
    if (total !== null) sums.set(id, total);
  }
  const { parts, snags, operations } = rows.plan;
  const ways = chosenWays(rows.plan);
  const named = new Map<string, Omit<ConsentDue, "amountMinor">>([
    ...operations.map(
      (o) => [o.id, { ...naming("OPERATION", o.id, o.code, o.title), wayId: ways.get(o.id)?.id ?? null }] as const,
    ),
    ...snags.map((s) => [s.id, { ...naming("SNAG", s.id, s.code, s.title), remedyId: s.chosenRemedyId }] as const),
    ...parts.map((p) => [p.id, { ...naming("PART", p.id, p.code, p.name), quoteId: p.chosenQuoteId }] as const),
  ]);
  return [...sums]
    .map(([id, amountMinor]): ConsentDue => ({ ...named.get(id)!, amountMinor }))
    .concat(orders(rows))
    .filter(({ amountMinor }) => amountMinor > limit)
    .sort((a, b) => b.amountMinor - a.amountMinor || compareCodes(a.code, b.code));
}

/**
 * Every order that was not sent back: landed as quoted, or its own total where that is more, since a total may leave out
 * carriage, duty and tax. What has no rate cannot be held against the limit.
 */
function orders({ accounts, restoration, rates, quotes, parts }: ExposureRows): ConsentDue[] {
  const home = currencyOf(restoration.currency);
  return accounts.flatMap(({ id, code, state, quantity, totalMinor, currency, part, partId, quoteId }) => {
    if (state === "SENT_BACK") return [];
    const total = into(totalMinor, currencyOf(currency), home, rateOf(null, currency, home.code, rates));
    const quote = quotes.get(quoteId);
    const cores = parts.get(partId)!.quantity;
    const landed = quote === undefined ? null : landedOf(quote, quantity, restoration, rates, { cores }).totalMinor;
    const sums = [total, landed].filter((sum) => sum !== null);
    if (sums.length === 0) return [];
    return [{ ...naming("ORDER", id, code, part.name), quoteId, amountMinor: Math.max(...sums) }];
  });
}

/** What is looked up in rows for each line that is to be ordered, put together once for the same rows. */
class Known {
  readonly newest;
  readonly quotes;
  readonly parts;
  private readonly rows: ExposureRows;
  private orders: OrdersAhead | undefined;

  constructor(rows: ExposureRows) {
    this.rows = rows;
    this.newest = newestAbout(rows.plan.decisions ?? []);
    this.quotes = new Map(rows.plan.quotes.map((quote) => [quote.id, quote]));
    this.parts = new Map(rows.plan.parts.map((part) => [part.id, part]));
  }

  get ordersAhead(): OrdersAhead {
    this.orders ??= ordersAheadOf(this.rows);
    return this.orders;
  }
}

const KNOWN = new WeakMap<ExposureRows, Known>();

function knownOf(rows: ExposureRows): Known {
  const known = KNOWN.get(rows) ?? new Known(rows);
  KNOWN.set(rows, known);
  return known;
}

/** The same of one quote as an order of its own, whether it is chosen or not; null within the limit, or without one. */
export function consentOfQuote(rows: ExposureRows, quoteId: string): ConsentDue | null {
  const limit = rows.money.consentOverMinor;
  const known = knownOf(rows);
  const named = known.quotes.get(quoteId);
  const part = known.parts.get(named?.partId ?? "");
  if (limit === null || named === undefined || part === undefined) return null;
  const quantity = rows.parts.get(part.id)!.quantity;
  const { totalMinor } = known.ordersAhead.landed(named, rows.quotes.get(quoteId)!, quantity, { later: true });
  if (totalMinor === null || totalMinor <= limit) return null;
  return { ...naming("PART", part.id, part.code, part.name), quoteId, amountMinor: totalMinor };
}

/**
 * What is wanting of the owner's consent where a hold-up is ordered, in words: it was asked and not answered, or the sum is
 * over the limit and nobody asked. Null where nothing is. Of what is not decided the quote that stands in is weighed.
 */
export function consentWanting(
  rows: ExposureRows,
  due: readonly ConsentDue[],
  { kind, rowId, quoteId, remedyId, orderId, declinedId, decided }: HoldUp,
): string | null {
  if (orderId !== null || declinedId !== null) return null;
  const said = knownOf(rows).newest.get(quoteId ?? remedyId ?? "")?.state;
  if (said === "WAITING") return "owner asked, no answer yet";
  if (said === "APPROVED") return null;
  const over = decided
    ? due.some((one) => one.kind === kind && one.rowId === rowId)
    : quoteId !== null && consentOfQuote(rows, quoteId) !== null;
  return over ? "over the limit, owner not asked" : null;
}

const naming = <Kind extends ConsentDue["kind"]>(kind: Kind, rowId: string, code: string, title: string) => ({
  kind,
  rowId,
  code,
  title,
  quoteId: null,
  remedyId: null,
  wayId: null,
});
