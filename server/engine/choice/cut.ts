/**
 * The state of a search that has settled everything from a point on: the latest finishes left to what lies before, and
 * the states met there so far. Of two states the dearer one that leaves nothing later leads to nothing cheaper.
 */

import { hours, SAME_INSTANT } from "../time/units.ts";
import type { Narrowed } from "./narrow.ts";

/** How many states are remembered; the oldest is forgotten first. */
const REMEMBERED = 512;

export class Cut {
  /** Least cost of what lies before. */
  readonly rest: number;
  /** Positions before the point that lead to it or past it, and those of their links that do. */
  private readonly tails: Int32Array;
  private readonly linkStart: Int32Array;
  private readonly links: Int32Array;
  /** Threshold functions not yet paid of which some positions are settled: these positions, and the hour past which later is no use. */
  private readonly needs: readonly { positions: readonly number[]; last: number }[];
  /** True when what lies before keeps the end at its slowest, but for what was settled. */
  private readonly free: boolean;
  /** The state read last: latest finishes at the tails, then the earliest latest start of each need. */
  private readonly state: Float64Array;
  /** States met, a row each: the state, its sum, the cost. */
  private states: Float64Array;
  private count = 0;

  /** @param point positions from here on are settled */
  constructor(
    private readonly problem: Narrowed,
    end: number,
    point: number,
  ) {
    const { network, ways, thresholds, slowest } = problem;
    const tails: number[] = [];
    const linkStart: number[] = [0];
    const links: number[] = [];
    let free = true;
    for (let v = 0; v < point; v++) {
      if (slowest[v]! > end + SAME_INSTANT) free = false;
      const before = links.length;
      for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++)
        if (network.outTo[k]! >= point) links.push(k);
      if (links.length === before) continue;
      tails.push(v);
      linkStart.push(links.length);
    }
    this.needs = thresholds.flatMap(({ positions, ready }) => {
      const settled = positions.filter((v) => v >= point);
      return settled.length > 0 && positions[0]! < point ? [{ positions: settled, last: ready.at(-1)! }] : [];
    });
    let rest = 0;
    for (const { positions, cost } of thresholds) if (positions[0]! < point) rest += cost.at(-1)!;
    for (const { position, cost } of ways) if (position < point) rest += cost[0]!;
    this.rest = rest;
    this.free = free;
    this.tails = Int32Array.from(tails);
    this.linkStart = Int32Array.from(linkStart);
    this.links = Int32Array.from(links);
    this.state = new Float64Array(tails.length + this.needs.length);
    this.states = new Float64Array(8 * (this.state.length + 2));
  }

  /**
   * Reads the state off the latest starts of what is settled.
   * @returns true when it leaves what lies before free to take whatever is cheapest
   */
  read(start: Float64Array): boolean {
    const { network, slowest } = this.problem;
    const { outTo, outLag, outDays } = network;
    const { tails, linkStart, links, needs, state } = this;
    let free = this.free;
    for (let t = 0; t < tails.length; t++) {
      // Later than its finish at its slowest is no use to anything.
      let f = slowest[tails[t]!]!;
      for (let at = linkStart[t]!; at < linkStart[t + 1]!; at++) {
        const k = links[at]!;
        const s = start[outTo[k]!]!;
        const latest = outDays[k] ? network.calendar.latestBeforeDays(hours(s), outLag[k]!) : s - outLag[k]!;
        if (latest < f) {
          f = latest;
          free = false;
        }
      }
      state[t] = f;
    }
    for (let n = 0; n < needs.length; n++) {
      const { positions, last } = needs[n]!;
      let by = last;
      for (const v of positions)
        if (start[v]! < by) {
          by = start[v]!;
          free = false;
        }
      state[tails.length + n] = by;
    }
    return free;
  }

  /** True when a state no dearer was as late in everything; else the state read is remembered. */
  beaten(cost: number): boolean {
    const { state, states } = this;
    const width = state.length;
    let sum = 0;
    for (let t = 0; t < width; t++) sum += state[t]!;
    // A state as late in everything is as late in sum, which rules most of them out at once.
    const leastSum = sum - width * SAME_INSTANT;
    const row = width + 2;
    const stop = Math.min(this.count, REMEMBERED) * row;
    for (let at = 0; at < stop; at += row) {
      if (states[at + width + 1]! > cost || states[at + width]! < leastSum) continue;
      let t = 0;
      while (t < width && states[at + t]! >= state[t]! - SAME_INSTANT) t++;
      if (t === width) return true;
    }
    const at = (this.count++ % REMEMBERED) * row;
    if (at >= states.length) {
      this.states = new Float64Array(2 * states.length);
      this.states.set(states);
    }
    this.states.set(state, at);
    this.states[at + width] = sum;
    this.states[at + width + 1] = cost;
    return false;
  }

  forget(): void {
    this.count = 0;
  }
}
