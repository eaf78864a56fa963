/** One machine being rebuilt, with all its lists. */
import { canRead, handsOf, own, restorationsOf } from "../../access/rules.ts";
import { sampleSheets } from "../../io/sampleSheets.ts";
import { lossesOf, sheetLosses } from "../../plan/choice/points.ts";
import { dayFor, SAYS_DAY } from "../../plan/days/day.ts";
import { dateInWords } from "../../plan/days/summaryWords.ts";
import { lateOrders } from "../../plan/parts/dates.ts";
import { type ListedPart, partIds } from "../../plan/parts/partList.ts";
import { BY_CODE, byCodeOf } from "../../store/codes.ts";
import { NotFound } from "../../store/fault.ts";
import { amountFault, currencyFaults, HOME_AMOUNTS, keepsCurrency } from "../../store/homeCurrency.ts";
import { nextRank } from "../../store/rank.ts";
import { words } from "../../store/rules.ts";
import { textsOf } from "../../store/texts.ts";
import { JudgingSheet } from "../choice/judgingSheet.ts";
import { PointsLost, SampleJudgingSheet } from "../choice/points.ts";
import { builder, existingDate } from "../core/builder.ts";
import { ChangeConnection } from "../core/changeEntry.ts";
import type { Context } from "../core/context.ts";
import { CustomsBasis, OperationState, SupplyState } from "../core/enums.ts";
import { Money } from "../core/money.ts";
import { bothWays, connectionOf, forwards, pageOfIds, pageOfRows } from "../core/page.ts";
import { type Draft, save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { holding, partsHolding } from "../find/holding.ts";
import { ClosedDateConnection, ShopCalendar } from "../hands/shopCalendar.ts";
import { HuntConnection } from "../hunt/hunt.ts";
import { ExchangeRateConnection } from "../money/exchangeRate.ts";
import { FindConnection } from "../parts/find.ts";
import { OrderConnection } from "../parts/order.ts";
import { PartConnection } from "../parts/part.ts";
import { LinkConnection } from "./link.ts";
import { OperationConnection } from "./operation.ts";
import { SnagConnection } from "./snag.ts";

const PartSort = builder.enumType("PartSort", {
  values: ["CODE", "NAME", "GROUP", "STATE", "ARRIVAL", "NEED_BY", "ORDER_BY", "FLOAT"] as const,
});

export const Restoration = builder.prismaObject("Restoration", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    planRevision: t.exposeInt("planRevision"),
    machine: t.exposeString("machine"),
    owner: t.exposeString("owner"),
    description: t.exposeString("description"),
    targetName: t.exposeString("targetName"),
    targetDate: t.expose("targetDate", { type: "Date", nullable: true }),
    reportedOn: t.expose("reportedOn", {
      type: "Date",
      nullable: true,
      description: "The day on which the owner was last given a report.",
    }),
    figuresFor: t.field({
      type: "Date",
      nullable: true,
      description:
        "Another day that is looked at in the whole workshop (saveShopCalendar); null: figures are for today.",
      select: SAYS_DAY,
      resolve: ({ workshop }) => workshop.calendar?.figuresFor ?? null,
    }),
    day: t.field({
      type: "Date",
      description: "The day that figures are for: the one that is looked at, else today in the workshop's time zone.",
      resolve: ({ id }, _args, { store }) => dayFor(store, id),
    }),
    timeZone: t.string({
      description: "IANA name of the zone in which the days of its workshop begin: its own, else that of the machine.",
      select: { workshop: { select: { timeZone: true } } },
      resolve: ({ workshop }) => workshop.timeZone ?? Intl.DateTimeFormat().resolvedOptions().timeZone,
    }),
    currency: t.exposeString("currency"),
    cap: t.field({
      type: Money,
      nullable: true,
      resolve: ({ capMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    capCoversLabour: t.exposeBoolean("capCoversLabour", {
      description: "False: the cap is for parts and work outside the shop, and labour is counted beside it.",
    }),
    hourlyRate: t.field({
      type: Money,
      nullable: true,
      description: "What an hour at the bench is charged at, where the trade has no rate of its own.",
      resolve: ({ hourlyRateMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    countOwnHours: t.exposeBoolean("countOwnHours", {
      description:
        "Wherever options are compared, the hours that they bring count at their rate; false: only what is bought counts.",
    }),
    consentOver: t.field({
      type: Money,
      nullable: true,
      description: "A single sum over this waits for the owner's consent.",
      resolve: ({ consentOverMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    confidence: t.exposeFloat("confidence", { nullable: true }),
    pricePerDay: t.field({
      type: Money,
      nullable: true,
      description: "What a day past the target costs the owner; without a target, each day to the end.",
      resolve: ({ pricePerDayMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    pointStep: t.exposeFloat("pointStep", {
      nullable: true,
      description:
        "A line of the judging sheet loses whole steps of so many points, and what is over is in the owner's favour; null: to a hundredth.",
    }),
    pricePerPoint: t.field({
      type: Money,
      nullable: true,
      description: "What a judge's point is worth to the owner.",
      resolve: ({ pricePerPointMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    customsBasis: t.expose("customsBasis", {
      type: CustomsBasis,
      description: "What duty is on: the goods with carriage and insurance (CIF), or as loaded abroad (FOB).",
    }),
    carriageTaxed: t.exposeBoolean("carriageTaxed", {
      description: "Tax is worked out on carriage and insurance too; false: on the goods and the duty alone.",
    }),
    exchangeRates: t.field({
      type: ExchangeRateConnection,
      description: "The workshop's rates, the newest first; currency: those to or from it.",
      args: { ...forwards, currency: t.arg.string() },
      resolve: ({ workshopId }, { currency, ...args }, context, info) =>
        pageOfRows(context, info, args, "exchangeRate", {
          where: { workshopId, ...(currency ? { OR: [{ base: currency }, { counter: currency }] } : {}) },
          orderBy: [{ date: "desc" }, { base: "asc" }, { counter: "asc" }, { id: "asc" }],
        }),
    }),
    hunts: t.field({
      type: HuntConnection,
      args: bothWays,
      resolve: (restoration, args, context, info) =>
        pageOfRows(context, info, args, "hunt", {
          where: { restorationId: restoration.id },
          orderBy: [...byCodeOf("part"), { id: "asc" }],
        }),
    }),
    finds: t.field({
      type: FindConnection,
      description: "What was seen at swap meets, the newest first; open: those that are no quote yet.",
      args: { ...forwards, open: t.arg.boolean() },
      resolve: ({ id }, { open, ...args }, context, info) =>
        pageOfRows(context, info, args, "find", {
          where: { restorationId: id, ...(open == null ? {} : { quoteId: open ? null : { not: null } }) },
          orderBy: [{ foundOn: "desc" }, { id: "asc" }],
        }),
    }),
    pointsLost: t.field({
      type: PointsLost,
      description: "Points lost by the plan in force: quotes and remedies chosen or standing in, and the ways chosen.",
      resolve: async ({ id }, _args, context) => {
        const sheet = await context.sheet(id);
        return sheetLosses(sheet, await lossesOf(context.store, id, sheet, await context.plan(id)));
      },
    }),
    sampleJudgingSheets: t.field({
      type: [SampleJudgingSheet],
      description: "Invented sheets to begin with.",
      resolve: () => sampleSheets(),
    }),
    calendar: t.field({
      type: ShopCalendar,
      description: "When the shop works: the workshop's, for all its restorations.",
      select: (_args, _context, nested) => ({ workshop: { select: { calendar: nested(true) } } }),
      resolve: ({ workshop }) => {
        if (workshop.calendar === null) throw new NotFound("shop calendar");
        return workshop.calendar;
      },
    }),
    rank: t.exposeInt("rank", {
      description: "Its place in the workshop: of two that want the same hand, the lower comes first.",
    }),
    tradeRates: t.relation("tradeRates", { query: { orderBy: { trade: "asc" } } }),
    closedDates: t.field({
      type: ClosedDateConnection,
      description: "Dates on which the shop is closed: the workshop's, for all its restorations.",
      args: forwards,
      resolve: ({ workshopId }, args, context, info) =>
        pageOfRows(context, info, args, "closedDate", { where: { workshopId }, orderBy: { date: "asc" } }),
    }),
    operations: t.field({
      type: OperationConnection,
      args: {
        ...bothWays,
        search: t.arg.string(),
        state: t.arg({ type: OperationState }),
        trade: t.arg.string(),
      },
      resolve: async ({ id }, { search, state, trade, ...args }, context, info) => {
        const where = { restorationId: id };
        return pageOfRows(context, info, args, "operation", {
          where: {
            ...where,
            state: state ?? undefined,
            trade: trade ?? undefined,
            ...(await holding(context.store, search, { table: "operation", where, fields: ["title", "notes"] })),
          },
          orderBy: BY_CODE,
        });
      },
    }),
    links: t.field({
      type: LinkConnection,
      args: forwards,
      resolve: ({ id }, args, context, info) =>
        pageOfRows(context, info, args, "link", {
          where: { restorationId: id },
          orderBy: [...byCodeOf("before"), ...byCodeOf("after")],
        }),
    }),
    parts: t.field({
      type: PartConnection,
      args: {
        ...bothWays,
        search: t.arg.string(),
        group: t.arg.string(),
        safetyCritical: t.arg.boolean(),
        state: t.arg({ type: [SupplyState] }),
        sort: t.arg({ type: PartSort }),
        descending: t.arg.boolean(),
      },
      resolve: async (
        { id, planRevision },
        { search, group, safetyCritical, state, sort, descending, ...args },
        context,
        info,
      ) =>
        pageOfIds(
          context,
          info,
          args,
          "part",
          partIds(
            await listedParts(context, {
              restorationId: id,
              group: group ?? undefined,
              safetyCritical: safetyCritical ?? undefined,
              ...(await partsHolding(context.store, search, { id, planRevision })),
            }),
            await context.plan(id),
            { sort: sort ?? "CODE", descending: descending ?? false, state: state ?? null },
          ),
        ),
    }),
    orders: t.field({
      type: OrderConnection,
      args: { ...forwards, late: t.arg.boolean() },
      resolve: async ({ id }, { late, ...args }, context, info) =>
        pageOfRows(context, info, args, "order", {
          where: { restorationId: id, ...(late == null ? {} : lateOrders(late, await context.figuresFor(id))) },
          orderBy: BY_CODE,
        }),
    }),
    finishedSince: t.field({
      type: OperationConnection,
      description:
        "Work finished on a day or after it, up to the day of the figures, the newest first; without a day all.",
      args: { ...forwards, day: t.arg({ type: "Date" }) },
      resolve: async ({ id }, { day, ...args }, context, info) =>
        pageOfRows(context, info, args, "operation", {
          where: { restorationId: id, state: "DONE", finishedOn: await since(context, id, day) },
          orderBy: [{ finishedOn: "desc" }, ...BY_CODE],
        }),
    }),
    arrivedSince: t.field({
      type: OrderConnection,
      description:
        "Orders that came on a day or after it, up to the day of the figures, the newest first; without a day all.",
      args: { ...forwards, day: t.arg({ type: "Date" }) },
      resolve: async ({ id }, { day, ...args }, context, info) =>
        pageOfRows(context, info, args, "order", {
          where: { restorationId: id, state: { not: "SENT_BACK" }, arrivedOn: await since(context, id, day) },
          orderBy: [{ arrivedOn: "desc" }, ...BY_CODE],
        }),
    }),
    snags: t.field({
      type: SnagConnection,
      args: { ...forwards, open: t.arg.boolean() },
      resolve: ({ id }, { open, ...args }, context, info) =>
        pageOfRows(context, info, args, "snag", {
          where: { restorationId: id, clearedOn: open == null ? undefined : open ? null : { not: null } },
          orderBy: BY_CODE,
        }),
    }),
    changes: t.field({
      type: ChangeConnection,
      args: forwards,
      resolve: ({ id }, args, context, info) =>
        pageOfRows(context, info, args, "change", {
          where: { restorationId: id },
          orderBy: [{ at: "desc" }, { id: "desc" }],
        }),
    }),
    judgingSheet: t.field({ type: JudgingSheet, resolve: ({ id }) => ({ restorationId: id }) }),
    groups: t.stringList({ resolve: ({ id }, _args, context) => groupsOf(context, id) }),
    trades: t.stringList({ resolve: ({ id }, _args, context) => trades(context, id) }),
  }),
});

/** What parts are ordered by, read once a request for all counts and pages of the same filters. */
const listedParts = (context: Context, where: object): Promise<ListedPart[]> =>
  context.once(`parts ${JSON.stringify(where)}`, () =>
    context.store.part.findMany({ where, select: { id: true, code: true, name: true, group: true } }),
  );

const RestorationConnection = connectionOf("Restoration", Restoration);

const named = (words: readonly string[]): string[] => [...new Set(words)].filter((word) => word !== "").sort();

async function groupsOf({ store }: Context, restorationId: string): Promise<string[]> {
  const query = { where: { restorationId }, distinct: "group", select: { group: true } } as const;
  const [parts, operations] = await Promise.all([store.part.findMany(query), store.operation.findMany(query)]);
  return named([...parts, ...operations].map((row) => row.group));
}

/** Of work alone for an owner, who reads nothing of the people who do it. */
async function trades({ store, viewer }: Context, restorationId: string): Promise<string[]> {
  const operations = await store.operation.findMany({
    where: { restorationId },
    distinct: ["trade", "alsoTrades"],
    select: { trade: true, alsoTrades: true },
  });
  const ofWork = operations.map(({ trade }) => trade);
  if (!canRead(viewer)) return named(ofWork);
  const [rates, hands] = await Promise.all([
    store.tradeRate.findMany({ where: { restorationId }, select: { trade: true } }),
    store.hand.findMany({ where: handsOf(viewer), select: { trades: true } }),
  ]);
  const listed = [...operations.map(({ alsoTrades }) => alsoTrades), ...hands.map((hand) => hand.trades)];
  return named([...ofWork, ...rates.map(({ trade }) => trade), ...listed.flatMap(textsOf)]);
}

builder.queryFields((t) => ({
  restoration: t.prismaField({
    type: Restoration,
    args: { id: t.arg.id({ required: true }) },
    resolve: async (query, _root, { id }, { store, viewer }) =>
      store.restoration.findUniqueOrThrow({
        ...query,
        where: { id: (await own(viewer, store, "restoration", id)).id },
      }),
  }),
  restorations: t.field({
    type: RestorationConnection,
    args: bothWays,
    resolve: (_root, args, context, info) =>
      pageOfRows(context, info, args, "restoration", {
        where: restorationsOf(context.viewer),
        orderBy: [{ rank: "asc" }, { machine: "asc" }, { id: "asc" }],
      }),
  }),
}));

const since = async (context: Context, restorationId: string, day: string | null | undefined) => ({
  gte: existingDate("day", day),
  lte: await context.figuresFor(restorationId),
});

const RestorationInput = builder.inputType("RestorationInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    machine: t.string(),
    owner: t.string(),
    description: t.string(),
    targetName: t.string(),
    targetDate: t.field({ type: "Date" }),
    reportedOn: t.field({ type: "Date" }),
    currency: t.string(),
    capMinor: t.field({ type: "Minor" }),
    capCoversLabour: t.boolean(),
    hourlyRateMinor: t.field({ type: "Minor" }),
    countOwnHours: t.boolean(),
    consentOverMinor: t.field({ type: "Minor" }),
    confidence: t.float(),
    pricePerDayMinor: t.field({ type: "Minor" }),
    pricePerPointMinor: t.field({ type: "Minor" }),
    pointStep: t.float(),
    customsBasis: t.field({ type: CustomsBasis }),
    carriageTaxed: t.boolean(),
    rank: t.int(),
  }),
});

builder.mutationField("saveRestoration", (t) =>
  t.field({
    type: SaveResult,
    description:
      "With another currency every amount of the restoration that is set has to be said anew in the same input, or cleared with null (REQUIRED). Refused while the ledger has an entry (LEDGER), and while a trade has a rate or a part an estimate (REFUSED).",
    args: { input: t.arg({ type: RestorationInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveRestoration(context, input)),
  }),
);

const saveRestoration = (context: Context, input: typeof RestorationInput.$inferInput) =>
  save(context, restorationDraft(context, input));

/** A restoration as an input gives it. */
export const restorationDraft = (
  context: Context,
  { id, revision, ...patch }: typeof RestorationInput.$inferInput,
): Draft<"restoration"> => ({
  table: "restoration",
  rule: "restoration",
  id,
  revision,
  patch,
  defaults: {
    owner: "",
    description: "",
    targetName: "",
    targetDate: null,
    reportedOn: null,
    currency: "GBP",
    capMinor: null,
    capCoversLabour: false,
    hourlyRateMinor: null,
    countOwnHours: true,
    consentOverMinor: null,
    confidence: null,
    pricePerDayMinor: null,
    pricePerPointMinor: null,
    pointStep: null,
    customsBasis: "CIF",
    carriageTaxed: true,
  },
  place: async ({ tx }, before) => {
    const workshopId = before?.workshopId ?? context.viewer.workshopId;
    return { workshopId, ...(before === null && { rank: patch.rank ?? (await nextRank(tx, workshopId)) }) };
  },
  check: async (row, before, find) => {
    if (before === null || before.currency === row.currency) return;
    for (const fault of currencyFaults(before.currency, row.currency, await keepsCurrency(find.tx, before.id)))
      find.fault(fault);
    for (const field of HOME_AMOUNTS.restoration)
      if (before[field] !== null && patch[field] === undefined)
        find.fault(amountFault(field, words(field), before.currency, row.currency));
  },
  also: async (journal, row, before) => {
    const { workshopId } = row;
    if (before === null && (await journal.tx.shopCalendar.count({ where: { workshopId } })) === 0)
      await journal.create("shopCalendar", { workshopId });
  },
  recordOn: async (_tx, row) => row.id,
  said: ({ reportedOn }) => {
    const changed = Object.keys(patch).filter((field) => patch[field as keyof typeof patch] !== undefined);
    if (changed.join() !== "reportedOn") return null;
    return reportedOn === null
      ? "Marked no report as given"
      : `Marked the report of ${dateInWords(reportedOn)} as given`;
  },
});
