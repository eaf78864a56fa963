/** How sure the date is: dates by their odds, and what each hold-up has to do with them. */
import { restorationFor } from "../access/rules.ts";
import type { FurtherFiguresOf } from "../plan/dayFigures.ts";
import { exposureOf } from "../plan/exposure.ts";
import { loadExposureRows } from "../plan/exposureLoad.ts";
import {
  arrivalWith,
  dateWith,
  loadOddsRows,
  type OddsBar,
  type OddsFound,
  type OddsOutlook,
  oddsModel,
  weeksOf,
} from "../plan/odds.ts";
import { rowOfHoldUp } from "../plan/plan.ts";
import type { Store } from "../store/client.ts";
import { oddsInThread } from "../worker/choicesWorker.ts";
import { builder, existingDate, wrongArgument } from "./builder.ts";
import type { Context } from "./context.ts";
import { connectionOf, forwards, pageOf } from "./page.ts";
import { Part } from "./part.ts";
import { Snag } from "./snag.ts";

/** What the demo and every restoration start from; the same seed always gives the same runs. */
const SEED = 1;
/** Calendar days that the 4-in-5 date's standard error must be under, and the most runs. */
const TOLERANCE = 0.5;
const MOST_RUNS = 20_000;

const OddsWeek = builder.objectRef<OddsBar>("OddsWeek").implement({
  fields: (t) => ({
    from: t.expose("from", { type: "Date" }),
    to: t.expose("to", { type: "Date" }),
    share: t.exposeFloat("share", { description: "Share of the runs that end in these seven days." }),
  }),
});

interface Held {
  outlook: OddsOutlook;
  odds: OddsFound["holdUps"][number];
}

const HoldUpOdds = builder.objectRef<Held>("HoldUpOdds").implement({
  fields: (t) => ({
    id: t.id({ description: "The hold-up's id.", resolve: ({ odds }) => odds.node }),
    part: t.field({
      type: Part,
      nullable: true,
      resolve: ({ odds }, _args, context, info) => context.rowOrNull("part", rowOfHoldUp(odds.node, "part"), info),
    }),
    snag: t.field({
      type: Snag,
      nullable: true,
      resolve: ({ odds }, _args, context, info) => context.rowOrNull("snag", rowOfHoldUp(odds.node, "snag"), info),
    }),
    criticality: t.float({
      description: "Share of the runs in which it lies on a path that sets the end (its criticality index).",
      resolve: ({ odds }) => odds.criticality,
    }),
    meanDays: t.float({
      description:
        "Calendar days by which the end would be earlier with this alone in hand today: the mean over the runs.",
      resolve: ({ odds }) => odds.meanDays,
    }),
    rankCorrelation: t.float({
      nullable: true,
      description: "Of its arrival with the end (Spearman); null where either never differs.",
      resolve: ({ odds }) => odds.rankCorrelation,
    }),
    evenOddsArrival: t.field({
      type: "Date",
      nullable: true,
      resolve: ({ outlook, odds }) => arrivalWith(outlook, odds.arrivals, 0.5),
    }),
    fourInFiveArrival: t.field({
      type: "Date",
      nullable: true,
      resolve: ({ outlook, odds }) => arrivalWith(outlook, odds.arrivals, 0.8),
    }),
  }),
});

const HoldUpOddsConnection = connectionOf("HoldUpOdds", HoldUpOdds);

