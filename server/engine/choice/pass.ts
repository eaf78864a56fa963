/** Passes over work in which some operations can be done in several ways. */
import type { Network } from "../network/network.ts";
import { hours } from "../time/units.ts";

/** Ways of one operation, by ascending cost. */
export interface Ways {
  /** Index of its choice among all: parts and snags first, then operations. */
  choice: number;
  position: number;
  /** Working hours, or calendar days where `inDays` is 1. */
  time: Float64Array;
  inDays: Uint8Array;
  /** Working hours before a wait begins; 0 for the others. */
  before: Float64Array;
  cost: Float64Array;
  points: Float64Array;
  /** Index of each among the options given. */
  option: Int32Array;
}

export interface WorkWithWays {
  network: Network;
  ways: readonly Ways[];
  /** Index into `ways` of the operation at each position, or -1. */
  wayAt: Int32Array;
}

/** Which way each operation goes: an index into its ways, or whatever is quickest or slowest just then. */
export type Going = ArrayLike<number> | "quickest" | "slowest";

export interface Pass {
  start: Float64Array;
  finish: Float64Array;
  /** Forward: the latest finish. Backward: the end asked. */
  end: number;
}

/** Hour at which an operation is finished that starts so and is done this way. */
export function finishOf(
  { network }: WorkWithWays,
  { position, time, inDays, before }: Ways,
  way: number,
  start: number,
): number {
  const worked = network.finishOf(position, start, inDays[way] ? before[way]! : time[way]!);
  return inDays[way] ? network.calendar.afterDays(hours(worked), time[way]!) : worked;
}

/** Latest hour at which an operation may start that is done this way and must be finished so. */
export function latestStart(
  { network }: WorkWithWays,
  { position, time, inDays, before }: Ways,
  way: number,
  finish: number,
): number {
  const worked = inDays[way] ? network.calendar.latestBeforeDays(hours(finish), time[way]!) : finish;
  return network.startOf(position, worked, inDays[way] ? before[way]! : time[way]!);
}

/** Forward pass. @param release earliest start at each position */
export function forwardWith(work: WorkWithWays, going: Going, release: Float64Array): Pass {
  const { network } = work;
  const { size, hours: usual, inStart, inFrom, inLag, inDays, calendar } = network;
  const start = new Float64Array(size);
  const finish = new Float64Array(size);
  let end = 0;
  for (let v = 0; v < size; v++) {
    let s = release[v]!;
    for (let k = inStart[v]!; k < inStart[v + 1]!; k++) {
      const f = finish[inFrom[k]!]!;
      const t = inDays[k] ? calendar.afterDays(hours(f), inLag[k]!) : f + inLag[k]!;
      if (t > s) s = t;
    }
    const i = work.wayAt[v]!;
    const f = i < 0 ? network.finishOf(v, s, usual[v]!) : through(work, i, going, s, finishOf, going === "quickest");
    start[v] = s;
    finish[v] = f;
    if (f > end) end = f;
  }
  return { start, finish, end };
}

/** Latest times that keep an end. */
export function backwardWith(work: WorkWithWays, going: Going, end: number): Pass {
  const { network } = work;
  const { size, hours: usual, outStart, outTo, outLag, outDays } = network;
  const start = new Float64Array(size);
  const finish = new Float64Array(size);
  for (let v = size - 1; v >= 0; v--) {
    let f = end;
    for (let k = outStart[v]!; k < outStart[v + 1]!; k++) {
      const s = start[outTo[k]!]!;
      const t = outDays[k] ? network.calendar.latestBeforeDays(hours(s), outLag[k]!) : s - outLag[k]!;
      if (t < f) f = t;
    }
    const i = work.wayAt[v]!;
    finish[v] = f;
    start[v] = i < 0 ? network.startOf(v, f, usual[v]!) : through(work, i, going, f, latestStart, going === "slowest");
  }
  return { start, finish, end };
}

function through(
  work: WorkWithWays,
  i: number,
  going: Going,
  from: number,
  time: typeof finishOf,
  least: boolean,
): number {
  const ways = work.ways[i]!;
  if (typeof going !== "string") return time(work, ways, going[i]!, from);
  let result = least ? Number.POSITIVE_INFINITY : Number.NEGATIVE_INFINITY;
  for (let m = 0; m < ways.time.length; m++) {
    const t = time(work, ways, m, from);
    if (least ? t < result : t > result) result = t;
  }
  return result;
}
