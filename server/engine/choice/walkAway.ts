/**
 * Walk-away price: the most that a part offered today is worth. It is what the best plan without it costs, in money plus
 * the owner's price for a day past the target and for a point, less what the best plan with it at price zero costs. Exact: points are
 * counted at their price by every line and cap of the sheet, and what is left is a trade of date against cost.
 */

import type { ChoiceInput, Option } from "./input.ts";
import { leastInAll } from "./milpFront.ts";
import { ChoiceModel } from "./model.ts";
import type { Solver } from "./programme.ts";
import { ChoiceStopped, type QuoteChoice, quoteChoice, withOptions } from "./quoteChoice.ts";
import { type ChoiceWork, choiceInputOf } from "./work.ts";
import { daysCounted, type Worth } from "./worth.ts";

/** A part offered today. */
export interface Offer {
  /** Id of the part among the arrivals. */
  part: string;
  /** Working hour from which it can be used. */
  usable: number;
  /** Working hours between that and the operations that need it. */
  preparation: number;
  /** Points lost by it, hundredths: a case each, such as a provenance. */
  points: readonly number[];
}

/** What it is worth in one case. */
export interface WalkAwayPrice {
  /** Hundredths of a point that the best plan with it loses, and whether it is disqualified; null where it is not worth having. */
  left: { points: number; disqualified: boolean } | null;
  /** Minor units, exact to a hundredth; 0: not worth having at any price. */
  price: number;
  /** Days by which the best plan with it, at price zero, is earlier. */
  daysSaved: number;
  /** Hundredths of a point that the best plan with it loses more (negative: fewer). */
  pointsMore: number;
}

interface Best {
  /** Hundredths of a minor unit: cost, days and points together. */
  value: number;
  end: number;
  points: number;
  disqualified: boolean;
}

/**
 * For each offer, its price in each of its cases. `stop` is told the share done, 0 to 1; true stops it.
 * @param solve needed where suppliers charge on whole orders
 */
export function walkAwayPrices(
  work: ChoiceWork,
  worth: Worth,
  offers: readonly Offer[],
  stop: (share: number) => boolean = () => false,
  solve?: Solver,
): WalkAwayPrice[][] {
  const input = choiceInputOf(work);
  const rounds = 1 + offers.reduce((sum, { points }) => sum + points.length, 0);
  let round = 0;
  const poll = (): void => {
    if (stop(Math.min(1, round / rounds))) throw new ChoiceStopped();
  };
  const bestWith = (offer: Offer | null, points: number): Best | null =>
    best(weighted(input, offer, points), worth, { solve, poll });
  const without = bestWith(null, 0);
  round += 1;
  return offers.map((offer) => {
    const known = new Map<number, Best | null>();
    return offer.points.map((points): WalkAwayPrice => {
      if (!known.has(points)) known.set(points, bestWith(offer, points));
      round += 1;
      const found = known.get(points)!;
      if (without === null || found === null || found.value >= without.value)
        return { price: 0, daysSaved: 0, pointsMore: 0, left: null };
      return {
        price: (without.value - found.value) / 100,
        daysSaved: without.end - found.end,
        pointsMore: found.points - without.points,
        left: { points: found.points, disqualified: found.disqualified },
      };
    });
  });
}

const compare = (a: Best, b: Best): number => a.value - b.value || a.end - b.end || a.points - b.points;

/** The choice with its costs in hundredths of a minor unit, and with the offer, at no price, in the place of whatever else brings the part. */
function weighted(input: ChoiceInput, offer: Offer | null, points: number): ChoiceInput {
  const priced = ({ cost, order }: Option): Partial<Option> => ({
    cost: cost * 100,
    ...(order === undefined ? {} : { order: { ...order, goods: order.goods * 100 } }),
  });
  const arrivals =
    offer === null
      ? input.arrivals
      : input.arrivals.map((choice) =>
          choice.id === offer.part
            ? {
                ...choice,
                options: [{ id: "offer", cost: 0, points, usable: offer.usable, preparation: offer.preparation }],
              }
            : choice,
        );
  return {
    ...input,
    ...withOptions({ ...input, arrivals }, priced),
    orders: (input.orders ?? []).map(({ carriage, minimum }) => ({ carriage: carriage * 100, minimum: minimum * 100 })),
    limits: {},
  };
}

function best(
  input: ChoiceInput,
  worth: Worth,
  { solve, poll }: { solve: Solver | undefined; poll: () => void },
): Best | null {
  // A hundredth of a point is worth as many hundredths of a minor unit as a point is of whole ones.
  const { perDay, perPoint } = worth;
  const pointPrice = perPoint === 0 ? null : perPoint;
  const priceOfDays = (end: number): number => daysCounted(worth, end) * 100 * perDay;
  const inAll = ({ end, cost, points, disqualified }: Omit<Best, "value"> & { cost: number }): Best => ({
    value: cost + priceOfDays(end),
    end: Math.max(0, end),
    points,
    disqualified,
  });
  const model = new ChoiceModel(input, "date", pointPrice !== null, pointPrice);
  const uncharged = (input.orders ?? []).map(() => ({ carriage: 0, minimum: 0 }));
  const found = plansOf(
    quoteChoice(
      { ...input, orders: uncharged },
      {
        ...(pointPrice === null ? { withPoints: false } : { pointPrice }),
        stop: () => {
          poll();
          return false;
        },
      },
    ),
  ).map((plan) => ({ ...plan, cost: plan.cost + plan.points * perPoint }));
  if (model.orders !== null) {
    if (solve === undefined) throw new Error("Suppliers charge on whole orders: a solver is needed.");
    const least = leastInAll(model, model.orders, solve, priceOfDays, found, poll);
    return least === null ? null : inAll(least);
  }
  let least: Best | null = null;
  for (const plan of found) {
    const one = inAll(plan);
    if (least === null || compare(one, least) < 0) least = one;
  }
  return least;
}

/** Plans by ascending end. */
function plansOf({ choices, end, cost, points, disqualified, picks }: QuoteChoice) {
  const width = choices.length;
  return Array.from(end, (day, plan) => ({
    end: day,
    cost: cost[plan]!,
    points: points[plan]!,
    disqualified: disqualified[plan] === 1,
    picks: picks.subarray(plan * width, (plan + 1) * width),
  }));
}
