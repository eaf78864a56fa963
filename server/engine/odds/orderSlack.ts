/**
 * How late each part may be ordered in each run of a model, for an end to be kept: one backward pass from the end gives
 * the latest hour at which the part must be usable, and its drawn wait lies before that. The end is kept in a run exactly
 * when everything else keeps it and every part is ordered on its last day or before.
 */

import { days, hours, SAME_INSTANT } from "../time/units.ts";
import { Arrivals } from "./arrivals.ts";
import { UncertainRows } from "./modelRows.ts";
import { UncertainPass } from "./pass.ts";
import { LANES } from "./runs.ts";
import { NEVER, type UncertainModel } from "./uncertainty.ts";

/** Of one end, counted over runs. Days from the day of the figures. */
export interface OrderSlack {
  samples: number;
  /** 1 in the runs in which everything that is not to be ordered keeps the end. */
  kept: Uint8Array;
  /** Of each part asked, in order: the last day of ordering that keeps the end; {@link NO_DAY} where none does. */
  lastDay: readonly Int32Array[];
}

/** Stands for a day before all others. */
export const NO_DAY = -NEVER;

/**
 * The slack of the parts to be ordered, for each end asked. A fallback whose order has its own first day is taken as if it
 * moved with the part's order, which never makes a day later than it may be.
 * Throws UncertainFault, NetworkFault, and RangeError for a node that is not to be ordered.
 * @param nodes of the hold-ups that are to be ordered, whose order day in the model is the first on which that can be
 * @param endDays days by whose end the machine is to be finished
 */
export function orderSlack(
  model: UncertainModel,
  nodes: readonly string[],
  endDays: readonly number[],
  { seed, samples }: { seed: number; samples: number },
): OrderSlack[] {
  const rows = new UncertainRows(model);
  const { rowDraw, hoursDraw } = new UncertainPass(rows);
  const { calendar, size, linkStart, linkFrom, linkLag, linkDays, holdUpOf, release, own } = rows;
  const arrivals = new Arrivals(model, rowDraw);
  const placeOf = new Map(nodes.map((node, place) => [node, place]));
  const firstDay = nodes.map((node) => {
    const route = model.holdUps.find((holdUp) => holdUp.node === node)?.route;
    if (route?.kind !== "ORDER") throw new RangeError(`${node} is not to be ordered.`);
    return route.orderDay;
  });
  const ends = endDays.map((day) => {
    const hour = calendar.usableAfterArrival(days(day));
    return {
      hour,
      lost: rows.fixedEnd > hour + SAME_INSTANT,
      /** At `row * LANES + run`: the latest finish that keeps the end. */
      latest: new Float64Array(LANES * size),
      kept: new Uint8Array(samples),
      lastDay: nodes.map(() => new Int32Array(samples)),
    };
  });
  const start = new Float64Array(LANES);
  const day = new Int32Array(LANES);

  const backwards = (seedOf: number, strip: number, count: number): void => {
    for (let r = size - 1; r >= 0; r--) {
      hoursDraw.fill(r, seedOf, strip);
      const work = rowDraw.values;
      for (const { latest, kept } of ends) {
        for (let i = 0, at = r * LANES; i < LANES; i++, at++) {
          start[i] = own[r]?.startBefore(latest[at]!, work[i]!) ?? latest[at]! - work[i]!;
          if (i < count && release[r]! > start[i]! + SAME_INSTANT) kept[strip * LANES + i] = 0;
        }
        // From here on the row's own latest start: what a hold-up must be usable by.
        latest.set(start, r * LANES);
        for (let k = linkStart[r]!; k < linkStart[r + 1]!; k++) {
          const from = linkFrom[k]!;
          const lag = linkLag[k]!;
          for (let i = 0; i < LANES; i++) {
            const t = linkDays[k] ? calendar.latestBeforeDays(hours(start[i]!), lag) : start[i]! - lag;
            if (t < latest[from + i]!) latest[from + i] = t;
          }
        }
      }
    }
  };

  for (let strip = 0; strip * LANES < samples; strip++) {
    const first = strip * LANES;
    const count = Math.min(LANES, samples - first);
    for (const { hour, lost, latest, kept } of ends) {
      latest.fill(hour);
      kept.fill(lost ? 0 : 1, first, first + count);
    }
    hoursDraw.begin(seed, strip);
    backwards(seed, strip, count);
    arrivals.begin(seed, strip);
    for (let r = 0; r < size; r++) {
      const h = holdUpOf[r]!;
      if (h < 0 || !arrivals.fill(h, day, seed, strip)) continue;
      const place = placeOf.get(model.holdUps[h]!.node);
      for (const { latest, kept, lastDay } of ends)
        for (let i = 0; i < count; i++) {
          const mayArrive = calendar.latestArrival(hours(latest[r * LANES + i]!));
          if (place !== undefined)
            lastDay[place]![first + i] = day[i] === NEVER ? NO_DAY : mayArrive - (day[i]! - firstDay[place]!);
          else if (day[i]! > mayArrive) kept[first + i] = 0;
        }
    }
  }
  return ends.map(({ kept, lastDay }) => ({ samples, kept, lastDay }));
}
