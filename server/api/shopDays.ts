/** The days on which the shop works, as the plan reads them: of all machines that the same hands have work on. */
import { canRead } from "../access/rules.ts";
import { WEEK } from "../io/columns.ts";
import { planRowsOf } from "../plan/cache.ts";
import { dayOf, SAYS_DAY } from "../plan/day.ts";
import type { HandRow, PlanRows } from "../plan/rows.ts";
import { closedWith, hoursOfHands, shopDays } from "../plan/shopDays.ts";
import { builder, existingDate, wrongArgument } from "./builder.ts";
import type { Context } from "./context.ts";
import { connectionOf, forwards, pageOf } from "./page.ts";
import { Restoration } from "./restoration.ts";
import { eachWeekday } from "./week.ts";

/** Days over which hours are added up at most: three years. */
const MOST_DAYS = 1_100;

interface ShopClosed {
  date: string;
  /** Null where the viewer may not read the machine that it is entered with. */
  restorationId: string | null;
  reason: string;
}

const ShopClosedDate = builder.objectRef<ShopClosed>("ShopClosedDate").implement({
  description: "A date on which the shop is closed, once for each machine that it is entered with.",
  fields: (t) => ({
    date: t.expose("date", { type: "Date" }),
    reason: t.exposeString("reason", { description: "Empty where the machine that it is entered with is not read." }),
    enteredWith: t.field({
      type: Restoration,
      nullable: true,
      description: "Null: a machine that the viewer does not read.",
      resolve: ({ restorationId }, _args, context, info) => context.rowOrNull("restoration", restorationId, info),
    }),
  }),
});

const ShopClosedDateConnection = connectionOf("ShopClosedDate", ShopClosedDate);

const HandHours = builder.objectRef<{ hand: HandRow; hours: number }>("HandHours").implement({
  fields: (t) => ({
    name: t.string({ resolve: ({ hand }) => hand.name }),
    people: t.int({ resolve: ({ hand }) => hand.people }),
    hours: t.exposeFloat("hours", { description: "Of all of the line together." }),
  }),
});

const ShopDays = builder.objectRef<{ rows: PlanRows; day: string }>("ShopDays").implement({
  description:
    "When the shop works, as the plan reads it. Where hands are entered a day on which it is closed for one machine with work left it is closed for all, and it is open as long as anybody works.",
  fields: (t) => ({
    ...eachWeekday((name) =>
      t.float({ resolve: ({ rows, day }) => shopDays(rows, day).weekdayHours[WEEK.indexOf(name)]! }),
    ),
    hoursOfOthers: t.floatList({
      description: "Monday to Sunday, whatever this machine's calendar says: by the others' and the hands' hours.",
      resolve: ({ rows, day }) => [
        ...shopDays({ ...rows, weekdayHours: rows.weekdayHours.map(() => 0) }, day).weekdayHours,
      ],
    }),
    closedDates: t.field({
      type: ShopClosedDateConnection,
      description: "In order of date; of one date those of this machine first.",
      args: forwards,
      resolve: async ({ rows }, args, context) => pageOf(args, await closedIn(context, rows)),
    }),
    handHours: t.field({
      type: [HandHours],
      description:
        "What each hand works from the first to the last day, in order of name; none where none are entered.",
      args: { from: t.arg({ type: "Date", required: true }), to: t.arg({ type: "Date", required: true }) },
      resolve: ({ rows, day }, { from, to }) => {
        existingDate("from", from);
        existingDate("to", to);
        if (Date.parse(to) - Date.parse(from) > MOST_DAYS * 86_400_000)
          throw wrongArgument("to", `must be no more than ${MOST_DAYS} days after from.`);
        return hoursOfHands(rows, day, from, to);
      },
    }),
  }),
});

builder.prismaObjectField("Restoration", "shopDays", (t) =>
  t.field({
    type: ShopDays,
    select: { planRevision: true, ...SAYS_DAY },
    resolve: async ({ id, planRevision, ...said }, _args, { store }) => ({
      rows: await planRowsOf(store, id, planRevision),
      day: dayOf(said),
    }),
  }),
);

async function closedIn({ store, viewer }: Context, rows: PlanRows): Promise<ShopClosed[]> {
  const own = rows.restoration.id;
  const closed = closedWith(rows);
  const ids = new Set(closed.map(({ restorationId }) => restorationId));
  const written = await store.closedDate.findMany({
    where: { restorationId: { in: [...ids].filter((id) => id === own || canRead(viewer)) } },
    select: { restorationId: true, date: true, reason: true },
  });
  const reasons = new Map(written.map(({ restorationId, date, reason }) => [`${restorationId} ${date}`, reason]));
  const told = new Map<string, ShopClosed>();
  for (const { date, restorationId } of closed) {
    const reason = reasons.get(`${restorationId} ${date}`);
    // Of a machine that is not read no more than that the shop is closed, and that once.
    if (reason !== undefined) told.set(`${date} ${restorationId}`, { date, restorationId, reason });
    else if (!told.has(`${date} ${own}`)) told.set(`${date} `, { date, restorationId: null, reason: "" });
  }
  return [...told.values()].sort((a, b) => (a.date < b.date ? -1 : a.date > b.date ? 1 : 0));
}
