/** The undominated plans, by date and cost or by date, cost and points lost. */

import { SAME_INSTANT } from "../time/units.ts";
import { cheapestFor } from "./end.ts";
import { soloEnds } from "./ends.ts";
import { divisor, type PairList, PairTree } from "./lists.ts";
import type { ChoiceModel } from "./model.ts";
import { everyWay, openAt } from "./open.ts";
import { backwardWith, forwardWith } from "./pass.ts";
import { thresholdsOf } from "./thresholds.ts";
import { ShortestWaits } from "./waits.ts";

/** One plan: its figures, and the option of each choice as an index among those left in the model. */
export interface FrontPlan {
  end: number;
  /** Where points have a price, they are in it and not beside it. */
  cost: number;
  points: number;
  picks: Int32Array;
}

/** Told how far the work is, 0 to 1; may throw to stop it. */
export type Follow = (share: number) => void;

/** Span of ends: everything at its quickest, and everything at its slowest. */
export function span(model: ChoiceModel): { earliest: number; latest: number } {
  const at = (going: "quickest" | "slowest"): number =>
    forwardWith(
      model,
      going,
      model.releases(model.arriving.map(({ ready }) => (going === "quickest" ? 0 : ready.length - 1))),
    ).end;
  return { earliest: at("quickest"), latest: at("slowest") };
}

/** Every undominated pair of end and cost, the earliest first. Points are counted but are no objective. */
export function dateCostFront(model: ChoiceModel, follow: Follow): FrontPlan[] {
  const thresholds = thresholdsOf(model);
  const { earliest, latest } = span(model);
  const waits = new ShortestWaits(model.network.calendar, latest);
  let grain = 0;
  for (const { cost } of [...thresholds, ...model.ways]) for (const c of cost) grain = divisor(grain, c - cost[0]!);
  grain = Math.max(1, grain);
  const plans: FrontPlan[] = [];
  let way: Int32Array = new Int32Array(model.ways.length);
  let lower = Number.NEGATIVE_INFINITY;
  let hour = model.lastHour(model.endOf(latest));
  while (hour >= earliest - SAME_INSTANT) {
    const share = latest > earliest ? Math.min(1, Math.max(0, (latest - hour) / (latest - earliest))) : 0;
    const poll = (): void => follow(share);
    poll();
    const found = cheapestFor(model, thresholds, hour, [way], { waits, grain, lower, poll });
    if (found === null) break;
    way = found.way;
    lower = found.cost;
    const plan = planOf(model, picksFor(model, way, hour));
    // The same cost for a later end is beaten.
    if (plans.at(-1)?.cost === plan.cost) plans.pop();
    plans.push(plan);
    hour = model.lastHourBefore(plan.end, hour);
  }
  return plans.reverse();
}

/** Every undominated triple of end, cost and points lost, by end, then points. */
export function dateCostPointsFront(model: ChoiceModel, follow: Follow): FrontPlan[] {
  return model.ways.length === 0 ? frontOfArrivals(model, follow) : frontWithWays(model, follow);
}

/**
 * Without ways the options that keep an end are those whose own end is no later, so the ends are gone through upwards
 * and what is new in the list of one was not to be had before.
 */
function frontOfArrivals(model: ChoiceModel, follow: Follow): FrontPlan[] {
  const solo = soloEnds(model);
  const tree = new PairTree(model);
  const earliest = Math.max(Number.NEGATIVE_INFINITY, ...solo.map((ends) => Math.min(...ends)));
  const ends = [...new Set(solo.flatMap((all) => [...all]).filter((end) => end >= earliest))]
    .sort((a, b) => a - b)
    .filter((end, i, all) => !(all[i + 1]! - end <= SAME_INSTANT));
  if (solo.length === 0) ends.push(model.endOf(span(model).earliest));
  const open = new Int32Array(model.choices.length);
  const plans: FrontPlan[] = [];
  let before: PairList | null = null;
  ends.forEach((end, i) => {
    follow(i / ends.length);
    solo.forEach((own, a) => {
      let count = open[a]!;
      while (count < own.length && own[count]! <= end) count++;
      open[a] = count;
    });
    const list = tree.pairs(open);
    for (let k = 0, b = 0; k < list.cost.length; k++) {
      if (before !== null) {
        while (b < before.points.length && before.points[b]! < list.points[k]!) b++;
        if (before.points[b] === list.points[k] && before.cost[b] === list.cost[k]) continue;
      }
      plans.push({ end, cost: list.cost[k]!, points: list.points[k]! * tree.unit, picks: tree.picks(list, k) });
    }
    before = list;
  });
  return plans;
}

/**
 * With ways the ends are gone through downwards. For each, a depth-first search settles ways until all that are left
 * can be freely combined, and drops what cannot beat the plans already known to keep the end.
 */
