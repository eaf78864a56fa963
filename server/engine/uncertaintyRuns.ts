/** What the runs of a model leave behind: for each run its end, and the arrival of each hold-up; over all, counts. */
import type { UncertainModel } from "./uncertainty.ts";

/** Runs drawn together from one seed; the same block always holds the same runs. */
export const BLOCK = 512;

/** Most arrivals kept, over all hold-ups and runs: 120 MB. */
const MOST_ARRIVALS = 30_000_000;

/** Indexed by run. */
export interface RunRows {
  /** Working hours from the data date to the end of the machine; Infinity where it never comes. */
  endHours: Float64Array;
  /** Day on which it is finished, counted from the data date; NEVER where it never comes. */
  endDay: Int32Array;
  /** Arrival day of hold-up h in run i at `h * capacity + i`; of one without a source, 0. */
  arrivalDay: Int32Array;
  /** Runs that there is room for. */
  capacity: number;
}

/** Sums over runs, whole numbers, so that the order in which blocks are added does not matter. */
export interface RunCounts {
  /** Runs in which the hold-up lies on a path that sets the end. */
  binds: Float64Array;
  /** Calendar days that it alone costs, over all runs with an end with and without it. */
  daysCost: Float64Array;
  /** Runs in which each node of the network lies on a longest path, by position; what never varies is not counted (see `varies`). */
  critical: Float64Array;
}

/** As many runs as may be kept, in whole blocks: at most `most`. */
export function capacityFor(model: UncertainModel, most: number): number {
  const room = Math.min(most, Math.floor(MOST_ARRIVALS / Math.max(1, model.holdUps.length)));
  return Math.max(1, Math.ceil(room / BLOCK)) * BLOCK;
}

/** Room for `capacity` runs of a model with so many hold-ups. */
export const runRows = (holdUps: number, capacity: number): RunRows => ({
  endHours: new Float64Array(capacity),
  endDay: new Int32Array(capacity),
  arrivalDay: new Int32Array(capacity * holdUps),
  capacity,
});

export const runCounts = (holdUps: number, nodes: number): RunCounts => ({
  binds: new Float64Array(holdUps),
  daysCost: new Float64Array(holdUps),
  critical: new Float64Array(nodes),
});

/** The first `count` runs alone, in memory of their own. */
export function firstRuns(rows: RunRows, count: number): RunRows {
  const holdUps = rows.arrivalDay.length / rows.capacity;
  const kept = runRows(holdUps, count);
  kept.endHours.set(rows.endHours.subarray(0, count));
  kept.endDay.set(rows.endDay.subarray(0, count));
  for (let h = 0; h < holdUps; h++)
    kept.arrivalDay.set(rows.arrivalDay.subarray(h * rows.capacity, h * rows.capacity + count), h * count);
  return kept;
}
