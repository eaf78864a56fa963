/** What the runs say: dates by their odds, the chance of the target, and for each hold-up how much it has to do with the end. */

import { arrivalFigures, countDays, type DayCount, DayTally, dayQuantile, quantileError, ranksOf } from "./days.ts";
import {
  BLOCK,
  capacityFor,
  countsTogether,
  firstRuns,
  LANES,
  type RunCounts,
  type RunRows,
  runCounts,
  runRows,
} from "./runs.ts";
import { UncertaintySampler } from "./sampler.ts";
import { RunsStopped, Turns, turnsMemory } from "./turns.ts";
import { NEVER, type UncertainModel } from "./uncertainty.ts";

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

export interface HoldUpOdds {
  /** Id of its node. */
  node: string;
  /** Share of runs in which it lies on a path that sets the end: its criticality index (Van Slyke 1963). */
  setsEnd: number;
  /** Calendar days by which the end would be earlier with this alone in hand today: mean over all runs with an end. */
  meanDays: number;
  /** Calendar days by which the end with even odds would be earlier with this alone in hand today; null where either has none. */
  evenOddsDays: number | null;
  /** Spearman's rank correlation of its arrival with the end date; null where either is the same in all runs. */
  rankCorrelation: number | null;
  /** Days by which it is here in half of the runs, and in 4 of 5; NEVER where it may not come. */
  evenOddsArrival: number;
  fourInFiveArrival: number;
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

/** Working hours in which the share p of the runs is finished (type 1 of Hyndman and Fan, exact for these runs). */
export function hoursQuantile(runs: RunRows, p: number): number {
  const sorted = runs.endHours.slice().sort();
  return sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(p * sorted.length - 1e-9) - 1))]!;
}

/** Runs after which the error is first looked at, and the least. */
const FIRST_LOOK = 8 * BLOCK;

/**
 * How many runs to have before the next look at the error: as many as its fall with the root of the number foretells,
 * at least a quarter more and at most four times as many. The same for any number of threads.
 */
function runsWanted(samples: number, error: number, tolerance: number, most: number): number {
  if (samples === 0) return Math.min(most, FIRST_LOOK);
  const foretold = Number.isFinite(error) && tolerance > 0 ? samples * (error / tolerance) ** 2 * 1.1 : most;
  const next = Math.min(Math.max(foretold, samples * 1.25), samples * 4, most);
  return Math.min(most, Math.ceil(next / BLOCK) * BLOCK);
}

interface Look {
  quantile: number;
  error: number;
  done: boolean;
}

/** The asked quantile of the runs so far, its error, and whether they are enough. */
function lookAt(rows: RunRows, samples: number, probability: number, tolerance: number): Look {
  const ends = countDays(rows.endDay.subarray(0, samples));
  const error = quantileError(ends, probability);
  // A quantile that is one and the same day in every resampling has no error to bring down.
  return { quantile: dayQuantile(ends, probability), error, done: tolerance > 0 && error <= tolerance };
}

const usual = ({ probability = 0.8, tolerance = 0.25, maxSamples = 100_000 }: Partial<OddsOptions>) => ({
  probability,
  tolerance,
  maxSamples,
});

/** What the threads of one simulation share. */
export interface OddsRoom {
  rows: RunRows;
  /** Of each thread, the leading one first. */
  counts: readonly RunCounts[];
  turns: Int32Array;
}

/** Room for the runs of a model, drawn by so many threads, or by as many as there are strips: one more would find none. */
export function oddsRoom(model: UncertainModel, options: OddsOptions, threads = 1): OddsRoom {
  const rows = runRows(model.holdUps.length, capacityFor(model, usual(options).maxSamples));
  return {
    rows,
    counts: Array.from({ length: Math.min(threads, rows.capacity / LANES) }, () =>
      runCounts(model.holdUps.length, model.nodes.length),
    ),
    turns: turnsMemory(),
  };
}

/** How far the runs are. */
export interface OddsSoFar {
  runs: number;
  /** Runs after which the error is looked at next. */
  wanted: number;
  /** Days from the day of the figures of the asked quantile, and its standard error, at the last look; null before the first. */
  quantile: number | null;
  standardError: number | null;
}

/**
 * The odds of a model. The error is looked at after runs that depend on what it was before and on nothing else, so the
 * same model, options and seed give the same odds, however many threads help, and whether they were stopped in between: over
 * a room in which runs are drawn already it goes on from them. Throws UncertainFault and NetworkFault, RunsStopped.
 * @param follow is told how far the runs are before each strip that this thread draws
 * @param room of the simulation that this thread leads; others may {@link helpWithOdds}
 */
export function oddsOf(
  model: UncertainModel,
  options: OddsOptions,
  follow?: (soFar: OddsSoFar) => void,
  room: OddsRoom = oddsRoom(model, options),
): Odds {
  const odds = oddsOver(model, options, room, follow);
  return { ...odds, runs: firstRuns(room.rows, odds.samples) };
}

