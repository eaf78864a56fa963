/** What the undominated plans answer within the limits, and which limit fails where none keeps them. */
import type { ChoiceLimits } from "./input.ts";
import { inMoney, type Worth } from "./worth.ts";

export type Limit = "end" | "cost" | "points";

/** A limit that is not kept, and by how much in its own unit: days or hours, minor units, hundredths of a point. */
export interface Miss {
  limit: Limit;
  /** By how much the best plan for this alone misses it; 0 when it can be kept by itself, of points Infinity when every plan is disqualified. */
  alone: number;
  /** By how much the best plan for this misses it that keeps the other limits; null when these cannot be kept together. */
  withOthers: number | null;
}

export interface Answer {
  /** Index of the plan; null when no plan keeps the limits. */
  plan: number | null;
  /** Empty when there is a plan; else a line for each limit of the question that, alone or with the others, is missed. */
  misses: readonly Miss[];
}

export interface Answers {
  /** The least cost by the target date, with no fewer points than the floor. */
  cheapestByTarget: Answer;
  /** The earliest end within the cap, with no fewer points than the floor. */
  earliestWithinCap: Answer;
  /** The most points kept by the target date and within the cap, by a plan that is not disqualified if there is one; null where points are no objective. */
  mostPointsWithinBoth: Answer | null;
  /** The least of cost, days past the target and points together, whatever the limits; null where nothing says what they are worth. */
  bestByWorth: Answer | null;
}

/** Figures of plans, a column each. */
export interface Figures {
  end: ArrayLike<number>;
  cost: ArrayLike<number>;
  /** What counts against the cap; default the cost. */
  counted?: ArrayLike<number>;
  points: ArrayLike<number>;
  /** 1: no award is left; default none. Among equals, and before any points, a plan that leaves one is better. */
  disqualified?: ArrayLike<number>;
}

/** Answers from the full set of undominated plans. A limit not given is kept by every plan. */
export function answersWithin(plans: Figures, limits: ChoiceLimits, withPoints: boolean, worth?: Worth): Answers {
  const points = withPoints ? limits.points : undefined;
  return {
    cheapestByTarget: best(plans, { end: limits.end, points }, ["cost", "points", "end"]),
    earliestWithinCap: best(plans, { cost: limits.cost, points }, ["end", "cost", "points"]),
    mostPointsWithinBoth: withPoints
      ? best(plans, { end: limits.end, cost: limits.cost }, ["points", "cost", "end"])
      : null,
    bestByWorth: worth === undefined ? null : { plan: bestBy(plans, worth), misses: [] },
  };
}

/** Of equal ones the earliest. */
function bestBy({ end, cost, points }: Figures, worth: Worth): number | null {
  let best: number | null = null;
  let least = Number.POSITIVE_INFINITY;
  for (let plan = 0; plan < end.length; plan++) {
    const all = inMoney(worth, { end: end[plan]!, cost: cost[plan]!, points: points[plan]! });
    if (all < least) [best, least] = [plan, all];
  }
  return best;
}

function best(plans: Figures, limits: ChoiceLimits, by: readonly Limit[]): Answer {
  const given = (["end", "cost", "points"] as const).filter((limit) => limits[limit] !== undefined);
  const limited: Record<Limit, ArrayLike<number>> = { ...plans, cost: plans.counted ?? plans.cost };
  const keeps = (plan: number, limit: Limit): boolean =>
    limited[limit][plan]! <= limits[limit]! && !(limit === "points" && plans.disqualified?.[plan]);
  let found: number | null = null;
  for (let plan = 0; plan < plans.end.length; plan++) {
    if (!given.every((limit) => keeps(plan, limit))) continue;
    if (found === null || compare(plans, by, plan, found) < 0) found = plan;
  }
  if (found !== null) return { plan: found, misses: [] };
  const misses = given.map((limit): Miss => {
    let alone = Number.POSITIVE_INFINITY;
    let withOthers = Number.POSITIVE_INFINITY;
    for (let plan = 0; plan < plans.end.length; plan++) {
      const by = Math.max(0, limited[limit][plan]! - limits[limit]!);
      if (limit === "points" && plans.disqualified?.[plan]) continue;
      if (by < alone) alone = by;
      if (by < withOthers && given.every((other) => other === limit || keeps(plan, other))) withOthers = by;
    }
    return { limit, alone, withOthers: withOthers === Number.POSITIVE_INFINITY ? null : withOthers };
  });
  return { plan: null, misses: plans.end.length === 0 ? [] : misses };
}

function compare(plans: Figures, by: readonly Limit[], a: number, b: number): number {
  const out = (plan: number): number => plans.disqualified?.[plan] ?? 0;
  for (const limit of by) {
    if (limit === "points" && out(a) !== out(b)) return out(a) - out(b);
    if (plans[limit][a] !== plans[limit][b]) return plans[limit][a]! - plans[limit][b]!;
  }
  return a - b;
}
