/** Looking for a part that nobody quotes: what is believed, when to stop, and what follows. */
import { own } from "../../access/rules.ts";
import type { HuntEvent as HuntEventRow, Hunt as HuntRow } from "../../generated/prisma/client.ts";
import { fallbackDoubts, loadHuntOutlook, loadSaid, oddsAsked, type PricedOutlook } from "../../plan/hunt/hunt.ts";
import { type HuntOdds, type StopOdds, stopTotal } from "../../plan/hunt/odds.ts";
import type { HuntStop as Stop } from "../../plan/hunt/outlook.ts";
import { codeInWords } from "../../store/codes.ts";
import { InvalidInput, noLongerThere, Refused } from "../../store/fault.ts";
import { checkFresh, record } from "../../store/journal.ts";
import { faultsOf } from "../../store/rules.ts";
import { codeAndName } from "../../store/tables.ts";
import { builder, costing } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Provenance } from "../core/enums.ts";
import { WORK } from "../core/limits.ts";
import { Money } from "../core/money.ts";
import { connectionOf } from "../core/page.ts";
import { type Draft, write } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";
import { quoteDraft } from "../parts/quote.ts";
import { oddsOfHunt } from "./huntOdds.ts";

const HuntState = builder.enumType("HuntState", { values: ["SEARCHING", "FOUND", "STOPPED"] as const });

builder.prismaObject("HuntEvent", {
  fields: (t) => ({
    id: t.exposeID("id"),
    date: t.expose("date", { type: "Date" }),
    title: t.exposeString("title"),
    chance: t.exposeFloat("chance", { description: "Chance of a find there; it counts until the day has passed." }),
  }),
});

