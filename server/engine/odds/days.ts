/** Runs counted by day: quantiles, their standard error, and rank correlation. */
import { betaProbability } from "../chance/beta.ts";
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
  const tally = new DayTally().count(days);
  const counts: DayCount[] = [];
  tally.each((day, runs) => counts.push({ day, runs }));
  return counts;
}

/** Runs counted by day, for one array of days after the other over the same memory. */
export class DayTally {
  /** By place: how many runs fall on its day, and the sum of what they weigh. */
  private runs = new Int32Array(0);
  private sums = new Float64Array(0);
  private size = 0;
  private first = 0;
  /** A place after the last that is a day; that of NEVER. */
  private never = 0;
  /** Of days too far apart for a place each: those that there are. */
  private apart: Int32Array | null = null;

  /** @param weights of the runs; default zero each */
  count(days: Int32Array, weights: Float64Array = new Float64Array(days.length)): this {
    let first = NEVER;
    let last = -NEVER;
    for (let i = 0; i < days.length; i++) {
      const day = days[i]!;
      if (day < first) first = day;
      if (day > last && day !== NEVER) last = day;
    }
    if (first === NEVER) last = NEVER - 1;
    this.apart = last - first < WIDEST ? null : Int32Array.from(new Set(days)).sort();
    const placeOf = this.apart === null ? null : new Map(Array.from(this.apart, (day, place) => [day, place]));
    this.size = this.apart?.length ?? last - first + 2;
    this.first = first;
    this.never = last - first + 1;
    if (this.runs.length < this.size) {
      this.runs = new Int32Array(2 * this.size);
      this.sums = new Float64Array(2 * this.size);
    }
    const { runs, sums, size } = this;
    runs.fill(0, 0, size);
    sums.fill(0, 0, size);
    // One loop for both, as it goes over each arrival of each run.
    const [places, from, after] =
      placeOf === null ? [days, first, last + 1] : [days.map((day) => placeOf.get(day)!), 0, NEVER];
    for (let i = 0; i < places.length; i++) {
      const place = Math.min(places[i]!, after) - from;
      runs[place] = runs[place]! + 1;
      sums[place] = sums[place]! + weights[i]!;
    }
    return this;
  }

  /** Tells the days on which runs fall, ascending; NEVER last. */
  each(tell: (day: number, runs: number, sum: number) => void): void {
    const { runs, sums, size, first, never, apart } = this;
    for (let place = 0; place < size; place++)
      if (runs[place]! > 0)
        tell(apart === null ? (place === never ? NEVER : first + place) : apart[place]!, runs[place]!, sums[place]!);
  }
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
export function ranksOf(days: Int32Array): Ranks | null {
  const rankOf = new Map<number, number>();
  const square = eachRank(new DayTally().count(days), days.length, (day, rank) => rankOf.set(day, rank));
  return rankOf.size < 2 ? null : { of: Float64Array.from(days, (day) => rankOf.get(day)!), square };
}

export interface ArrivalFigures {
  /** Days by which so large a share of the runs is in, for each that is asked: see {@link dayQuantile}. */
  quantiles: number[];
  /**
   * Spearman's rank correlation of the runs' days with their ranks by something else, ties at their middle rank; null where
   * either never differs. Those ranks are summed by day, so that a run's rank by its own day is not needed.
   */
  correlation: number | null;
}

/** @param tally whose memory is used */
export function arrivalFigures(
  days: Int32Array,
  shares: readonly number[],
  other: Ranks | null,
  tally: DayTally,
): ArrivalFigures {
  const quantiles: number[] = [];
  let passed = 0;
  let both = 0;
  let different = 0;
  const square = eachRank(tally.count(days, other?.of), days.length, (day, rank, runs, sum) => {
    passed += runs;
    different++;
    both += rank * sum;
    while (quantiles.length < shares.length && passed >= shares[quantiles.length]! * days.length - 1e-9)
      quantiles.push(day);
  });
  return { quantiles, correlation: other === null || different < 2 ? null : both / Math.sqrt(square * other.square) };
}

/** Tells the rank of each day among so many runs, less the middle one; gives the sum over runs of its square. */
function eachRank(
  tally: DayTally,
  total: number,
  tell: (day: number, rank: number, runs: number, sum: number) => void,
): number {
  let passed = 0;
  let square = 0;
  tally.each((day, runs, sum) => {
    const rank = passed + (runs - total) / 2;
    tell(day, rank, runs, sum);
    square += runs * rank * rank;
    passed += runs;
  });
  return square;
}
