/**
 * Runs of an uncertain model, a strip of LANES side by side at a time: arrivals are drawn, then one pass of the network
 * draws the hours.
 *
 * In each run the end, the nodes on a longest path, and what the run's hold-up alone costs are exact. A hold-up can only
 * cost days by itself where no other binds (otherwise the other still holds the end), so one further pass, with the one
 * that binds in hand in each run, gives the end without it for every lane at once.
 */

import type { Network } from "../network/network.ts";
import type { ShopCalendar } from "../time/calendar.ts";
import { days, hours, SAME_INSTANT } from "../time/units.ts";
import { Arrivals } from "./arrivals.ts";
import { UncertainRows } from "./modelRows.ts";
import { UncertainPass, WORDS } from "./pass.ts";
import { LANES, type RunCounts, type RunRows } from "./runs.ts";
import { NEVER, type UncertainModel } from "./uncertainty.ts";

/** Days whose first usable hour is kept in a table. */
const KEPT_DAYS = 2048;

export class UncertaintySampler {
  private readonly rows: UncertainRows;
  private readonly times: UncertainPass;
  private readonly arrivals: Arrivals;
  private readonly holdUps: number;
  private readonly day = new Int32Array(LANES);
  private readonly end = new Float64Array(LANES);
  /** Latest finish of the rows that no hold-up comes before. */
  private readonly endOfOthers = new Float64Array(LANES);
  private readonly endAfter = new Float64Array(LANES);
  /** By run: the row of the only hold-up that binds; -1 where none does, -2 where several do. */
  private readonly binding = new Int32Array(LANES);
  private readonly usable = new Float64Array(KEPT_DAYS + 2);

  /** Throws UncertainFault, and NetworkFault for what makes no network. */
  constructor(model: UncertainModel) {
    this.rows = new UncertainRows(model);
    this.times = new UncertainPass(this.rows);
    for (let day = -1; day <= KEPT_DAYS; day++) this.usable[day + 1] = this.calendar.usableAfterArrival(days(day));
    this.arrivals = new Arrivals(model, this.times.rowDraw);
    this.holdUps = model.holdUps.length;
  }

  get network(): Network {
    return this.rows.network;
  }

  get calendar(): ShopCalendar {
    return this.rows.calendar;
  }

  /** Draws the runs of a strip into their places, as far as there is room, and adds to the counts. */
  run(seed: number, strip: number, into: RunRows, counts: RunCounts): void {
    const { rows, times, end, endOfOthers } = this;
    const first = strip * LANES;
    const count = Math.min(LANES, into.capacity - first);
    this.arrive(seed, strip, count, into);
    times.hoursDraw.begin(seed, strip);
    endOfOthers.fill(rows.fixedEnd);
    times.draw(rows.before, endOfOthers, seed, strip);
    end.set(endOfOthers);
    times.draw(rows.after, end, seed, strip);
    for (let i = 0; i < count; i++) {
      into.endHours[first + i] = end[i]!;
      into.endDay[first + i] = endDayOf(this.calendar, end[i]!);
    }
    this.count(count, counts);
    this.withoutBinding(count, into, first, counts);
  }

  /** Draws the days on which hold-ups arrive, and sets the hours at which they can be used. */
  private arrive(seed: number, strip: number, count: number, into: RunRows): void {
    const { day, usable, calendar } = this;
    const { start } = this.times;
    const drawn = day.subarray(0, count);
    this.arrivals.begin(seed, strip);
    for (let h = 0; h < this.holdUps; h++) {
      if (!this.arrivals.fill(h, day, seed, strip)) continue;
      into.arrivalDay.set(drawn, h * into.capacity + strip * LANES);
      const r = this.rows.rowOfHoldUp[h]!;
      if (r < 0) continue;
      for (let i = 0, to = r * LANES; i < LANES; i++, to++) {
        const d = day[i]!;
        start[to] =
          d <= KEPT_DAYS
            ? usable[d + 1]!
            : d === NEVER
              ? Number.POSITIVE_INFINITY
              : calendar.usableAfterArrival(days(d));
      }
    }
  }

  /** Counts the nodes on longest paths, and notes the only hold-up that binds in each run. */
  private count(count: number, counts: RunCounts): void {
    const { rows, binding } = this;
    const { start, critical } = this.times;
    binding.fill(-1);
    this.times.mark(this.end, (r) => {
      const h = rows.holdUpOf[r]!;
      // What is in hand as the day of the figures opens holds nothing up.
      const held = h < 0 ? 0 : Math.max(rows.release[r]!, 0) + SAME_INSTANT;
      let sum = 0;
      let binds = 0;
      for (let word = 0; word < WORDS; word++)
        for (let left = critical[r * WORDS + word]!; left !== 0; left &= left - 1) {
          const i = word * 32 + 31 - Math.clz32(left & -left);
          if (i >= count) continue;
          sum++;
          if (h < 0 || start[r * LANES + i]! <= held) continue;
          binds++;
          binding[i] = binding[i] === -1 ? r : -2;
        }
      counts.critical[rows.nodes[r]!]! += sum;
      if (h >= 0) counts.binds[h]! += binds;
    });
  }

  /** The end of each run with its only binding hold-up in hand, and what that hold-up costs. */
  private withoutBinding(count: number, into: RunRows, first: number, counts: RunCounts): void {
    const { rows, binding, endAfter } = this;
    const { start } = this.times;
    let any = false;
    for (let i = 0; i < count; i++) {
      const r = binding[i]!;
      into.binding[first + i] = r < 0 ? -1 : rows.holdUpOf[r]!;
      if (r < 0) continue;
      start[r * LANES + i] = 0;
      any = true;
    }
    if (!any) return;
    endAfter.set(this.endOfOthers);
    this.times.again(rows.after, endAfter);
    for (let i = 0; i < count; i++) {
      const r = binding[i]!;
      if (r < 0) continue;
      const without = endDayOf(this.calendar, endAfter[i]!);
      into.endDayWithout[first + i] = without;
      const with_ = into.endDay[first + i]!;
      if (with_ !== NEVER) counts.daysCost[rows.holdUpOf[r]!]! += with_ - without;
    }
  }
}

/** Day on which what ends at an hour is finished; NEVER for what never ends. */
export function endDayOf(calendar: ShopCalendar, end: number): number {
  if (end === Number.POSITIVE_INFINITY) return NEVER;
  return end <= 0 ? Math.min(0, calendar.startDay(hours(end))) : calendar.finishDay(hours(end));
}
