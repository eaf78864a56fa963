/**
 * A bound on cost for every end at once: the choice with its options mixed in any shares.
 *
 * Mixed, an operation's or a part's cost is the lower convex hull of its options, and cost against the end is a
 * linear programme whose dual is a flow from the day of the figures to the end of the machine: a flow f through something costs it
 * min(cost + f * time) over its options. Pushing flow along the longest path while that is longer than the end asked
 * gives the best flow for each end in turn, the latest end first (D. R. Fulkerson, "A network flow computation for
 * project cost curves", 1961; J. E. Kelley, "Critical-path planning and scheduling: mathematical basis", 1961; both from
 * memory). Any flow that is conserved gives a valid bound, so capacities are cut to binary fractions, on which sums are exact.
 */

import { SAME_INSTANT } from "../time/units.ts";
import type { WorkWithWays } from "./pass.ts";
import type { Thresholds } from "./thresholds.ts";
import type { ShortestWaits } from "./waits.ts";

const FRACTION = 4096;
const UNBOUNDED = Number.POSITIVE_INFINITY;

export class CostFlow {
  /** Least working hours that a link takes, by its place among the network's out links. */
  readonly linkHours: Float64Array;
  /** Least working hours of each way of each operation. */
  readonly wayHours: readonly Float64Array[];
  /** True once the end asked cannot be kept even with everything at its quickest. */
  beyond = false;

  // Arcs stand in pairs, each next to its way back; `left` is what can still be pushed.
  private readonly to: number[] = [];
  private readonly length: number[] = [];
  private readonly left: number[] = [];
  private readonly next: number[] = [];
  private readonly head: Int32Array;
  private readonly far: Float64Array;
  private readonly linkArc: Int32Array;
  private readonly endArc: Int32Array;
  private readonly releaseArc: Int32Array;
  /** Arc from each threshold function to each of its positions, where it has several; else its segments. */
  private readonly needArcs: (readonly number[])[];
  private readonly shortfall: Float64Array;
  private readonly heap: Int32Array;
  private readonly heapPlace: Int32Array;
  private readonly mark: Int32Array;
  private readonly current: Int32Array;
  private phase = 0;

