/**
 * A supplier's record: how long deliveries took against what was promised, pulled to all suppliers where there are few.
 *
 * Each delivery is y = log(actual days / promised days). A maker's y are normal around the maker's own mean with the
 * maker's own variance; mean and variance have the conjugate prior that all makers' deliveries teach: variance
 * scaled-inverse-chi-square(degrees, scale^2), mean normal(mean, variance / weight). The next delivery of a maker is then
 * Student t in closed form, also for a maker with one delivery or none. Source: Gelman et al., Bayesian Data Analysis,
 * 3rd ed., sections 3.3 (normal with conjugate prior) and 5.4 (learning the prior from the groups).
 */
import { studentDensity, studentMeanAbove, studentQuantile } from "./studentT.ts";

/** Calendar days from the placing of an order. What is promised or delivered the same day counts as one day. */
export interface Delivery {
  promisedDays: number;
  actualDays: number;
}

/** An order still out on the day of the figures. */
export interface OpenOrder {
  promisedDays: number;
  /** Days since it was placed. */
  daysOut: number;
}

/** What is believed of any maker of whom nothing is known, in logs of actual over promised. */
export interface Crowd {
  /** Mean of the makers' means. */
  mean: number;
  /** Typical standard deviation of one maker's deliveries about the maker's own mean. */
  scale: number;
  /** How many deliveries the crowd counts for when a maker's mean is judged: within variance over between variance. */
  weight: number;
  /** How many deliveries it counts for when a maker's variance is judged. */
  degrees: number;
}

/** The crowd of makers as variances within one maker and between makers, with how much the figures are worth. */
export interface CrowdDefault {
  mean: number;
  /** Standard deviation within one maker, and between makers. */
  within: number;
  between: number;
  /** Deliveries (or makers, for what is between them) that these figures count for against what was seen. */
  worth: number;
}

/**
 * Weak default while few deliveries are known: a tenth over the promise, one delivery in three more than a third off
 * what is usual with that maker, makers a fifth apart; worth four deliveries. The program's own judgement of the trade.
 */
export const USUAL_CROWD: CrowdDefault = { mean: Math.log(1.1), within: 0.3, between: 0.2, worth: 4 };

/** One maker's variance counts against this many deliveries' worth of the crowd's: enough that two equal ones prove nothing. */
const VARIANCE_DEGREES = 6;

/** What is known of one maker, in logs of actual over promised. */
export interface SupplierRecord {
  /** Deliveries, and orders still out past their promise, that it rests on. */
  deliveries: number;
  overdue: number;
  /** The maker's mean as now believed, and how far it is known: half-width scale of a t with `degrees`. */
  mean: number;
  meanScale: number;
  /** Scale of one delivery about the maker's mean. */
  scale: number;
  degrees: number;
  /** How much of the mean is the maker's own record, 0 to 1; the rest is the crowd. */
  ownShare: number;
}

/** log(actual / promised). Throws RangeError for days that are negative or no number. */
export function lateness({ promisedDays, actualDays }: Delivery): number {
  return Math.log(counted("actualDays", actualDays) / counted("promisedDays", promisedDays));
}

function counted(field: string, days: number): number {
  if (!(days >= 0 && Number.isFinite(days))) throw new RangeError(`${field} is ${days}; it must be 0 or more.`);
  return Math.max(1, days);
}

interface Group {
  count: number;
  mean: number;
  /** Sum of squares about the mean. */
  squares: number;
}

/** Summed in ascending order, so that the order of the deliveries makes no difference at all. */
function groupOf(values: readonly number[]): Group {
  const sorted = values.toSorted((a, b) => a - b);
  const mean = sorted.length === 0 ? 0 : sorted.reduce((sum, y) => sum + y, 0) / sorted.length;
  return { count: sorted.length, mean, squares: sorted.reduce((sum, y) => sum + (y - mean) ** 2, 0) };
}

/**
 * The crowd that all makers' deliveries teach, one list a maker. Variance within makers: pooled, the default counting as
 * `worth` degrees of freedom. Variance between makers: from the analysis of variance, E[between] = (J - 1) within +
 * (N - sum n^2 / N) between (Searle, Casella and McCulloch, Variance Components, section 3.6), not below zero, the
 * default counting as `worth` makers. Mean: makers weighted by what their own mean is worth, the default as one maker.
 */
