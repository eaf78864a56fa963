/** The days and hours on which the shop works, for all its restorations. */

import { hoursByDay } from "../../engine/hands/handHours.ts";
import { type CalendarInput, ShopCalendar } from "../../engine/time/calendar.ts";
import { days } from "../../engine/time/units.ts";
import type { HandRow, PlanRows } from "../rows/rows.ts";

type DayRows = Pick<PlanRows, "weekdayHours" | "closedDates" | "hands">;

/** It is open as long as its calendar says, or anybody works who has not left. */
export const shopDays = ({ weekdayHours, closedDates, hands }: DayRows, figuresFor: string): CalendarInput => ({
  weekdayHours: openHours(weekdayHours, hands, figuresFor),
  closedDates,
  figuresFor,
});

/** Hours of Monday to Sunday, as long as these or as any of the hands that have not left. */
export function openHours(weekdayHours: readonly number[], hands: readonly HandRow[], figuresFor: string): number[] {
  const here = hands.filter(({ leavesOn }) => leavesOn === null || leavesOn >= figuresFor);
  return weekdayHours.map((hours, day) => Math.max(hours, ...here.map((hand) => hand.weekdayHours[day]!)));
}

/** The shop's own hours where somebody works longer: what needs nobody is not done sooner for it. Undefined where nobody does. */
export function ownHoursOfShop({ weekdayHours }: Pick<PlanRows, "weekdayHours">, calendar: ShopCalendar) {
  if (weekdayHours.every((open, day) => open >= calendar.weekHours(day))) return undefined;
  return [{ weekdayHours, absences: [], joinsOn: null, leavesOn: null }];
}

export const shopCalendar = (rows: DayRows, figuresFor: string): ShopCalendar =>
  new ShopCalendar(shopDays(rows, figuresFor));

/** What each hand works from the first to the last day, all of a line together. */
export function hoursOfHands(
  rows: DayRows,
  figuresFor: string,
  from: string,
  to: string,
): { hand: HandRow; hours: number }[] {
  const calendar = shopCalendar(rows, figuresFor);
  return rows.hands.map((hand) => {
    const hoursOn = hoursByDay(hand, calendar);
    let hours = 0;
    for (let day: number = calendar.day(from); day <= calendar.day(to); day++) hours += hoursOn(days(day));
    return { hand, hours: hand.people * hours };
  });
}
