/**
 * Walk-away price: the most that a part offered today is worth. It is what the best plan without it costs, in money plus
 * the owner's price for a day and for a point, less what the best plan with it at price nought costs. Exact: a section's
 * cap makes the loss the lesser of two sums, so every set of capped sections is tried, and each is a trade of date against cost.
 */
import { leastInAll } from "./choiceMilpFront.ts";
import type { Solver } from "./programme.ts";
import { ChoiceStopped, type QuoteChoice, quoteChoice, withOptions } from "./quoteChoice.ts";
import type { ChoiceInput, Option } from "./quoteChoiceInput.ts";
import { ChoiceModel } from "./quoteChoiceModel.ts";
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

/** Most sections whose caps may bind; each doubles the work. */
const MOST_CAPPED = 6;

/** Thrown where too many sections could reach their caps for every set of them to be tried. */
export class TooManyCaps extends Error {
  constructor() {
    super(`More than ${MOST_CAPPED} sections of the judging sheet could lose all that they can.`);
    this.name = "TooManyCaps";
  }
}

interface Best {
  /** Hundredths of a minor unit: cost, days and points together. */
  value: number;
  end: number;
  points: number;
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
  const sets = cappedSets(input, worth, offers);
  const rounds = (offers.length + 1) * sets.length;
  let round = 0;
  const bestOf = (
    part: string | null,
    offer: Offer | null,
    points: number,
  ): ((set: ReadonlySet<number>) => Best | null) => {
    return (set) => best(weighted(input, worth, set, part, offer, points), worth, set, { solve, poll });
  };
  const poll = (): void => {
    if (stop(Math.min(1, round / rounds))) throw new ChoiceStopped();
  };
  const follow = (): void => {
    poll();
    round++;
  };
  const least = (solve: (set: ReadonlySet<number>) => Best | null): Best | null => {
    let found: Best | null = null;
    for (const set of sets) {
      const one = solve(set);
      if (one !== null && (found === null || compare(one, found) < 0)) found = one;
    }
    return found;
  };
  follow();
  const without = least(bestOf(null, null, 0));
  return offers.map((offer) => {
    const known = new Map<number, Best | null>();
    return offer.points.map((points): WalkAwayPrice => {
      follow();
      if (!known.has(points)) known.set(points, least(bestOf(offer.part, offer, points)));
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

/** The choice with what its points are worth in its prices, in hundredths of a minor unit. */
function weighted(
  input: ChoiceInput,
  worth: Worth,
  capped: ReadonlySet<number>,
  part: string | null,
  offer: Offer | null,
  points: number,
): ChoiceInput {
  const priced = ({ cost, points: lost, order }: Option, section: number | null): Partial<Option> => ({
    cost: cost * 100 + (section !== null && capped.has(section) ? 0 : lost * worth.perPoint),
    ...(order === undefined ? {} : { order: { ...order, goods: order.goods * 100 } }),
  });
  const offered =
    offer === null
      ? input.arrivals
      : input.arrivals.map((choice) =>
          choice.id === part
            ? {
                ...choice,
                options: [{ id: "offer", cost: 0, points, usable: offer.usable, preparation: offer.preparation }],
              }
            : choice,
        );
  return {
    ...input,
    ...withOptions({ ...input, arrivals: offered }, priced),
    orders: (input.orders ?? []).map(({ carriage, minimum }) => ({ carriage: carriage * 100, minimum: minimum * 100 })),
    limits: {},
  };
}

function best(
  input: ChoiceInput,
  worth: Worth,
  capped: ReadonlySet<number>,
  { solve, poll }: { solve: Solver | undefined; poll: () => void },
): Best | null {
  const perDay = 100 * worth.perDay;
  let atCaps = 0;
  for (const section of capped) atCaps += input.sectionCaps[section]! * worth.perPoint;
  const inAll = ({ end, cost, points }: Omit<Best, "value"> & { cost: number }): Best => ({
    value: cost + Math.max(0, end) * perDay + atCaps,
    end: Math.max(0, end),
    points,
  });
  const model = new ChoiceModel(input, "date", false);
  const uncharged = (input.orders ?? []).map(() => ({ carriage: 0, minimum: 0 }));
  const found = plansOf(quoteChoice({ ...input, orders: uncharged }, { withPoints: false }));
  if (model.orders !== null) {
    if (solve === undefined) throw new Error("Suppliers charge on whole orders: a solver is needed.");
    const least = leastInAll(model, model.orders, solve, perDay, found, poll);
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
function plansOf({ choices, end, cost, points, picks }: QuoteChoice) {
  const width = choices.length;
  return Array.from(end, (day, plan) => ({
    end: day,
    cost: cost[plan]!,
    points: points[plan]!,
    picks: picks.subarray(plan * width, (plan + 1) * width),
  }));
}

/** Sets of sections to be taken as losing all they can: every subset of those that could. */
function cappedSets(
  { arrivals, operations, sectionCaps }: ChoiceInput,
  { perPoint }: Worth,
  offers: readonly Offer[],
): ReadonlySet<number>[] {
  if (perPoint === 0) return [new Set()];
  const most = sectionCaps.map(() => 0);
  const offered = new Map(offers.map(({ part, points }) => [part, Math.max(0, ...points)]));
  for (const { id, section, options } of [...arrivals, ...operations])
    if (section !== null) most[section]! += Math.max(offered.get(id) ?? 0, ...options.map(({ points }) => points), 0);
  const reached = sectionCaps.flatMap((cap, section) => (most[section]! > cap ? [section] : []));
  if (reached.length > MOST_CAPPED) throw new TooManyCaps();
  return Array.from({ length: 2 ** reached.length }, (_, bits) => new Set(reached.filter((_, i) => (bits >> i) & 1)));
}
