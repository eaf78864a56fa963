/** One supplier's price and terms for one part. */

import { costOfOption, ratesOf } from "../../plan/choice/optionCost.ts";
import { lostAlone, placeOf, pointsLost } from "../../plan/choice/points.ts";
import { totalHours } from "../../plan/hands/hours.ts";
import { LANDING, ORDER_TERMS } from "../../plan/money/landed.ts";
import { isExpired } from "../../plan/parts/acquisition.ts";
import { arrivalIfOrdered } from "../../plan/parts/dates.ts";
import { dimensionName, quoteFit } from "../../plan/parts/fit.ts";
import { BY_CODE, MADE_BY } from "../../store/codes.ts";
import { Refused } from "../../store/fault.ts";
import { OptionCost } from "../choice/optionCost.ts";
import { builder, wrongArgument } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Condition, Incoterm, LengthUnit, Provenance } from "../core/enums.ts";
import { Money } from "../core/money.ts";
import { connectionOf } from "../core/page.ts";
import { type Draft, save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { MakerRecord } from "../makers/makerRecord.ts";
import { Fit } from "./fit.ts";
import { LandedCost } from "./landedCost.ts";

builder.prismaObject("PriceBreak", {
  fields: (t) => ({
    id: t.exposeID("id"),
    quantity: t.exposeInt("quantity"),
    unitPrice: t.field({
      type: Money,
      select: { quote: { select: { currency: true } } },
      resolve: ({ unitPriceMinor: minor, quote }) => ({ minor, currency: quote.currency }),
    }),
  }),
});

builder.prismaObject("KnockOn", {
  description: "What a quote brings with it; its cost, hours and points count with the quote.",
  fields: (t) => ({
    id: t.exposeID("id"),
    title: t.exposeString("title"),
    price: t.field({ type: Money, resolve: (one) => ({ minor: one.priceMinor, currency: one.currency }) }),
    hours: t.exposeFloat("hours"),
    points: t.exposeFloat("points"),
  }),
});

builder.prismaObject("StatedDimension", {
  fields: (t) => ({
    id: t.exposeID("id"),
    dimension: t.exposeString("dimension"),
    value: t.exposeFloat("value"),
    unit: t.expose("unit", { type: LengthUnit }),
  }),
});

const inPlace = { orderBy: [{ position: "asc" as const }, { id: "asc" as const }] };

export const Quote = builder.prismaObject("Quote", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    part: t.relation("part"),
    supplier: t.relation("supplier"),
    provenance: t.expose("provenance", { type: Provenance }),
    unitPrice: t.field({ type: Money, resolve: (q) => ({ minor: q.unitPriceMinor, currency: q.currency }) }),
    priceBreaks: t.relation("priceBreaks", { query: { orderBy: { quantity: "asc" } } }),
    minimumQuantity: t.exposeInt("minimumQuantity"),
    carriage: t.field({ type: Money, resolve: (q) => ({ minor: q.carriageMinor, currency: q.currency }) }),
    insurance: t.field({ type: Money, resolve: (q) => ({ minor: q.insuranceMinor, currency: q.currency }) }),
    dutyRate: t.exposeFloat("dutyRate"),
    taxRate: t.exposeFloat("taxRate"),
    incoterm: t.expose("incoterm", { type: Incoterm }),
    deposit: t.field({ type: Money, resolve: (q) => ({ minor: q.depositMinor, currency: q.currency }) }),
    leadDays: t.exposeInt("leadDays"),
    leadLeast: t.exposeInt("leadLeast", { nullable: true }),
    leadLikely: t.exposeInt("leadLikely", { nullable: true }),
    leadMost: t.exposeInt("leadMost", { nullable: true }),
    orderFrom: t.expose("orderFrom", { type: "Date", nullable: true }),
    validUntil: t.expose("validUntil", { type: "Date", nullable: true }),
    preparationHours: t.exposeFloat("preparationHours"),
    pointsByHand: t.exposeFloat("pointsByHand", { description: "The user's own figure; 0 is by the judging sheet." }),
    pointsLost: t.float({
      description:
        "The user's own figure, else by the judging sheet, and the points of the knock-ons: what the line of the part loses by them if by nothing else.",
      select: {
        part: { select: { group: true, visible: true, judgingSectionId: true, judgingLineId: true } },
        knockOns: { ...inPlace, select: { points: true } },
      },
      resolve: async (quote, _args, context) => {
        const sheet = await context.sheet(quote.restorationId);
        return lostAlone(sheet, { ...placeOf(sheet, quote.part), points: pointsLost(sheet, quote.part, quote) });
      },
    }),
    ruledOut: t.exposeBoolean("ruledOut", { description: "Not to be taken, whatever it costs." }),
    condition: t.expose("condition", { type: Condition }),
    coreCharge: t.field({
      type: Money,
      description: "Charged on each piece until the old part goes back.",
      resolve: (q) => ({ minor: q.coreChargeMinor, currency: q.currency }),
    }),
    coreReturned: t.exposeBoolean("coreReturned"),
    weightGrams: t.exposeInt("weightGrams", { nullable: true, description: "Of one piece; null: not known." }),
    knockOns: t.relation("knockOns", { query: inPlace }),
    statedDimensions: t.relation("statedDimensions", { query: inPlace }),
    landed: t.field({
      type: LandedCost,
      description:
        "What it costs by the time it lies on the bench, with its share of what its supplier charges on one order of all that is in force and still to be ordered from them. quantity: default, as many as the machine needs.",
      args: { quantity: t.arg.int() },
      select: {
        part: { select: { quantity: true } },
        priceBreaks: { orderBy: { quantity: "asc" }, select: { quantity: true, unitPriceMinor: true } },
        knockOns: { ...inPlace, select: { title: true, priceMinor: true, currency: true } },
        supplier: { select: ORDER_TERMS },
        restoration: { select: { id: true, workshopId: true, ...LANDING } },
      },
      resolve: async (quote, { quantity }, context) => {
        const orders = await context.ordersAhead(quote.restoration);
        return orders.landed(quote, quote, pieces(quantity) ?? quote.part.quantity, {
          cores: quote.part.quantity,
        });
      },
    }),
    cost: t.field({
      type: OptionCost,
      description: "Landed, with the hours of preparing it and of what it brings with it: what quotes are compared by.",
      select: {
        part: { select: { quantity: true } },
        priceBreaks: { orderBy: { quantity: "asc" }, select: { quantity: true, unitPriceMinor: true } },
        knockOns: { ...inPlace, select: { title: true, priceMinor: true, currency: true, hours: true } },
        supplier: { select: ORDER_TERMS },
        restoration: {
          select: {
            id: true,
            workshopId: true,
            ...LANDING,
            hourlyRateMinor: true,
            countOwnHours: true,
          },
        },
      },
      resolve: async ({ restoration, ...quote }, _args, context) => {
        const { totalMinor } = (await context.ordersAhead(restoration)).landed(quote, quote, quote.part.quantity);
        const hours = totalHours([{ hours: quote.preparationHours }, ...quote.knockOns]);
        return { ...costOfOption(ratesOf(restoration), totalMinor, hours, null), currency: restoration.currency };
      },
    }),
    fit: t.field({
      type: Fit,
      select: {
        part: {
          select: {
            specification: {
              ...inPlace,
              select: { dimension: true, nature: true, nominal: true, minus: true, plus: true, unit: true },
            },
          },
        },
        statedDimensions: { ...inPlace, select: { dimension: true, value: true, unit: true } },
      },
      resolve: (quote) => quoteFit(quote.part.specification, quote.statedDimensions),
    }),
    makerRecord: t.field({
      type: MakerRecord,
      select: { restoration: { select: { workshopId: true } } },
      resolve: async ({ restoration, restorationId, supplierId, leadDays }, _args, context) => ({
        record: await context.makerRecord(restoration.workshopId, supplierId, await context.figuresFor(restorationId)),
        promisedDays: leadDays,
      }),
    }),
    notes: t.exposeString("notes"),
    orders: t.relation("orders", { query: { orderBy: BY_CODE } }),
    chosen: t.boolean({
      select: { chosenFor: { select: { id: true } } },
      resolve: (quote) => quote.chosenFor !== null,
    }),
    arrivalDate: t.field({
      type: "Date",
      description: "Arrival if ordered on the day of the figures (or the first day the supplier takes the order).",
      resolve: async (quote, _args, context) => arrivalIfOrdered(quote, await context.figuresFor(quote.restorationId)),
    }),
    expired: t.boolean({
      description: "Past its validity on the day of the figures: ask again.",
      resolve: async (quote, _args, context) => isExpired(quote, await context.figuresFor(quote.restorationId)),
    }),
  }),
});

