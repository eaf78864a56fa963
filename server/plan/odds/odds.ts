/** A restoration's rows as an uncertain model, and what its runs say on the rows. */

import type { Estimate } from "../../engine/chance/beta.ts";
import { recordSplit } from "../../engine/makers/logRecord.ts";
import { dayQuantile } from "../../engine/odds/days.ts";
import type { Odds, OddsRoom, OddsSoFar } from "../../engine/odds/odds.ts";
import {
  type Maker,
  NEVER,
  type OrderRoute,
  type Route,
  type TradeFactor,
  type UncertainHoldUp,
  type UncertainModel,
  type UncertainNode,
  type Wait,
} from "../../engine/odds/uncertainty.ts";
import type { ShopCalendar } from "../../engine/time/calendar.ts";
import { addDays, daysBetween } from "../../engine/time/date.ts";
import { compareCodes } from "../../store/codes.ts";
import { shopCalendar, shopDays } from "../days/shopDays.ts";
import { onHands, orderOfWork } from "../hands/orderOfWork.ts";
import { WorkRecords } from "../hands/workRecord.ts";
import { lookingOf } from "../hunt/outlook.ts";
import { MakerRecords } from "../makers/makerWait.ts";
import { chosenWays, onShopHours, operationNode, workOf } from "../network/work.ts";
import { type Acquisition, acquisitionsOf, firstOrderDay, huntIsOn } from "../parts/acquisition.ts";
import { Declined } from "../parts/declined.ts";
import type { HuntRow, OrderRow, PlanRows, QuoteRow } from "../rows/rows.ts";

/** What the runs of every restoration start from; the same seed always gives the same runs. */
export const SEED = 1;

/** Runs of every figure that is read off the end: until the 4-in-5 date's standard error is under half a calendar day. */
export const RUNS = { seed: SEED, probability: 0.8, tolerance: 0.5, maxSamples: 20_000 } as const;

/** The model of a restoration on a day of figures, its order of work kept. Pure. */
export function oddsModel(plan: PlanRows, figuresFor: string): UncertainModel {
  const model = modelInAnyOrder(plan, figuresFor);
  return { ...model, ...onHands(model, orderOfWork(plan, figuresFor)) };
}

/** The same without an order of work, by nobody's hands. Pure. */
export function modelInAnyOrder(plan: PlanRows, figuresFor: string): UncertainModel {
  const calendar = shopCalendar(plan, figuresFor);
  const ways = chosenWays(plan);
  const work = workOf(plan, ways, calendar);
  const operations = new Map(plan.operations.map((operation) => [operationNode(operation.id), operation]));
  const records = new WorkRecords(plan, figuresFor);
  const trades = new Map<string, TradeFactor>();
  const nodes: UncertainNode[] = work.nodes.map((node) => {
    const operation = operations.get(node.id);
    if (operation === undefined || operation.state === "DONE") return node;
    const { id, code, trade, hoursLeast: low, hoursLikely: likely, hoursMost: high } = operation;
    const factor = trades.get(trade) ?? records.factor(trade);
    if (factor !== null) trades.set(trade, factor);
    const taken = factor === null ? node : { ...node, trade };
    if (ways.has(id) || low === null || high === null || likely <= 0) return taken;
    // Of work under way as much of the estimate is open as is left of it.
    const share = node.hours / likely;
    // So little was likely that no estimate can be told from what is left.
    if (!Number.isFinite(high * share)) return taken;
    return { ...taken, name: operationNode(code), hours: { low: low * share, likely: node.hours, high: high * share } };
  });
  const links = [...work.links];
  const holdUps: UncertainHoldUp[] = [];
  const { outstanding } = acquisitionsOf(plan, figuresFor, calendar);
  const routes = new Routes(plan, figuresFor, calendar, outstanding);
  for (const a of outstanding) {
    nodes.push({ id: a.id, name: `${a.kind === "PART" ? "part" : "snag"}:${a.code}`, hours: 0 });
    holdUps.push({ node: a.id, route: routes.of(a) });
    let ready = a.id;
    const preparation = routes.preparationOf(a);
    if (preparation > 0) {
      ready = `preparation:${a.rowId}`;
      nodes.push({ id: ready, hours: preparation, ...onShopHours(plan, calendar) });
      links.push({ before: a.id, after: ready, lag: 0, lagInDays: false });
    }
    for (const id of a.operationIds) links.push({ before: ready, after: operationNode(id), lag: 0, lagInDays: false });
  }
  const { targetDate } = plan.restoration;
  return {
    calendar: shopDays(plan, figuresFor),
    nodes,
    links,
    holdUps,
    makers: routes.makers(),
    trades: [...trades.values()].sort((a, b) => (a.id < b.id ? -1 : 1)),
    targetDay: targetDate === null ? null : daysBetween(figuresFor, targetDate),
  };
}

