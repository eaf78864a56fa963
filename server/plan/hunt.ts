/** A hunt's rows read, priced and judged, for its outlook. */
import type { Hunt } from "../generated/prisma/client.ts";
import type { Store } from "../store/client.ts";
import { drawsOf, type HuntOddsAsked } from "./draws.ts";
import type { Rates } from "./exchange.ts";
import { findPrice } from "./huntCost.ts";
import type { StopPrices } from "./huntOdds.ts";
import { type HuntOutlook, huntOutlook } from "./huntOutlook.ts";
import { LANDING, ORDER_TERMS } from "./landed.ts";
import { costOfOption, ratesOf } from "./optionCost.ts";
import { loadOrdersAhead } from "./ordersAhead.ts";
import type { Plan } from "./plan.ts";
import { type JudgedQuote, lostAlone, placeOf, pointsLost, type Sheet } from "./points.ts";

/** What is known already of the restoration. */
export interface HuntSources {
  plan: Plan;
  sheet: Sheet;
  rates: (restoration: { id: string; workshopId: string }) => Promise<Rates>;
}

export interface PricedOutlook extends HuntOutlook {
  currency: string;
  /** The work alone or another hold-up already ends after the target date. */
  targetMissed: boolean;
  prices: StopPrices;
}

/** Odds that are kept where the restoration asks for none. */
const USUAL_CONFIDENCE = 0.8;

const OF_RESTORATION = {
  id: true,
  workshopId: true,
  ...LANDING,
  targetDate: true,
  hourlyRateMinor: true,
  countOwnHours: true,
  pricePerDayMinor: true,
  pricePerPointMinor: true,
} as const;

const OF_PART = {
  group: true,
  visible: true,
  judgingSectionId: true,
  judgingLineId: true,
  quantity: true,
  fallbackQuote: {
    include: {
      priceBreaks: { orderBy: { quantity: "asc" } },
      knockOns: true,
      supplier: { select: ORDER_TERMS },
    },
  },
} as const;

/** What outlooks of a restoration's hunts are made of, read for all of them together. */
async function loadHuntRows(store: Store, restorationId: string, hunts: readonly Hunt[], sources: HuntSources) {
  const [restoration, found] = await Promise.all([
    store.restoration.findUniqueOrThrow({ where: { id: restorationId }, select: OF_RESTORATION }),
    store.hunt.findMany({
      where: { id: { in: hunts.map(({ id }) => id) } },
      select: {
        id: true,
        part: { select: OF_PART },
        events: { orderBy: [{ date: "asc" }, { id: "asc" }] },
      },
    }),
  ]);
  const rates = await sources.rates(restoration);
  const orders = await loadOrdersAhead(store, restoration, sources.plan, rates);
  return { restoration, rates, orders, byHunt: new Map(found.map(({ id, ...rows }) => [id, rows])) };
}

type HuntRows = Awaited<ReturnType<typeof loadHuntRows>>;

/** The outlook of a hunt in the restoration's currency; null once the hunt is over. */
export async function loadHuntOutlook(
  store: Store,
  hunt: Hunt,
  sources: HuntSources,
  confidence: number | null,
): Promise<PricedOutlook | null> {
  return outlookOf(hunt, await loadHuntRows(store, hunt.restorationId, [hunt], sources), sources, confidence);
}

function outlookOf(
  hunt: Hunt,
  { restoration, rates, orders, byHunt }: HuntRows,
  { plan, sheet }: HuntSources,
  confidence: number | null,
): PricedOutlook | null {
  const rows = byHunt.get(hunt.id);
  if (rows === undefined) return null;
  const { part, events } = rows;
  const { currency, targetDate } = restoration;
  const quote = part.fallbackQuote;
  const brought = quote?.knockOns.reduce((sum, { hours }) => sum + hours, 0) ?? 0;
  const cost = (landed: number | null, hours: number): number | null =>
    costOfOption(ratesOf(restoration), landed, hours, null).costMinor;
  const points = (of: JudgedQuote): number => lostAlone(sheet, placeOf(sheet, part), pointsLost(sheet, part, of));
  const forFind = plan.latestArrivals(hunt.partId, hunt.preparationHours)?.target ?? null;
  const forFallback = plan.latestArrivals(hunt.partId, (quote?.preparationHours ?? 0) + brought)?.target ?? null;
  const outlook = huntOutlook(
    { ...hunt, events },
    {
      figuresFor: plan.figuresFor,
      confidence: confidence ?? plan.confidence ?? USUAL_CONFIDENCE,
      cost,
      found: {
        landedMinor: findPrice(hunt, currency, rates),
        hours: hunt.preparationHours,
        points: points({ provenance: hunt.provenance, pointsByHand: 0, knockOns: [] }),
      },
      fallback:
        quote === null
          ? null
          : {
              landedMinor: orders.landed(quote, quote, part.quantity, { later: true }).totalMinor,
              todayMinor: orders.landed(quote, quote, part.quantity).totalMinor,
              hours: quote.preparationHours + brought,
              points: points(quote),
              leadDays: quote.leadDays,
              orderFrom: quote.orderFrom,
            },
      latest: forFind === null || forFallback === null ? null : { find: forFind, fallback: forFallback },
    },
  );
  if (outlook === null) return null;
  const ends = plan.ladder.filter(({ rowId }) => rowId !== hunt.partId).map((holdUp) => holdUp.completionDate);
  const targetMissed =
    targetDate !== null && [...ends, plan.completion.workOnlyDate].some((end) => end !== null && end > targetDate);
  const { pricePerDayMinor, pricePerPointMinor } = restoration;
  return { ...outlook, currency, targetMissed, prices: { pricePerDayMinor, pricePerPointMinor } };
}

/** The stop dates whose odds are drawn: those that are listed, with the chance of the target that is to be kept. */
export const oddsAsked = ({ stops, confidence, figuresFor }: HuntOutlook): HuntOddsAsked => ({
  dates: stops.filter(({ listed }) => listed).map(({ date }) => date),
  confidence,
  figuresFor,
});

/**
 * The dates by which to decide on hunts of a restoration, judged by the runs at the restoration's own chance, by the
 * hunt's id; one without is not there.
 */
export async function decideByOf(
  store: Store,
  restorationId: string,
  hunts: readonly Hunt[],
  sources: HuntSources,
): Promise<Map<string, string>> {
  const dates = new Map<string, string>();
  if (hunts.length === 0) return dates;
  const rows = await loadHuntRows(store, restorationId, hunts, sources);
  for (const hunt of hunts) {
    const outlook = outlookOf(hunt, rows, sources, null);
    const odds = outlook && (await drawsOf(store).huntOdds(store, hunt, oddsAsked(outlook)));
    if (odds?.decideBy) dates.set(hunt.id, odds.decideBy.date);
  }
  return dates;
}
