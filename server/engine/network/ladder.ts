/**
 * The hold-up ladder: for each outstanding part or snag, when the machine would be finished if that alone,
 * together with the work, constrained it.
 *
 * Every link is a function of time that never decreases, so taking the later of two times commutes with it: completion
 * is the latest of all these lengths and of the work alone. Sorted downwards they are the ladder, and rung k says when
 * the machine would be finished with the k hold-ups above in hand today.
 */

import { hours, SAME_INSTANT } from "../time/units.ts";
import { backwardPass, forwardPass } from "./criticalPath.ts";
import type { ForwardPass, Network } from "./network.ts";
import { endsWith } from "./sideBySide.ts";

export interface Rung {
  /** Position of the arrival in the network. */
  position: number;
  /** Working hours from the day of the figures to the end of the machine, with this alone and the work. */
  length: number;
}

export interface Ladder {
  /** The work alone: every arrival in hand at the opening of the day of the figures. */
  work: ForwardPass;
  /** Arrivals that end later than the work alone, the longest first; equal ones in the order given. */
  rungs: readonly Rung[];
  /** Completion in working hours: the first rung, or the work alone. */
  end: number;
}

/**
 * The ladder of the given arrivals.
 * @param arrivals positions of nodes whose release is the hour at which they can be used
 */
export function ladder(network: Network, arrivals: readonly number[]): Ladder {
  const inHand = network.release.slice();
  for (const p of arrivals) inHand[p] = 0;
  const work = forwardPass(network, inHand);
  const latest = backwardPass(network, work.end);
  const bends = bendsBehind(network);
  const rungs: Rung[] = [];
  const bent: number[] = [];
  for (const p of arrivals) {
    const late = network.release[p]! - latest.start[p]!;
    if (late <= SAME_INSTANT) continue;
    // Before lags and work in the shop's hours alone the end moves hour for hour.
    if (bends[p]) bent.push(p);
    else rungs.push({ position: p, length: work.end + late });
  }
  if (bent.length > 0) rungs.push(...bentRungs(network, work, inHand, bent));
  // Sorting keeps equal rungs as they come: in the order in which the arrivals were given.
  const order = new Map(arrivals.map((p, i) => [p, i]));
  rungs.sort((a, b) => b.length - a.length || order.get(a.position)! - order.get(b.position)!);
  return { work, rungs, end: rungs[0]?.length ?? work.end };
}

/** 1 at each position from which a lag in calendar days still follows, or work in other hours than the shop's. */
function bendsBehind(network: Network): Uint8Array {
  const { size, outStart, outTo, outDays } = network;
  const bends = new Uint8Array(size);
  for (let v = size - 1; v >= 0; v--) {
    if (network.own[v] !== null) bends[v] = 1;
    for (let k = outStart[v]!; k < outStart[v + 1]!; k++) {
      if (outDays[k] || bends[outTo[k]!]) {
        bends[v] = 1;
        break;
      }
    }
  }
  return bends;
}

/**
 * Rungs behind which lags in calendar days follow, each by a forward pass with it alone, exact. Where weeks are alike, days
 * off soon swallow what differs, so the ends of most are whole weeks apart: two backward passes, from one end that is known
 * and from just before it, find all of those. Those near the end that differ have little behind them to pass.
 */
function bentRungs(network: Network, work: ForwardPass, inHand: Float64Array, bent: readonly number[]): Rung[] {
  const rungs: Rung[] = [];
  let left = bent.toSorted((a, b) => a - b);
  let known: number | undefined = left.length > FEW ? forwardPass(network).end : undefined;
  while (left.length > 0) {
    if (known !== undefined) {
      const alike = weeksFrom(network, known);
      const others = left.filter((p) => {
        const length = alike(p);
        if (length !== null) rungs.push({ position: p, length });
        return length === null;
      });
      // Passing so few takes no longer than the two passes.
      if (left.length - others.length < FEW) known = undefined;
      left = others;
    }
    const next = known === undefined ? left.splice(0) : left.splice(0, FEW);
    const alone = next.map((p) => ({ position: p, release: network.release[p]!, work: network.hours[p]! }));
    const ends = endsWith(network, work, inHand, alone);
    next.forEach((position, i) => {
      rungs.push({ position, length: ends[i]! });
    });
    if (known !== undefined) known = ends[0];
  }
  return rungs;
}

/** As many as are passed in one go by `endsWith`. */
const FEW = 16;

/**
 * For an arrival, the end of the machine that it alone leads to where that is whole weeks from the given one, else null.
 * Two ends closer than three times SAME_INSTANT are one.
 */
function weeksFrom(network: Network, end: number): (arrival: number) => number | null {
  const { release, outLag, outDays, calendar } = network;
  const week = calendar.weekTotal;
  let steady = network.steadyFrom + week;
  // What goes before the steady weeks by a lag below zero is not known to be steady.
  outLag.forEach((lag, k) => {
    if (lag < 0) steady -= outDays[k] ? 24 * lag : lag;
  });
  const at = backwardPass(network, end).start;
  const before = backwardPass(network, end - 3 * SAME_INSTANT).start;
  return (p) => {
    const weeks = Math.ceil((release[p]! - at[p]! - SAME_INSTANT) / week);
    const from = release[p]! - weeks * week;
    const known = Math.min(from, release[p]!) >= steady && from > before[p]! + SAME_INSTANT;
    return known ? end + weeks * week : null;
  };
}

export interface ChainLink {
  position: number;
  start: number;
  finish: number;
}

/**
 * The chain from one arrival to the end of the machine: what is done in turn if this alone, with nothing else in the
 * way, set the dates. The nodes follow the longest path from the arrival.
 * @param from hour at which the arrival can be used
 */
export function chainFrom(network: Network, arrival: number, from: number): ChainLink[] {
  const { size, hours: work, outStart, outTo, outLag, outDays, calendar } = network;
  const start = new Float64Array(size).fill(Number.NEGATIVE_INFINITY);
  const came = new Int32Array(size).fill(-1);
  start[arrival] = from;
  let last = arrival;
  for (let v = arrival; v < size; v++) {
    if (start[v] === Number.NEGATIVE_INFINITY) continue;
    const f = network.finishOf(v, start[v]!, work[v]!);
    if (f > network.finishOf(last, start[last]!, work[last]!)) last = v;
    for (let k = outStart[v]!; k < outStart[v + 1]!; k++) {
      const w = outTo[k]!;
      const t = outDays[k] ? calendar.afterDays(hours(f), outLag[k]!) : f + outLag[k]!;
      if (t > start[w]!) {
        start[w] = t;
        came[w] = v;
      }
    }
  }
  const chain: ChainLink[] = [];
  for (let v = last; v !== -1; v = came[v]!)
    chain.push({
      position: v,
      start: network.openFrom(v, start[v]!),
      finish: network.finishOf(v, start[v]!, work[v]!),
    });
  return chain.reverse();
}

/** Positions that come after the given ones through any links, each once, in topological order; the given ones are left out. */
export function following(network: Network, from: readonly number[]): number[] {
  const { size, outStart, outTo } = network;
  const reached = new Uint8Array(size);
  const result: number[] = [];
  let first = size;
  for (const v of from) {
    reached[v] = 2;
    if (v < first) first = v;
  }
  for (let v = first; v < size; v++) {
    if (!reached[v]) continue;
    if (reached[v] === 1) result.push(v);
    for (let k = outStart[v]!; k < outStart[v + 1]!; k++) if (!reached[outTo[k]!]) reached[outTo[k]!] = 1;
  }
  return result;
}