export const QuoteConnection = connectionOf("Quote", Quote);

/** Throws where a number of pieces is none. */
function pieces(quantity: number | null | undefined): number | undefined {
  if (quantity == null) return undefined;
  if (quantity < 1 || quantity > 1_000_000)
    throw wrongArgument("quantity", `must be between 1 and 1000000 (it is ${quantity}).`);
  return quantity;
}

const KnockOnInput = builder.inputType("KnockOnInput", {
  description: "currency: default, the quote's.",
  fields: (t) => ({
    title: t.string({ required: true }),
    priceMinor: t.field({ type: "Minor" }),
    currency: t.string(),
    hours: t.float(),
    points: t.float(),
  }),
});

const StatedDimensionInput = builder.inputType("StatedDimensionInput", {
  fields: (t) => ({
    dimension: t.string({ required: true }),
    value: t.float({ required: true }),
    unit: t.field({ type: LengthUnit }),
  }),
});

const PriceBreakInput = builder.inputType("PriceBreakInput", {
  fields: (t) => ({ quantity: t.int({ required: true }), unitPriceMinor: t.field({ type: "Minor", required: true }) }),
});

export const QuoteInput = builder.inputType("QuoteInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    part: t.id(),
    supplier: t.id(),
    code: t.string(),
    provenance: t.field({ type: Provenance }),
    unitPriceMinor: t.field({ type: "Minor" }),
    currency: t.string(),
    minimumQuantity: t.int(),
    carriageMinor: t.field({ type: "Minor" }),
    insuranceMinor: t.field({ type: "Minor" }),
    dutyRate: t.float(),
    taxRate: t.float(),
    incoterm: t.field({ type: Incoterm }),
    depositMinor: t.field({ type: "Minor" }),
    leadDays: t.int(),
    leadLeast: t.int(),
    leadLikely: t.int(),
    leadMost: t.int(),
    orderFrom: t.field({ type: "Date" }),
    validUntil: t.field({ type: "Date" }),
    preparationHours: t.float(),
    pointsByHand: t.float(),
    ruledOut: t.boolean(),
    condition: t.field({ type: Condition }),
    coreChargeMinor: t.field({ type: "Minor" }),
    coreReturned: t.boolean(),
    weightGrams: t.int(),
    notes: t.string(),
    priceBreaks: t.field({ type: [PriceBreakInput] }),
    knockOns: t.field({ type: [KnockOnInput] }),
    statedDimensions: t.field({ type: [StatedDimensionInput] }),
  }),
});

