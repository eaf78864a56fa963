/**
 * Walk-away price: the most that a part offered today is worth. It is what the best plan without it costs, in money plus
 * the owner's price for a day and for a point, less what the best plan with it at price nought costs. Exact: points are
 * counted at their price by every line and cap of the sheet, and what is left is a trade of date against cost.
 */
import { ChoiceStopped, type QuoteChoice, quoteChoice, withCosts } from "./quoteChoice.ts";
import type { ChoiceInput } from "./quoteChoiceInput.ts";
import { type ChoiceWork, choiceInputOf } from "./quoteChoiceWork.ts";

/** Minor units. */
export interface Worth {
  perDay: number;
  perPoint: number;
}

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
  /** Minor units, exact to a hundredth; 0: not worth having at any price. */
  price: number;
  /** Days by which the best plan with it, at price nought, is earlier. */
  daysSaved: number;
  /** Hundredths of a point that the best plan with it loses more (negative: fewer). */
  pointsMore: number;
}

interface Best {
  /** Hundredths of a minor unit: cost, days and points together. */
  value: number;
  end: number;
  points: number;
}

/** For each offer, its price in each of its cases. `stop` is told the share done, 0 to 1; true stops it. */
export function walkAwayPrices(
  work: ChoiceWork,
  worth: Worth,
  offers: readonly Offer[],
  stop: (share: number) => boolean = () => false,
): WalkAwayPrice[][] {
  const input = choiceInputOf(work);
  const rounds = 1 + offers.reduce((sum, { points }) => sum + points.length, 0);
  let round = 0;
  const bestWith = (offer: Offer | null, points: number): Best | null =>
    best(weighted(input, offer, points), worth, (share) => {
      if (stop((round + share) / rounds)) throw new ChoiceStopped();
    });
  const without = bestWith(null, 0);
  round += 1;
  return offers.map((offer) => {
    const known = new Map<number, Best | null>();
    return offer.points.map((points): WalkAwayPrice => {
      if (!known.has(points)) known.set(points, bestWith(offer, points));
      round += 1;
      const found = known.get(points)!;
      if (without === null || found === null || found.value >= without.value)
        return { price: 0, daysSaved: 0, pointsMore: 0 };
      return {
        price: (without.value - found.value) / 100,
        daysSaved: without.end - found.end,
        pointsMore: found.points - without.points,
      };
    });
  });
}

const compare = (a: Best, b: Best): number => a.value - b.value || a.end - b.end || a.points - b.points;

/** The choice with its costs in hundredths of a minor unit, and with the offer, at no price, in the place of whatever else brings the part. */
function weighted(input: ChoiceInput, offer: Offer | null, points: number): ChoiceInput {
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
  return { ...input, ...withCosts({ ...input, arrivals }, ({ cost }) => cost * 100), limits: {} };
}

function best(input: ChoiceInput, { perDay, perPoint }: Worth, follow: (share: number) => void): Best | null {
  const found: QuoteChoice = quoteChoice(input, {
    // A hundredth of a point is worth as many hundredths of a minor unit as a point is of whole ones.
    ...(perPoint === 0 ? { withPoints: false } : { pointPrice: perPoint }),
    stop: (share) => {
      follow(share);
      return false;
    },
  });
  let least: Best | null = null;
  for (let plan = 0; plan < found.end.length; plan++) {
    const end = Math.max(0, found.end[plan]!);
    const points = found.points[plan]!;
    const one = { value: found.cost[plan]! + end * 100 * perDay + points * perPoint, end, points };
    if (least === null || compare(one, least) < 0) least = one;
  }
  return least;
}