const OddsType = builder.objectRef<OddsOutlook>("Odds").implement({
  description:
    "What many runs of the plan say, each with hours, waits, failures and finds drawn from their estimates. What has no source counts as in hand.",
  fields: (t) => ({
    dataDate: t.expose("dataDate", { type: "Date" }),
    runs: t.int({ resolve: ({ found }) => found.samples }),
    never: t.float({
      description: "Share of the runs that never end, because a route failed and nothing follows it.",
      resolve: ({ found }) => found.never / found.samples,
    }),
    open: t.boolean({ description: "Something has no source.", resolve: ({ found }) => found.open.length > 0 }),
    evenOdds: t.field({ type: "Date", nullable: true, resolve: (outlook) => dateWith(outlook, 0.5) }),
    fourInFive: t.field({ type: "Date", nullable: true, resolve: (outlook) => dateWith(outlook, 0.8) }),
    dateWith: t.field({
      type: "Date",
      nullable: true,
      description: "The date reached with a chance, 0 to 1 exclusive.",
      args: { chance: t.arg.float({ required: true }) },
      resolve: (outlook, { chance }) => {
        if (!(chance > 0 && chance < 1)) throw wrongArgument("chance", `must lie between 0 and 1 (it is ${chance}).`);
        return dateWith(outlook, chance);
      },
    }),
    standardError: t.float({
      nullable: true,
      description: "Of the 4-in-5 date, in calendar days (Maritz and Jarrett 1978).",
      resolve: ({ found }) => (Number.isFinite(found.standardError) ? found.standardError : null),
    }),
    onTarget: t.float({
      nullable: true,
      description: "Chance of the target date; null without one.",
      resolve: ({ found }) => found.onTarget,
    }),
    weeks: t.field({
      type: [OddsWeek],
      description: "The runs by the week in which they end.",
      resolve: (outlook) => weeksOf(outlook),
    }),
    holdUps: t.field({
      type: HoldUpOddsConnection,
      description: "What costs the most days first.",
      args: forwards,
      resolve: (outlook, args) =>
        pageOf(
          args,
          outlook.found.holdUps
            .toSorted((a, b) => b.meanDays - a.meanDays || b.criticality - a.criticality || (a.node < b.node ? -1 : 1))
            .map((odds) => ({ outlook, odds })),
        ),
    }),
  }),
});

builder.queryField("odds", (t) =>
  t.field({
    type: OddsType,
    description: "Worked out once for a state of the restoration, in a thread of its own.",
    args: { restoration: t.arg.id({ required: true }), dataDate: t.arg({ type: "Date" }) },
    resolve: async (_root, { restoration, dataDate }, context) =>
      oddsFor(
        context,
        await restorationFor(context.viewer, context.store, restoration),
        existingDate("dataDate", dataDate),
      ),
  }),
);

interface Kept {
  revision: number;
  byDate: Map<string, Promise<OddsOutlook>>;
}

/** By restoration, the one used longest ago first. */
const kept = new WeakMap<Store, Map<string, Kept>>();
const MOST_KEPT = 32;
const MOST_DATES = 4;

async function oddsFor(context: Context, restorationId: string, asked: string | undefined): Promise<OddsOutlook> {
  return oddsOfRestoration(context.store, restorationId, asked ?? (await context.dataDate(restorationId)));
}

/** The odds of a restoration on a data date, kept until something of it changes. */
export async function oddsOfRestoration(store: Store, restorationId: string, dataDate: string): Promise<OddsOutlook> {
  const { planRevision } = await store.restoration.findUniqueOrThrow({
    where: { id: restorationId },
    select: { planRevision: true },
  });
  const known = kept.get(store) ?? new Map<string, Kept>();
  kept.set(store, known);
  const last = known.get(restorationId);
  const entry = last?.revision === planRevision ? last : { revision: planRevision, byDate: new Map() };
  known.delete(restorationId);
  known.set(restorationId, entry);
  for (const key of known.keys()) {
    if (known.size <= MOST_KEPT) break;
    known.delete(key);
  }
  const before = entry.byDate.get(dataDate);
  if (before !== undefined) return before;
  const working = loadOddsRows(store, restorationId).then(async (rows) => ({
    dataDate,
    found: await oddsInThread(oddsModel(rows, dataDate), {
      seed: SEED,
      probability: 0.8,
      tolerance: TOLERANCE,
      maxSamples: MOST_RUNS,
    }),
  }));
  // What failed is not kept.
  working.catch(() => entry.byDate.delete(dataDate));
  entry.byDate.set(dataDate, working);
  for (const key of entry.byDate.keys()) {
    if (entry.byDate.size <= MOST_DATES) break;
    entry.byDate.delete(key);
  }
  return working;
}

/** What is kept with a day beside its plan: dates by their odds, and the cost to completion where nothing lacks a price. */
export const furtherFigures =
  (store: Store): FurtherFiguresOf =>
  async (restorationId) => {
    const rows = await loadExposureRows(store, restorationId, undefined);
    const outlook = await oddsOfRestoration(store, restorationId, rows.dataDate);
    const { total } = exposureOf(rows);
    return {
      evenOdds: dateWith(outlook, 0.5),
      fourInFive: dateWith(outlook, 0.8),
      targetOdds: outlook.found.onTarget,
      costMinor: total.unknown > 0 ? null : total.planned,
    };
  };
