/**
 * The least and the most that parts can come to of which several options are open, where suppliers charge on whole orders:
 * an option that goes to another supplier leaves what is charged on the first one's order to the others that are on it.
 * Both ends are of one set of options that can be chosen together. All amounts are whole minor units of one currency.
 */
import { type OrderLine, type OrderTerms, orderCharge } from "./orderCharge.ts";

/** What a part may be bought for, without what is charged on its order. */
export interface OpenOption {
  minor: number;
  /** Null: nothing is charged on its order. */
  order: { supplier: string; terms: OrderTerms; line: OrderLine } | null;
}

export interface OpenPart {
  /** Place of the option that is in force. */
  inForce: number;
  options: readonly OpenOption[];
}

/** How much less (0 or below) and how much more (0 or above) than in force, with what it brings upon others of its order. */
export interface PriceEnds {
  less: number;
  more: number;
}

/** An order as far as its charge goes. */
interface Sums {
  count: number;
  goods: number;
  carried: number;
}

/** Each pass ends nearer; what has not settled by then is an end that can be reached all the same. */
const PASSES = 20;

/** @param standing what is on the orders of suppliers beside these parts */
export function priceEnds(
  standing: readonly { supplier: string; line: OrderLine }[],
  parts: readonly OpenPart[],
): PriceEnds[] {
  const less = ends(standing, parts, 1);
  const more = ends(standing, parts, -1);
  return parts.map((_, i) => ({ less: less[i]!, more: more[i]! }));
}

/** Moves one part after another to what makes all together the least (sign 1) or the most (-1), until no move does. */
function ends(
  standing: readonly { supplier: string; line: OrderLine }[],
  parts: readonly OpenPart[],
  sign: 1 | -1,
): number[] {
  const orders = new Map<string, Sums>();
  const put = (supplier: string, { goods, carried }: OrderLine, times: 1 | -1): void => {
    const sums = orders.get(supplier) ?? { count: 0, goods: 0, carried: 0 };
    orders.set(supplier, sums);
    sums.count += times;
    sums.goods += times * goods;
    sums.carried += carried ? times : 0;
  };
  for (const { supplier, line } of standing) put(supplier, line, 1);
  const picks = parts.map(({ inForce }) => inForce);
  for (const { inForce, options } of parts) {
    const order = options[inForce]!.order;
    if (order !== null) put(order.supplier, order.line, 1);
  }
  /** What an option costs on top of the orders as they stand without its part. */
  const added = ({ minor, order }: OpenOption): number => {
    if (order === null) return minor;
    const { supplier, terms, line } = order;
    const there = orders.get(supplier) ?? { count: 0, goods: 0, carried: 0 };
    const lines = there.count === 0 ? [] : [{ goods: there.goods, carried: there.carried > 0 }];
    const [before, after] = [lines, [...lines, line]].map((all) => orderCharge(terms, all));
    return minor + after!.carriage + after!.shortfall - before!.carriage - before!.shortfall;
  };
  const moved = parts.map(() => 0);
  for (let pass = 0, settled = false; pass < PASSES && !settled; pass++) {
    settled = true;
    parts.forEach(({ options }, i) => {
      const now = options[picks[i]!]!;
      if (now.order !== null) put(now.order.supplier, now.order.line, -1);
      const costs = options.map(added);
      let best = picks[i]!;
      costs.forEach((cost, at) => {
        if (sign * (cost - costs[best]!) < 0) best = at;
      });
      moved[i] = moved[i]! + costs[best]! - costs[picks[i]!]!;
      if (best !== picks[i]) settled = false;
      picks[i] = best;
      const { order } = options[best]!;
      if (order !== null) put(order.supplier, order.line, 1);
    });
  }
  return moved.map((by) => by + 0);
}
