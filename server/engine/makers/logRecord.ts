/**
 * What is believed of groups of measurements in logs (a maker's deliveries, a trade's work), each pulled to all groups
 * where it has few.
 *
 * Within a group the values are normal around the group's own mean with the group's own variance; mean and variance have
 * the conjugate prior that all groups teach: variance scaled-inverse-chi-square(degrees, scale^2), mean normal(mean,
 * variance / weight). The next value of a group is then Student t in closed form, also for a group with one value or
 * none. Source: Gelman et al., Bayesian Data Analysis, 3rd ed., sections 3.3 (normal with conjugate prior) and 5.4
 * (learning the prior from the groups).
 */

/** What is believed of any group of which nothing is known, in logs. */
export interface Crowd {
  /** Mean of the groups' means, and its standard deviation: how far it is not known. */
  mean: number;
  meanDeviation: number;
  /** Typical standard deviation of one group's values about the group's own mean. */
  scale: number;
  /** How many values the crowd counts for when a group's mean is judged: within variance over between variance. */
  weight: number;
  /** How many values it counts for when a group's variance is judged. */
  degrees: number;
}

/** The crowd as variances within one group and between groups, with how much the figures are worth. */
export interface CrowdDefault {
  mean: number;
  /** Standard deviation of the crowd's mean about that; absent: the default counts as one group. */
  meanDeviation?: number;
  /** Standard deviation within one group, and between groups. */
  within: number;
  between: number;
  /** Values (or groups, for what is between them) that these figures count for against what was seen. */
  worth: number;
  /** Values that the crowd counts for when one group's own variance is judged; default 6. */
  degrees?: number;
}

/** One group's variance counts against this many values' worth of the crowd's: enough that two equal ones prove nothing. */
const VARIANCE_DEGREES = 6;

/** What is known of one group, in logs. */
export interface GroupRecord {
  /** The group's mean as now believed, and how far it is known: half-width scale of a t with `degrees`. */
  mean: number;
  meanScale: number;
  /** Scale of one value about the group's mean. */
  scale: number;
  degrees: number;
  /** How much of the mean is the group's own record, 0 to 1; the rest is the crowd. */
  ownShare: number;
}

interface Group {
  count: number;
  mean: number;
  /** Sum of squares about the mean. */
  squares: number;
}

/** Summed in ascending order, so that the order of the values makes no difference at all. */
function groupOf(values: readonly number[]): Group {
  const sorted = values.toSorted((a, b) => a - b);
  const mean = sorted.length === 0 ? 0 : sorted.reduce((sum, y) => sum + y, 0) / sorted.length;
  return { count: sorted.length, mean, squares: sorted.reduce((sum, y) => sum + (y - mean) ** 2, 0) };
}

/**
 * The crowd that all groups' values teach, one list a group. Variance within groups: pooled, the default counting as
 * `worth` degrees of freedom. Variance between groups: from the analysis of variance, E[between] = (J - 1) within +
 * (N - sum n^2 / N) between (Searle, Casella and McCulloch, Variance Components, section 3.6), not below zero, the
 * default counting as `worth` groups. Mean: groups weighted by what their own mean is worth, with the default.
 */
export function crowdOfLogs(lists: readonly (readonly number[])[], usual: CrowdDefault): Crowd {
  const groups = lists
    .map(groupOf)
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
  let weight = 1 / (usual.meanDeviation === undefined ? between + within : usual.meanDeviation ** 2);
  let weighted = weight * usual.mean;
  for (const { count, mean } of groups) {
    const own = 1 / (between + within / count);
    weight += own;
    weighted += own * mean;
  }
  return {
    mean: weighted / weight,
    meanDeviation: Math.sqrt(1 / weight),
    scale: Math.sqrt(within),
    weight: within / between,
    degrees: usual.degrees ?? VARIANCE_DEGREES,
  };
}

/** A group's record against the crowd: Bayesian Data Analysis, 3rd ed., section 3.3, the parameters of the posterior. */
export function groupRecord(values: readonly number[], crowd: Crowd): GroupRecord {
  const { count, mean, squares } = groupOf(values);
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

/** How a group's next values are drawn: normals in logs with the variance of the t's they stand for. */
export interface RecordSplit {
  /** Mean log. */
  mean: number;
  /** Standard deviation of what all groups share: that the crowd's mean is not known. */
  crowd: number;
  /** Standard deviation of what all the group's values share: that the group's mean is not known. */
  common: number;
  /** Standard deviation of each value on its own. */
  each: number;
}

/** The split between what all groups, all of one group's values, and one value alone have (degrees are above 2). */
export function recordSplit({ mean, meanScale, scale, degrees, ownShare }: GroupRecord, crowd: Crowd): RecordSplit {
  const wider = Math.sqrt(degrees / (degrees - 2));
  return { mean, crowd: (1 - ownShare) * crowd.meanDeviation, common: meanScale * wider, each: scale * wider };
}
