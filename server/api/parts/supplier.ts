/** Those a part can come from. They belong to the workshop, not to one restoration. */
import { own, restorationFor, suppliersOf } from "../../access/rules.ts";
import { dayFor } from "../../plan/days/day.ts";
import { today } from "../../plan/days/today.ts";
import { BY_CODE, MADE_BY } from "../../store/codes.ts";
import { builder } from "../core/builder.ts";
import { workshopRecord } from "../core/change.ts";
import type { Context } from "../core/context.ts";
import { ChargeShare, SupplierKind } from "../core/enums.ts";
import { Money } from "../core/money.ts";
import { bothWays, connectionOf, forwards, pageOfRows } from "../core/page.ts";
import { type Draft, save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { holding } from "../find/holding.ts";
import { MakerRecord } from "../makers/makerRecord.ts";
import { OrderConnection } from "./order.ts";
import { QuoteConnection } from "./quote.ts";

export const Supplier = builder.prismaObject("Supplier", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    name: t.exposeString("name"),
    kind: t.expose("kind", { type: SupplierKind }),
    country: t.exposeString("country"),
    email: t.exposeString("email"),
    phone: t.exposeString("phone"),
    website: t.exposeString("website"),
    carriage: t.field({
      type: Money,
      description:
        "Charged on one order, of however many parts, with its tax; 0: nothing. A quote that states its own carriage, or has the seller pay it, keeps that instead.",
      resolve: ({ carriageMinor: minor, currency }) => ({ minor, currency }),
    }),
    minimum: t.field({
      type: Money,
      description: "The least that an order is charged at before its carriage, whatever the goods come to; 0: nothing.",
      resolve: ({ minimumMinor: minor, currency }) => ({ minor, currency }),
    }),
    shareBy: t.expose("shareBy", {
      type: ChargeShare,
      description: "How the parts of one order share both; by value where a weight of any is not known.",
    }),
    notes: t.exposeString("notes"),
    makerRecord: t.field({
      type: MakerRecord,
      description: "As on the day of a restoration, by which all orders that have not come are out; else today.",
      args: { restoration: t.arg.id() },
      select: { workshop: { select: { timeZone: true } } },
      resolve: async ({ id, workshopId, workshop }, { restoration }, context) => {
        const day =
          restoration == null
            ? today(workshop.timeZone)
            : await dayFor(context.store, await restorationFor(context.viewer, context.store, restoration));
        return { record: await context.makerRecord(workshopId, id, day), promisedDays: null };
      },
    }),
    quoteCount: t.relationCount("quotes"),
    quotes: t.field({
      type: QuoteConnection,
      args: forwards,
      resolve: (supplier, args, context, info) =>
        pageOfRows(context, info, args, "quote", {
          where: { supplierId: supplier.id },
          orderBy: BY_CODE,
        }),
    }),
    orders: t.field({
      type: OrderConnection,
      args: forwards,
      resolve: (supplier, args, context, info) =>
        pageOfRows(context, info, args, "order", {
          where: { quote: { supplierId: supplier.id } },
          orderBy: [{ placedOn: "desc" }, { id: "asc" }],
        }),
    }),
  }),
});

export const SupplierConnection = connectionOf("Supplier", Supplier);

builder.queryFields((t) => ({
  supplier: t.prismaField({
    type: "Supplier",
    args: { id: t.arg.id({ required: true }) },
    resolve: async (query, _root, { id }, { store, viewer }) =>
      store.supplier.findUniqueOrThrow({ ...query, where: { id: (await own(viewer, store, "supplier", id)).id } }),
  }),
  suppliers: t.field({
    type: SupplierConnection,
    args: { ...bothWays, search: t.arg.string(), kind: t.arg({ type: SupplierKind }), country: t.arg.string() },
    resolve: async (_root, { search, kind, country, ...args }, context, info) => {
      const where = suppliersOf(context.viewer);
      return pageOfRows(context, info, args, "supplier", {
        where: {
          ...where,
          kind: kind ?? undefined,
          country: country ?? undefined,
          ...(await holding(context.store, search, { table: "supplier", where, fields: ["name"] })),
        },
        orderBy: [{ name: "asc" }, { id: "asc" }],
      });
    },
  }),
}));

const SupplierInput = builder.inputType("SupplierInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    code: t.string(),
    name: t.string(),
    kind: t.field({ type: SupplierKind }),
    country: t.string(),
    email: t.string(),
    phone: t.string(),
    website: t.string(),
    currency: t.string(),
    carriageMinor: t.field({ type: "Minor" }),
    minimumMinor: t.field({ type: "Minor" }),
    shareBy: t.field({ type: ChargeShare }),
    notes: t.string(),
  }),
});

builder.mutationField("saveSupplier", (t) =>
  t.field({
    type: SaveResult,
    args: { input: t.arg({ type: SupplierInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveSupplier(context, input)),
  }),
);

const saveSupplier = (context: Context, input: typeof SupplierInput.$inferInput) =>
  save(context, supplierDraft(context, input));

/** A supplier as an input gives it. */
export const supplierDraft = (
  context: Context,
  { id, revision, ...patch }: typeof SupplierInput.$inferInput,
): Draft<"supplier"> => ({
  table: "supplier",
  rule: "supplier",
  id,
  revision,
  patch,
  codes: MADE_BY.supplier,
  defaults: {
    kind: "DEALER",
    country: "",
    email: "",
    phone: "",
    website: "",
    currency: "GBP",
    carriageMinor: 0,
    minimumMinor: 0,
    shareBy: "VALUE",
    notes: "",
  },
  place: async (_find, before) => ({ workshopId: before?.workshopId ?? context.viewer.workshopId }),
  recordOn: (tx, supplier) => workshopRecord(tx, supplier.workshopId),
});
