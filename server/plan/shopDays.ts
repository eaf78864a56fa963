/** The days and hours on which the shop of a restoration works. */
import { type CalendarInput, ShopCalendar } from "../engine/calendar.ts";
import { hoursByDay } from "../engine/hands/handHours.ts";
import { days } from "../engine/units.ts";
import { type HandRow, machinesOf, type PlanRows } from "./rows.ts";

type DayRows = Pick<PlanRows, "restoration" | "weekdayHours" | "closedDates" | "hands" | "machines">;

/** It is open as long as anybody works who has not left; a day on which it is closed for one machine it is closed for all. */
export function shopDays(rows: DayRows, figuresFor: string): CalendarInput {
  const all = machinesOf(rows);
  const here = rows.hands.filter(({ leavesOn }) => leavesOn === null || leavesOn >= figuresFor);
  return {
    weekdayHours: rows.weekdayHours.map((_, day) =>
      Math.max(...[...all, ...here].map(({ weekdayHours }) => weekdayHours[day]!)),
    ),
    closedDates: [...new Set(closedWith(rows).map(({ date }) => date))].sort(),
    figuresFor,
  };
}

/** Each date on which the shop is closed, with each machine that it is entered with: those of this one first. */
export function closedWith(
  rows: Pick<DayRows, "restoration" | "closedDates" | "machines">,
): { date: string; restorationId: string }[] {
  const others = machinesOf(rows).filter(({ restoration }) => restoration.id !== rows.restoration.id);
  return [rows, ...others].flatMap(({ restoration, closedDates }) =>
    closedDates.map((date) => ({ date, restorationId: restoration.id })),
  );
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
