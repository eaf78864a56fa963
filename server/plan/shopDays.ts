/** The days and hours on which the shop of a restoration works. */
import { type CalendarInput, ShopCalendar } from "../engine/calendar.ts";
import type { PlanRows } from "./rows.ts";

/** It is open as long as anybody works who has not left. */
export function shopDays(
  { weekdayHours, closedDates, hands }: Pick<PlanRows, "weekdayHours" | "closedDates" | "hands">,
  figuresFor: string,
): CalendarInput {
  const here = hands.filter(({ leavesOn }) => leavesOn === null || leavesOn >= figuresFor);
  return {
    weekdayHours: weekdayHours.map((open, day) => Math.max(open, ...here.map((hand) => hand.weekdayHours[day]!))),
    closedDates,
    figuresFor,
  };
}

/** The shop's own hours where somebody works longer: what needs nobody is not done sooner for it. Undefined where nobody does. */
export function ownHoursOfShop({ weekdayHours }: Pick<PlanRows, "weekdayHours">, calendar: ShopCalendar) {
  if (weekdayHours.every((open, day) => open >= calendar.weekHours(day))) return undefined;
  return [{ weekdayHours, absences: [], joinsOn: null, leavesOn: null }];
}

export const shopCalendar = (rows: Parameters<typeof shopDays>[0], figuresFor: string): ShopCalendar =>
  new ShopCalendar(shopDays(rows, figuresFor));