export function crowdOf(makers: readonly (readonly Delivery[])[], usual: CrowdDefault = USUAL_CROWD): Crowd {
  const groups = makers
    .map((deliveries) => groupOf(deliveries.map(lateness)))
    .filter(({ count }) => count > 0)
    .sort((a, b) => a.mean - b.mean || a.count - b.count || a.squares - b.squares);
  const { worth } = usual;
  let total = 0;
  let sum = 0;
  let squares = 0;
  let countSquares = 0;
  for (const { count, mean, squares: own } of groups) {
    total += count;
    sum += count * mean;
    squares += own;
    countSquares += count * count;
  }
  const within = (worth * usual.within ** 2 + squares) / (worth + total - groups.length);
  let between = usual.between ** 2;
  if (groups.length > 1) {
    const middle = sum / total;
    const spread = groups.reduce((all, { count, mean }) => all + count * (mean - middle) ** 2, 0);
    const seen = Math.max(0, (spread - (groups.length - 1) * within) / (total - countSquares / total));
    between = (worth * between + (groups.length - 1) * seen) / (worth + groups.length - 1);
  }
  let weight = 1 / (between + within);
  let weighted = weight * usual.mean;
  for (const { count, mean } of groups) {
    const own = 1 / (between + within / count);
    weight += own;
    weighted += own * mean;
  }
  return { mean: weighted / weight, scale: Math.sqrt(within), weight: within / between, degrees: VARIANCE_DEGREES };
}

/**
 * A maker's record against the crowd. An order still out and past its promise counts as one delivery that took as long
 * as it can be expected to take in all, given that it has been out this long (the mean above that point of what the
 * maker's deliveries alone predict: one step of Buckley and James 1979); an order not yet due counts for nothing.
 * Leave the open orders out where whoever draws from the record weighs them itself.
 */
export function supplierRecord(
  deliveries: readonly Delivery[],
  crowd: Crowd,
  open: readonly OpenOrder[] = [],
): SupplierRecord {
  const seen = deliveries.map(lateness);
  const alone = posterior(groupOf(seen), crowd);
  const spread = predictiveScale(alone);
  const expected = open
    .filter(({ promisedDays, daysOut }) => counted("daysOut", daysOut) > counted("promisedDays", promisedDays))
    .map(({ promisedDays, daysOut }) => {
      const out = (lateness({ promisedDays, actualDays: daysOut }) - alone.mean) / spread;
      return alone.mean + spread * studentMeanAbove(out, alone.degrees);
    });
  return {
    deliveries: seen.length,
    overdue: expected.length,
    ...(expected.length === 0 ? alone : posterior(groupOf([...seen, ...expected]), crowd)),
  };
}

/** Bayesian Data Analysis, 3rd ed., section 3.3: the parameters of the posterior. */
function posterior(
  { count, mean, squares }: Group,
  crowd: Crowd,
): Pick<SupplierRecord, "mean" | "meanScale" | "scale" | "degrees" | "ownShare"> {
  const weight = crowd.weight + count;
  const degrees = crowd.degrees + count;
  const ownShare = count / weight;
  const apart = crowd.weight * ownShare * (mean - crowd.mean) ** 2;
  const scale = Math.sqrt((crowd.degrees * crowd.scale ** 2 + squares + apart) / degrees);
  return {
    mean: crowd.mean + ownShare * (mean - crowd.mean),
    meanScale: scale / Math.sqrt(weight),
    scale,
    degrees,
    ownShare,
  };
}

const predictiveScale = ({ scale, meanScale }: Pick<SupplierRecord, "scale" | "meanScale">): number =>
  Math.hypot(scale, meanScale);

/** What actual over promised stays under on the maker's next delivery with chance p: exact, a Student t in logs. */
export function nextRatio(record: SupplierRecord, p: number): number {
  return Math.exp(record.mean + predictiveScale(record) * studentQuantile(p, record.degrees));
}

/** Density of log(actual / promised) of the maker's next delivery, where actual over promised is `ratio`, above 0. */
export function nextDensity(record: SupplierRecord, ratio: number): number {
  const spread = predictiveScale(record);
  return studentDensity((Math.log(ratio) - record.mean) / spread, record.degrees) / spread;
}

/** How a maker's lateness is drawn: normals in logs with the variance of the t's they stand for. */
export interface LatenessSplit {
  /** Mean log of actual over promised. */
  mean: number;
  /** Standard deviation of what all the maker's open orders share: that the maker's mean is not known. */
  common: number;
  /** Standard deviation of each order on its own. */
  each: number;
}

/** The split of a maker's lateness between what is common to the maker and what each order adds (degrees are above 2). */
export function latenessSplit({ mean, meanScale, scale, degrees }: SupplierRecord): LatenessSplit {
  const wider = Math.sqrt(degrees / (degrees - 2));
  return { mean, common: meanScale * wider, each: scale * wider };
}
