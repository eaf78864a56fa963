/**
 * Critical path: forward and backward pass, floats and drag.
 *
 * Definitions: J. E. Kelley and M. R. Walker, "Critical-Path Planning and Scheduling" (1959) for the passes and floats;
 * S. A. Devaux, "The Drag Efficient" (2012) for drag. Times are working hours from the day of the figures. The end of the
 * machine is the latest finish of all nodes, not only of the last ones, since a negative lag can let a node outlast what follows it.
 */

import { hours, SAME_INSTANT } from "../time/units.ts";
import type { ForwardPass, Network } from "./network.ts";
import { endsWith } from "./sideBySide.ts";

/** Latest times that keep the given end. */
export interface BackwardPass {
  start: Float64Array;
  finish: Float64Array;
}

/**
 * Forward pass.
 * @param release earliest start of each node; default the network's own
 */
export function forwardPass(network: Network, release: Float64Array = network.release): ForwardPass {
  const { size, hours: work, inStart, inFrom, inLag, inDays, calendar, anyOwn } = network;
  const start = new Float64Array(size);
  const finish = new Float64Array(size);
  const anyDays = network.lastBend >= 0;
  let end = 0;
  for (let v = 0; v < size; v++) {
    let s = release[v]!;
    const stop = inStart[v + 1]!;
    for (let k = inStart[v]!; k < stop; k++) {
      const f = finish[inFrom[k]!]!;
      const t = anyDays && inDays[k] ? calendar.afterDays(hours(f), inLag[k]!) : f + inLag[k]!;
      if (t > s) s = t;
    }
    start[v] = s;
    const f = anyOwn ? network.finishOf(v, s, work[v]!) : s + work[v]!;
    finish[v] = f;
    if (f > end) end = f;
  }
  return { start, finish, end };
}

/** Backward pass from an end, in working hours: the computed end, or a target date's last hour. */
export function backwardPass(network: Network, end: number): BackwardPass {
  const { size, hours: work, outStart, outTo, outLag, outDays, calendar, anyOwn } = network;
  const start = new Float64Array(size);
  const finish = new Float64Array(size);
  const anyDays = network.lastBend >= 0;
  for (let v = size - 1; v >= 0; v--) {
    let f = end;
    const stop = outStart[v + 1]!;
    for (let k = outStart[v]!; k < stop; k++) {
      const s = start[outTo[k]!]!;
      const t = anyDays && outDays[k] ? calendar.latestBeforeDays(hours(s), outLag[k]!) : s - outLag[k]!;
      if (t < f) f = t;
    }
    finish[v] = f;
    start[v] = anyOwn ? network.startOf(v, f, work[v]!) : f - work[v]!;
  }
  return { start, finish };
}

/** Free float of each node: how much later it may begin with nothing after it, nor the end, moving. Hours by position. */
export function freeFloats(network: Network, forward: ForwardPass): Float64Array {
  const { size, outStart, outTo, outLag, outDays, calendar } = network;
  const free = new Float64Array(size);
  for (let v = 0; v < size; v++) {
    let latest = forward.end;
    for (let k = outStart[v]!; k < outStart[v + 1]!; k++) {
      const s = forward.start[outTo[k]!]!;
      const t = outDays[k] ? calendar.latestBeforeDays(hours(s), outLag[k]!) : s - outLag[k]!;
      if (t < latest) latest = t;
    }
    const { own, hours: work } = network;
    const f =
      own[v] === null
        ? latest - forward.finish[v]!
        : network.startOf(v, latest, work[v]!) - network.openFrom(v, forward.start[v]!);
    free[v] = f > SAME_INSTANT ? f : 0;
  }
  return free;
}

/**
 * 1 at each position on a longest path: the end of the machine is its own finish, or it alone or with others sets the
 * start of a node on a longest path. Where every lag is in hours, and all work in the shop's, these are the nodes without float. Where a wait in
 * calendar days ends on a day off, a node before it can have some float, the hours which the days off swallow, and
 * still set the end; it is critical all the same.
 */
export function longestPaths(network: Network, forward: ForwardPass): Uint8Array {
  const { size, inStart, inFrom, inLag, inDays, calendar } = network;
  const { start, finish, end } = forward;
  const critical = new Uint8Array(size);
  for (let v = size - 1; v >= 0; v--) {
    if (finish[v]! >= end - SAME_INSTANT) critical[v] = 1;
    if (!critical[v]) continue;
    const s = start[v]! - SAME_INSTANT;
    for (let k = inStart[v]!; k < inStart[v + 1]!; k++) {
      const f = finish[inFrom[k]!]!;
      const t = inDays[k] ? calendar.afterDays(hours(f), inLag[k]!) : f + inLag[k]!;
      if (t >= s) critical[inFrom[k]!] = 1;
    }
  }
  return critical;
}

/**
 * Drag of each node: how many working hours earlier the end would be if the node took no time; 0 off the critical path.
 *
 * With lags in hours alone, a path that misses critical node v jumps over its position by some link (or starts after
 * it, or ends before it), and the longest of those is shorter than the end by the least slack among the links that
 * jump. So drag(v) = min(hours(v), least slack over v), found for all critical nodes at once by range minimum updates.
 * Where a lag in calendar days still follows, or work in other hours than the shop's, the end does not move hour for hour and the forward pass is run again with v taking no time.
 */
