/**
 * What moved the end from one day to another: days gained and lost by each hold-up, which add up to the whole.
 *
 * The end is the latest of the dates to which the hold-ups and the work alone hold it, so what one of them moved depends
 * on which of the others have moved already. Each gets its mean over all orders in which they could have moved: the
 * Shapley value (L. S. Shapley, A Value for n-Person Games, 1953). For the latest of several dates it has a closed form,
 * day by day (below), so nothing is sampled and the shares add up.
 */

/** The day to which something holds the end. */
export interface Holding {
  /** The same for the same hold-up on both days. */
  key: string;
  /** Whole days on any scale that both days share. */
  day: number;
}

export interface Movement {
  key: string;
  /** Tenths of a day that it put the end back (more than 0) or brought it forward (less than 0). */
  tenths: number;
}

export interface Movements {
  /** Whole days by which the end moved; more than 0 is later. */
  days: number;
  /** What moved it, the greatest first; their tenths add up to the days exactly. None that is zero. */
  movements: readonly Movement[];
}

/** Held by nothing on that day: not outstanding, or shorter than the work alone. */
const NOTHING = Number.NEGATIVE_INFINITY;

/**
 * The movement of the latest of some days. A key missing on one side held nothing then.
 * Throws RangeError when either side is empty: there is then no end to compare.
 */
export function movements(before: readonly Holding[], after: readonly Holding[]): Movements {
  if (before.length === 0 || after.length === 0) throw new RangeError("Both days need at least the work alone.");
  const pairs = new Map<string, { from: number; to: number }>();
  for (const { key, day } of before) pairs.set(key, { from: day, to: NOTHING });
  for (const { key, day } of after) pairs.set(key, { from: pairs.get(key)?.from ?? NOTHING, to: day });
  const all = [...pairs];
  const ends = { from: latest(before), to: latest(after) };
  const shares = new Map<string, number>();
  // Up to what stood on both days whatever else moved, the end was sure: only the days past it can have moved.
  const sure = Math.max(...all.map(([, { from, to }]) => Math.min(from, to)));
  const steps = [...new Set(all.flatMap(([, { from, to }]) => [from, to]).filter((day) => day > sure))].sort(
    (a, b) => a - b,
  );
  let low = sure === NOTHING ? (steps[0] ?? sure) : sure;
  for (const high of steps) {
    share(all, high, high - low, shares);
    low = high;
  }
  return { days: ends.to - ends.from, movements: inTenths(shares, ends.to - ends.from) };
}

/**
 * Shares `width` days that end at `day` among those who reach that day before (D) or after (U) alone. "The end reaches
 * the day" is true as long as one of D has not moved, or once one of U has. Someone of U makes it true when all of D
 * have moved and none of U: first of U, with all D before it, in |D|! |U|! of (|D| + |U|)! orders shared by |U|. Someone
 * of D makes it false as the last of D with none of U before it, in as many orders.
 */
function share(
  all: readonly (readonly [string, { from: number; to: number }])[],
  day: number,
  width: number,
  shares: Map<string, number>,
): void {
  const up = all.filter(([, { from, to }]) => from < day && to >= day).map(([key]) => key);
  const down = all.filter(([, { from, to }]) => from >= day && to < day).map(([key]) => key);
  let orders = 1;
  for (let k = 1; k <= down.length; k++) orders *= k / (up.length + k);
  for (const key of up) add(shares, key, (width * orders) / up.length);
  for (const key of down) add(shares, key, (-width * orders) / down.length);
}

function add(shares: Map<string, number>, key: string, days: number): void {
  shares.set(key, (shares.get(key) ?? 0) + days);
}

/** Shares in whole tenths by largest remainder, so that what is shown adds up. */
function inTenths(shares: ReadonlyMap<string, number>, days: number): Movement[] {
  const exact = [...shares].map(([key, share]) => ({ key, exact: share * 10, tenths: Math.floor(share * 10) }));
  let missing = days * 10 - exact.reduce((sum, { tenths }) => sum + tenths, 0);
  exact.sort((a, b) => b.exact - b.tenths - (a.exact - a.tenths) || (a.key < b.key ? -1 : 1));
  for (const one of exact) {
    if (missing <= 0) break;
    one.tenths += 1;
    missing -= 1;
  }
  return exact
    .filter(({ tenths }) => tenths !== 0)
    .sort((a, b) => Math.abs(b.tenths) - Math.abs(a.tenths) || (a.key < b.key ? -1 : 1))
    .map(({ key, tenths }) => ({ key, tenths }));
}

const latest = (holdings: readonly Holding[]): number => Math.max(...holdings.map(({ day }) => day));