  constructor(
    work: WorkWithWays,
    private readonly thresholds: readonly Thresholds[],
    waits: ShortestWaits,
  ) {
    const { network, ways, wayAt } = work;
    const { size } = network;
    this.linkHours = network.outLag.map((lag, k) => (network.outDays[k] ? waits.of(lag) : lag));
    this.wayHours = ways.map(({ time, inDays, before }) =>
      time.map((t, m) => (inDays[m] ? before[m]! + waits.of(t) : t)),
    );

    const several = thresholds.filter((t) => t.positions.length > 1).length;
    const count = 2 + 2 * size + several;
    this.head = new Int32Array(count).fill(-1);
    this.far = new Float64Array(count);
    this.shortfall = new Float64Array(count);
    this.heap = new Int32Array(count);
    this.heapPlace = new Int32Array(count);
    this.mark = new Int32Array(count);
    this.current = new Int32Array(count);
    this.linkArc = new Int32Array(network.outTo.length);
    this.endArc = new Int32Array(size).fill(-1);
    this.releaseArc = new Int32Array(size).fill(-1);
    this.needArcs = thresholds.map(() => []);
    const START = 0;
    const END = 1;
    let node = 2 + 2 * size;
    thresholds.forEach(({ positions, ready, cost }, g) => {
      if (positions.length === 1) {
        this.needArcs[g] = this.segments(START, 2 + 2 * positions[0]!, ready, cost);
        return;
      }
      this.segments(START, node, ready, cost);
      this.needArcs[g] = positions.map((v) => this.arc(node, 2 + 2 * v, 0, UNBOUNDED));
      node++;
    });
    for (let v = 0; v < size; v++) {
      let early = network.release[v]! > 0 || network.inStart[v] === network.inStart[v + 1];
      for (let k = network.inStart[v]!; k < network.inStart[v + 1]!; k++) if (network.inLag[k]! < 0) early = true;
      if (early) this.releaseArc[v] = this.arc(START, 2 + 2 * v, network.release[v]!, UNBOUNDED);
      const i = wayAt[v]!;
      if (i < 0) this.arc(2 + 2 * v, 3 + 2 * v, network.hours[v]!, UNBOUNDED);
      else {
        const order = [...this.wayHours[i]!.keys()].sort((a, b) => this.wayHours[i]![a]! - this.wayHours[i]![b]!);
        this.segments(
          2 + 2 * v,
          3 + 2 * v,
          Float64Array.from(order, (m) => this.wayHours[i]![m]!),
          Float64Array.from(order, (m) => ways[i]!.cost[m]!),
        );
      }
      let last = network.outStart[v] === network.outStart[v + 1];
      for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++) {
        if (this.linkHours[k]! < 0) last = true;
        this.linkArc[k] = this.arc(3 + 2 * v, 2 + 2 * network.outTo[k]!, this.linkHours[k]!, UNBOUNDED);
      }
      if (last) this.endArc[v] = this.arc(3 + 2 * v, END, 0, UNBOUNDED);
    }
    // Longest distances before anything is pushed: everything at its slowest, in topological order.
    const reach = (u: number): void => {
      for (let e = this.head[u]!; e >= 0; e = this.next[e]!)
        if (this.left[e]! > 0) this.far[this.to[e]!] = Math.max(this.far[this.to[e]!]!, this.far[u]! + this.length[e]!);
    };
    this.far.fill(Number.NEGATIVE_INFINITY);
    this.far[START] = 0;
    reach(START);
    for (let u = 2 + 2 * size; u < count; u++) reach(u);
    for (let u = 2; u < 2 + 2 * size; u++) reach(u);
    if (size === 0) this.far[END] = 0;
  }

  /** Pushes flow until the longest path left is no longer than this hour; hours must fall from call to call. */
  advance(end: number): void {
    while (!this.beyond && this.far[1]! > end + SAME_INSTANT) {
      if (!this.push()) if (!this.lengthen()) this.beyond = true;
    }
  }

  linkFlow(k: number): number {
    return this.left[this.linkArc[k]! ^ 1]!;
  }

  /** Flow from a position's finish straight to the end. */
  endFlow(v: number): number {
    const arc = this.endArc[v]!;
    return arc < 0 ? 0 : this.left[arc ^ 1]!;
  }

  /** Flow from the day of the figures to a position on account of its release. */
  releaseFlow(v: number): number {
    const arc = this.releaseArc[v]!;
    return arc < 0 ? 0 : this.left[arc ^ 1]!;
  }

  /** Flow from a threshold function to the k-th of its positions. */
  needFlow(g: number, k: number): number {
    const arcs = this.needArcs[g]!;
    if (this.thresholds[g]!.positions.length > 1) return this.left[arcs[k]! ^ 1]!;
    let sum = 0;
    for (const arc of arcs) sum += this.left[arc ^ 1]!;
    return sum;
  }

  private arc(from: number, to: number, length: number, capacity: number): number {
    const e = this.to.length;
    this.to.push(to, from);
    this.length.push(length, -length);
    this.left.push(capacity, 0);
    this.next.push(this.head[from]!, this.head[to]!);
    this.head[from] = e;
    this.head[to] = e + 1;
    return e;
  }

  /** Parallel arcs along the lower convex hull of options by ascending hours, the slowest first. */
  private segments(from: number, to: number, time: Float64Array, cost: Float64Array): number[] {
    const hull: number[] = [];
    for (let k = 0; k < time.length; k++) {
      if (hull.length > 0 && cost[k]! >= cost[hull.at(-1)!]!) continue;
      while (hull.length > 0) {
        const b = hull.at(-1)!;
        const a = hull.at(-2);
        const same = time[b]! >= time[k]!;
        const above =
          a !== undefined &&
          (cost[a]! - cost[b]!) * (time[k]! - time[a]!) <= (cost[a]! - cost[k]!) * (time[b]! - time[a]!);
        if (!same && !above) break;
        hull.pop();
      }
      hull.push(k);
    }
    const arcs: number[] = [];
    let pushed = 0;
    for (let h = hull.length - 1; h >= 0; h--) {
      const slow = hull[h]!;
      const fast = hull[h - 1];
      const upTo =
        fast === undefined
          ? UNBOUNDED
          : Math.floor(((cost[fast]! - cost[slow]!) / (time[slow]! - time[fast]!)) * FRACTION) / FRACTION;
      if (upTo <= pushed) continue;
      arcs.push(this.arc(from, to, time[slow]!, upTo - pushed));
      pushed = upTo;
    }
    return arcs;
  }

  /** Pushes along one path on which every arc is as long as the distance it spans; false when there is none, or none that ends. */
  private push(): boolean {
    const { to, left, next, length, far, head, mark, current } = this;
    const stamp = ++this.phase;
    const path: number[] = [];
    let u = 0;
    mark[0] = stamp;
    current[0] = head[0]!;
    while (u !== 1) {
      let e = current[u]!;
      while (e >= 0) {
        const v = to[e]!;
        if (left[e]! > 0 && mark[v] !== stamp && far[u]! + length[e]! >= far[v]! - 1e-9) break;
        e = next[e]!;
      }
      if (e < 0) {
        const back = path.pop();
        if (back === undefined) return false;
        u = to[back ^ 1]!;
        continue;
      }
      current[u] = next[e]!;
      path.push(e);
      u = to[e]!;
      mark[u] = stamp;
      current[u] = head[u]!;
    }
    let most = UNBOUNDED;
    for (const e of path) most = Math.min(most, left[e]!);
    if (most === UNBOUNDED) {
      this.beyond = true;
      return true;
    }
    for (const e of path) {
      left[e]! -= most;
      left[e ^ 1]! += most;
    }
    return true;
  }

  /** Distances again after pushing, by Dijkstra's method on what each arc falls short of them; false when the end is cut off. */
  private lengthen(): boolean {
    const { to, left, next, length, far, head, shortfall, heap, heapPlace } = this;
    shortfall.fill(UNBOUNDED);
    heapPlace.fill(-1);
    let filled = 0;
    const rise = (v: number): void => {
      let i = heapPlace[v]! >= 0 ? heapPlace[v]! : filled++;
      while (i > 0) {
        const up = (i - 1) >> 1;
        const w = heap[up]!;
        if (shortfall[w]! <= shortfall[v]!) break;
        heap[i] = w;
        heapPlace[w] = i;
        i = up;
      }
      heap[i] = v;
      heapPlace[v] = i;
    };
    shortfall[0] = 0;
    rise(0);
    while (filled > 0) {
      const u = heap[0]!;
      heapPlace[u] = -1;
      const last = heap[--filled]!;
      if (filled > 0) {
        let i = 0;
        for (;;) {
          let child = 2 * i + 1;
          if (child >= filled) break;
          if (child + 1 < filled && shortfall[heap[child + 1]!]! < shortfall[heap[child]!]!) child++;
          if (shortfall[heap[child]!]! >= shortfall[last]!) break;
          heap[i] = heap[child]!;
          heapPlace[heap[i]!] = i;
          i = child;
        }
        heap[i] = last;
        heapPlace[last] = i;
      }
      if (u === 1) break;
      for (let e = head[u]!; e >= 0; e = next[e]!) {
        if (!(left[e]! > 0)) continue;
        const v = to[e]!;
        const short = shortfall[u]! + Math.max(0, far[v]! - far[u]! - length[e]!);
        if (short < shortfall[v]!) {
          shortfall[v] = short;
          rise(v);
        }
      }
    }
    const most = shortfall[1]!;
    if (most === UNBOUNDED) return false;
    for (let v = 0; v < far.length; v++) far[v]! -= Math.min(shortfall[v]!, most);
    return true;
  }
}
