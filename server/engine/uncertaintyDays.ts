/** Runs counted by day: quantiles, their standard error, and rank correlation. */
import { betaProbability } from "./beta.ts";
import { NEVER } from "./uncertainty.ts";

export interface DayCount {
  day: number;
  runs: number;
}

/** Widest span of days that is given a place for each day; wider ones, years beyond any plan, are sorted. */
const WIDEST = 1_000_000;

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

/** How many runs fall on each day, ascending. `days` is not changed. */
export function countDays(days: Int32Array): DayCount[] {
  let first = NEVER;
  let last = -NEVER;
  let never = 0;
  for (const day of days) {
    if (day === NEVER) {
      never++;
      continue;
    }
    if (day < first) first = day;
    if (day > last) last = day;
  }
  const counts: DayCount[] = [];
  if (last - first >= WIDEST) return countSorted(days.slice().sort());
  if (first <= last) {
    const runs = new Int32Array(last - first + 1);
    for (const day of days) if (day !== NEVER) runs[day - first]!++;
    for (let i = 0; i < runs.length; i++) if (runs[i]! > 0) counts.push({ day: first + i, runs: runs[i]! });
  }
  if (never > 0) counts.push({ day: NEVER, runs: never });
  return counts;
}

function countSorted(days: Int32Array): DayCount[] {
  const counts: DayCount[] = [];
  for (let i = 0; i < days.length; ) {
    let j = i + 1;
    while (j < days.length && days[j] === days[i]) j++;
    counts.push({ day: days[i]!, runs: j - i });
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

/** Ranks of runs by their days, less the middle one: equal days share theirs. */
export interface Ranks {
  /** By run. */
  of: Float64Array;
  /** Sum of their squares. */
  square: number;
}

/** The ranks of runs by their days; null where all days are the same. */
export function ranksOf(days: Int32Array, counts: readonly DayCount[]): Ranks | null {
  if (counts.length < 2) return null;
  const rankOf = new Map<number, number>();
  const square = eachRank(counts, days.length, (day, rank) => rankOf.set(day, rank));
  return { of: Float64Array.from(days, (day) => rankOf.get(day)!), square };
}

/**
 * Spearman's rank correlation of runs' days with their ranks by something else, ties at their middle rank; null where
 * either never differs. Those ranks are summed by day, so that a run's rank by its own day is not needed.
 */
export function rankCorrelation(days: Int32Array, counts: readonly DayCount[], other: Ranks | null): number | null {
  if (other === null || counts.length < 2) return null;
  const first = counts[0]!.day;
  const last = counts.at(counts.at(-1)!.day === NEVER ? -2 : -1)!.day;
  /** NEVER stands a day after the last. */
  const placeOf = (day: number): number => Math.min(day, last + 1) - first;
  const sums: Float64Array | number[] = last - first < WIDEST ? new Float64Array(last - first + 2) : [];
  if (Array.isArray(sums)) for (const { day } of counts) sums[placeOf(day)] = 0;
  for (let i = 0; i < days.length; i++) sums[placeOf(days[i]!)]! += other.of[i]!;
  let both = 0;
  const square = eachRank(counts, days.length, (day, rank) => {
    both += rank * sums[placeOf(day)]!;
  });
  return both / Math.sqrt(square * other.square);
}

/** Tells the rank of each day among so many runs, less the middle one; gives the sum over runs of its square. */
function eachRank(counts: readonly DayCount[], total: number, tell: (day: number, rank: number) => void): number {
  let passed = 0;
  let square = 0;
  for (const { day, runs } of counts) {
    const rank = passed + (runs - total) / 2;
    tell(day, rank);
    square += runs * rank * rank;
    passed += runs;
  }
  return square;
}
