/** What the machine needs and the shop may not have. */
import { own } from "../../access/rules.ts";
import { judgingSectionOf } from "../../plan/choice/points.ts";
import { handsOn } from "../../plan/hands/handLoad.ts";
import { preparationNode } from "../../plan/network/work.ts";
import { cautionFor } from "../../plan/parts/caution.ts";
import type { PartOutlook as Outlook } from "../../plan/plan.ts";
import { BY_CODE, byCodeOf, codeInWords, MADE_BY } from "../../store/codes.ts";
import { InvalidInput, noLongerThere } from "../../store/fault.ts";
import { record } from "../../store/journal.ts";
import { PROVENANCES } from "../../store/rules.ts";
import { codeAndName } from "../../store/tables.ts";
import { JudgingSection, lineFor } from "../choice/judgingSheet.ts";
import { builder, type InputFields } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { DimensionNature, LengthUnit, Provenance, StateOnHand, SupplyState } from "../core/enums.ts";
import { Money } from "../core/money.ts";
import { connectionOf } from "../core/page.ts";
import { type Draft, save } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";
import { Quote } from "./quote.ts";

const PartOutlook = builder.objectRef<Outlook>("PartOutlook").implement({
  description: "Where a part stands in the plan.",
  fields: (t) => ({
    state: t.expose("state", { type: SupplyState }),
    quote: t.field({
      type: Quote,
      nullable: true,
      description:
        "The quote on which the plan counts: ordered, chosen, or standing in for a choice; null when in hand or without a source.",
      resolve: ({ quoteId }, _args, context, info) => context.rowOrNull("quote", quoteId, info),
    }),
    arrivalDate: t.expose("arrivalDate", {
      type: "Date",
      nullable: true,
      description: "Calendar date on which it is expected at the shop; null when in hand or without a source.",
    }),
    needBy: t.expose("needBy", { type: "Date", nullable: true }),
    orderBy: t.expose("orderBy", { type: "Date", nullable: true }),
    floatDays: t.exposeInt("floatDays", {
      nullable: true,
      description:
        "Calendar days between arrival and need-by date; negative is late; null when in hand or without a source.",
    }),
    daysGained: t.exposeInt("daysGained", {
      nullable: true,
      description:
        "Calendar days by which completion would come earlier if it were in hand today; null without a source.",
    }),
    holdsUp: t.exposeBoolean("holdsUp"),
  }),
});

builder.prismaObject("PartReference", {
  fields: (t) => ({ id: t.exposeID("id"), book: t.exposeString("book"), number: t.exposeString("number") }),
});

builder.prismaObject("SpecificationRow", {
  fields: (t) => ({
    id: t.exposeID("id"),
    dimension: t.exposeString("dimension"),
    nominal: t.exposeFloat("nominal"),
    unit: t.expose("unit", { type: LengthUnit }),
    minus: t.exposeFloat("minus"),
    plus: t.exposeFloat("plus"),
    nature: t.expose("nature", {
      type: DimensionNature,
      description: "Metal comes off an OUTSIDE, an INSIDE is opened up, a DISTANCE stays as it is.",
    }),
    note: t.exposeString("note"),
  }),
});

const Preparation = builder.objectRef<NonNullable<ReturnType<typeof handsOn>>>("Preparation").implement({
  fields: (t) => ({
    hours: t.exposeFloat("hours"),
    hands: t.stringList({ description: "Their names.", resolve: ({ hands }) => hands.map(({ name }) => name) }),
  }),
});

