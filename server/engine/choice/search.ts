/**
 * The cheapest choice for one end: a depth-first branch and bound over the ways of operations.
 *
 * With every way settled, one backward pass says by when each part must be ready, and each takes its cheapest
 * option that is. The search follows that pass: it settles ways from the last operation to the first, so that the
 * latest starts behind it are exact and what is needed there is decided and paid. What lies before is bounded by the
 * flow of {@link CostFlow}; seen from there, each thing settled adds what it costs beyond its share of the bound:
 * its option's reduced cost, and flow times slack for each link that is left slack. Two ways to settle the same
 * operations differ for what lies before only in the latest finishes they leave it, so the dearer one that leaves
 * nothing later is dropped. The problem is the discrete time-cost trade-off (P. De, E. J. Dunne, J. B. Ghosh, C. E. Wells,
 * "The discrete time-cost tradeoff problem revisited", 1995, from memory). Exact for lags and waits in calendar days,
 * which only loosen the bound.
 */

import { hours, SAME_INSTANT } from "../time/units.ts";
import type { CostFlow } from "./bound.ts";
import { Cut } from "./cut.ts";
import type { Narrowed } from "./narrow.ts";
import { latestStart } from "./pass.ts";

export class WaySearch {
  /** Way of each operation in the best choice found, an index into its ways as narrowed. */
  readonly way: Int32Array;
  /** True once the search has found something cheaper than what it was given. */
  found = false;
  /** Bound on cost, whatever is chosen. */
  readonly bound: number;
  steps = 0;

  private readonly start: Float64Array;
  private readonly trial: Int32Array;
  private readonly order: Int32Array;
  private readonly cuts: readonly Cut[];
  private readonly thresholdStart: Int32Array;
  private readonly thresholdAt: Int32Array;
  private readonly nodeFlow: Float64Array;
  private readonly endFlow: Float64Array;
  private readonly releaseFlow: Float64Array;
  private readonly linkFlow: Float64Array;
  private readonly needFlow: readonly Float64Array[];
  private readonly leastOf: Float64Array;
  private readonly leastOfWays: Float64Array;
  private readonly wayStart: Float64Array;
  private readonly wayOver: Float64Array;
  private readonly most: number;
  private readonly tolerance: number;
  private over = 0;
  private cost = 0;
  private limit = 0;

  /**
   * @param best cost that is to be beaten; Infinity at first
   * @param grain every choice costs the same modulo this
   */
  constructor(
    private readonly problem: Narrowed,
    private readonly flow: CostFlow,
    private readonly end: number,
    public best: number,
    private readonly grain: number,
  ) {
    const { network, ways, thresholds } = problem;
    const { size } = network;
    this.start = new Float64Array(size);
    this.way = new Int32Array(ways.length);
    this.trial = new Int32Array(ways.length);
    this.order = Int32Array.from([...ways.keys()].sort((a, b) => ways[b]!.position - ways[a]!.position));
    this.most = Math.max(0, ...ways.map((w) => w.time.length));
    this.wayStart = new Float64Array(ways.length * this.most);
    this.wayOver = new Float64Array(ways.length * this.most);
    this.thresholdStart = new Int32Array(size + 1);
    for (const { positions } of thresholds) this.thresholdStart[positions[0]! + 1]!++;
    for (let v = 0; v < size; v++) this.thresholdStart[v + 1]! += this.thresholdStart[v]!;
    this.thresholdAt = new Int32Array(thresholds.length);
    const next = this.thresholdStart.slice();
    thresholds.forEach(({ positions }, g) => {
      this.thresholdAt[next[positions[0]!]!++] = g;
    });

    this.nodeFlow = new Float64Array(size);
    this.endFlow = new Float64Array(size);
    this.releaseFlow = new Float64Array(size);
    this.linkFlow = new Float64Array(network.outTo.length);
    this.leastOfWays = new Float64Array(ways.length);
    let bound = 0;
    let total = 0;
    for (let v = 0; v < size; v++) {
      let through = flow.endFlow(v);
      this.endFlow[v] = through;
      total += through;
      for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++) {
        const f = flow.linkFlow(k);
        this.linkFlow[k] = f;
        through += f;
        bound += f * flow.linkHours[k]!;
      }
      this.nodeFlow[v] = through;
      this.releaseFlow[v] = flow.releaseFlow(v);
      bound += this.releaseFlow[v]! * network.release[v]!;
      const i = problem.wayAt[v]!;
      if (i < 0) bound += through * network.hours[v]!;
      else {
        let least = Number.POSITIVE_INFINITY;
        for (let m = 0; m < ways[i]!.time.length; m++)
          least = Math.min(least, ways[i]!.cost[m]! + through * flow.wayHours[i]![m]!);
        this.leastOfWays[i] = least;
        bound += least;
      }
    }
    this.leastOf = new Float64Array(thresholds.length);
    this.needFlow = thresholds.map(({ positions, ready, cost }, g) => {
      const flows = Float64Array.from(positions, (_, k) => flow.needFlow(g, k));
      const through = flows.reduce((sum, f) => sum + f, 0);
      let least = Number.POSITIVE_INFINITY;
      for (let k = 0; k < ready.length; k++) least = Math.min(least, cost[k]! + through * ready[k]!);
      this.leastOf[g] = least;
      bound += least;
      return flows;
    });
    this.bound = bound - total * end;
    // Instants closer than SAME_INSTANT count as one; flow turns that into money.
    this.tolerance = 1e-3 + 4 * SAME_INSTANT * total;

