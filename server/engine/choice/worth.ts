/** What a plan comes to in money: its cost, with each day past the target and each point lost at what the owner puts on them. */

export interface Worth {
  /** Minor units. */
  perDay: number;
  perPoint: number;
  /** The target, a day counted from the day of the figures: only days past it count. Without a target 0, and each day to the end counts. */
  from: number;
}

/** Days that count of a plan that ends on a day. What ended before the day of the figures ended by then. */
export const daysCounted = ({ from }: Pick<Worth, "from">, end: number): number => Math.max(0, Math.max(0, end) - from);

/** Hundredths of a minor unit. @param plan its end as a day, minor units, and hundredths of a point */
export const inMoney = (worth: Worth, { end, cost, points }: { end: number; cost: number; points: number }): number =>
  cost * 100 + daysCounted(worth, end) * 100 * worth.perDay + points * worth.perPoint;
