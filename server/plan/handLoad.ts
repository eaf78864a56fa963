/** What each hand has to do week by week, against the hours that they have: read off the schedule. */
import type { ShopCalendar } from "../engine/calendar.ts";
import type { ForwardPass } from "../engine/criticalPath.ts";
import { hoursInCommon } from "../engine/hands/handHours.ts";
import type { Network } from "../engine/network.ts";
import { days, hours } from "../engine/units.ts";
import type { HandRow } from "./rows.ts";

export interface HandLoad {
  hand: HandRow;
  /** From the week of the day of the figures to the last in which there is work. */
  weeks: readonly HandWeek[];
}

export interface HandWeek {
  /** Its Monday. */
  from: string;
  /** Hours that they work in it, all of the line together; of the first week from the day of the figures on. */
  open: number;
  /** Hours of them that are spoken for. */
  booked: number;
  /** By node, in order of start: what for. */
  work: readonly HandWork[];
}

export interface HandWork {
  node: string;
  /** For people. */
  title: string;
  hours: number;
}

/** Weeks that are told at most: ten years. */
const MOST_WEEKS = 520;

export function handLoad(
  network: Network,
  { start, finish, end }: ForwardPass,
  handsOf: ReadonlyMap<string, readonly HandRow[]>,
  all: readonly HandRow[],
  calendar: ShopCalendar,
  titleOf: (node: string) => string,
): HandLoad[] {
  const opens = (day: number): number => calendar.hoursBefore(days(day));
  const first = -calendar.weekdayOf(0);
  const count = Math.min(MOST_WEEKS, Math.floor((Math.max(0, calendar.finishDay(hours(end))) - first) / 7) + 1);
  const weeks = new Map(
    all.map((hand) => [hand.id, Array.from({ length: count }, () => new Map<string, number>())] as const),
  );
  const byStart = Array.from(network.ids.keys()).sort((a, b) => start[a]! - start[b]! || a - b);
  for (const v of byStart) {
    const hands = handsOf.get(network.ids[v]!) ?? [];
    if (hands.length === 0 || network.hours[v] === 0) continue;
    const own = network.own[v] ?? null;
    const worked = (t: number): number => own?.before(t) ?? t;
    const last = calendar.finishDay(hours(finish[v]!));
    for (let day: number = calendar.startDay(hours(start[v]!)); day <= last; day++) {
      const week = Math.floor((day - first) / 7);
      if (week >= count) break;
      const done = worked(Math.min(finish[v]!, opens(day + 1))) - worked(Math.max(start[v]!, opens(day)));
      if (done <= 0) continue;
      for (const { id } of hands) {
        const of = weeks.get(id)![week]!;
        of.set(network.ids[v]!, (of.get(network.ids[v]!) ?? 0) + done);
      }
    }
  }
  return all.map((hand) => {
    const here = hoursInCommon([hand], calendar);
    return {
      hand,
      weeks: weeks.get(hand.id)!.map((of, week) => {
        const from = first + 7 * week;
        const open = here.before(opens(from + 7)) - here.before(opens(Math.max(0, from)));
        return {
          from: calendar.date(days(from)),
          open: hand.people * open,
          booked: [...of.values()].reduce((sum, one) => sum + one, 0),
          work: [...of].map(([node, one]) => ({ node, title: titleOf(node), hours: one })),
        };
      }),
    };
  });
}

/** Who works on a node of the schedule, and for how many hours in all; null where nobody does. */
export function handsOn(loads: readonly HandLoad[], node: string): { hands: readonly HandRow[]; hours: number } | null {
  const theirs = loads.map(({ hand, weeks }) => ({
    hand,
    hours: weeks.reduce((sum, { work }) => sum + (work.find((one) => one.node === node)?.hours ?? 0), 0),
  }));
  const working = theirs.filter(({ hours: worked }) => worked > 0);
  if (working.length === 0) return null;
  return { hands: working.map(({ hand }) => hand), hours: working.reduce((sum, one) => sum + one.hours, 0) };
}
