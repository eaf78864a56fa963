/** The days and hours on which the shop of a restoration works. */
import { type CalendarInput, ShopCalendar } from "../engine/calendar.ts";
import type { PlanRows } from "./rows.ts";

/** It is open as long as anybody works. */
export const shopDays = (
  { weekdayHours, closedDates, hands }: Pick<PlanRows, "weekdayHours" | "closedDates" | "hands">,
  figuresFor: string,
): CalendarInput => ({
  weekdayHours: weekdayHours.map((open, day) => Math.max(open, ...hands.map((hand) => hand.weekdayHours[day]!))),
  closedDates,
  figuresFor,
});

export const shopCalendar = (rows: Parameters<typeof shopDays>[0], figuresFor: string): ShopCalendar =>
  new ShopCalendar(shopDays(rows, figuresFor));
