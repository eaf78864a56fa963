/** A hunt's rows read, priced and judged, for its outlook. */
import type { Hunt } from "../../generated/prisma/client.ts";
import type { Store } from "../../store/client.ts";
import { costOfOption, ratesOf } from "../choice/optionCost.ts";
import {
  disqualifiedAt,
  exact,
  type JudgedQuote,
  lostAlone,
  placeOf,
  pointsLost,
  type Sheet,
} from "../choice/points.ts";
import { daysInWords, getFrom } from "../days/summaryWords.ts";
import type { Rates } from "../money/exchange.ts";
import { LANDING, ORDER_TERMS } from "../money/landed.ts";
import { loadOrdersAhead } from "../money/ordersAhead.ts";
import { firstOrderDay } from "../parts/acquisition.ts";
import { Declined } from "../parts/declined.ts";
import { quoteDoubts } from "../parts/quoteDoubts.ts";
import { RuledOut } from "../parts/ruledOut.ts";
import type { Plan } from "../plan.ts";
import { drawsOf, type HuntOddsAsked } from "../rows/draws.ts";
import { findPrice } from "./cost.ts";
import type { StopPrices } from "./odds.ts";
import { type HuntOutlook, huntOutlook } from "./outlook.ts";

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
  /** The title of the line by which a find, or the fallback, leaves no award; null where it leaves them. */
  disqualified: { find: string | null; fallback: string | null };
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

/** What the owner said of the restoration's quotes, and which of them are ruled out. */
export interface SaidOfQuotes {
  declined: Declined;
  ruledOut: RuledOut;
}

export async function loadSaid(store: Store, restorationId: string): Promise<SaidOfQuotes> {
  const [decisions, ruledOut] = await Promise.all([
    store.decision.findMany({ where: { restorationId, quoteId: { not: null } } }),
    store.ruledOut.findMany({ where: { part: { restorationId } } }),
  ]);
  return { declined: new Declined({ decisions }), ruledOut: new RuledOut({ ruledOut }) };
}

/**
 * What speaks against the fallback of a hunt, each as the rest of a sentence: as it would be ordered on the stop date, or now
 * where there is none or the hunt has stopped.
 */
export function fallbackDoubts(
  { state, stopDate }: Pick<Hunt, "state" | "stopDate">,
  fallback: Parameters<typeof quoteDoubts>[0] & { orderFrom: string | null },
  said: SaidOfQuotes,
  figuresFor: string,
): string[] {
  const stops = state === "SEARCHING" && stopDate !== null && stopDate > figuresFor ? stopDate : figuresFor;
  return quoteDoubts(fallback, said, firstOrderDay(fallback, stops), figuresFor);
}

/** A hunt with what would be ordered once it stops. */
type HuntedFor = Pick<Hunt, "state" | "stopDate"> & {
  part: {
    fallbackQuote:
      | (Parameters<typeof fallbackDoubts>[1] & { leadDays: number; supplier: { name: string; kind: string } })
      | null;
  };
};

/**
 * What is to be done once a hunt stops without a find, as the rest of a sentence that says when: "then order its fallback
 * from Lower Mill Foundry, 40 days from the order". `fallback` is what follows "then"; null where none is counted on.
 */
export function afterHunt(
  hunt: HuntedFor,
  said: SaidOfQuotes,
  figuresFor: string,
): { fallback: string | null; next: string } {
  const { fallbackQuote } = hunt.part;
  if (fallbackQuote === null) return { fallback: null, next: "nothing is chosen to order instead" };
  if (said.declined.has(fallbackQuote.id))
    return { fallback: null, next: "its fallback was declined by the owner: choose another" };
  const doubts = fallbackDoubts(hunt, fallbackQuote, said, figuresFor).map((doubt) => `, which ${doubt}`);
  const { supplier, leadDays } = fallbackQuote;
  const lead = `${daysInWords(leadDays)} ${supplier.kind === "SHOP" ? "to make" : "from the order"}`;
  const fallback = `${getFrom(supplier, "its fallback")}, ${lead}${doubts.join("")}`;
  return { fallback, next: `then ${fallback}` };
}

/** What outlooks of a restoration's hunts are made of, read for all of them together. */
async function loadHuntRows(store: Store, restorationId: string, hunts: readonly Hunt[], sources: HuntSources) {
  const [restoration, found, { declined }] = await Promise.all([
    store.restoration.findUniqueOrThrow({ where: { id: restorationId }, select: OF_RESTORATION }),
    store.hunt.findMany({
      where: { id: { in: hunts.map(({ id }) => id) } },
      select: {
        id: true,
        part: { select: OF_PART },
        events: { orderBy: [{ date: "asc" }, { id: "asc" }] },
      },
    }),
    loadSaid(store, restorationId),
  ]);
  const rates = await sources.rates(restoration);
  const orders = await loadOrdersAhead(store, restoration, sources.plan, rates);
  return { restoration, rates, orders, declined, byHunt: new Map(found.map(({ id, ...rows }) => [id, rows])) };
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
  { restoration, rates, orders, declined, byHunt }: HuntRows,
  { plan, sheet }: HuntSources,
  confidence: number | null,
): PricedOutlook | null {
  const rows = byHunt.get(hunt.id);
  if (rows === undefined) return null;
  const { part, events } = rows;
  const { currency, targetDate } = restoration;
  // What the owner declined is not ordered when the hunt stops.
  const quote = part.fallbackQuote !== null && !declined.has(part.fallbackQuote.id) ? part.fallbackQuote : null;
  const brought = quote?.knockOns.reduce((sum, { hours }) => sum + hours, 0) ?? 0;
  const cost = (landed: number | null, hours: number): number | null =>
    costOfOption(ratesOf(restoration), landed, hours, null).costMinor;
  const place = placeOf(sheet, part);
  const points = (of: JudgedQuote): number => pointsLost(sheet, part, of);
  const find = points({ provenance: hunt.provenance, pointsByHand: 0, knockOns: [] });
  const forFind = plan.latestArrivals(hunt.partId, hunt.preparationHours)?.target ?? null;
  const forFallback = plan.latestArrivals(hunt.partId, (quote?.preparationHours ?? 0) + brought)?.target ?? null;
  const outlook = huntOutlook(
    { ...hunt, events },
    {
      figuresFor: plan.figuresFor,
      confidence: confidence ?? plan.confidence ?? USUAL_CONFIDENCE,
      cost,
      lost: (expected) => lostAlone(sheet, { ...place, points: exact(expected), expected: true }),
      found: {
        landedMinor: findPrice(hunt, currency, rates),
        hours: hunt.preparationHours,
        points: find,
      },
      fallback:
        quote === null
          ? null
          : {
              landedMinor: orders.landed(quote, quote, part.quantity, { later: true }).totalMinor,
              todayMinor: orders.landed(quote, quote, part.quantity, { later: false }).totalMinor,
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
  return {
    ...outlook,
    currency,
    targetMissed,
    prices: { pricePerDayMinor, pricePerPointMinor },
    disqualified: {
      find: disqualifiedAt(sheet, place, find),
      fallback: quote === null ? null : disqualifiedAt(sheet, place, points(quote)),
    },
  };
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