builder.mutationField("saveQuote", (t) =>
  t.field({
    type: SaveResult,
    args: { input: t.arg({ type: QuoteInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveQuote(context, input)),
  }),
);

const saveQuote = (context: Context, input: typeof QuoteInput.$inferInput) => save(context, quoteDraft(input));

/** A quote as an input gives it. */
export const quoteDraft = ({
  id,
  revision,
  part,
  supplier,
  priceBreaks,
  knockOns,
  statedDimensions,
  ...patch
}: typeof QuoteInput.$inferInput): Draft<"quote"> => ({
  table: "quote",
  rule: "quote",
  id,
  revision,
  patch,
  codes: MADE_BY.quote,
  defaults: {
    minimumQuantity: 1,
    carriageMinor: 0,
    insuranceMinor: 0,
    dutyRate: 0,
    taxRate: 0,
    incoterm: "EXW",
    depositMinor: 0,
    leadLeast: null,
    leadLikely: null,
    leadMost: null,
    orderFrom: null,
    validUntil: null,
    preparationHours: 0,
    pointsByHand: 0,
    ruledOut: false,
    condition: "SERVICEABLE",
    coreChargeMinor: 0,
    coreReturned: false,
    weightGrams: null,
    notes: "",
  },
  place: async (find, before) => {
    const forPart = await find.findIn(before?.restorationId, "part", "part", part ?? before?.partId);
    const from = await find.find("supplier", "supplier", supplier ?? before?.supplierId);
    const restorationId = before?.restorationId ?? forPart?.restorationId;
    const own = before === null && restorationId !== undefined && patch.currency == null;
    const currency = own
      ? (await find.tx.restoration.findUnique({ where: { id: restorationId } }))?.currency
      : undefined;
    return {
      restorationId,
      partId: forPart?.id,
      supplierId: from?.id,
      ...(currency === undefined ? {} : { currency }),
    };
  },
  check: async (row, before, { tx }) => {
    if (before === null) return;
    const moved = row.partId !== before.partId;
    if (!moved && row.currency === before.currency && row.supplierId === before.supplierId) return;
    const orders = await tx.order.findMany({ where: { quoteId: before.id }, select: { code: true } });
    if (orders.length > 0)
      throw new Refused(
        "IN_USE",
        "This quote has been ordered: its part, supplier and currency stay as they were when the order was placed.",
        orders.map((order) => order.code),
      );
    if (moved && (await tx.part.count({ where: { chosenQuoteId: before.id } })) > 0)
      throw new Refused("IN_USE", "This quote is chosen for its part: leave the part undecided first.", [before.code]);
    if (moved && (await tx.part.count({ where: { fallbackQuoteId: before.id } })) > 0)
      throw new Refused("IN_USE", "A hunt falls back on this quote: choose another fallback first.", [before.code]);
  },
  lists: [
    {
      field: "priceBreaks",
      table: "priceBreak",
      rule: "priceBreak",
      parent: "quoteId",
      key: "quantity",
      rows: priceBreaks?.map(({ quantity, unitPriceMinor }) => ({ quantity, unitPriceMinor })),
    },
    {
      field: "knockOns",
      table: "knockOn",
      rule: "knockOn",
      parent: "quoteId",
      inherits: "currency",
      rows: knockOns?.map(({ title, priceMinor, currency, hours, points }, position) => ({
        title,
        priceMinor: priceMinor ?? 0,
        currency,
        hours: hours ?? 0,
        points: points ?? 0,
        position,
      })),
    },
    {
      field: "statedDimensions",
      table: "statedDimension",
      rule: "statedDimension",
      parent: "quoteId",
      key: "dimension",
      alike: dimensionName,
      rows: statedDimensions?.map(({ dimension, value, unit }, position) => ({
        dimension,
        value,
        unit: unit ?? "MM",
        position,
      })),
    },
  ],
});
