/** What each hand has to do week by week, against the hours that they have: read off the schedule. */

import type { DayHours } from "../../engine/hands/dayHours.ts";
import { hoursInCommon } from "../../engine/hands/handHours.ts";
import type { ShopCalendar } from "../../engine/time/calendar.ts";
import { days, hours } from "../../engine/time/units.ts";
import { operationNode, preparationNode } from "../network/work.ts";
import type { Acquisition } from "../parts/acquisition.ts";
import type { HandRow, PlanRows } from "../rows/rows.ts";

/** Work of some machine as it is planned, and who does it. */
export interface HandSpan {
  node: string;
  /** For people. */
  title: string;
  machine: { id: string; machine: string };
  hands: readonly HandRow[];
  /** Hours of the shop. */
  start: number;
  finish: number;
  /** In which it is done. */
  own: DayHours;
}

/** By node, what the work at it is called: an operation, or what an arrival brings to do. */
export const titlesOf = (
  { operations }: Pick<PlanRows, "operations">,
  acquisitions: readonly Acquisition[],
): ReadonlyMap<string, string> =>
  new Map([
    ...operations.map(({ id, title }) => [operationNode(id), title] as const),
    ...acquisitions.map((a) => [preparationNode(a.rowId), a.preparationTitle] as const),
  ]);

export interface HandLoad {
  hand: HandRow;
  /** Calendar days by which the end would be sooner if no work waited for them, the order of all others kept. */
  daysGained: number;
  /** From the week of the day of the figures to the last in which there is work. */
  weeks: readonly HandWeek[];
}

export interface HandWeek {
  /** Its Monday. */
  from: string;
  /** Hours that they work in it, all of the line together; of the first week from the day of the figures on. */
  open: number;
  /** Hours of them that are spoken for, by work of any machine. */
  booked: number;
  /** In order of start: what for. */
  work: readonly HandWork[];
  /** Days of it that they are away, from first to last; from the day of the figures on. */
  away: HandRow["absences"];
}

export interface HandWork extends Pick<HandSpan, "node" | "title" | "machine"> {
  hours: number;
}

/** A piece of what somebody does, from the day of the figures on. */
export interface HandTask extends HandWork {
  startDate: string;
  finishDate: string;
}

/** Weeks that are told at most: ten years. */
const MOST_WEEKS = 520;

/**
 * @param spans what is left to do, of all machines that the hands work on
 * @param daysGained by hand: see {@link HandLoad}
 */
export function handLoad(
  spans: readonly HandSpan[],
  all: readonly HandRow[],
  calendar: ShopCalendar,
  daysGained: (hand: string) => number,
): HandLoad[] {
  const opens = (day: number): number => calendar.hoursBefore(days(day));
  const first = -calendar.weekdayOf(0);
  const end = Math.max(0, ...spans.map(({ finish }) => calendar.finishDay(hours(finish))));
  const count = Math.min(MOST_WEEKS, Math.floor((end - first) / 7) + 1);
  const weeks = new Map(
    all.map((hand) => [hand.id, Array.from({ length: count }, () => new Map<HandSpan, number>())] as const),
  );
  for (const span of spans.toSorted((a, b) => a.start - b.start)) {
    const { start, finish, own, hands } = span;
    const worked = (t: number): number => own.before(t);
    const last = calendar.finishDay(hours(finish));
    for (let day: number = calendar.startDay(hours(start)); day <= last; day++) {
      const week = Math.floor((day - first) / 7);
      if (week >= count) break;
      const done = worked(Math.min(finish, opens(day + 1))) - worked(Math.max(start, opens(day)));
      if (done <= 0) continue;
      for (const { id } of hands) {
        const of = weeks.get(id)![week]!;
        of.set(span, (of.get(span) ?? 0) + done);
      }
    }
  }
  return all.map((hand) => {
    const here = hoursInCommon([hand], calendar);
    return {
      hand,
      daysGained: daysGained(hand.id),
      weeks: weeks.get(hand.id)!.map((of, week) => {
        const from = first + 7 * week;
        const open = here.before(opens(from + 7)) - here.before(opens(Math.max(0, from)));
        return {
          from: calendar.date(days(from)),
          open: hand.people * open,
          booked: [...of.values()].reduce((sum, one) => sum + one, 0),
          work: [...of].map(([{ node, title, machine }, one]) => ({ node, title, machine, hours: one })),
          away: awayWithin(hand, calendar.date(days(Math.max(0, from))), calendar.date(days(from + 6))),
        };
      }),
    };
  });
}

/** What of their absences is in these days. */
const awayWithin = ({ absences }: HandRow, first: string, last: string): HandRow["absences"] =>
  absences
    .map(({ from, to }) => ({ from: from > first ? from : first, to: to < last ? to : last }))
    .filter(({ from, to }) => from <= to);

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