function frontWithWays(model: ChoiceModel, follow: Follow): FrontPlan[] {
  const tree = new PairTree(model);
  const { earliest, latest } = span(model);
  // The least cost for each end, points aside, is quick to find: no list reaches under it.
  const thresholds = thresholdsOf(model);
  // It leaves out parts that nothing waits for: they take their cheapest.
  let anyway = 0;
  for (const { positions, cost } of model.arriving) if (positions.length === 0) anyway += Math.min(...cost);
  const options = { waits: new ShortestWaits(model.network.calendar, latest), grain: 1 };
  let cheapest: Int32Array = new Int32Array(model.ways.length);
  let floor = Number.NEGATIVE_INFINITY;
  const result: FrontPlan[] = [];
  let kept: FrontPlan[] = [];
  let hour = model.lastHour(model.endOf(latest));
  while (hour >= earliest - SAME_INSTANT) {
    const share = latest > earliest ? Math.min(1, Math.max(0, (latest - hour) / (latest - earliest))) : 0;
    const staying = kept.filter((plan) => model.lastHour(plan.end) <= hour + SAME_INSTANT);
    const poll = (): void => follow(share);
    poll();
    const least = cheapestFor(model, thresholds, hour, [cheapest], { ...options, lower: floor, poll });
    if (least !== null) {
      cheapest = least.way;
      floor = least.cost;
    }
    const front = new EndFront(model, tree, hour, staying, floor + anyway, poll).plans;
    const have = new Set(front.map((plan) => `${plan.cost} ${plan.points}`));
    for (const plan of kept) if (!staying.includes(plan) && !have.has(`${plan.cost} ${plan.points}`)) result.push(plan);
    kept = front;
    if (front.length === 0) break;
    hour = model.lastHourBefore(Math.max(...front.map((plan) => plan.end)), hour);
  }
  result.push(...kept);
  return result.sort((a, b) => a.end - b.end || a.points - b.points);
}

/** The undominated pairs of cost and points for one end. */
class EndFront {
  /** By ascending points and falling cost. */
  plans: FrontPlan[];
  private steps = 0;
  private readonly order: readonly number[];

  constructor(
    private readonly model: ChoiceModel,
    private readonly tree: PairTree,
    private readonly end: number,
    known: readonly FrontPlan[],
    private readonly floor: number,
    private readonly poll: () => void,
  ) {
    this.plans = [...known].sort((a, b) => a.points - b.points);
    // From the last operation to the first, as the latest starts run.
    this.order = [...model.ways.keys()].sort((a, b) => model.ways[b]!.position - model.ways[a]!.position);
    this.settle(everyWay(model));
  }

  private settle(given: readonly number[]): void {
    if ((++this.steps & 15) === 0) this.poll();
    const { model } = this;
    const still = openAt(model, this.end, given);
    if (still === null) return;
    const { counts, ways: open, loose } = still;
    const list = this.tree.pairs([...counts, ...open]);
    if (!this.improves(list)) return;
    if (loose) {
      this.add(list);
      return;
    }
    const next = this.order.find((i) => (open[i]! & (open[i]! - 1)) !== 0);
    if (next === undefined) {
      // Every way is settled: the passes at the quickest are the passes.
      this.add(list);
      return;
    }
    for (let m = 0; m < model.ways[next]!.time.length; m++)
      if ((open[next]! >>> m) & 1) this.settle(open.map((bits, i) => (i === next ? 1 << m : bits)));
  }

  private improves(list: PairList): boolean {
    const { plans } = this;
    for (let k = 0, b = -1; k < list.cost.length; k++) {
      const points = list.points[k]! * this.tree.unit;
      while (b + 1 < plans.length && plans[b + 1]!.points <= points) b++;
      if (b < 0 || plans[b]!.cost > Math.max(this.floor, list.cost[k]!)) return true;
    }
    return false;
  }

  private add(list: PairList): void {
    const { plans, tree, model } = this;
    const merged: FrontPlan[] = [];
    let least = Number.POSITIVE_INFINITY;
    for (let k = 0, b = 0; k < list.cost.length || b < plans.length; ) {
      const points = k < list.cost.length ? list.points[k]! * tree.unit : Number.POSITIVE_INFINITY;
      const old = plans[b];
      const takeOld =
        old !== undefined && (old.points < points || (old.points === points && old.cost <= list.cost[k]!));
      const cost = takeOld ? old.cost : list.cost[k]!;
      if (cost < least) {
        least = cost;
        merged.push(takeOld ? old : { ...planOf(model, tree.picks(list, k)), points });
      }
      if (takeOld) b++;
      else k++;
    }
    this.plans = merged;
  }
}

/** Options for ways that are settled: each part's cheapest that is ready in time, and of equal ones the one that loses least. */
function picksFor(model: ChoiceModel, way: Int32Array, hour: number): Int32Array {
  const { start } = backwardWith(model, way, hour);
  const picks = new Int32Array(model.choices.length);
  model.arriving.forEach(({ positions, ready, cost }, i) => {
    let by = Number.POSITIVE_INFINITY;
    for (const v of positions) if (start[v]! < by) by = start[v]!;
    let best = 0;
    for (let k = 1; k < ready.length && ready[k]! <= by + SAME_INSTANT; k++) if (cost[k]! < cost[best]!) best = k;
    picks[i] = best;
  });
  way.forEach((m, i) => {
    picks[model.arriving.length + i] = m;
  });
  return picks;
}

/** The figures of a choice. */
export function planOf(model: ChoiceModel, picks: Int32Array): FrontPlan {
  const arrivals = model.arriving.length;
  const end = model.endOf(forwardWith(model, picks.subarray(arrivals), model.releases(picks)).end);
  let cost = 0;
  picks.forEach((option, choice) => {
    cost += (choice < arrivals ? model.arriving[choice]! : model.ways[choice - arrivals]!).cost[option]!;
  });
  const points = lostIn(model, picks);
  return model.pointPrice === null
    ? { end, cost, points, picks }
    : { end, cost: cost + points * model.pointPrice, points: 0, picks };
}

/** Hundredths of a point that a choice loses, whether they have a price or not. */
export function lostIn(model: ChoiceModel, picks: Int32Array): number {
  const { arriving, ways } = model;
  return model.lossOf(
    picks.map((option, choice) => (arriving[choice] ?? ways[choice - arriving.length]!).points[option]!),
  );
}
