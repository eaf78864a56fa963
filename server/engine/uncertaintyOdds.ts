/** What the runs say: dates by their odds, the chance of the target, and for each hold-up how much it has to do with the end. */
import { betaProbability } from "./beta.ts";
import { NEVER, type UncertainModel } from "./uncertainty.ts";
import { BLOCK, capacityFor, firstRuns, type RunCounts, type RunRows, runCounts, runRows } from "./uncertaintyRuns.ts";
import { UncertaintySampler } from "./uncertaintySampler.ts";

export interface OddsOptions {
  /** A whole number from 0 to 2^53 - 1. */
  seed: number;
  /** The quantile whose standard error ends the runs; default 0.8. */
  probability?: number;
  /** Calendar days that its standard error must be under; default 0.25. 0: all of maxSamples. */
  tolerance?: number;
  /** Most runs; default 100,000. */
  maxSamples?: number;
}

export interface DayCount {
  day: number;
  runs: number;
}

export interface HoldUpOdds {
  /** Id of its node. */
  node: string;
  /** Share of runs in which it lies on a path that sets the end: its criticality index (Van Slyke 1963). */
  criticality: number;
  /** Calendar days by which the end would be earlier with this alone in hand today: mean over all runs with an end. */
  meanDays: number;
  /** Spearman's rank correlation of its arrival with the end date; null where either is the same in all runs. */
  rankCorrelation: number | null;
  /** Days of arrival and how many runs arrive on each, ascending; NEVER last. */
  arrivals: DayCount[];
}

export interface Odds {
  samples: number;
  /** Ids of hold-ups without a source: they count as in hand, and completion is open. */
  open: readonly string[];
  /** Runs in which completion never comes, because something failed and nothing follows it. */
  never: number;
  /** Mean and standard deviation of the end in working hours, over the runs that have one. */
  meanHours: number;
  deviationHours: number;
  /** The asked quantile's standard error in calendar days; Infinity where the quantile is no day. */
  standardError: number;
  /** Whether it is under the tolerance asked. */
  settled: boolean;
  /** Share of runs finished by the target day; null without one. */
  onTarget: number | null;
  /** Days of completion and how many runs finish on each, ascending; NEVER last. */
  ends: DayCount[];
  holdUps: HoldUpOdds[];
  /** Each run's own figures, for whatever needs them together. */
  runs: RunRows;
}

/** Day by which at least the share p of the runs is in: the smallest such day (quantile of the counted runs, type 1 of Hyndman and Fan 1996). */
export function dayQuantile(counts: readonly DayCount[], p: number): number {
  let total = 0;
  for (const { runs } of counts) total += runs;
  let passed = 0;
  for (const { day, runs } of counts) {
    passed += runs;
    if (passed >= p * total - 1e-9) return day;
  }
  return NEVER;
}

/** Working hours in which the share p of the runs is finished (type 1 of Hyndman and Fan, exact for these runs). */
export function hoursQuantile(runs: RunRows, p: number): number {
  const sorted = runs.endHours.slice().sort();
  return sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(p * sorted.length - 1e-9) - 1))]!;
}

/** How many runs fall on each day, ascending. `days` is not changed. */
export function countDays(days: Int32Array): DayCount[] {
  const sorted = days.slice().sort();
  const counts: DayCount[] = [];
  for (let i = 0; i < sorted.length; ) {
    let j = i + 1;
    while (j < sorted.length && sorted[j] === sorted[i]) j++;
    counts.push({ day: sorted[i]!, runs: j - i });
    i = j;
  }
  return counts;
}

/**
 * Standard error of the quantile p of counted days, by J. S. Maritz and R. G. Jarrett (1978): what its bootstrap
 * standard deviation would be with endless resampling. The sample's rank m = ceil(np) is beta(m, n - m + 1) distributed.
 */
export function quantileError(counts: readonly DayCount[], p: number): number {
  let n = 0;
  for (const { runs } of counts) n += runs;
  const m = Math.min(n, Math.max(1, Math.ceil(p * n - 1e-9)));
  let before = 0;
  let passed = 0;
  let mean = 0;
  let square = 0;
  // Around the quantile itself, so that the squares keep their figures.
  const middle = dayQuantile(counts, p);
  if (middle === NEVER) return Number.POSITIVE_INFINITY;
  for (const { day, runs } of counts) {
    passed += runs;
    const below = passed === n ? 1 : betaProbability(passed / n, m, n - m + 1);
    const weight = below - before;
    before = below;
    if (weight < 1e-12) continue;
    if (day === NEVER) return Number.POSITIVE_INFINITY;
    mean += weight * (day - middle);
    square += weight * (day - middle) ** 2;
  }
  return Math.sqrt(Math.max(0, square - mean * mean));
}

/** Runs after which the error is first looked at, and the least. */
const FIRST_LOOK = 8 * BLOCK;

/**
 * How many runs to have before the next look at the error: as many as its fall with the root of the number foretells,
 * at least a quarter more and at most four times as many. The same for any number of threads.
 */
