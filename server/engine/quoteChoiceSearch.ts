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
import type { CostFlow } from "./quoteChoiceBound.ts";
import type { Narrowed } from "./quoteChoiceNarrow.ts";
import { latestBefore, latestStart } from "./quoteChoicePass.ts";
import { SAME_INSTANT } from "./units.ts";

/** How many settled states are remembered for each operation. */
const REMEMBERED = 512;

/** What is known of the operations before a point by what was settled behind it: the state of the search there. */
interface Cut {
  /** Positions before the point that lead to it or past it, and their links that do. */
  tails: Int32Array;
  linkStart: Int32Array;
  links: Int32Array;
  /** Threshold functions not yet paid of which some positions are settled: these positions. */
  needs: readonly { group: number; positions: readonly number[] }[];
  /** Settled states met, a row each: the latest finishes, then the cost. */
  states: Float64Array;
  count: number;
  /** True when what lies before keeps the end even at its slowest, but for what was settled behind. */
  free: boolean;
  /** Least cost of what lies before. */
  rest: number;
}

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
  private readonly state: Float64Array;
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

    this.cuts = Array.from(this.order, (_, depth) =>
      this.cutAt(depth === 0 ? size : ways[this.order[depth - 1]!]!.position),
    );
    this.state = new Float64Array(Math.max(0, ...this.cuts.map((c) => c.tails.length + c.needs.length)) + 1);
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
    for (const cut of this.cuts) cut.count = 0;
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
    if (depth > 0 && this.known(cut, depth, cost)) return;
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

  private cutAt(point: number): Cut {
    const { network, ways, thresholds, slowest } = this.problem;
    const tails: number[] = [];
    const linkStart: number[] = [0];
    const links: number[] = [];
    let free = true;
    for (let v = 0; v < point; v++) {
      if (slowest[v]! > this.end + SAME_INSTANT) free = false;
      const before = links.length;
      for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++)
        if (network.outTo[k]! >= point) links.push(k);
      if (links.length === before) continue;
      tails.push(v);
      linkStart.push(links.length);
    }
    const needs = thresholds.flatMap(({ positions }, group) => {
      const settled = positions.filter((v) => v >= point);
      return settled.length > 0 && positions[0]! < point ? [{ group, positions: settled }] : [];
    });
    let rest = 0;
    for (const { positions, cost } of thresholds) if (positions[0]! < point) rest += cost.at(-1)!;
    for (const { position, cost } of ways) if (position < point) rest += cost[0]!;
    return {
      tails: Int32Array.from(tails),
      linkStart: Int32Array.from(linkStart),
      links: Int32Array.from(links),
      needs,
      states: new Float64Array(REMEMBERED * (tails.length + needs.length + 1)),
      count: 0,
      free,
      rest,
    };
  }

  /** True when nothing new can come of the state at a cut: it leaves what lies before free, or one no dearer was as late in everything. */
  private known(cut: Cut, depth: number, cost: number): boolean {
    const { outTo, outLag, outDays } = this.problem.network;
    const { slowest, thresholds } = this.problem;
    const { start, state } = this;
    const { tails, linkStart, links, needs, states } = cut;
    const width = tails.length + needs.length;
    let free = cut.free;
    for (let t = 0; t < tails.length; t++) {
      // Later than its finish at its slowest is no use to anything.
      let f = slowest[tails[t]!]!;
      for (let at = linkStart[t]!; at < linkStart[t + 1]!; at++) {
        const k = links[at]!;
        const s = start[outTo[k]!]!;
        const latest = outDays[k] ? latestBefore(this.problem.network, s, outLag[k]!) : s - outLag[k]!;
        if (latest < f) {
          f = latest;
          free = false;
        }
      }
      state[t] = f;
    }
    for (let n = 0; n < needs.length; n++) {
      const { group, positions } = needs[n]!;
      let by = thresholds[group]!.ready.at(-1)!;
      for (const v of positions)
        if (start[v]! < by) {
          by = start[v]!;
          free = false;
        }
      state[tails.length + n] = by;
    }
    if (free) {
      this.take(cost + cut.rest, depth);
      return true;
    }
    const row = width + 1;
    const kept = Math.min(cut.count, REMEMBERED);
    for (let r = 0; r < kept; r++) {
      const at = r * row;
      if (states[at + width]! > cost) continue;
      let t = 0;
      while (t < width && states[at + t]! >= state[t]! - SAME_INSTANT) t++;
      if (t === width) return true;
    }
    const at = (cut.count++ % REMEMBERED) * row;
    for (let t = 0; t < width; t++) states[at + t] = state[t]!;
    states[at + width] = cost;
    return false;
  }

  private latestFinish(v: number): number {
    const { outStart, outTo, outLag, outDays } = this.problem.network;
    const { start } = this;
    let f = this.end;
    for (let k = outStart[v]!; k < outStart[v + 1]!; k++) {
      const s = start[outTo[k]!]!;
      const t = outDays[k] ? latestBefore(this.problem.network, s, outLag[k]!) : s - outLag[k]!;
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
    const { hours: work } = this.problem.network;
    this.over = over;
    this.cost = cost;
    for (let v = from - 1; v > to; v--) {
      const finish = this.latestFinish(v);
      const s = finish - work[v]!;
      if (s < this.problem.earliest[v]! - SAME_INSTANT) return false;
      this.start[v] = s;
      if (!this.settle(v, this.over + this.slackOver(v, finish), this.cost)) return false;
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
