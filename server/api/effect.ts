/** What a choice would do, and what a change that chose has done. */
import { own, restorationsOf } from "../access/rules.ts";
import { PlanFault } from "../plan/compute.ts";
import { type Chosen, chosenBefore, type Effect as Found, type Standing as Stands } from "../plan/effect.ts";
import type { PlanRows } from "../plan/rows.ts";
import { InvalidInput, NotFound } from "../store/fault.ts";
import type { Entry } from "../store/journal.ts";
import { builder, costing } from "./builder.ts";
import { ChoiceKind } from "./choices.ts";
import type { Context } from "./context.ts";
import { WORK } from "./limits.ts";
import { Money } from "./money.ts";

const Standing = builder.objectRef<Stands & { currency: string }>("Standing").implement({
  description: "What the plan comes to.",
  fields: (t) => ({
    date: t.expose("date", { type: "Date", description: "When all is finished, with what is open taken as cleared." }),
    cost: t.field({
      type: Money,
      nullable: true,
      description: "As of the plan in force among those to choose from; null where a rate is missing.",
      resolve: ({ costMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    hours: t.exposeFloat("hours", { description: "Still to be worked at the bench." }),
    pointsLost: t.exposeFloat("pointsLost"),
  }),
});

const Effect = builder.objectRef<Found>("Effect").implement({
  description: "What a choice does to the end, the money, the hours at the bench and the points.",
  fields: (t) => ({
    before: t.field({ type: Standing, resolve: ({ before, currency }) => ({ ...before, currency }) }),
    after: t.field({ type: Standing, resolve: ({ after, currency }) => ({ ...after, currency }) }),
  }),
});

const ChoiceEffect = builder.objectRef<{ option: string | null; effect: Found }>("ChoiceEffect").implement({
  fields: (t) => ({
    option: t.id({
      nullable: true,
      description: "Id of the quote, the remedy or the way; null: the choice is taken back.",
      resolve: ({ option }) => option,
    }),
    effect: t.field({ type: Effect, resolve: ({ effect }) => effect }),
  }),
});

builder.queryFields((t) => ({
  choiceEffects: t.field({
    type: [ChoiceEffect],
    description:
      "What choosing each quote of a part, remedy of a snag or way of an operation would do, and choosing none of them. Empty where what is entered makes no plan.",
    args: { kind: t.arg({ type: ChoiceKind, required: true }), row: t.arg.id({ required: true }) },
    complexity: costing(WORK.plan),
    resolve: (_root, { kind, row }, context) => choiceEffects(context, kind, row),
  }),
  changeEffect: t.field({
    type: Effect,
    nullable: true,
    description:
      "What a change has done that chose a quote, a remedy, a way or the stop date of a hunt, or took such a choice back, as all else stands now; null for any other.",
    args: { change: t.arg.id({ required: true }) },
    complexity: costing(WORK.plan),
    resolve: (_root, { change }, context) => changeEffect(context, change),
  }),
}));

/** Where each kind of choice is made, and from what. */
const CHOICES = {
  PART: { table: "part", from: ({ quotes }, id) => quotes.filter(({ partId }) => partId === id) },
  SNAG: { table: "snag", from: ({ remedies }, id) => remedies.filter(({ snagId }) => snagId === id) },
  OPERATION: { table: "operation", from: ({ ways }, id) => ways.filter(({ operationId }) => operationId === id) },
} as const satisfies Record<
  string,
  { table: Chosen; from: (rows: PlanRows, row: string) => readonly { id: string }[] }
>;

async function choiceEffects(
  context: Context,
  kind: typeof ChoiceKind.$inferType,
  row: string,
): Promise<{ option: string | null; effect: Found }[]> {
  const { table, from } = CHOICES[kind];
  const { id, restorationId } = await own(context.viewer, context.store, table, row);
  const { rows } = await context.money(restorationId);
  const all = [null, ...from(rows.plan, id).map((option) => option.id)];
  return (
    await Promise.all(
      all.map(async (option) => {
        const effect = await effectOrNull(context, restorationId, [{ table, id, to: option }]);
        return effect === null ? [] : [{ option, effect }];
      }),
    )
  ).flat();
}

async function changeEffect(context: Context, id: string): Promise<Found | null> {
  const { store, viewer } = context;
  const change = await store.change.findFirst({ where: { id, restoration: restorationsOf(viewer) } });
  if (change === null) throw new NotFound("change");
  const before = chosenBefore(JSON.parse(change.rows) as Entry[]);
  if (before === null) return null;
  // What it took the place of, beside all that stands now: turned round, that is what it did.
  const back = await effectOrNull(context, change.restorationId, before);
  return back && { ...back, before: back.after, after: back.before };
}

async function effectOrNull(
  context: Context,
  restorationId: string,
  choices: readonly { table: Chosen; id: string; to: string | null }[],
): Promise<Found | null> {
  try {
    return (await context.money(restorationId)).effectOf(choices);
  } catch (error) {
    if (error instanceof PlanFault || error instanceof InvalidInput) return null;
    throw error;
  }
}