export function runsWanted(samples: number, error: number, tolerance: number, most: number): number {
  if (samples === 0) return Math.min(most, FIRST_LOOK);
  const foretold = Number.isFinite(error) && tolerance > 0 ? samples * (error / tolerance) ** 2 * 1.1 : most;
  const next = Math.min(Math.max(foretold, samples * 1.25), samples * 4, most);
  return Math.min(most, Math.ceil(next / BLOCK) * BLOCK);
}

/** Whether the runs so far are enough. */
export function enough(
  rows: RunRows,
  samples: number,
  probability: number,
  tolerance: number,
): { error: number; done: boolean } {
  const error = quantileError(countDays(rows.endDay.subarray(0, samples)), probability);
  // A quantile that is one and the same day in every resampling has no error to bring down.
  return { error, done: tolerance > 0 && error <= tolerance };
}

export const usual = ({ probability = 0.8, tolerance = 0.25, maxSamples = 100_000 }: Partial<OddsOptions>) => ({
  probability,
  tolerance,
  maxSamples,
});

/**
 * The odds of a model, on this thread. Throws UncertainFault and NetworkFault.
 * @param follow is told the runs done and wanted so far
 */
export function oddsOf(
  model: UncertainModel,
  options: OddsOptions,
  follow?: (done: number, wanted: number) => void,
): Odds {
  const { probability, tolerance, maxSamples } = usual(options);
  const sampler = new UncertaintySampler(model);
  const rows = runRows(model.holdUps.length, capacityFor(model, maxSamples));
  const counts = runCounts(model.holdUps.length, sampler.network.size);
  let samples = 0;
  let error = Number.POSITIVE_INFINITY;
  let done = false;
  while (!done && samples < rows.capacity) {
    const wanted = runsWanted(samples, error, tolerance, rows.capacity);
    for (; samples < wanted; samples += BLOCK) {
      follow?.(samples, wanted);
      sampler.run(options.seed, samples / BLOCK, rows, counts);
    }
    ({ error, done } = enough(rows, samples, probability, tolerance));
  }
  return summary(model, firstRuns(rows, samples), counts, { error, done });
}

/** The figures of finished runs. */
export function summary(
  model: UncertainModel,
  runs: RunRows,
  counts: RunCounts,
  { error, done }: { error: number; done: boolean },
): Odds {
  const n = runs.capacity;
  const ends = countDays(runs.endDay);
  const never = ends.at(-1)?.day === NEVER ? ends.at(-1)!.runs : 0;
  let sum = 0;
  for (let i = 0; i < n; i++) if (runs.endHours[i] !== Number.POSITIVE_INFINITY) sum += runs.endHours[i]!;
  const meanHours = sum / (n - never);
  let square = 0;
  for (let i = 0; i < n; i++)
    if (runs.endHours[i] !== Number.POSITIVE_INFINITY) square += (runs.endHours[i]! - meanHours) ** 2;
  const ranks = ranksOf(ends);
  let onTarget = 0;
  for (const { day, runs: count } of ends) if (model.targetDay !== null && day <= model.targetDay) onTarget += count;
  return {
    samples: n,
    open: model.holdUps.filter(({ route }) => route === null).map(({ node }) => node),
    never,
    meanHours,
    deviationHours: Math.sqrt(square / Math.max(1, n - never - 1)),
    standardError: error,
    settled: done,
    onTarget: model.targetDay === null ? null : onTarget / n,
    ends,
    holdUps: model.holdUps.map(({ node }, h): HoldUpOdds => {
      const arrival = runs.arrivalDay.subarray(h * n, (h + 1) * n);
      const arrivals = countDays(arrival);
      return {
        node,
        criticality: counts.binds[h]! / n,
        meanDays: n === never ? 0 : counts.daysCost[h]! / (n - never),
        rankCorrelation: rankCorrelation(arrival, ranksOf(arrivals), runs.endDay, ranks),
        arrivals,
      };
    }),
    runs,
  };
}

/** Middle rank of each day, from 1; equal days share theirs. */
function ranksOf(counts: readonly DayCount[]): Map<number, number> {
  const ranks = new Map<number, number>();
  let passed = 0;
  for (const { day, runs } of counts) {
    ranks.set(day, passed + (runs + 1) / 2);
    passed += runs;
  }
  return ranks;
}

/** Spearman's rank correlation with middle ranks for ties; null where either never differs. */
function rankCorrelation(
  a: Int32Array,
  ranksA: ReadonlyMap<number, number>,
  b: Int32Array,
  ranksB: ReadonlyMap<number, number>,
): number | null {
  if (ranksA.size < 2 || ranksB.size < 2) return null;
  const n = a.length;
  const middle = (n + 1) / 2;
  let both = 0;
  let ownA = 0;
  let ownB = 0;
  for (let i = 0; i < n; i++) {
    const x = ranksA.get(a[i]!)! - middle;
    const y = ranksB.get(b[i]!)! - middle;
    both += x * y;
    ownA += x * x;
    ownB += y * y;
  }
  return both / Math.sqrt(ownA * ownB);
}
