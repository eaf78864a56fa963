/** Shop work: its place in the plan, its links, needs and snags. */
import { own } from "../../access/rules.ts";
import { BY_CODE, byCodeOf, MADE_BY } from "../../store/codes.ts";
import type { Tables } from "../../store/tables.ts";
import { asText, textsOf } from "../../store/texts.ts";
import { speller } from "../../store/trades.ts";
import { lineFor } from "../choice/judgingSheet.ts";
import { builder, type InputFields } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { OperationState } from "../core/enums.ts";
import { connectionOf } from "../core/page.ts";
import { type Draft, type Finder, save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { mayBeDone } from "../parts/fitting.ts";
import { ScheduledOperation } from "./schedule.ts";

export const Operation = builder.prismaObject("Operation", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    title: t.exposeString("title"),
    trade: t.exposeString("trade"),
    group: t.exposeString("group"),
    judgingLine: t.relation("judgingLine", {
      nullable: true,
      description:
        "The line of the judging sheet on which its ways and the remedies of its snags lose points; null: on none of the section named like its group.",
    }),
    hoursLeast: t.exposeFloat("hoursLeast", { nullable: true }),
    hoursLikely: t.exposeFloat("hoursLikely"),
    hoursMost: t.exposeFloat("hoursMost", { nullable: true }),
    state: t.expose("state", { type: OperationState }),
    startedOn: t.expose("startedOn", { type: "Date", nullable: true }),
    finishedOn: t.expose("finishedOn", { type: "Date", nullable: true }),
    remainingHours: t.exposeFloat("remainingHours", { nullable: true }),
    hands: t.exposeInt("hands", { description: "Hands of its own trade that it takes, for the whole of its hours." }),
    alsoTrades: t.stringList({
      description: "The trade of each further hand that it takes; one that stands twice is two hands.",
      resolve: ({ alsoTrades }) => textsOf(alsoTrades),
    }),
    first: t.exposeBoolean("first", { description: "It comes before all that could be done in its place." }),
    mayBePutDown: t.exposeBoolean("mayBePutDown", {
      description:
        "Under way, it is put down for other work where that ends all sooner; what is left is then done in one go.",
    }),
    notBefore: t.expose("notBefore", { type: "Date", nullable: true }),
    notes: t.exposeString("notes"),
    linksBefore: t.relation("before", { query: { orderBy: byCodeOf("before") } }),
    linksAfter: t.relation("after", { query: { orderBy: byCodeOf("after") } }),
    needs: t.relation("needs", { query: { orderBy: byCodeOf("part") } }),
    snags: t.relation("snags", { query: { orderBy: BY_CODE } }),
    ways: t.relation("ways", { query: { orderBy: BY_CODE } }),
    chosenWay: t.relation("chosenWay", {
      nullable: true,
      description: "The way in force: the plan goes by its hours and days. null: as the operation itself says.",
    }),
    inspections: t.relation("inspections", { query: { orderBy: [{ inspectedOn: "desc" }, { id: "asc" }] } }),
    restoration: t.relation("restoration"),
    schedule: t.field({
      type: ScheduledOperation,
      description: "Its place in the plan, on the restoration's own day of the figures.",
      resolve: async (operation, _args, context) => {
        const plan = await context.plan(operation.restorationId);
        return { plan, place: plan.operations.get(operation.id)! };
      },
    }),
  }),
});

builder.objectField(ScheduledOperation, "operation", (t) =>
  t.field({
    type: Operation,
    resolve: ({ place }, _args, context, info) => context.row("operation", place.operationId, info),
  }),
);

export const OperationConnection = connectionOf("Operation", Operation);

builder.queryField("operation", (t) =>
  t.prismaField({
    type: "Operation",
    args: { id: t.arg.id({ required: true }) },
    resolve: async (query, _root, { id }, { store, viewer }) =>
      store.operation.findUniqueOrThrow({ ...query, where: { id: (await own(viewer, store, "operation", id)).id } }),
  }),
);

/** What several operations may have in common. */
export const operationsFields = (t: InputFields) => ({
  trade: t.string(),
  group: t.string(),
  judgingLine: t.id(),
  state: t.field({ type: OperationState }),
  startedOn: t.field({ type: "Date" }),
  finishedOn: t.field({ type: "Date" }),
  hands: t.int(),
  alsoTrades: t.stringList(),
  first: t.boolean(),
  mayBePutDown: t.boolean(),
  notBefore: t.field({ type: "Date" }),
});

const OperationInput = builder.inputType("OperationInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    restoration: t.id(),
    code: t.string(),
    title: t.string(),
    hoursLeast: t.float(),
    hoursLikely: t.float(),
    hoursMost: t.float(),
    remainingHours: t.float(),
    notes: t.string(),
    ...operationsFields(t),
  }),
});

builder.mutationField("saveOperation", (t) =>
  t.field({
    type: SaveResult,
    args: { input: t.arg({ type: OperationInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveOperation(context, input)),
  }),
);

const saveOperation = (context: Context, input: typeof OperationInput.$inferInput) =>
  save(context, operationDraft(context, input));

/** How an operation's trades are spelt. */
type Spelling = (find: Finder, before: Tables["operation"] | null) => ReturnType<typeof speller>;

/** An operation as an input gives it. */
export const operationDraft = (
  context: Context,
  { id, revision, restoration, judgingLine, alsoTrades, ...patch }: typeof OperationInput.$inferInput,
  spelling: Spelling = ({ tx }, before) =>
    speller(tx, context.viewer.workshopId, { besides: before ? [before.id] : [] }),
): Draft<"operation"> => ({
  table: "operation",
  rule: "operation",
  id,
  revision,
  patch: { ...patch, ...(alsoTrades != null && { alsoTrades: asText(alsoTrades) }) },
  codes: MADE_BY.operation,
  defaults: {
    trade: "",
    group: "",
    hoursLeast: null,
    hoursMost: null,
    state: "NOT_STARTED",
    startedOn: null,
    finishedOn: null,
    remainingHours: null,
    hands: 1,
    alsoTrades: asText([]),
    first: false,
    mayBePutDown: false,
    notBefore: null,
    place: null,
    judgingLineId: null,
    notes: "",
  },
  place: async (find, before) => {
    const restorationId = await find.restorationOf(before, restoration);
    const spelt = patch.trade == null && alsoTrades == null ? String : await spelling(find, before);
    return {
      restorationId,
      ...(patch.trade != null && { trade: spelt(patch.trade) }),
      ...(alsoTrades != null && { alsoTrades: asText(alsoTrades.map(spelt)) }),
      ...(await lineFor(find, restorationId, judgingLine)),
    };
  },
  check: (row, before, find) => find.nothingToCome("operation", row, before),
  also: async ({ tx }, row, before) => {
    if (row.state === "DONE" && before !== null && before.state !== "DONE") await mayBeDone(tx, row.id);
  },
});