/** The odds alone: see {@link oddsOf}. Each run's own figures, which can be megabytes, stay in the room. */
export function oddsOver(
  model: UncertainModel,
  options: OddsOptions,
  room: OddsRoom,
  follow?: (soFar: OddsSoFar) => void,
): Omit<Odds, "runs"> {
  const { probability, tolerance } = usual(options);
  const sampler = new UncertaintySampler(model);
  const { rows } = room;
  const turns = new Turns(room.turns);
  let samples = 0;
  let look: Look | null = null;
  while (samples < rows.capacity && !look?.done) {
    const wanted = runsWanted(samples, look?.error ?? Number.POSITIVE_INFINITY, tolerance, rows.capacity);
    turns.open(wanted / LANES);
    for (let strip = turns.take(); strip >= 0; strip = turns.take()) {
      follow?.({
        runs: turns.drawn * LANES,
        wanted,
        quantile: look?.quantile ?? null,
        standardError: look?.error ?? null,
      });
      sampler.run(options.seed, strip, rows, room.counts[0]!);
      turns.done();
    }
    if (!turns.awaitDrawn()) {
      turns.close();
      throw new RunsStopped();
    }
    samples = wanted;
    look = lookAt(rows, samples, probability, tolerance);
  }
  turns.close();
  return summary(model, rows, samples, countsTogether(room.counts), look!);
}

/**
 * Draws runs of a simulation that another thread leads, until there are enough.
 * @param place of this thread among the room's counts, from 1
 */
export function helpWithOdds(model: UncertainModel, { seed }: OddsOptions, room: OddsRoom, place: number): void {
  const turns = new Turns(room.turns);
  let sampler: UncertaintySampler | undefined;
  while (turns.awaitOpen())
    for (let strip = turns.take(); strip >= 0; strip = turns.take()) {
      sampler ??= new UncertaintySampler(model);
      sampler.run(seed, strip, room.rows, room.counts[place]!);
      turns.done();
    }
}

/** The figures of the first n runs. */
function summary(
  model: UncertainModel,
  rows: RunRows,
  n: number,
  counts: RunCounts,
  { error, done }: Look,
): Omit<Odds, "runs"> {
  const runs = { ...rows, endDay: rows.endDay.subarray(0, n), binding: rows.binding.subarray(0, n) };
  const ends = countDays(runs.endDay);
  const never = ends.at(-1)?.day === NEVER ? ends.at(-1)!.runs : 0;
  let sum = 0;
  for (let i = 0; i < n; i++) if (runs.endHours[i] !== Number.POSITIVE_INFINITY) sum += runs.endHours[i]!;
  const meanHours = sum / (n - never);
  let square = 0;
  for (let i = 0; i < n; i++)
    if (runs.endHours[i] !== Number.POSITIVE_INFINITY) square += (runs.endHours[i]! - meanHours) ** 2;
  const ranks = ranksOf(runs.endDay);
  const tally = new DayTally();
  const evenOddsDays = gainedAt(0.5, runs, ends, model.holdUps.length);
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
      const arrival = runs.arrivalDay.subarray(h * runs.capacity, h * runs.capacity + n);
      const { quantiles, correlation } = arrivalFigures(arrival, [0.5, 0.8], ranks, tally);
      return {
        node,
        setsEnd: counts.binds[h]! / n,
        meanDays: n === never ? 0 : counts.daysCost[h]! / (n - never),
        evenOddsDays: evenOddsDays[h]!,
        rankCorrelation: correlation,
        evenOddsArrival: quantiles[0]!,
        fourInFiveArrival: quantiles[1]!,
      };
    }),
  };
}

/**
 * For each hold-up the days by which the quantile p of the ends would be earlier with it alone in hand: of all runs those
 * in which it alone sets the end are ended without it. Null where either end never comes.
 */
function gainedAt(p: number, { binding, endDay, endDayWithout }: RunRows, ends: DayCount[], holdUps: number) {
  const base = dayQuantile(ends, p);
  const own: number[][] = Array.from({ length: holdUps }, () => []);
  for (let i = 0; i < binding.length; i++) if (binding[i]! >= 0) own[binding[i]!]!.push(i);
  const without = own.flatMap((runs) => runs.map((i) => endDayWithout[i]!));
  const days = Int32Array.from(new Set([...ends.map(({ day }) => day), ...without])).sort();
  const placeOf = new Map(Array.from(days, (day, place) => [day, place]));
  const counts = new Int32Array(days.length);
  for (const { day, runs } of ends) counts[placeOf.get(day)!] = runs;
  const move = (runs: readonly number[], by: 1 | -1): void => {
    for (const i of runs) {
      counts[placeOf.get(endDay[i]!)!]! -= by;
      counts[placeOf.get(endDayWithout[i]!)!]! += by;
    }
  };
  return own.map((runs): number | null => {
    move(runs, 1);
    let place = 0;
    for (let passed = counts[0]!; passed < p * endDay.length - 1e-9; ) passed += counts[++place]!;
    move(runs, -1);
    return base === NEVER || days[place] === NEVER ? null : base - days[place]!;
  });
}
