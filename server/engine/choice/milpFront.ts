/** The undominated plans where suppliers charge on whole orders: a programme for each end, and for each number of points. */

import { SAME_INSTANT } from "../time/units.ts";
import { type Follow, type FrontPlan, lostIn, span } from "./front.ts";
import { ChoiceProgrammes } from "./milp.ts";
import type { ChoiceModel } from "./model.ts";
import { chargeOf, type Ordered } from "./orders.ts";
import type { Solver } from "./programme.ts";

/** Every undominated triple of end, cost and points lost, by end, then points; of pairs where points are no objective. */
export function chargedFront(model: ChoiceModel, orders: Ordered, solve: Solver, follow: Follow): FrontPlan[] {
  const { earliest, latest } = span(model);
  const programmes = new ChoiceProgrammes(model, orders, solve, latest);
  const result: FrontPlan[] = [];
  let kept: readonly FrontPlan[] | null = null;
  let hour = model.lastHour(model.endOf(latest));
  while (hour >= earliest - SAME_INSTANT) {
    const share = latest > earliest ? Math.min(1, Math.max(0, (latest - hour) / (latest - earliest))) : 0;
    const found = frontAt(model, programmes, hour, kept, () => follow(share));
    const have = new Set(found.map(pair));
    for (const plan of kept ?? []) if (!found.includes(plan) && !have.has(pair(plan))) result.push(plan);
    kept = found;
    if (found.length === 0) break;
    hour = model.lastHourBefore(Math.max(...found.map(({ end }) => end)), hour);
  }
  result.push(...(kept ?? []));
  return result.sort((a, b) => a.end - b.end || a.points - b.points);

  function pair(plan: FrontPlan): string {
    return model.withPoints ? `${plan.cost} ${plan.points}` : `${plan.cost}`;
  }
}

/**
 * The undominated pairs of cost and points for one end, by falling points.
 * @param later those of the next later end; null: none is known. What is cheapest there and keeps this end is cheapest here
 */
function frontAt(
  model: ChoiceModel,
  programmes: ChoiceProgrammes,
  hour: number,
  later: readonly FrontPlan[] | null,
  poll: () => void,
): FrontPlan[] {
  const found: FrontPlan[] = [];
  let most = Number.POSITIVE_INFINITY;
  while (most >= 0) {
    poll();
    const known: FrontPlan | undefined = later?.find(({ points }) => points <= most);
    if (later !== null && known === undefined) break;
    const stays = known !== undefined && model.lastHour(known.end) <= hour + SAME_INSTANT;
    const plan = stays ? known : programmes.cheapest(hour, most);
    if (plan === null) break;
    // As cheap with fewer points lost.
    if (found.at(-1)?.cost === plan.cost) found.pop();
    found.push(plan);
    if (!model.withPoints) break;
    most = plan.points - 1;
  }
  return found;
}

/** End, cost with what is charged on orders, and points lost. */
type Figures = Pick<FrontPlan, "end" | "cost" | "points"> & { disqualified: boolean };

/**
 * The plan whose cost, with points where they have a price, and days together come to least; of equal ones the earliest. Null when there is none. Ends are dates.
 * @param priceOfDays what an end counts for, in the unit of the costs; never less for a later one
 * @param uncharged plans that no other beats in date and cost where nothing is charged on orders, by ascending end; the option of each choice among those given
 */
export function leastInAll(
  model: ChoiceModel,
  orders: Ordered,
  solve: Solver,
  priceOfDays: (end: number) => number,
  uncharged: readonly (Figures & { picks: ArrayLike<number> })[],
  poll: () => void,
): Figures | null {
  const { latest } = span(model);
  const programmes = new ChoiceProgrammes(model, orders, solve, latest);
  let best: Figures | null = null;
  const offer = (plan: Figures): void => {
    const by =
      best === null
        ? -1
        : plan.cost + priceOfDays(plan.end) - (best.cost + priceOfDays(best.end)) || plan.end - best.end;
    if (by < 0) best = plan;
  };
  for (const { picks, ...plan } of uncharged) offer({ ...plan, cost: plan.cost + chargeOf(orders, picks) });
  const beaten = (least: number): boolean => best !== null && least > best.cost + priceOfDays(best.end);
  // From one of those ends to the next nothing costs less than the first does uncharged.
  const spans = uncharged
    .map(({ end, cost }, i) => ({ from: end, to: (uncharged[i + 1]?.end ?? model.endOf(latest) + 1) - 1, cost }))
    .sort((a, b) => a.cost + priceOfDays(a.from) - (b.cost + priceOfDays(b.from)));
  for (const { from, to, cost } of spans) {
    if (beaten(cost + priceOfDays(from))) break;
    let hour = model.lastHour(to);
    for (;;) {
      poll();
      const plan = programmes.cheapest(hour, Number.POSITIVE_INFINITY);
      if (plan === null) break;
      const { end, cost: sum, picks } = plan;
      offer({ end, cost: sum, points: lostIn(model, picks), disqualified: model.disqualifiedBy(picks) });
      if (plan.end <= from || beaten(plan.cost + priceOfDays(from))) break;
      hour = model.lastHourBefore(plan.end, hour);
    }
  }
  return best;
}
