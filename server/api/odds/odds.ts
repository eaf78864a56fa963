/** How sure the date is: dates by their odds, and what each hold-up has to do with them. */
import { dateOfDay, dateWith, type OddsBar, type OddsFound, type OddsOutlook, weeksOf } from "../../plan/odds/odds.ts";
import { endlessHunts, oddsCondition } from "../../plan/odds/oddsWords.ts";
import type { Plan } from "../../plan/plan.ts";
import { rowOfHoldUp } from "../../plan/plan.ts";
import { builder, costing, existingDate, wrongArgument } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Job } from "../core/job.ts";
import { WORK } from "../core/limits.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { Snag } from "../network/snag.ts";
import { Part } from "../parts/part.ts";
import { KIND, type OddsProgress, oddsFor, startOdds } from "./oddsWork.ts";

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
    setsEnd: t.float({
      description: "Share of the runs in which it lies on a path that sets the end.",
      resolve: ({ odds }) => odds.setsEnd,
    }),
    meanDays: t.float({
      description:
        "Calendar days by which the end would be earlier with this alone in hand today: the mean over the runs.",
      resolve: ({ odds }) => odds.meanDays,
    }),
    evenOddsDays: t.int({
      nullable: true,
      description:
        "Calendar days by which the date with even odds would be earlier with this alone in hand today; as quoted: HoldUp.daysGained. Null where either date is not there.",
      resolve: ({ odds }) => odds.evenOddsDays,
    }),
    rankCorrelation: t.float({
      nullable: true,
      description: "Of its arrival with the end (Spearman); null where either never differs.",
      resolve: ({ odds }) => odds.rankCorrelation,
    }),
    evenOddsArrival: t.field({
      type: "Date",
      nullable: true,
      resolve: ({ outlook, odds }) => dateOfDay(outlook.figuresFor, odds.evenOddsArrival),
    }),
    fourInFiveArrival: t.field({
      type: "Date",
      nullable: true,
      resolve: ({ outlook, odds }) => dateOfDay(outlook.figuresFor, odds.fourInFiveArrival),
    }),
    evenOddsCompletion: t.field({
      type: "Date",
      nullable: true,
      description:
        "When the machine would be finished if this alone, arriving with even odds, and the work constrained it.",
      resolve: (held, _args, context) => completionOf(held, held.odds.evenOddsArrival, context),
    }),
    fourInFiveCompletion: t.field({
      type: "Date",
      nullable: true,
      description: "The same where it arrives with odds of 4 in 5; null where it may never come.",
      resolve: (held, _args, context) => completionOf(held, held.odds.fourInFiveArrival, context),
    }),
  }),
});

/** The end held by this alone where it arrives on the day; null where that may be never. */
async function completionOf({ outlook, odds }: Held, day: number, context: Context): Promise<string | null> {
  const arrival = dateOfDay(outlook.figuresFor, day);
  if (arrival === null) return null;
  return (await planOfOdds(outlook, context)).completionWith(odds.node, arrival);
}

const planOfOdds = ({ restorationId, figuresFor }: OddsOutlook, context: Context): Promise<Plan> =>
  context.plan(restorationId, { figuresFor });

const HoldUpOddsConnection = connectionOf("HoldUpOdds", HoldUpOdds);

export const OddsType = builder.objectRef<OddsOutlook>("Odds").implement({
  description:
    "What many runs of the plan say, each with hours, waits, failures and finds drawn from their estimates. What nobody quotes or hunts for counts as in hand. Where nothing is entered there are no dates and no chances.",
  fields: (t) => ({
    figuresFor: t.expose("figuresFor", { type: "Date" }),
    runs: t.int({ resolve: ({ found }) => found.samples }),
    never: t.float({
      description: "Share of the runs that never end, because a route failed and nothing follows it.",
      resolve: ({ found }) => found.never / found.samples,
    }),
    condition: t.string({
      nullable: true,
      description:
        "On what the odds stand: 'if A and B were in hand', of what nobody quotes or hunts for; null: nothing.",
      resolve: async (outlook, _args, context) => oddsCondition(await planOfOdds(outlook, context)),
    }),
    endlessHunts: t.string({
      nullable: true,
      description: "What is looked for with nothing to order instead, in words; null: nothing.",
      resolve: async (outlook, _args, context) => endlessHunts(await planOfOdds(outlook, context)),
    }),
    evenOdds: t.field({ type: "Date", nullable: true, resolve: (outlook) => dateWith(outlook, 0.5) }),
    fourInFive: t.field({ type: "Date", nullable: true, resolve: (outlook) => dateWith(outlook, 0.8) }),
    dateWith: t.field({
      type: "Date",
      nullable: true,
      description: "The date reached with a chance, 0 to 1 exclusive.",
      args: { chance: t.arg.float({ required: true }) },
      resolve: (outlook, { chance }) => {
        if (!(chance > 0 && chance < 1)) throw wrongArgument("chance", `must be between 0 and 1 (it is ${chance}).`);
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
      description: "What costs the most days first; of: these hold-ups alone.",
      args: { ...forwards, of: t.arg.idList() },
      resolve: (outlook, { of, ...args }) =>
        pageOf(
          args,
          outlook.found.holdUps
            .filter(({ node }) => of == null || of.includes(node))
            .toSorted((a, b) => b.meanDays - a.meanDays || b.setsEnd - a.setsEnd)
            .map((odds) => ({ outlook, odds })),
        ),
    }),
  }),
});

builder.queryField("odds", (t) =>
  t.field({
    type: OddsType,
    description:
      "Worked out once for a state of the restoration, in threads of its own; startOdds lets it be followed.",
    args: { restoration: t.arg.id({ required: true }), figuresFor: t.arg({ type: "Date" }) },
    complexity: costing(WORK.runs),
    resolve: (_root, { restoration, figuresFor }, context) =>
      oddsFor(context, restoration, existingDate("figuresFor", figuresFor)),
  }),
);

const OddsSoFar = builder.objectRef<OddsProgress>("OddsSoFar").implement({
  description: "What the runs say before they are all drawn.",
  fields: (t) => ({
    runs: t.int({ resolve: ({ soFar }) => soFar.runs }),
    standardError: t.float({
      nullable: true,
      description:
        "Of the 4-in-5 date, in calendar days; null before it is first looked at, and where there is no such date.",
      resolve: ({ soFar: { standardError: error } }) => (error !== null && Number.isFinite(error) ? error : null),
    }),
    fourInFive: t.field({
      type: "Date",
      nullable: true,
      description: "null before it is first looked at, and where there is no such date.",
      resolve: ({ figuresFor, soFar }) => (soFar.quantile === null ? null : dateOfDay(figuresFor, soFar.quantile)),
    }),
  }),
});

builder.objectField(Job, "oddsSoFar", (t) =>
  t.field({
    type: OddsSoFar,
    nullable: true,
    description: "Of a job of kind odds; null before its first runs. What it comes to is read from odds.",
    resolve: ({ kind, soFar }) => (kind === KIND ? (soFar as OddsProgress | null) : null),
  }),
);

builder.mutationField("startOdds", (t) =>
  t.field({
    type: Job,
    description:
      "Has the odds worked out, to be followed and stopped as a job, then read from odds. The same revision and day of the figures asked again gives the job that is there.",
    args: { restoration: t.arg.id({ required: true }), figuresFor: t.arg({ type: "Date" }) },
    complexity: costing(WORK.runs),
    resolve: (_root, { restoration, figuresFor }, context) =>
      startOdds(context, restoration, existingDate("figuresFor", figuresFor)),
  }),
);
