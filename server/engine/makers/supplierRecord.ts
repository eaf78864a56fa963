/**
 * A supplier's record: how long deliveries took against what was promised, pulled to all suppliers where there are few.
 * Each delivery is log(actual days / promised days); what is believed of a maker is a group's record (logRecord.ts).
 */

import { studentDensity, studentMeanAbove, studentQuantile } from "../chance/studentT.ts";
import { type Crowd, type CrowdDefault, crowdOfLogs, type GroupRecord, groupRecord } from "./logRecord.ts";

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

/**
 * Weak default while few deliveries are known: a tenth over the promise, one delivery in three more than a third off
 * what is usual with that maker, makers a fifth apart; worth four deliveries. The program's own judgement of the trade.
 */
export const USUAL_CROWD: CrowdDefault = { mean: Math.log(1.1), within: 0.3, between: 0.2, worth: 4 };

/** What is known of one maker, in logs of actual over promised. */
export interface SupplierRecord extends GroupRecord {
  /** Deliveries, and orders still out past their promise, that it rests on. */
  deliveries: number;
  overdue: number;
}

/** log(actual / promised). Throws RangeError for days that are negative or no number. */
export function lateness({ promisedDays, actualDays }: Delivery): number {
  return Math.log(counted("actualDays", actualDays) / counted("promisedDays", promisedDays));
}

function counted(field: string, days: number): number {
  if (!(days >= 0 && Number.isFinite(days))) throw new RangeError(`${field} is ${days}; it must be 0 or more.`);
  return Math.max(1, days);
}

/** The crowd of makers that all their deliveries teach, one list a maker. */
export const crowdOf = (makers: readonly (readonly Delivery[])[], usual: CrowdDefault = USUAL_CROWD): Crowd =>
  crowdOfLogs(
    makers.map((deliveries) => deliveries.map(lateness)),
    usual,
  );

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
  const alone = groupRecord(seen, crowd);
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
    ...(expected.length === 0 ? alone : groupRecord([...seen, ...expected], crowd)),
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
