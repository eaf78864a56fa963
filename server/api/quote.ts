/** One supplier's way to get one part. */

import { isExpired } from "../plan/acquisition.ts";
import { arrivalIfOrdered } from "../plan/dates.ts";
import { Refused } from "../store/fault.ts";
import { builder } from "./builder.ts";
import type { Context } from "./context.ts";
import { Incoterm, Provenance } from "./enums.ts";
import { Money } from "./money.ts";
import { connectionOf } from "./page.ts";
import { save } from "./save.ts";
import { SaveResult, saving } from "./saveResult.ts";

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
    freight: t.field({ type: Money, resolve: (q) => ({ minor: q.freightMinor, currency: q.currency }) }),
    insurance: t.field({ type: Money, resolve: (q) => ({ minor: q.insuranceMinor, currency: q.currency }) }),
    dutyRate: t.exposeFloat("dutyRate"),
    taxRate: t.exposeFloat("taxRate"),
    incoterm: t.expose("incoterm", { type: Incoterm }),
    deposit: t.field({ type: Money, resolve: (q) => ({ minor: q.depositMinor, currency: q.currency }) }),
    leadDays: t.exposeInt("leadDays"),
    leadLow: t.exposeInt("leadLow", { nullable: true }),
    leadLikely: t.exposeInt("leadLikely", { nullable: true }),
    leadHigh: t.exposeInt("leadHigh", { nullable: true }),
    orderFrom: t.expose("orderFrom", { type: "Date", nullable: true }),
    validUntil: t.expose("validUntil", { type: "Date", nullable: true }),
    preparationHours: t.exposeFloat("preparationHours"),
    pointsAtRisk: t.exposeFloat("pointsAtRisk"),
    notes: t.exposeString("notes"),
    orders: t.relation("orders", { query: { orderBy: { code: "asc" } } }),
    chosen: t.boolean({
      select: { chosenFor: { select: { id: true } } },
      resolve: (quote) => quote.chosenFor !== null,
    }),
    arrivalDate: t.field({
      type: "Date",
      description: "Arrival if ordered on the data date (or the first day the supplier takes the order).",
      resolve: async (quote, _args, context) => arrivalIfOrdered(quote, await context.dataDate(quote.restorationId)),
    }),
    expired: t.boolean({
      description: "Past its validity on the data date: ask again.",
      resolve: async (quote, _args, context) => isExpired(quote, await context.dataDate(quote.restorationId)),
    }),
  }),
});

export const QuoteConnection = connectionOf("Quote", Quote);

const PriceBreakInput = builder.inputType("PriceBreakInput", {
  fields: (t) => ({ quantity: t.int({ required: true }), unitPriceMinor: t.int({ required: true }) }),
});

const QuoteInput = builder.inputType("QuoteInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    part: t.id(),
    supplier: t.id(),
    code: t.string(),
    provenance: t.field({ type: Provenance }),
    unitPriceMinor: t.int(),
    currency: t.string(),
    minimumQuantity: t.int(),
    freightMinor: t.int(),
    insuranceMinor: t.int(),
    dutyRate: t.float(),
    taxRate: t.float(),
    incoterm: t.field({ type: Incoterm }),
    depositMinor: t.int(),
    leadDays: t.int(),
    leadLow: t.int(),
    leadLikely: t.int(),
    leadHigh: t.int(),
    orderFrom: t.field({ type: "Date" }),
    validUntil: t.field({ type: "Date" }),
    preparationHours: t.float(),
    pointsAtRisk: t.float(),
    notes: t.string(),
    priceBreaks: t.field({ type: [PriceBreakInput] }),
  }),
});

builder.mutationField("saveQuote", (t) =>
  t.field({
    type: SaveResult,
    args: { input: t.arg({ type: QuoteInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveQuote(context, input)),
  }),
);

const saveQuote = (
  context: Context,
  { id, revision, part, supplier, priceBreaks, ...patch }: typeof QuoteInput.$inferInput,
) =>
  save(context, {
    table: "quote",
    rule: "quote",
    id,
    revision,
    patch,
    codes: { prefix: "Q", digits: 3, step: 1 },
    defaults: {
      minimumQuantity: 1,
      freightMinor: 0,
      insuranceMinor: 0,
      dutyRate: 0,
      taxRate: 0,
      incoterm: "EXW",
      depositMinor: 0,
      leadLow: null,
      leadLikely: null,
      leadHigh: null,
      orderFrom: null,
      validUntil: null,
      preparationHours: 0,
      pointsAtRisk: 0,
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
        throw new Refused("IN_USE", "This quote is chosen for its part: leave the part undecided first.", [
          before.code,
        ]);
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
    ],
  });