export const Part = builder.prismaObject("Part", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    name: t.exposeString("name"),
    group: t.exposeString("group"),
    quantity: t.exposeInt("quantity"),
    stateOnHand: t.expose("stateOnHand", { type: StateOnHand }),
    safetyCritical: t.exposeBoolean("safetyCritical"),
    caution: t.string({
      nullable: true,
      description: "The caution to show, where the part is safety-critical.",
      resolve: (part) => cautionFor(part),
    }),
    visible: t.exposeBoolean("visible", { description: "A judge sees it; a hidden part loses nothing by the sheet." }),
    judgingSection: t.field({
      type: JudgingSection,
      nullable: true,
      description: "Where it is judged: its own section of the sheet, or the one named like its group.",
      resolve: async (part, _args, context, info) =>
        context.rowOrNull(
          "judgingSection",
          judgingSectionOf(await context.sheet(part.restorationId), part)?.id ?? null,
          info,
        ),
    }),
    ownJudgingSection: t.relation("judgingSection", {
      nullable: true,
      description: "The section set for it; null: the one named like its group.",
    }),
    judgingLine: t.relation("judgingLine", {
      nullable: true,
      description: "The line of the sheet on which it is judged; null: on none of its section.",
    }),
    ruledOut: t.field({
      type: [Provenance],
      description: "Provenances that are ruled out here.",
      select: { ruledOut: { orderBy: { id: "asc" }, select: { provenance: true } } },
      resolve: ({ ruledOut }) => PROVENANCES.filter((one) => ruledOut.some(({ provenance }) => provenance === one)),
    }),
    finds: t.relation("finds", { query: { orderBy: [{ foundOn: "desc" }, { id: "asc" }] } }),
    notes: t.exposeString("notes"),
    estimate: t.field({
      type: Money,
      nullable: true,
      select: { restoration: { select: { currency: true } } },
      resolve: ({ estimateMinor: minor, restoration }) =>
        minor === null ? null : { minor, currency: restoration.currency },
    }),
    references: t.relation("references", { query: { orderBy: { id: "asc" } } }),
    specification: t.relation("specification", { query: { orderBy: [{ position: "asc" }, { id: "asc" }] } }),
    needs: t.relation("needs", { query: { orderBy: byCodeOf("operation") } }),
    quotes: t.relation("quotes", { query: { orderBy: BY_CODE } }),
    chosenQuote: t.relation("chosenQuote", { nullable: true }),
    fallbackQuote: t.relation("fallbackQuote", {
      nullable: true,
      description: "Ordered where the hunt for the part stops without a find.",
    }),
    hunt: t.relation("hunt", { nullable: true }),
    orders: t.relation("orders", { query: { orderBy: BY_CODE } }),
    inspections: t.relation("inspections", { query: { orderBy: [{ inspectedOn: "desc" }, { id: "asc" }] } }),
    restoration: t.relation("restoration"),
    outlook: t.field({
      type: PartOutlook,
      resolve: async (part, _args, context) => (await context.plan(part.restorationId)).parts.get(part.id)!,
    }),
    preparation: t.field({
      type: Preparation,
      nullable: true,
      description:
        "Work on it before it fits, and who does it: a hand of the trade of the first operation that waits for it. Null where there is none, or nobody is entered.",
      resolve: async ({ id, restorationId }, _args, context) =>
        handsOn((await context.plan(restorationId)).handLoad(), preparationNode(id)),
    }),
  }),
});

export const PartConnection = connectionOf("Part", Part);

builder.queryField("part", (t) =>
  t.prismaField({
    type: "Part",
    args: { id: t.arg.id({ required: true }) },
    resolve: async (query, _root, { id }, { store, viewer }) =>
      store.part.findUniqueOrThrow({ ...query, where: { id: (await own(viewer, store, "part", id)).id } }),
  }),
);

const PartReferenceInput = builder.inputType("PartReferenceInput", {
  fields: (t) => ({ book: t.string(), number: t.string({ required: true }) }),
});

const SpecificationRowInput = builder.inputType("SpecificationRowInput", {
  fields: (t) => ({
    dimension: t.string({ required: true }),
    nominal: t.float({ required: true }),
    unit: t.field({ type: LengthUnit }),
    minus: t.float(),
    plus: t.float(),
    nature: t.field({ type: DimensionNature }),
    note: t.string(),
  }),
});

