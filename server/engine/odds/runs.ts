/** What the runs of a model leave behind: for each run its end, and the arrival of each hold-up; over all, counts. */
import { type Stream, streamOf } from "../chance/random.ts";
import type { UncertainModel } from "./uncertainty.ts";

/** Runs are counted in whole blocks of strips: between them it is asked whether they are enough. */
export const BLOCK = 512;

/** Runs that are drawn side by side, from the numbers of one strip: the same strip always holds the same runs, those from strip * LANES. */
export const LANES = 128;

/** What the hours of a node are drawn from: the same name gives the same runs wherever they are drawn. */
export const hoursStream = (name: string): Stream => streamOf(`${name} hours`);

/** What decides whether a step of a hold-up's route brings it. */
export const luckStream = (name: string, step: number): Stream => streamOf(`${name} luck ${step}`);

/** Most arrivals kept, over all hold-ups and runs: 120 MB. */
const MOST_ARRIVALS = 30_000_000;

/** Indexed by run. */
export interface RunRows {
  /** Working hours from the day of the figures to the end of the machine; Infinity where it never comes. */
  endHours: Float64Array;
  /** Day on which it is finished, counted from the day of the figures; NEVER where it never comes. */
  endDay: Int32Array;
  /** Arrival day of hold-up h in run i at `h * capacity + i`; of one without a source, 0. */
  arrivalDay: Int32Array;
  /** The hold-up that alone sets the end, so that the end comes earlier with it in hand; -1 where none does. */
  binding: Int32Array;
  /** Day of the end with that one in hand; NEVER where it never comes. */
  endDayWithout: Int32Array;
  /** Runs that there is room for. */
  capacity: number;
}

/** Sums over runs, whole numbers, so that the order in which strips are added does not matter. */
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

/** Memory that threads share: they write megabytes side by side, and none is copied. */
const shared = (bytes: number): SharedArrayBuffer => new SharedArrayBuffer(bytes);

/** Room for `capacity` runs of a model with so many hold-ups, in memory that threads share. */
export const runRows = (holdUps: number, capacity: number): RunRows => ({
  endHours: new Float64Array(shared(8 * capacity)),
  endDay: new Int32Array(shared(4 * capacity)),
  arrivalDay: new Int32Array(shared(4 * capacity * holdUps)),
  binding: new Int32Array(shared(4 * capacity)),
  endDayWithout: new Int32Array(shared(4 * capacity)),
  capacity,
});

/** Counts at zero, in memory that threads share; each thread has its own. */
export const runCounts = (holdUps: number, nodes: number): RunCounts => ({
  binds: new Float64Array(shared(8 * holdUps)),
  daysCost: new Float64Array(shared(8 * holdUps)),
  critical: new Float64Array(shared(8 * nodes)),
});

/** The counts of several threads together: sums of whole numbers, the same whichever thread drew which strip. */
export function countsTogether(counts: readonly RunCounts[]): RunCounts {
  const [first, ...rest] = counts;
  const sum = { binds: first!.binds.slice(), daysCost: first!.daysCost.slice(), critical: first!.critical.slice() };
  for (const own of rest)
    for (const field of ["binds", "daysCost", "critical"] as const)
      for (let i = 0; i < sum[field].length; i++) sum[field][i]! += own[field][i]!;
  return sum;
}

/** The first `count` runs alone, in memory of their own. */
export function firstRuns(rows: RunRows, count: number): RunRows {
  const holdUps = rows.arrivalDay.length / rows.capacity;
  const kept: RunRows = {
    endHours: rows.endHours.slice(0, count),
    endDay: rows.endDay.slice(0, count),
    arrivalDay: new Int32Array(count * holdUps),
    binding: rows.binding.slice(0, count),
    endDayWithout: rows.endDayWithout.slice(0, count),
    capacity: count,
  };
  for (let h = 0; h < holdUps; h++)
    kept.arrivalDay.set(rows.arrivalDay.subarray(h * rows.capacity, h * rows.capacity + count), h * count);
  return kept;
}