const HuntStop = builder.objectRef<Stop & { currency: string }>("HuntStop").implement({
  description: "One stop date: looking goes on to its end, and without a find the fallback is ordered on it.",
  fields: (t) => ({
    date: t.expose("date", { type: "Date" }),
    chanceFound: t.exposeFloat("chanceFound"),
    chanceOfTarget: t.exposeFloat("chanceOfTarget", {
      nullable: true,
      description: "Chance that this part does not hold up the target date; null without one.",
    }),
    cost: t.field({
      type: Money,
      nullable: true,
      description:
        "Expected, landed, with the hours of fitting it where the workshop counts its own; null while a price that matters is not known.",
      resolve: ({ costMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    points: t.exposeFloat("points", {
      nullable: true,
      description: "Expected points lost, by the rules of their line and section; null without a fallback.",
    }),
    fallbackArrival: t.expose("fallbackArrival", { type: "Date", nullable: true }),
    listed: t.exposeBoolean("listed", {
      description: "One of the few to read in a table; those are the stop dates whose odds are drawn.",
    }),
  }),
});

type TotalledOdds = StopOdds & { totalMinor: number | null; currency: string };

const StopOddsType = builder.objectRef<TotalledOdds>("StopOdds").implement({
  fields: (t) => ({
    date: t.expose("date", { type: "Date" }),
    onTarget: t.exposeFloat("onTarget", { description: "Share of the runs that keep the target date." }),
    daysLate: t.exposeFloat("daysLate", {
      nullable: true,
      description: "Calendar days past the target date on average; null where some runs never end.",
    }),
    total: t.field({
      type: Money,
      nullable: true,
      description:
        "Expected cost, with the days past the target and the points lost at the restoration's prices; null without such a price, or while something of it is not known.",
      resolve: ({ totalMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
  }),
});

const HuntOddsType = builder
  .objectRef<
    Omit<HuntOdds, "stops" | "decideBy"> & {
      stops: TotalledOdds[];
      decideBy: StopOdds | null;
      best: TotalledOdds | null;
    }
  >("HuntOdds")
  .implement({
    description:
      "The odds of the target date with everything else as uncertain as it is, by the stop date: runs of the same plan and seed as the odds.",
    fields: (t) => ({
      stops: t.expose("stops", { type: [StopOddsType], description: "At the stop dates that are listed." }),
      inHand: t.exposeFloat("inHand", { description: "With the part in hand today: no stop date gives more." }),
      decideBy: t.field({
        type: "Date",
        nullable: true,
        description:
          "The date by which to decide: the last stop date, to the day, that keeps the target at the confidence; null: none does.",
        resolve: ({ decideBy }) => decideBy?.date ?? null,
      }),
      best: t.expose("best", {
        type: StopOddsType,
        nullable: true,
        description: "The stop date that comes to least, the last of equals; null where no total is known.",
      }),
    }),
  });

type OutlookOfHunt = PricedOutlook & { hunt: HuntRow };

/** The odds with what each stop date comes to, and the one that comes to least. */
async function totalledOdds(outlook: OutlookOfHunt, context: Context) {
  const { hunt, stops, currency, prices } = outlook;
  const odds = await oddsOfHunt(context.store, hunt, oddsAsked(outlook), context.longWork());
  if (odds === null) return null;
  const stopOn = new Map(stops.map((stop) => [stop.date, stop]));
  const totalled = odds.stops.map(
    (stop): TotalledOdds => ({ ...stop, totalMinor: stopTotal(stopOn.get(stop.date)!, stop, prices), currency }),
  );
  const best = totalled.reduce<TotalledOdds | null>(
    (least, stop) =>
      stop.totalMinor !== null && (least === null || stop.totalMinor <= least.totalMinor!) ? stop : least,
    null,
  );
  return { ...odds, stops: totalled, best };
}
const stopOf = (of: "atStop" | "best") => (outlook: OutlookOfHunt) => {
  const stop = outlook[of];
  return stop === null ? null : { ...stop, currency: outlook.currency };
};

const HuntOutlook = builder.objectRef<OutlookOfHunt>("HuntOutlook").implement({
  description:
    "What the hunt promises on the day of the figures. Lead times are as promised; the rate of finds falls with each fruitless week.",
  fields: (t) => ({
    figuresFor: t.expose("figuresFor", { type: "Date" }),
    confidence: t.exposeFloat("confidence", { description: "The chance of the target date that is to be kept." }),
    chanceNextWeek: t.exposeFloat("chanceNextWeek"),
    weeksLooked: t.exposeFloat("weeksLooked"),
    evenOddsDate: t.expose("evenOddsDate", {
      type: "Date",
      nullable: true,
      description: "By then it is as likely found as not; null where that is more than twenty years ahead.",
    }),
    lastOrderDate: t.expose("lastOrderDate", {
      type: "Date",
      nullable: true,
      description: "Last day on which the fallback can be ordered and be here in time for the target date.",
    }),
    targetMissed: t.exposeBoolean("targetMissed", {
      description: "The work alone or another hold-up already ends after the target date.",
    }),
    findDisqualifiedBy: t.string({
      nullable: true,
      description:
        "The line of the judging sheet on which a find loses, and which leaves no award; null where it leaves them.",
      resolve: ({ disqualified }) => disqualified.find,
    }),
    fallbackDisqualifiedBy: t.string({
      nullable: true,
      description: "The same of the fallback.",
      resolve: ({ disqualified }) => disqualified.fallback,
    }),
    stops: t.field({
      type: [HuntStop],
      description: "The stop-date curve: a point a week, and those that matter.",
      resolve: ({ stops, currency }) => stops.map((stop) => ({ ...stop, currency })),
    }),
    atStop: t.field({
      type: HuntStop,
      nullable: true,
      description:
        "At the hunt's own stop date, also where that lies past the curve; null without one, and once it has passed.",
      resolve: stopOf("atStop"),
    }),
    best: t.field({
      type: HuntStop,
      nullable: true,
      description: "The stop date with the best chance that this part is in time, the last of equals.",
      resolve: stopOf("best"),
    }),
    odds: t.field({
      type: HuntOddsType,
      nullable: true,
      description:
        "Drawn in threads of their own and kept until something changes; null without a target date or a fallback, or where the part is ordered.",
      complexity: costing(WORK.runs),
      resolve: (outlook, _args, context) => totalledOdds(outlook, context),
    }),
  }),
});

export const Hunt = builder.prismaObject("Hunt", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    part: t.relation("part"),
    state: t.expose("state", { type: HuntState }),
    begunOn: t.expose("begunOn", { type: "Date" }),
    chancePerWeek: t.exposeFloat("chancePerWeek", { description: "As believed on the day the hunt began." }),
    beliefWeeks: t.exposeFloat("beliefWeeks", {
      description: "As sure of that chance as after so many weeks of looking.",
    }),
    stopDate: t.expose("stopDate", { type: "Date", nullable: true }),
    price: t.field({
      type: Money,
      nullable: true,
      description: "What a find is expected to cost, landed.",
      resolve: ({ priceMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    currency: t.exposeString("currency"),
    provenance: t.expose("provenance", { type: Provenance }),
    leadDays: t.exposeInt("leadDays", { description: "Calendar days from the find to the shop." }),
    preparationHours: t.exposeFloat("preparationHours"),
    notes: t.exposeString("notes"),
    fallbackDoubts: t.stringList({
      description:
        'For people: what speaks against the fallback of its part, each as the rest of a sentence such as "is ruled out". One that was declined is not counted on, the others are. Empty without a fallback.',
      select: { part: { include: { fallbackQuote: true } } },
      resolve: async ({ restorationId, part: { fallbackQuote }, ...hunt }, _args, context) => {
        if (fallbackQuote === null) return [];
        const said = await context.once(`said ${restorationId}`, () => loadSaid(context.store, restorationId));
        return fallbackDoubts(hunt, fallbackQuote, said, await context.figuresFor(restorationId));
      },
    }),
    events: t.relation("events", { query: { orderBy: [{ date: "asc" }, { id: "asc" }] } }),
    outlook: t.field({
      type: HuntOutlook,
      nullable: true,
      description:
        "Null once the hunt is over, and on a day before it began. confidence: default, the restoration's own, or 4 in 5.",
      args: { confidence: t.arg.float() },
      resolve: async (hunt, { confidence }, context) => {
        if (confidence != null && !(confidence > 0 && confidence < 1))
          throw new Refused("NOT_ALLOWED", "confidence must be more than 0 and less than 1.");
        const outlook = await loadHuntOutlook(
          context.store,
          hunt,
          {
            plan: await context.plan(hunt.restorationId),
            sheet: await context.sheet(hunt.restorationId),
            rates: (restoration) => context.rates(restoration),
          },
          confidence ?? null,
        );
        return outlook === null ? null : { ...outlook, hunt };
      },
    }),
  }),
});

export const HuntConnection = connectionOf("Hunt", Hunt);

builder.queryField("hunt", (t) =>
  t.prismaField({
    type: "Hunt",
    args: { id: t.arg.id({ required: true }) },
    resolve: async (query, _root, { id }, { store, viewer }) =>
      store.hunt.findUniqueOrThrow({ ...query, where: { id: (await own(viewer, store, "hunt", id)).id } }),
  }),
);

const HuntEventInput = builder.inputType("HuntEventInput", {
  fields: (t) => ({
    date: t.field({ type: "Date", required: true }),
    title: t.string({ required: true }),
    chance: t.float({ required: true }),
  }),
});

const HuntInput = builder.inputType("HuntInput", {
  description: "state STOPPED: the fallback is ordered now. A find is recorded by huntFound.",
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    part: t.id(),
    state: t.field({ type: HuntState }),
    begunOn: t.field({ type: "Date" }),
    chancePerWeek: t.float(),
    beliefWeeks: t.float(),
    stopDate: t.field({ type: "Date" }),
    priceMinor: t.field({ type: "Minor" }),
    currency: t.string(),
    provenance: t.field({ type: Provenance }),
    leadDays: t.int(),
    preparationHours: t.float(),
    notes: t.string(),
    events: t.field({ type: [HuntEventInput] }),
  }),
});

builder.mutationFields((t) => ({
  saveHunt: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: HuntInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveHunt(context, input)),
  }),
  recordFruitlessSearch: t.field({
    type: SaveResult,
    description:
      "A search that brought nothing, on a day up to the day of the figures. It stands among the hunt's dates.",
    args: {
      hunt: t.arg.id({ required: true }),
      revision: t.arg.int({ required: true }),
      date: t.arg({ type: "Date", required: true }),
      title: t.arg.string({ required: true }),
    },
    resolve: (_root, args, context) => saving(context, () => recordFruitless(context, args)),
  }),
  chooseFallback: t.field({
    type: SaveResult,
    description: "The quote that is ordered where the hunt stops without a find; null: none. revision is the part's.",
    args: { part: t.arg.id({ required: true }), quote: t.arg.id(), revision: t.arg.int({ required: true }) },
    resolve: (_root, { part, quote, revision }, context) =>
      saving(context, () => chooseFallback(context, part, quote ?? null, revision)),
  }),
  huntFound: t.field({
    type: SaveResult,
    description:
      "Ends the hunt in one change: the part is in hand, or what was found becomes the quote chosen for it. What is absent is as the hunt expects. id and revision are the hunt's.",
    args: {
      hunt: t.arg.id({ required: true }),
      revision: t.arg.int({ required: true }),
      inHand: t.arg.boolean({ required: true }),
      supplier: t.arg.id(),
      provenance: t.arg({ type: Provenance }),
      unitPriceMinor: t.arg({ type: "Minor" }),
      currency: t.arg.string(),
      leadDays: t.arg.int(),
      preparationHours: t.arg.float(),
      notes: t.arg.string(),
    },
    resolve: (_root, args, context) => saving(context, () => found(context, args)),
  }),
}));

const huntDraft = ({ id, revision, part, events, ...patch }: typeof HuntInput.$inferInput): Draft<"hunt"> => ({
  table: "hunt",
  rule: "hunt",
  id,
  revision,
  patch,
  defaults: {
    state: "SEARCHING",
    beliefWeeks: 26,
    stopDate: null,
    priceMinor: null,
    provenance: "ORIGINAL",
    leadDays: 7,
    preparationHours: 0,
    notes: "",
  },
  place: async (find, before) => {
    const of = await find.findIn(before?.restorationId, "part", "part", part ?? before?.partId);
    if (before !== null) find.stays("part", before.partId, part);
    const restorationId = before?.restorationId ?? of?.restorationId;
    const plain = before === null && patch.currency == null && restorationId !== undefined;
    return {
      restorationId,
      partId: of?.id,
      ...(plain
        ? { currency: (await find.tx.restoration.findUnique({ where: { id: restorationId } }))?.currency }
        : {}),
    };
  },
  lists: [
    {
      field: "events",
      table: "huntEvent",
      rule: "huntEvent",
      parent: "huntId",
      rows: events?.map(({ date, title, chance }) => ({ date, title, chance })),
    },
  ],
});

async function saveHunt(context: Context, input: typeof HuntInput.$inferInput): Promise<Omit<Saved, "is">> {
  let saved: HuntRow | undefined;
  let words = "";
  const change = await record(
    context.store,
    {
      accountId: context.viewer.accountId,
      summary: () => `${input.id != null ? "Changed" : "Began"} the hunt for ${words}`,
      get restorationId() {
        return saved?.restorationId ?? null;
      },
    },
    async (journal) => {
      saved = await write(context, journal, huntDraft(input));
      words = codeAndName("part", await journal.tx.part.findUniqueOrThrow({ where: { id: saved.partId } }));
    },
  );
  return { change, id: saved?.id ?? "", revision: saved?.revision ?? 0 };
}

async function recordFruitless(
  context: Context,
  { hunt: id, revision, date, title }: { hunt: string; revision: number; date: string; title: string },
): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const hunt = await own(viewer, store, "hunt", id);
  const part = await store.part.findUniqueOrThrow({ where: { id: hunt.partId } });
  const { code } = part;
  const event = { date, title, chance: 0 };
  const faults = faultsOf("huntEvent", event, { row: code });
  if (date > (await context.figuresFor(hunt.restorationId)))
    faults.push({
      code: "OUT_OF_RANGE",
      row: code,
      field: "date",
      value: date,
      message: "date must not be after the day of the figures: a search that is still to come is a dated chance.",
    });
  if (faults.length > 0) throw new InvalidInput(faults);
  const summary = `Recorded a fruitless search for ${codeAndName("part", part)}`;
  const change = await record(
    store,
    { restorationId: hunt.restorationId, accountId: viewer.accountId, summary },
    async (journal) => {
      await journal.update("hunt", hunt.id, revision, {});
      await journal.create("huntEvent", { ...event, huntId: hunt.id } satisfies Partial<HuntEventRow>);
    },
  );
  return { change, id: hunt.id, revision: revision + 1 };
}

async function chooseFallback(
  context: Context,
  id: string,
  quoteId: string | null,
  revision: number,
): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const part = await own(viewer, store, "part", id);
  const quote =
    quoteId === null
      ? null
      : await store.quote.findFirst({ where: { id: quoteId, partId: part.id }, include: { supplier: true } });
  if (quoteId !== null && quote === null)
    throw new InvalidInput([
      {
        code: "UNKNOWN_ROW",
        row: part.code,
        field: "quote",
        value: quoteId,
        message: noLongerThere("quote"),
      },
    ]);
  const summary =
    quote === null
      ? `Left ${codeAndName("part", part)}, without a fallback`
      : `The fallback for ${codeAndName("part", part)}, is ${codeInWords("quote", quote.code)} of ${quote.supplier.name}`;
  const { restorationId } = part;
  const change = await record(store, { restorationId, accountId: viewer.accountId, summary }, (journal) =>
    journal.update("part", part.id, revision, { fallbackQuoteId: quoteId }),
  );
  return { change, id: part.id, revision: revision + 1 };
}

interface Finding {
  hunt: string;
  revision: number;
  inHand: boolean;
  supplier?: string | null | undefined;
  provenance?: HuntRow["provenance"] | null | undefined;
  unitPriceMinor?: number | null | undefined;
  currency?: string | null | undefined;
  leadDays?: number | null | undefined;
  preparationHours?: number | null | undefined;
  notes?: string | null | undefined;
}

async function found(context: Context, asked: Finding): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const hunt = await own(viewer, store, "hunt", asked.hunt);
  const hunted = await store.part.findUniqueOrThrow({ where: { id: hunt.partId } });
  const change = await record(
    store,
    { restorationId: hunt.restorationId, accountId: viewer.accountId, summary: `Found ${codeAndName("part", hunted)}` },
    async (journal) => {
      const now = await own(viewer, journal.tx, "hunt", hunt.id);
      checkFresh(now, asked.revision, { state: "FOUND" });
      if (now.state === "FOUND") throw new Refused("IN_USE", `${hunted.name} is found already.`, [hunted.code]);
      await journal.update("hunt", now.id, asked.revision, { state: "FOUND" });
      const part = await journal.tx.part.findUniqueOrThrow({ where: { id: now.partId } });
      if (asked.inHand) {
        await journal.update("part", part.id, part.revision, { stateOnHand: "IN_HAND" });
        return;
      }
      const quote = await write(
        context,
        journal,
        quoteDraft({
          part: part.id,
          supplier: asked.supplier,
          provenance: asked.provenance ?? now.provenance,
          // A price that was only expected is landed already, so nothing comes on top of it.
          unitPriceMinor: asked.unitPriceMinor ?? now.priceMinor,
          currency: asked.currency ?? now.currency,
          incoterm: "DAP",
          leadDays: asked.leadDays ?? now.leadDays,
          preparationHours: asked.preparationHours ?? now.preparationHours,
          notes: asked.notes ?? "",
        }),
      );
      await journal.update("part", part.id, part.revision, { chosenQuoteId: quote.id });
    },
  );
  return { change, id: hunt.id, revision: asked.revision + 1 };
}