export function drags(
  network: Network,
  forward: ForwardPass,
  backward: BackwardPass,
  critical: Uint8Array,
): Float64Array {
  const { size, hours: work } = network;
  const drag = new Float64Array(size);
  const closed: number[] = [];
  const again: number[] = [];
  for (let v = 0; v < size; v++) {
    if (!critical[v] || work[v]! <= SAME_INSTANT) continue;
    if (v < network.lastBend) again.push(v);
    else closed.push(v);
  }
  if (again.length > 0) {
    const idle = again.map((v) => ({ position: v, release: network.release[v]!, work: 0 }));
    endsWith(network, forward, network.release, idle).forEach((end, i) => {
      if (forward.end - end > SAME_INSTANT) drag[again[i]!] = forward.end - end;
    });
  }
  if (closed.length > 0) closedDrags(network, forward, backward, closed, drag);
  return drag;
}

/** Drag by the least slack that jumps over each of the given critical positions (ascending). */
function closedDrags(
  network: Network,
  forward: ForwardPass,
  backward: BackwardPass,
  critical: readonly number[],
  drag: Float64Array,
): void {
  const { size, hours: work, release, outStart, outTo, outLag, outDays } = network;
  const count = critical.length;
  // passed[v]: how many of the critical ones stand before position v.
  const passed = new Int32Array(size + 1);
  for (let v = 0, c = 0; v <= size; v++) {
    passed[v] = c;
    if (c < count && critical[c] === v) c++;
  }
  let most = 0;
  for (const v of critical) if (work[v]! > most) most = work[v]!;

  // level[j][c]: a slack that holds over the critical ones c to c + 2^j - 1.
  const levels: Float64Array[] = [];
  for (let width = 1; width <= count; width *= 2) levels.push(new Float64Array(count).fill(Number.POSITIVE_INFINITY));
  const lower = (from: number, to: number, slack: number): void => {
    if (to < from || slack >= most) return;
    const j = 31 - Math.clz32(to - from + 1);
    const level = levels[j]!;
    if (slack < level[from]!) level[from] = slack;
    const other = to - (1 << j) + 1;
    if (slack < level[other]!) level[other] = slack;
  };
  for (let a = 0; a < size; a++) {
    const first = passed[a + 1]!;
    lower(first, count - 1, forward.end - forward.finish[a]!);
    lower(0, passed[a]! - 1, backward.start[a]! - release[a]!);
    for (let k = outStart[a]!; k < outStart[a + 1]!; k++) {
      const b = outTo[k]!;
      // Nothing that bends leads past the last of them, so never over these.
      if (outDays[k] || passed[b]! <= first) continue;
      lower(first, passed[b]! - 1, backward.start[b]! - outLag[k]! - forward.finish[a]!);
    }
  }
  for (let j = levels.length - 1; j > 0; j--) {
    const half = 1 << (j - 1);
    const level = levels[j]!;
    const below = levels[j - 1]!;
    for (let c = 0; c + 2 * half <= count; c++) {
      const slack = level[c]!;
      if (slack < below[c]!) below[c] = slack;
      if (slack < below[c + half]!) below[c + half] = slack;
    }
  }
  const least = levels[0]!;
  for (let c = 0; c < count; c++) {
    const v = critical[c]!;
    const d = Math.min(work[v]!, least[c]!);
    drag[v] = d > SAME_INSTANT ? d : 0;
  }
}

/** One node's place: hours from the day of the figures. */
export interface Place {
  earlyStart: number;
  earlyFinish: number;
  lateStart: number;
  lateFinish: number;
  totalFloat: number;
  freeFloat: number;
  drag: number;
  critical: boolean;
}

export interface CriticalPath {
  forward: ForwardPass;
  backward: BackwardPass;
  free: Float64Array;
  critical: Uint8Array;
  drag: Float64Array;
  /** Place of the node at a position. */
  place(v: number): Place;
}

/** Both passes from the computed end, free floats and drags. */
export function criticalPath(network: Network): CriticalPath {
  const forward = forwardPass(network);
  const backward = backwardPass(network, forward.end);
  const free = freeFloats(network, forward);
  const critical = longestPaths(network, forward);
  const drag = drags(network, forward, backward, critical);
  return {
    forward,
    backward,
    free,
    critical,
    drag,
    place(v) {
      const earlyStart = network.openFrom(v, forward.start[v]!);
      const slack = backward.start[v]! - earlyStart;
      return {
        earlyStart,
        earlyFinish: forward.finish[v]!,
        lateStart: backward.start[v]!,
        lateFinish: network.own[v]?.lastOpen(backward.finish[v]!) ?? backward.finish[v]!,
        totalFloat: slack > SAME_INSTANT ? slack : 0,
        freeFloat: free[v]!,
        drag: drag[v]!,
        critical: critical[v] === 1,
      };
    },
  };
}
