/** Figures over time: how each day stood, and what moved the end since one of them. */
import type { DayFigures as Day } from "../../generated/prisma/client.ts";
import { dayFor } from "../../plan/days/day.ts";
import {
  type KeptEnd,
  keptEnd,
  type Moved as Mover,
  movedSince,
  type MovedSince as Since,
} from "../../plan/days/dayFigures.ts";
import { rowOfHoldUp } from "../../plan/plan.ts";
import { builder, costing, existingDate } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { WORK } from "../core/limits.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { Restoration } from "../network/restoration.ts";
import { Snag } from "../network/snag.ts";
import { Part } from "../parts/part.ts";

const DayFigures = builder.objectRef<Omit<Day, "holdUps">>("DayFigures").implement({
  description: "How the figures stood on one day that they were for, when it was last worked on.",
  fields: (t) => ({
    day: t.expose("day", { type: "Date" }),
    targetDate: t.expose("targetDate", { type: "Date", nullable: true }),
    open: t.exposeBoolean("open", { description: "Something had no source or remedy: there was no completion date." }),
    completion: t.expose("completion", {
      type: "Date",
      description: "As quoted, with what was open cleared.",
    }),
    evenOdds: t.expose("evenOdds", {
      type: "Date",
      nullable: true,
      description: "Date reached with even odds; null where the odds were not worked out.",
    }),
    fourInFive: t.expose("fourInFive", { type: "Date", nullable: true }),
    targetOdds: t.exposeFloat("targetOdds", { nullable: true, description: "Chance of the target date, 0 to 1." }),
    cost: t.field({
      type: Money,
      nullable: true,
      description: "Cost to completion; null where a part had no figure, or it was not worked out.",
      resolve: ({ costMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
  }),
});

const DayFiguresConnection = connectionOf("DayFigures", DayFigures);

const Moved = builder.objectRef<Mover>("Moved").implement({
  description: "What one hold-up, or the work alone, did to the end.",
  fields: (t) => ({
    id: t.id({ description: "The hold-up's id, or work.", resolve: ({ key }) => key }),
    title: t.exposeString("title"),
    days: t.exposeFloat("days", {
      description:
        "Days in tenths, less than 0 is earlier: the mean over all orders in which the hold-ups could have moved (the Shapley value), so that all of them add up.",
    }),
    from: t.expose("from", {
      type: "Date",
      nullable: true,
      description: "The date to which it held the end then; null where it held nothing, or was open.",
    }),
    to: t.expose("to", { type: "Date", nullable: true, description: "The same now." }),
    part: t.field({
      type: Part,
      nullable: true,
      description: "Null where it is not a part, or the part is gone.",
      resolve: ({ key }, _args, context, info) => context.rowOrNull("part", rowOfHoldUp(key, "part"), info),
    }),
    snag: t.field({
      type: Snag,
      nullable: true,
      resolve: ({ key }, _args, context, info) => context.rowOrNull("snag", rowOfHoldUp(key, "snag"), info),
    }),
  }),
});

const MovedConnection = connectionOf("Moved", Moved);

const MovedSince = builder.objectRef<Since>("MovedSince").implement({
  fields: (t) => ({
    since: t.field({ type: DayFigures, resolve: ({ since }) => since }),
    days: t.exposeInt("days", {
      description: "Calendar days by which the end moved, with what is open cleared; less than 0 is earlier.",
    }),
    moved: t.field({
      type: MovedConnection,
      description: "The greatest first.",
      args: forwards,
      resolve: ({ moved }, args) => pageOf(args, moved),
    }),
    opened: t.exposeStringList("opened", {
      description: "What has no source or remedy now and had one, or was not there.",
    }),
    closed: t.exposeStringList("closed", {
      description: "What had no source or remedy then and has one, or is cleared.",
    }),
    lacking: t.exposeString("lacking", {
      nullable: true,
      description: 'For people: what the opened ones are without, such as "no source"; null where there are none.',
    }),
  }),
});

const KeptEndType = builder.objectRef<KeptEnd>("KeptEnd").implement({
  description: "The end as it was worked out already, for lists of many restorations.",
  fields: (t) => ({
    open: t.exposeBoolean("open", { description: "Something has no source or remedy: there is no completion date." }),
    evenOdds: t.expose("evenOdds", {
      type: "Date",
      nullable: true,
      description:
        "Date reached with even odds, with what is open cleared, as in `odds`; null where the runs were not drawn, or never reach them.",
    }),
  }),
});

builder.prismaObjectFields(Restoration, (t) => ({
  keptEnd: t.field({
    type: KeptEndType,
    nullable: true,
    description: "Null where it was not worked out yet for the restoration as it stands: nothing is worked out for it.",
    select: { id: true, planRevision: true },
    resolve: ({ id, planRevision }, _args, { store }) => keptEnd(store, id, planRevision),
  }),
  days: t.field({
    type: DayFiguresConnection,
    description: "The kept days up to that of the figures, the earliest first.",
    args: { ...forwards, from: t.arg({ type: "Date" }), to: t.arg({ type: "Date" }) },
    resolve: async ({ id }, { from, to, ...args }, { store }) => {
      const day = { gte: existingDate("from", from), lte: existingDate("to", to) };
      const days = await store.dayFigures.findMany({
        where: { restorationId: id, AND: [{ day }, { day: { lte: await dayFor(store, id) } }] },
        orderBy: { day: "asc" },
        omit: { holdUps: true },
      });
      return pageOf(args, days);
    },
  }),
  movedSince: t.field({
    type: MovedSince,
    nullable: true,
    description:
      "What moved the end since a day: the last one kept on or before it, and before the day of the figures; null where none was.",
    args: { day: t.arg({ type: "Date", required: true }) },
    complexity: costing(WORK.plan),
    resolve: ({ id }, { day }, context) => since(context, id, existingDate("day", day)!),
  }),
}));

async function since(context: Context, restorationId: string, day: string): Promise<Since | null> {
  const plan = await context.plan(restorationId);
  const kept = await context.store.dayFigures.findFirst({
    where: { restorationId, AND: [{ day: { lte: day } }, { day: { lt: plan.figuresFor } }] },
    orderBy: { day: "desc" },
  });
  return kept === null ? null : movedSince(kept, plan);
}