    this.cuts = Array.from(
      this.order,
      (_, depth) => new Cut(problem, end, depth === 0 ? size : ways[this.order[depth - 1]!]!.position),
    );
  }

  /** Reduced cost of a way: what choosing it adds to the bound at least. */
  overOfWay(i: number, m: number): number {
    const { cost, position } = this.problem.ways[i]!;
    return cost[m]! + this.nodeFlow[position]! * this.flow.wayHours[i]![m]! - this.leastOfWays[i]!;
  }

  /** Reduced cost of a step of a threshold function. */
  overOfStep(g: number, k: number): number {
    const { ready, cost } = this.problem.thresholds[g]!;
    let through = 0;
    for (const f of this.needFlow[g]!) through += f;
    return cost[k]! + through * ready[k]! - this.leastOf[g]!;
  }

  /** True when nothing that adds so much to the bound can be cheaper than the best. */
  hopeless(over: number): boolean {
    return this.bound + over > this.best - this.grain + this.tolerance;
  }

  /**
   * Searches until nothing cheaper than the best can be left, or for so many steps.
   * @param poll called every few thousand steps
   * @returns true when nothing is left
   */
  search(steps: number, poll: () => void): boolean {
    this.limit = this.steps + steps;
    for (const cut of this.cuts) cut.forget();
    if (this.hopeless(0)) return true;
    this.descend(0, this.problem.network.size, 0, 0, poll);
    return this.steps < this.limit;
  }

  private descend(depth: number, position: number, over: number, cost: number, poll: () => void): void {
    const { ways } = this.problem;
    if (depth === this.order.length) {
      if (this.run(position, -1, over, cost)) this.take(this.cost, depth);
      return;
    }
    const cut = this.cuts[depth]!;
    if (cost + cut.rest > this.best - this.grain + 0.5) return;
    if (depth > 0) {
      if (cut.read(this.start)) {
        this.take(cost + cut.rest, depth);
        return;
      }
      if (cut.beaten(cost)) return;
    }
    const i = this.order[depth]!;
    const operation = ways[i]!;
    const at = operation.position;
    if (!this.run(position, at, over, cost)) return;
    const costBefore = this.cost;
    const finish = this.latestFinish(at);
    const base = this.over + this.slackOver(at, finish) - this.leastOfWays[i]!;
    const through = this.nodeFlow[at]!;
    const count = operation.time.length;
    const first = depth * this.most;
    for (let m = 0; m < count; m++) {
      const s = latestStart(this.problem, operation, m, finish);
      this.wayStart[first + m] = s;
      this.wayOver[first + m] =
        s < this.problem.earliest[at]! - SAME_INSTANT
          ? Number.POSITIVE_INFINITY
          : base + operation.cost[m]! + through * (finish - s);
    }
    for (let tried = 0; tried < count; tried++) {
      let m = 0;
      for (let k = 1; k < count; k++) if (this.wayOver[first + k]! < this.wayOver[first + m]!) m = k;
      const overNow = this.wayOver[first + m]!;
      if (overNow === Number.POSITIVE_INFINITY || this.hopeless(overNow)) return;
      this.wayOver[first + m] = Number.POSITIVE_INFINITY;
      if ((++this.steps & 2047) === 0) poll();
      if (this.steps >= this.limit) return;
      this.trial[i] = m;
      this.start[at] = this.wayStart[first + m]!;
      if (this.settle(at, overNow, costBefore + operation.cost[m]!))
        this.descend(depth + 1, at, this.over, this.cost, poll);
    }
  }

  /** Takes what is settled to a depth, with the cheapest way of everything before it, when that is the best so far. */
  private take(cost: number, depth: number): void {
    if (cost >= this.best) return;
    this.best = cost;
    this.found = true;
    this.way.fill(0);
    for (let d = 0; d < depth; d++) this.way[this.order[d]!] = this.trial[this.order[d]!]!;
  }

  private latestFinish(v: number): number {
    const { outStart, outTo, outLag, outDays } = this.problem.network;
    const { start } = this;
    let f = this.end;
    for (let k = outStart[v]!; k < outStart[v + 1]!; k++) {
      const s = start[outTo[k]!]!;
      const t = outDays[k] ? this.problem.network.calendar.latestBeforeDays(hours(s), outLag[k]!) : s - outLag[k]!;
      if (t < f) f = t;
    }
    return f;
  }

  /** What the links out of a position add to the bound by the slack they are left with. */
  private slackOver(v: number, finish: number): number {
    if (this.nodeFlow[v] === 0) return 0;
    const { outStart, outTo } = this.problem.network;
    let over = this.endFlow[v]! * (this.end - finish);
    for (let k = outStart[v]!; k < outStart[v + 1]!; k++) {
      const f = this.linkFlow[k]!;
      if (f > 0) over += f * (this.start[outTo[k]!]! - this.flow.linkHours[k]! - finish);
    }
    return over;
  }

  /** Passes back over the operations with one way, from a position down to another, both left out; false: nothing there is better. */
  private run(from: number, to: number, over: number, cost: number): boolean {
    const { network } = this.problem;
    this.over = over;
    this.cost = cost;
    for (let v = from - 1; v > to; v--) {
      const finish = this.latestFinish(v);
      const work = network.hours[v]!;
      const s = network.startOf(v, finish, work);
      if (s < this.problem.earliest[v]! - SAME_INSTANT) return false;
      this.start[v] = s;
      // In hours of its own it takes more of the shop's than the bound counts.
      const longer = this.nodeFlow[v]! * (finish - s - work);
      if (!this.settle(v, this.over + this.slackOver(v, finish) + longer, this.cost)) return false;
    }
    return true;
  }

  /** Decides and pays what is needed first at a position whose latest start is known. */
  private settle(v: number, over: number, cost: number): boolean {
    const { start } = this;
    if (this.releaseFlow[v]! > 0) over += this.releaseFlow[v]! * (start[v]! - this.problem.network.release[v]!);
    for (let at = this.thresholdStart[v]!; at < this.thresholdStart[v + 1]!; at++) {
      const g = this.thresholdAt[at]!;
      const { positions, ready, cost: price } = this.problem.thresholds[g]!;
      const flows = this.needFlow[g]!;
      let by = Number.POSITIVE_INFINITY;
      for (let k = 0; k < positions.length; k++) {
        const s = start[positions[k]!]!;
        if (s < by) by = s;
        if (flows[k]! > 0) over += flows[k]! * s;
      }
      by += SAME_INSTANT;
      let low = -1;
      let high = ready.length - 1;
      while (low < high) {
        const middle = (low + high + 1) >> 1;
        if (ready[middle]! <= by) low = middle;
        else high = middle - 1;
      }
      if (low < 0) return false;
      cost += price[low]!;
      over += price[low]! - this.leastOf[g]!;
    }
    this.over = over;
    this.cost = cost;
    return !this.hopeless(over);
  }
}
