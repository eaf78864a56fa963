/** When the shop works. */
import { own } from "../access/rules.ts";
import { NotFound } from "../store/fault.ts";
import { builder } from "./builder.ts";
import type { Context } from "./context.ts";
import { connectionOf } from "./page.ts";
import { save } from "./save.ts";
import { SaveResult, saving } from "./saveResult.ts";
import { eachWeekday } from "./week.ts";

builder.prismaObject("ShopCalendar", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    ...eachWeekday((day) => t.exposeFloat(day)),
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

const ClosedDateInput = builder.inputType("ClosedDateInput", {
  fields: (t) => ({ date: t.field({ type: "Date", required: true }), reason: t.string() }),
});

const ShopCalendarInput = builder.inputType("ShopCalendarInput", {
  fields: (t) => ({
    restoration: t.id({ required: true }),
    revision: t.int({ required: true }),
    ...eachWeekday(() => t.float()),
    closedDates: t.field({ type: [ClosedDateInput] }),
  }),
});

builder.mutationFields((t) => ({
  saveShopCalendar: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: ShopCalendarInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveShopCalendar(context, input)),
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
