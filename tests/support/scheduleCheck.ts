/** Whether hands can keep a schedule, day by day and hour by hour: plain loops that share nothing with how it was made. */

import type { HandLine, Shop, ShopInput } from "../../server/engine/hands/shop.ts";
import { hours as shopHours } from "../../server/engine/time/units.ts";

interface Made {
  start: Float64Array;
  finish: Float64Array;
  team: Int32Array;
}

const NEAR = 1e-4;

export function faultsOfSchedule({ operations, links, hands, calendar }: ShopInput, shop: Shop, made: Made): string[] {
  const faults: string[] = [];
  const at = (id: string): number => shop.network.position(id);
  /** What a hand works on a day, by the date. */
  const ofHand =
    ({ weekdayHours, absences, joinsOn, leavesOn }: HandLine) =>
    (day: number): number => {
      const date = new Date(86_400_000 * (calendar.origin + day)).toISOString().slice(0, 10);
      const gone = (joinsOn !== null && date < joinsOn) || (leavesOn !== null && date > leavesOn);
      if (gone || calendar.hoursOf(day) === 0 || absences.some(({ from, to }) => from <= date && date <= to)) return 0;
      return weekdayHours[(new Date(`${date}T00:00:00Z`).getUTCDay() + 6) % 7]!;
    };
  /** Hours between two hours of the shop of what a day gives; each day opens when the one before has closed. */
  const worked = (hoursOf: (day: number) => number, from: number, to: number): number => {
    let sum = 0;
    for (let day = 0, opens = 0; opens < to; opens += calendar.hoursOf(day++))
      sum += Math.max(0, Math.min(to, opens + hoursOf(day)) - Math.max(from, opens));
    return sum;
  };
  const crew = (id: string): Map<number, number> => {
    const v = at(id);
    const team = made.team[v]! < 0 ? undefined : shop.teams[v]![made.team[v]!];
    return new Map(team === undefined ? [] : Array.from(team.lines, (line, i) => [line, team.counts[i]!]));
  };
  for (const { id, hours, release, needs } of operations) {
    const [start, finish] = [made.start[at(id)]!, made.finish[at(id)]!];
    if (start < release - NEAR) faults.push(`${id} begins before its release`);
    if (!Number.isFinite(finish) || hours === 0) continue;
    const team = crew(id);
    const own =
      needs.length === 0 ? [(day: number) => calendar.hoursOf(day)] : [...team.keys()].map((l) => ofHand(hands[l]!));
    const common = (day: number): number => Math.min(...own.map((hoursOf) => hoursOf(day)));
    if (Math.abs(worked(common, start, finish) - hours) > NEAR) faults.push(`${id} does not get its hours`);
    for (const { trade, hands: asked } of needs) {
      const able = [...team].reduce((sum, [line, n]) => sum + (hands[line]!.trades.includes(trade) ? n : 0), 0);
      if (able < asked) faults.push(`${id} lacks a hand for ${trade}`);
    }
    const all = needs.reduce((sum, need) => sum + need.hands, 0);
    if ([...team.values()].reduce((sum, n) => sum + n, 0) !== all) faults.push(`${id} has not ${all} hands`);
  }
  for (const { before, after, lag, lagInDays } of links) {
    const done = made.finish[at(before)]!;
    const begun = made.start[at(after)]!;
    if (!Number.isFinite(made.finish[at(after)]!)) continue;
    const free = lagInDays ? calendar.afterDays(shopHours(done), lag) : done + lag;
    if (begun < free - NEAR) faults.push(`${after} does not wait for ${before}`);
  }
  hands.forEach(({ id, count }, line) => {
    const taken = operations
      .map(({ id: operation }) => ({ operation, n: crew(operation).get(line) ?? 0, v: at(operation) }))
      .filter(({ n, v }) => n > 0 && Number.isFinite(made.finish[v]!));
    for (const { v, operation } of taken) {
      const t = made.start[v]! + NEAR;
      const busy = taken.reduce(
        (sum, o) => (made.start[o.v]! <= t && t < made.finish[o.v]! - NEAR ? sum + o.n : sum),
        0,
      );
      if (busy > count) faults.push(`${id} is taken ${busy} times as ${operation} begins`);
    }
  });
  return faults;
}
