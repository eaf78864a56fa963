/** What a choice would do, and what a change that chose has done. */
import { mayWrite, own, restorationsOf } from "../../access/rules.ts";
import {
  type Chosen,
  chosenBefore,
  type Effect as Found,
  rankedBefore,
  type Standing as Stands,
  type TriedQuote,
} from "../../plan/choice/effect.ts";
import { loadQuotes } from "../../plan/choice/load.ts";
import { PlanFault } from "../../plan/compute.ts";
import { endsSinceRanked, type EndMoved as Moved } from "../../plan/hands/machines.ts";
import type { Money as MoneyOfRows } from "../../plan/money/exposureKept.ts";
import { isStale } from "../../plan/rows/kept.ts";
import type { PlanRows } from "../../plan/rows/rows.ts";
import { InvalidInput, NotFound, Refused, StaleRow } from "../../store/fault.ts";
import { type Entry, Journal } from "../../store/journal.ts";
import { builder, costing, existingDate } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { WORK } from "../core/limits.ts";
import { Money } from "../core/money.ts";
import { write } from "../core/save.ts";
import { EndMoved, shopRows } from "../hands/machines.ts";
import { Hunt } from "../hunt/hunt.ts";
import { QuoteInput, quoteDraft } from "../parts/quote.ts";
import { ChoiceKind, ChoicePlan, choosingBy } from "./choices.ts";

const Standing = builder.objectRef<Stands & { currency: string }>("Standing").implement({
  description: "What the plan comes to.",
  fields: (t) => ({
    date: t.expose("date", { type: "Date", description: "When all is finished, with what is open taken as cleared." }),
    cost: t.field({
      type: Money,
      nullable: true,
      description: "Paid, owed, and to be spent through what can be chosen; null where a rate is missing.",
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
  changeEnds: t.field({
    type: [EndMoved],
    description:
      "When each machine ended before a change of their ranks, and ends after it, as all else stands now; none for any other change.",
    args: { change: t.arg.id({ required: true }) },
    complexity: costing(WORK.plan),
    resolve: (_root, { change }, context) => changeEnds(context, change),
  }),
  quoteEffect: t.field({
    type: Effect,
    nullable: true,
    description:
      "What a quote would do once it is saved and chosen; nothing is saved. null while it cannot be saved, or where what is entered makes no plan.",
    args: { input: t.arg({ type: QuoteInput, required: true }) },
    complexity: costing(WORK.plan),
    resolve: (_root, { input }, context) => quoteEffect(context, input),
  }),
}));

builder.objectField(ChoicePlan, "effect", (t) =>
  t.field({
    type: Effect,
    nullable: true,
    description:
      "What taking it up would do, or of what it changes only the parts, snags and operations named; null once the restoration has changed, or where a row is named of which it changes nothing.",
    args: { only: t.arg.idList() },
    complexity: costing(WORK.plan),
    resolve: async ({ plan }, { only }, context) => {
      const { problem } = plan.choices;
      if (await isStale(context.store, problem)) return null;
      return effectOrNull(context, problem.restorationId, (money) => money.effectOf(choosingBy(plan, only ?? null)));
    },
  }),
);

builder.objectField(Hunt, "stopEffect", (t) =>
  t.field({
    type: Effect,
    nullable: true,
    description:
      "What stopping on that day instead would do, as if nothing is found; on: null is without a stop date. null where what is entered makes no plan, and before the day the hunt began.",
    args: { on: t.arg({ type: "Date" }) },
    complexity: costing(WORK.plan),
    resolve: async (hunt, { on }, context) => {
      const to = existingDate("on", on) ?? null;
      if (to !== null && to < hunt.begunOn) return null;
      return effectOrNull(context, hunt.restorationId, (money) => money.effectOf([{ table: "hunt", id: hunt.id, to }]));
    },
  }),
);

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
        const effect = await effectOrNull(context, restorationId, (money) =>
          money.effectOf([{ table, id, to: option }]),
        );
        return effect === null ? [] : [{ option, effect }];
      }),
    )
  ).flat();
}

/** A change with what it wrote. Throws {@link NotFound}. */
async function changeOf({ store, viewer }: Context, id: string): Promise<{ restorationId: string; entries: Entry[] }> {
  const change = await store.change.findFirst({ where: { id, restoration: restorationsOf(viewer) } });
  if (change === null) throw new NotFound("change");
  return { restorationId: change.restorationId, entries: JSON.parse(change.rows) as Entry[] };
}

async function changeEffect(context: Context, id: string): Promise<Found | null> {
  const { restorationId, entries } = await changeOf(context, id);
  const before = chosenBefore(entries);
  if (before === null) return null;
  // What it took the place of, beside all that stands now: turned round, that is what it did.
  const back = await effectOrNull(context, restorationId, (money) => money.effectOf(before));
  return back && { ...back, before: back.after, after: back.before };
}

async function changeEnds(context: Context, id: string): Promise<Moved[]> {
  const { restorationId, entries } = await changeOf(context, id);
  const before = rankedBefore(entries);
  if (before === null) return [];
  const { rows, day } = await shopRows(context, before.keys().next().value ?? restorationId);
  return endsSinceRanked(rows, before, day);
}

/** Ends the transaction in which a quote is only tried, so that nothing of it stays. */
class Tried extends Error {
  constructor(
    readonly restorationId: string,
    readonly quote: TriedQuote,
  ) {
    super("A quote was tried.");
  }
}

async function quoteEffect(context: Context, input: typeof QuoteInput.$inferInput): Promise<Found | null> {
  mayWrite(context.viewer);
  try {
    return await context.store.$transaction(async (tx) => {
      const journal = new Journal(tx);
      const { id, partId, restorationId } = await write(context, journal, quoteDraft(input));
      const quotes = await loadQuotes(tx, { restorationId, id: { in: [id] } });
      throw new Tried(restorationId, { entries: journal.entries, quotes, partId, quoteId: id });
    });
  } catch (error) {
    if (error instanceof InvalidInput || error instanceof Refused || error instanceof StaleRow) return null;
    if (!(error instanceof Tried)) throw error;
    const { restorationId, quote } = error;
    return effectOrNull(context, restorationId, (money) => money.effectOfTried(quote));
  }
}

async function effectOrNull(
  context: Context,
  restorationId: string,
  effectOf: (money: MoneyOfRows) => Found,
): Promise<Found | null> {
  try {
    return effectOf(await context.money(restorationId));
  } catch (error) {
    if (error instanceof PlanFault || error instanceof InvalidInput) return null;
    throw error;
  }
}