/** What several parts may have in common. */
export const partsFields = (t: InputFields) => ({
  group: t.string(),
  quantity: t.int(),
  stateOnHand: t.field({ type: StateOnHand }),
  safetyCritical: t.boolean(),
  kept: t.boolean(),
  visible: t.boolean(),
  judgingSection: t.id(),
  judgingLine: t.id({ description: "A line of the sheet; its section then counts, whatever section is set." }),
});

const PartInput = builder.inputType("PartInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    restoration: t.id(),
    code: t.string(),
    name: t.string(),
    ...partsFields(t),
    estimateMinor: t.field({ type: "Minor" }),
    ruledOut: t.field({ type: [Provenance] }),
    notes: t.string(),
    references: t.field({ type: [PartReferenceInput] }),
    specification: t.field({ type: [SpecificationRowInput] }),
  }),
});

builder.mutationFields((t) => ({
  savePart: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: PartInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => savePart(context, input)),
  }),
  chooseQuote: t.field({
    type: SaveResult,
    description: "quote null: the part is undecided again.",
    args: {
      part: t.arg.id({ required: true }),
      quote: t.arg.id(),
      revision: t.arg.int({ required: true }),
    },
    resolve: (_root, { part, quote, revision }, context) =>
      saving(context, () => chooseQuote(context, part, quote ?? null, revision)),
  }),
}));

const savePart = (context: Context, input: typeof PartInput.$inferInput) => save(context, partDraft(input));

/** A part as an input gives it. */
export const partDraft = ({
  id,
  revision,
  restoration,
  judgingSection,
  judgingLine,
  references,
  specification,
  ruledOut,
  ...patch
}: typeof PartInput.$inferInput): Draft<"part"> => ({
  table: "part",
  rule: "part",
  id,
  revision,
  patch,
  codes: MADE_BY.part,
  defaults: {
    group: "",
    quantity: 1,
    stateOnHand: "MISSING",
    safetyCritical: false,
    estimateMinor: null,
    kept: false,
    visible: true,
    judgingSectionId: null,
    judgingLineId: null,
    notes: "",
  },
  place: async (find, before) => {
    const restorationId = await find.restorationOf(before, restoration);
    const onLine = await lineFor(find, restorationId, judgingLine);
    if (judgingSection === undefined) return { restorationId, ...onLine };
    const judged =
      judgingSection === null
        ? null
        : (await find.findIn(restorationId, "judgingSection", "judgingSection", judgingSection))?.id;
    return { restorationId, judgingSectionId: judged, ...onLine };
  },
  lists: [
    {
      field: "references",
      table: "partReference",
      rule: "partReference",
      parent: "partId",
      rows: references?.map(({ book, number }) => ({ book: book ?? "", number })),
    },
    {
      field: "specification",
      table: "specificationRow",
      rule: "specificationRow",
      parent: "partId",
      rows: specification?.map(({ dimension, nominal, unit, minus, plus, nature, note }, position) => ({
        dimension,
        nominal,
        unit: unit ?? "MM",
        minus: minus ?? 0,
        plus: plus ?? 0,
        nature: nature ?? "OUTSIDE",
        note: note ?? "",
        position,
      })),
    },
    {
      field: "ruledOut",
      table: "ruledOut",
      rule: "ruledOut",
      parent: "partId",
      key: "provenance",
      rows: ruledOut?.map((provenance) => ({ provenance })),
    },
  ],
});

async function chooseQuote(
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
      ? `Left ${codeAndName("part", part)}, undecided`
      : `Chose ${codeInWords("quote", quote.code)} of ${quote.supplier.name} for ${codeAndName("part", part)}`;
  const { restorationId } = part;
  const change = await record(store, { restorationId, accountId: viewer.accountId, summary }, (journal) =>
    journal.update("part", part.id, revision, { chosenQuoteId: quoteId }),
  );
  return { change, id: part.id, revision: revision + 1 };
}
