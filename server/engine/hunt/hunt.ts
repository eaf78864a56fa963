/**
 * A hunt: when a part that nobody quotes may be found, and when to stop looking for it.
 *
 * The chance that nothing has been found t weeks on is E[exp(-rate t)] times the product of (1 - chance) over the events
 * up to then. The rate is gamma(shape, weeks), so that the expectation is (weeks / (weeks + t)) ^ shape (Lomax 1954), and
 * after t fruitless weeks the rate is gamma(shape, weeks + t): each of them lowers it (Gelman et al., Bayesian Data
 * Analysis, 3rd ed., section 2.6). An event passed without a find counts no more. Days are whole calendar days from the
 * day of the figures; what is found in the course of a day counts on it, and day 1 is the first on which looking can tell.
 */

/** What is believed of the rate a week: gamma of this shape, and the weeks of looking that it is worth. */
export interface HuntBelief {
  shape: number;
  weeks: number;
}

/** A dated chance to find it. */
export interface HuntEvent {
  day: number;
  chance: number;
}

/** A hunt as it stands on the day of the figures. */
export interface Hunt {
  belief: HuntBelief;
  /** In any order; those before day 0 have passed and are left out. */
  events: readonly HuntEvent[];
}

/**
 * The belief that gives `chancePerWeek` for the first week of looking and is worth `worthWeeks`.
 * Throws RangeError unless 0 < chance < 1 and the weeks are above 0.
 */
export function beliefOf(chancePerWeek: number, worthWeeks: number): HuntBelief {
  if (!(chancePerWeek > 0 && chancePerWeek < 1))
    throw new RangeError(`The chance a week is ${chancePerWeek}; it must be between 0 and 1.`);
  if (!(worthWeeks > 0 && Number.isFinite(worthWeeks)))
    throw new RangeError(`The belief is worth ${worthWeeks} weeks; it must be more than 0.`);
  return { shape: Math.log1p(-chancePerWeek) / -Math.log1p(1 / worthWeeks), weeks: worthWeeks };
}

/** The belief after so many more weeks without a find. */
export function afterFruitless({ shape, weeks }: HuntBelief, lookedWeeks: number): HuntBelief {
  return { shape, weeks: weeks + Math.max(0, lookedWeeks) };
}

/** Chance of a find in the next week of looking. */
export const chanceNextWeek = ({ shape, weeks }: HuntBelief): number => 1 - (weeks / (weeks + 1)) ** shape;

/** Chance that nothing has been found by the end of a day; 1 before day 0. */
export function survival(hunt: Hunt, day: number): number {
  if (day < 0) return 1;
  const { shape, weeks } = hunt.belief;
  let left = (weeks / (weeks + day / 7)) ** shape;
  for (const event of hunt.events) if (event.day >= 0 && event.day <= day) left *= 1 - event.chance;
  return left;
}

/** Chance that it has been found by the end of a day. */
export const chanceFound = (hunt: Hunt, day: number): number => 1 - survival(hunt, day);

/** The first day by whose end it has been found with chance p; null where that lies more than `within` days ahead. */
export function foundBy(hunt: Hunt, p: number, within: number): number | null {
  if (chanceFound(hunt, within) < p) return null;
  let low = -1;
  let high = within;
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (chanceFound(hunt, middle) >= p) high = middle;
    else low = middle;
  }
  return high;
}