/** How each outstanding part and snag comes, with its maker's record. */
class Routes {
  private readonly quotes: ReadonlyMap<string, QuoteRow>;
  private readonly records: MakerRecords;
  private readonly declined: Declined;
  private readonly used = new Map<string, Maker>();

  constructor(
    private readonly rows: PlanRows,
    private readonly figuresFor: string,
    private readonly calendar: ShopCalendar,
    outstanding: readonly Acquisition[],
  ) {
    this.quotes = new Map(rows.quotes.map((quote) => [quote.id, quote]));
    const out = new Set(outstanding.map(({ orderId }) => orderId));
    const drawn = rows.orders.filter((order) => out.has(order.id) && this.isDrawn(order));
    this.records = new MakerRecords(rows, figuresFor, new Set(drawn.map(({ id }) => id)));
    this.declined = new Declined(rows);
  }

  /** Whether how long an order takes is drawn by its maker's record, and is not said. */
  private isDrawn({ quoteId, arrivedOn, expectedOn }: OrderRow): boolean {
    const quote = this.quotes.get(quoteId);
    return arrivedOn === null && expectedOn === null && quote !== undefined && pointsOf(quote) === null;
  }

  makers(): Maker[] {
    return [...this.used.values()];
  }

  of(a: Acquisition): Route | null {
    const part = this.rows.parts.find(({ id }) => id === a.rowId);
    const fallbackId = part?.fallbackQuoteId ?? "";
    const fallbackQuote = this.declined.has(fallbackId) ? undefined : this.quotes.get(fallbackId);
    const quote = this.quotes.get(a.quoteId ?? "");
    const hunt = this.huntFor(a);
    if (hunt !== undefined) {
      const known = { ...this.huntRoute(hunt), wait: { kind: "FIXED", days: hunt.leadDays } } as const;
      // Without a stop date it is looked for until it is found.
      if (a.state !== "HUNTED" || quote === undefined) return known;
      const stopDay = this.calendar.day(a.orderOn!);
      return { ...known, stopDay, fallback: this.quoted(quote, stopDay) };
    }
    if (a.open) return null;
    const further =
      fallbackQuote === undefined || fallbackQuote.id === quote?.id
        ? undefined
        : this.quoted(fallbackQuote, this.calendar.day(firstOrderDay(fallbackQuote, this.figuresFor)));
    if (a.orderId !== null) return this.placed(a, quote, further);
    if (quote !== undefined) return { ...this.quoted(quote, this.calendar.day(a.orderOn!)), ...withFallback(further) };
    // A remedy: begun on the day of the figures, here when it is done.
    return { kind: "ORDER", orderDay: 0, wait: { kind: "FIXED", days: Math.max(0, a.arrival ?? 0) } };
  }

  /** Shop hours before it fits: of what nobody quotes and is hunted, those of a find. */
  preparationOf(a: Acquisition): number {
    return a.open ? (this.huntFor(a)?.preparationHours ?? 0) : a.preparationHours;
  }

  /** Code of a maker's first quote: it names the maker's luck, the same in another database. */
  private firstQuoteOf(supplierId: string): string {
    let first: string | null = null;
    for (const { supplierId: of, code } of this.rows.quotes)
      if (of === supplierId && (first === null || compareCodes(code, first) < 0)) first = code;
    return first!;
  }

  /** The hunt by which a part is looked for: one that is on, while nothing is ordered or chosen for it. */
  private huntFor(a: Acquisition): HuntRow | undefined {
    if (a.kind === "SNAG" || a.orderId !== null || (a.decided && a.state !== "HUNTED")) return undefined;
    return this.rows.hunts.find((hunt) => hunt.partId === a.rowId && huntIsOn(hunt, this.figuresFor));
  }

  private huntRoute(hunt: HuntRow) {
    const own = this.rows.huntEvents.filter(({ huntId }) => huntId === hunt.id);
    const { belief, events } = lookingOf(hunt, own, this.figuresFor);
    return { kind: "HUNT" as const, ...belief, events: events.filter(({ day }) => day >= 0) };
  }

