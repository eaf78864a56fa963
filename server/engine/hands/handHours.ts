/** When a hand of the workshop works, as plain data, and those hours on the network's time line. */
import type { ShopCalendar } from "../calendar.ts";
import { DayHours, type HoursOf, inCommon, shopLine } from "./dayHours.ts";

export interface HandHours {
  /** Hours of Monday to Sunday, each 0 to 24. */
  weekdayHours: readonly number[];
  /** ISO dates, both included. */
  away: readonly { from: string; to: string }[];
  /** First day of work, ISO; null: before the day of the figures. */
  joinsOn: string | null;
  /** Last day of work, ISO; null: none is known. */
  leavesOn: string | null;
}

/** Hours of each day. On a closed date nobody works. */
export function hoursByDay(hand: HandHours, calendar: ShopCalendar): HoursOf {
  const away = hand.away.map(({ from, to }) => [calendar.day(from), calendar.day(to)] as const);
  const joins = hand.joinsOn === null ? Number.NEGATIVE_INFINITY : calendar.day(hand.joinsOn);
  const leaves = hand.leavesOn === null ? Number.POSITIVE_INFINITY : calendar.day(hand.leavesOn);
  return (day) =>
    day < joins || day > leaves || calendar.closedOn(day) || away.some(([from, to]) => day >= from && day <= to)
      ? 0
      : hand.weekdayHours[calendar.weekdayOf(day)]!;
}

/** The hours that hands have in common where the network counts the shop's own hours; null where those are the same. */
export interface OwnHours extends DayHours {
  /** Day from which the weeks are alike. */
  readonly steadyFrom: number;
}

/**
 * The hours that hands have in common on the shop's time line, which must have as many on every day; null where they are
 * the shop's own from the day of the figures on. What slips past the day on which a hand leaves is counted as done by
 * another with its hours.
 */
export function ownHours(hands: readonly HandHours[], calendar: ShopCalendar): OwnHours | null {
  const staying = hands.map((hand) => ({ ...hand, leavesOn: null }));
  const steadyFrom = Math.max(
    0,
    ...staying.flatMap(({ away, joinsOn }) => [
      ...away.map(({ to }) => calendar.day(to) + 1),
      ...(joinsOn === null ? [] : [calendar.day(joinsOn)]),
    ]),
  );
  const common = inCommon(staying.map((hand) => hoursByDay(hand, calendar)));
  let same = true;
  for (let day = 0; day < steadyFrom + 7 && same; day++) same = common(day) >= calendar.hoursOf(day);
  // Beyond the last absence the weeks are alike but for closed dates, on which nobody works.
  if (same && staying.every(({ weekdayHours }) => weekdayHours.every((h, d) => h >= calendar.weekHours(d))))
    return null;
  return Object.assign(new DayHours(common, false, shopLine(calendar)), { steadyFrom });
}
