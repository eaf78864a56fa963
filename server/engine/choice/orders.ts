/** What suppliers charge on whole orders, within a choice of quotes: it depends on what else is chosen. */
import { type OrderTerms, orderCharge } from "../money/orderCharge.ts";
import type { ChoiceInput, OnOrder, Option } from "./input.ts";

/** Terms of the suppliers who charge on an order, and what of each option given is on one: parts and snags first, then operations. */
export interface Ordered {
  terms: readonly OrderTerms[];
  of: readonly (readonly (OnOrder | undefined)[])[];
}

/** The orders of a choice; null where nobody charges on one. */
export function ordersIn({ orders: terms = [], arrivals, operations }: ChoiceInput): Ordered | null {
  const of = [...arrivals, ...operations].map(({ options }) =>
    options.map(({ order }) => (order === undefined || !charges(terms[order.supplier]!) ? undefined : order)),
  );
  return of.some((options) => options.some((order) => order !== undefined)) ? { terms, of } : null;
}

const charges = ({ carriage, minimum }: OrderTerms): boolean => carriage > 0 || minimum > 0;

/** What is charged on the orders of a plan. @param picks option of each choice, an index among those given */
export const chargeOf = ({ terms, of }: Ordered, picks: ArrayLike<number>): number =>
  chargedOn(
    terms,
    of.map((options, choice) => options[picks[choice]!]),
  );

/** What is charged on orders, each supplier's once. @param chosen what of each choice stands on one, if anything does */
export function chargedOn(terms: readonly OrderTerms[], chosen: readonly (OnOrder | undefined)[]): number {
  const lines = terms.map((): OnOrder[] => []);
  for (const order of chosen) if (order !== undefined) lines[order.supplier]!.push(order);
  return terms.reduce((sum, one, supplier) => {
    const { carriage, shortfall } = orderCharge(one, lines[supplier]!);
    return sum + carriage + shortfall;
  }, 0);
}

/** True where the first of two options makes no plan dearer than the second would, whatever else is chosen. */
export function neverDearer(a: Option, b: Option, orders: Ordered | null): boolean {
  if (orders === null) return a.cost <= b.cost;
  const [first, second] = [a, b].map(({ order }) => order);
  if (first !== undefined && second !== undefined && first.supplier === second.supplier) {
    if (first.carried && !second.carried && orders.terms[first.supplier]!.carriage > 0) return false;
    if (orders.terms[first.supplier]!.minimum === 0) return a.cost <= b.cost;
    // Past the minimum the whole price counts, under it only what is not goods; between, something between.
    return a.cost <= b.cost && a.cost - first.goods <= b.cost - second.goods;
  }
  return mostOf(a, orders) <= leastOf(b, orders);
}

/** What an option adds where it is alone on its order. */
function mostOf({ cost, order }: Option, { terms }: Ordered): number {
  if (order === undefined) return cost;
  const { carriage, shortfall } = orderCharge(terms[order.supplier]!, [order]);
  return cost + carriage + shortfall;
}

/** What it adds where the others have paid the carriage and the minimum has room for its goods. */
function leastOf({ cost, order }: Option, { terms }: Ordered): number {
  return order === undefined ? cost : cost - Math.min(order.goods, terms[order.supplier]!.minimum);
}
