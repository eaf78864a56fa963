/** When the shop works, and how many hands of each trade it has. */
import { own } from "../access/rules.ts";
import { NotFound } from "../store/fault.ts";
import { builder } from "./builder.ts";
import type { Context } from "./context.ts";
import { Money } from "./money.ts";
import { connectionOf } from "./page.ts";
import { save } from "./save.ts";
import { SaveResult, saving } from "./saveResult.ts";

builder.prismaObject("ShopCalendar", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    monday: t.exposeFloat("monday"),
    tuesday: t.exposeFloat("tuesday"),
    wednesday: t.exposeFloat("wednesday"),
    thursday: t.exposeFloat("thursday"),
    friday: t.exposeFloat("friday"),
    saturday: t.exposeFloat("saturday"),
    sunday: t.exposeFloat("sunday"),
  }),
});

const ClosedDate = builder.prismaObject("ClosedDate", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    date: t.expose("date", { type: "Date" }),
    reason: t.exposeString("reason"),
  }),
});

export const ClosedDateConnection = connectionOf("ClosedDate", ClosedDate);

builder.prismaObject("Hands", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    trade: t.exposeString("trade"),
    people: t.exposeInt("people"),
    hoursPerDay: t.exposeFloat("hoursPerDay"),
    rate: t.field({
      type: Money,
      nullable: true,
      description: "What an hour of this trade is charged at; null: the restoration's own rate.",
      select: { rateMinor: true, restoration: { select: { currency: true } } },
      resolve: ({ rateMinor: minor, restoration: { currency } }) => (minor === null ? null : { minor, currency }),
    }),
  }),
});

const ClosedDateInput = builder.inputType("ClosedDateInput", {
  fields: (t) => ({ date: t.field({ type: "Date", required: true }), reason: t.string() }),
});

const ShopCalendarInput = builder.inputType("ShopCalendarInput", {
  fields: (t) => ({
    restoration: t.id({ required: true }),
    revision: t.int({ required: true }),
    monday: t.float(),
    tuesday: t.float(),
    wednesday: t.float(),
    thursday: t.float(),
    friday: t.float(),
    saturday: t.float(),
    sunday: t.float(),
    closedDates: t.field({ type: [ClosedDateInput] }),
  }),
});

const HandsInput = builder.inputType("HandsInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    restoration: t.id(),
    trade: t.string(),
    people: t.int(),
    hoursPerDay: t.float(),
    rateMinor: t.int(),
  }),
});

builder.mutationFields((t) => ({
  saveShopCalendar: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: ShopCalendarInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveShopCalendar(context, input)),
  }),
  saveHands: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: HandsInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveHands(context, input)),
  }),
}));

async function saveShopCalendar(
  context: Context,
  { restoration, revision, closedDates, ...patch }: typeof ShopCalendarInput.$inferInput,
) {
  const { id: restorationId } = await own(context.viewer, context.store, "restoration", restoration);
  const calendar = await context.store.shopCalendar.findUnique({ where: { restorationId } });
  if (calendar === null) throw new NotFound("shop calendar of the restoration");
  return save(context, {
    table: "shopCalendar",
    rule: "calendar",
    id: calendar.id,
    revision,
    patch,
    defaults: {},
    place: async () => ({ restorationId }),
    lists: [
      {
        field: "closedDates",
        table: "closedDate",
        rule: "closedDate",
        parent: "restorationId",
        parentId: restorationId,
        key: "date",
        rows: closedDates?.map(({ date, reason }) => ({ date, reason: reason ?? "" })),
      },
    ],
  });
}

const saveHands = (context: Context, { id, revision, restoration, ...patch }: typeof HandsInput.$inferInput) =>
  save(context, {
    table: "hands",
    rule: "hands",
    id,
    revision,
    patch,
    defaults: { people: 1, hoursPerDay: 8, rateMinor: null },
    place: async (find, before) => ({
      restorationId:
        before === null
          ? (await find.find("restoration", "restoration", restoration))?.id
          : find.stays("restoration", before.restorationId, restoration),
    }),
  });
