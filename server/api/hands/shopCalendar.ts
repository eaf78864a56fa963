/** When the shop works and for which day its figures are: one for all restorations of a workshop. */
import { NotFound } from "../../store/fault.ts";
import { builder } from "../core/builder.ts";
import { workshopRecord } from "../core/change.ts";
import type { Context } from "../core/context.ts";
import { connectionOf } from "../core/page.ts";
import { save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { eachWeekday } from "../core/week.ts";

export const ShopCalendar = builder.prismaObject("ShopCalendar", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    ...eachWeekday((day) => t.exposeFloat(day)),
    figuresFor: t.expose("figuresFor", {
      type: "Date",
      nullable: true,
      description: "Another day that is looked at; null: figures are for today.",
    }),
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
    revision: t.int({ required: true }),
    ...eachWeekday(() => t.float()),
    closedDates: t.field({ type: [ClosedDateInput] }),
    figuresFor: t.field({ type: "Date" }),
  }),
});

builder.mutationFields((t) => ({
  saveShopCalendar: t.field({
    type: SaveResult,
    description: "Changes when the shop works, and for which day figures are, for all restorations of the workshop.",
    args: { input: t.arg({ type: ShopCalendarInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveShopCalendar(context, input)),
  }),
}));

async function saveShopCalendar(
  context: Context,
  { revision, closedDates, ...patch }: typeof ShopCalendarInput.$inferInput,
) {
  const { workshopId } = context.viewer;
  const calendar = await context.store.shopCalendar.findUnique({ where: { workshopId } });
  if (calendar === null) throw new NotFound("shop calendar");
  return save(context, {
    table: "shopCalendar",
    rule: "calendar",
    id: calendar.id,
    revision,
    patch,
    defaults: {},
    place: async () => ({ workshopId }),
    lists: [
      {
        field: "closedDates",
        table: "closedDate",
        rule: "closedDate",
        parent: "workshopId",
        parentId: workshopId,
        key: "date",
        rows: closedDates?.map(({ date, reason }) => ({ date, reason: reason ?? "" })),
      },
    ],
    recordOn: (tx) => workshopRecord(tx, workshopId),
  });
}
