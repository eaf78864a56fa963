/** When a hand of the workshop works, as plain data, and those hours on the network's time line. */
import type { ShopCalendar } from "../time/calendar.ts";
import { DayHours, type HoursOf, inCommon, MOST_DAYS } from "./dayHours.ts";

export interface HandHours {
  /** Hours of Monday to Sunday, each 0 to 24. */
  weekdayHours: readonly number[];
  /** ISO dates, both included. */
  absences: readonly { from: string; to: string }[];
  /** First day of work, ISO; null: before the day of the figures. */
  joinsOn: string | null;
  /** Last day of work, ISO; null: none is known. */
  leavesOn: string | null;
}

/** Hours of each day, as many as the shop is open at most. */
export function hoursByDay(hand: HandHours, calendar: ShopCalendar): HoursOf {
  const absences = hand.absences.map(({ from, to }) => [calendar.day(from), calendar.day(to)] as const);
  const joins = hand.joinsOn === null ? Number.NEGATIVE_INFINITY : calendar.day(hand.joinsOn);
  const leaves = hand.leavesOn === null ? Number.POSITIVE_INFINITY : calendar.day(hand.leavesOn);
  return (day) =>
    day < joins || day > leaves || absences.some(([from, to]) => day >= from && day <= to)
      ? 0
      : Math.min(hand.weekdayHours[calendar.weekdayOf(day)]!, calendar.hoursOf(day));
}

/**
 * The hours that hands have in common on the shop's time line, which has as many on every day; the shop's own where they
 * are the same from the day of the figures on.
 */
export function hoursInCommon(hands: readonly HandHours[], calendar: ShopCalendar): DayHours {
  const day = (date: string | null, after: number): number[] => (date === null ? [] : [calendar.day(date) + after]);
  const changes = hands.flatMap(({ absences, joinsOn, leavesOn }) => [
    ...absences.flatMap(({ to }) => day(to, 1)),
    ...day(joinsOn, 0),
    ...day(leavesOn, 1),
  ]);
  const steadyFrom = Math.min(MOST_DAYS, Math.max(0, ...changes));
  const common = inCommon(hands.map((hand) => hoursByDay(hand, calendar)));
  // Beyond the last change the weeks are alike but for closed dates, on which nobody works.
  let same = [0, 1, 2, 3, 4, 5, 6].every((d) =>
    hands.every(({ weekdayHours }) => weekdayHours[d]! >= calendar.weekHours(d)),
  );
  for (let at = 0; at < steadyFrom + 7 && same; at++) same = common(at) >= calendar.hoursOf(at);
  return new DayHours(same ? null : common, calendar, steadyFrom);
}
