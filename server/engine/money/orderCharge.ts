/**
 * What a supplier charges on one order of several parts beside the goods: carriage once, and what the goods fall short of
 * the least that is charged. The order comes to max(minimum, goods) + carriage. All amounts are whole minor units of one currency.
 */
import { allocate } from "./money.ts";

/** What a supplier charges on one order. 0: nothing of the kind. */
export interface OrderTerms {
  carriage: number;
  /** The least that an order comes to before its carriage. */
  minimum: number;
}

/** One part of an order. */
export interface OrderLine {
  /** Price of its pieces. */
  goods: number;
  /** What its pieces weigh; null or absent: not known. */
  grams?: number | null;
  /** False: its quote states its own carriage, or has the seller pay it; of the minimum it takes its share all the same. */
  carried: boolean;
}

/** By what the parts of an order share what is charged on it. */
export type ShareBy = "VALUE" | "WEIGHT";

/** What is charged beside the goods. */
export interface OrderCharge {
  carriage: number;
  /** What the goods fall short of the minimum. */
  shortfall: number;
}

/** What an order of these lines is charged beside its goods; nothing without a line. */
export function orderCharge({ carriage, minimum }: OrderTerms, lines: readonly OrderLine[]): OrderCharge {
  const goods = lines.reduce((sum, line) => sum + line.goods, 0);
  return {
    carriage: lines.some(({ carried }) => carried) ? carriage : 0,
    shortfall: lines.length > 0 ? Math.max(0, minimum - goods) : 0,
  };
}

/** By what an order is shared that is to be shared so: by value where it is not known what some of it weighs. */
export const sharesBy = (by: ShareBy, lines: readonly OrderLine[]): ShareBy =>
  by === "WEIGHT" && lines.every(({ grams = null }) => grams !== null) ? "WEIGHT" : "VALUE";

/**
 * That charge shared over the lines by the value of their goods or by their weight, so that the shares add up to it exactly
 * (largest remainders first, equal ones in the order given). Goods that cost nothing, or weigh nothing, share alike.
 */
export function sharedCharge(terms: OrderTerms, lines: readonly OrderLine[], by: ShareBy = "VALUE"): OrderCharge[] {
  const { carriage, shortfall } = orderCharge(terms, lines);
  // What is charged is shared by the weight of those that share it: what others weigh is nothing to it.
  const partOf = (sharing: readonly OrderLine[]) => {
    const weighed = sharesBy(by, sharing) === "WEIGHT";
    return ({ goods, grams }: OrderLine): number => (weighed ? grams! : goods);
  };
  const part = partOf(lines.filter(({ carried }) => carried));
  const carriages = shared(
    carriage,
    lines.map((line) => (line.carried ? part(line) : null)),
  );
  const shortfalls = shared(shortfall, lines.map(partOf(lines)));
  return lines.map((_, i) => ({ carriage: carriages[i]!, shortfall: shortfalls[i]! }));
}

/** An amount over weights; null takes no part. */
function shared(amount: number, weights: readonly (number | null)[]): number[] {
  if (amount === 0) return weights.map(() => 0);
  const nothing = weights.every((weight) => weight === null || weight === 0);
  return allocate(
    amount,
    weights.map((weight) => (weight === null ? 0 : nothing ? 1 : weight)),
  );
}
