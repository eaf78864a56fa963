/** The days and hours on which the shop of a restoration works. */
import { type CalendarInput, ShopCalendar } from "../engine/calendar.ts";
import { machinesOf, type PlanRows } from "./rows.ts";

type DayRows = Pick<PlanRows, "restoration" | "weekdayHours" | "closedDates" | "hands" | "machines">;

/** It is open as long as anybody works who has not left; a day on which it is closed for one machine it is closed for all. */
export function shopDays(rows: DayRows, figuresFor: string): CalendarInput {
  const all = machinesOf(rows);
  const here = rows.hands.filter(({ leavesOn }) => leavesOn === null || leavesOn >= figuresFor);
  return {
    weekdayHours: rows.weekdayHours.map((_, day) =>
      Math.max(...[...all, ...here].map(({ weekdayHours }) => weekdayHours[day]!)),
    ),
    closedDates: all.length === 1 ? rows.closedDates : [...new Set(all.flatMap(({ closedDates }) => closedDates))],
    figuresFor,
  };
}

/** The shop's own hours where somebody works longer: what needs nobody is not done sooner for it. Undefined where nobody does. */
export function ownHoursOfShop({ weekdayHours }: Pick<PlanRows, "weekdayHours">, calendar: ShopCalendar) {
  if (weekdayHours.every((open, day) => open >= calendar.weekHours(day))) return undefined;
  return [{ weekdayHours, absences: [], joinsOn: null, leavesOn: null }];
}

export const shopCalendar = (rows: DayRows, figuresFor: string): ShopCalendar =>
  new ShopCalendar(shopDays(rows, figuresFor));