  /** An order that is out. What has come, or was promised anew, stands; else it takes as long as its maker's orders do. */
  private placed(a: Acquisition, quote: QuoteRow | undefined, fallback: OrderRoute | undefined): OrderRoute {
    const order = this.rows.orders.find(({ id }) => id === a.orderId)!;
    const orderDay = daysBetween(this.figuresFor, order.placedOn);
    const said = order.arrivedOn ?? order.expectedOn;
    const failure = order.arrivedOn === null ? (this.quotes.get(order.quoteId)?.failureChance ?? 0) : 0;
    if (said !== null || quote === undefined) {
      const wait: Wait = { kind: "FIXED", days: Math.max(0, daysBetween(order.placedOn, said ?? order.promisedOn)) };
      return { kind: "ORDER", orderDay, wait, failure, ...withFallback(fallback) };
    }
    const promised = { ...quote, leadDays: Math.max(1, daysBetween(order.placedOn, order.promisedOn)) };
    return { ...this.quoted(promised, orderDay), failure, ...withFallback(fallback) };
  }

  /** A quote ordered on a day: by its three points where it has them, else by the promise and the maker's record. */
  private quoted(quote: QuoteRow, orderDay: number): OrderRoute {
    const { failureChance: failure } = quote;
    const estimate = pointsOf(quote);
    if (estimate !== null) return { kind: "ORDER", orderDay, wait: { kind: "PERT", estimate }, failure };
    const split = recordSplit(this.records.of(quote.supplierId), this.records.crowd);
    this.used.set(quote.supplierId, {
      id: quote.supplierId,
      name: `maker of ${this.firstQuoteOf(quote.supplierId)}`,
      lateness: split.common,
      crowd: split.crowd,
    });
    const mu = Math.log(Math.max(1, quote.leadDays)) + split.mean;
    const wait: Wait = { kind: "LOGNORMAL", mu, sigma: split.each };
    return { kind: "ORDER", orderDay, wait, maker: quote.supplierId, failure };
  }
}

/** The three points of a lead time; null where only the promise is known. */
const pointsOf = ({ leadLeast: low, leadLikely: likely, leadMost: high }: QuoteRow): Estimate | null =>
  low === null || likely === null || high === null ? null : { low, likely, high };

const withFallback = (fallback: OrderRoute | undefined): { fallback?: Route } =>
  fallback === undefined ? {} : { fallback };

/** What is kept of the runs: small enough to hold for many restorations. */
export type OddsFound = Omit<Odds, "runs">;

/** What the runs say before they are all drawn. */
export type { OddsRoom, OddsSoFar };

/** The dates by their odds, on a day of figures. */
export interface OddsOutlook {
  restorationId: string;
  figuresFor: string;
  found: OddsFound;
}

/** The date reached with chance p, with what has no source in hand; null where that share of the runs never ends. */
export function dateWith({ figuresFor, found }: OddsOutlook, p: number): string | null {
  return dateOfDay(figuresFor, dayQuantile(found.ends, p));
}

/** The date of a day of the runs; null for one that never comes. */
export const dateOfDay = (figuresFor: string, day: number): string | null =>
  day === NEVER ? null : addDays(figuresFor, Math.max(0, day));

export interface OddsBar {
  /** First date of the week. */
  from: string;
  to: string;
  /** Share of the runs that end in it. */
  share: number;
}

/** Ten years: what ends later stands in one bar. */
const MOST_WEEKS = 520;

/** The runs by weeks, each of seven days from the first end; the last bar holds all that end after {@link MOST_WEEKS}. */
export function weeksOf({ figuresFor, found: { ends, samples } }: OddsOutlook): OddsBar[] {
  const dated = ends.filter(({ day }) => day !== NEVER);
  const first = dated[0]?.day;
  if (first === undefined) return [];
  const all = Math.floor((dated.at(-1)!.day - first) / 7) + 1;
  const weeks = Math.min(all, MOST_WEEKS + 1);
  const counts = new Array<number>(weeks).fill(0);
  for (const { day, runs } of dated) counts[Math.min(weeks - 1, Math.floor((day - first) / 7))]! += runs;
  return counts.map((runs, week) => ({
    from: addDays(figuresFor, first + 7 * week),
    to: addDays(figuresFor, first + 7 * (week === weeks - 1 ? all - 1 : week) + 6),
    share: runs / samples,
  }));
}
