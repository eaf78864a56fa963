/** The hours for which the shop is open, as the plan reads them: its calendar's, and as long as anybody works. */
import { WEEK } from "../../io/columns.ts";
import { planRowsOf } from "../../plan/cache.ts";
import { dayOf, SAYS_DAY } from "../../plan/days/day.ts";
import { hoursOfHands, openHours, shopDays } from "../../plan/days/shopDays.ts";
import type { HandRow, PlanRows } from "../../plan/rows/rows.ts";
import { builder, existingDate, wrongArgument } from "../core/builder.ts";
import { eachWeekday } from "../core/week.ts";

/** Days over which hours are added up at most: three years. */
const MOST_DAYS = 1_100;

const HandHours = builder.objectRef<{ hand: HandRow; hours: number }>("HandHours").implement({
  fields: (t) => ({
    name: t.string({ resolve: ({ hand }) => hand.name }),
    people: t.int({ resolve: ({ hand }) => hand.people }),
    hours: t.exposeFloat("hours", { description: "Of all of the line together." }),
  }),
});

const ShopDays = builder.objectRef<{ rows: PlanRows; day: string }>("ShopDays").implement({
  description:
    "For how long the shop is open on each weekday, as the plan reads it: as its calendar says, or as long as anybody works.",
  fields: (t) => ({
    ...eachWeekday((name) =>
      t.float({ resolve: ({ rows, day }) => shopDays(rows, day).weekdayHours[WEEK.indexOf(name)]! }),
    ),
    hoursOfHands: t.floatList({
      description: "Monday to Sunday, the longest that anybody works who has not left, whatever the calendar says.",
      resolve: ({ rows, day }) =>
        openHours(
          WEEK.map(() => 0),
          rows.hands,
          day,
        ),
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
