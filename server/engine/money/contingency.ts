/** What to set aside so that the money holds with a chance asked for. */
import { MoneyFault, roundedMinor } from "./money.ts";
import { minus, plus, type Ratio, ratioOf, times, whole } from "./ratio.ts";

/**
 * The quantile of whole amounts, interpolated between the two nearest (Hyndman and Fan's definition 7, the usual one of R),
 * exact and rounded once, half to even. Undefined without amounts.
 * @param chance 0 to 1, both included
 * @throws MoneyFault OUT_OF_RANGE for another chance
 */
export function amountQuantile(amounts: ArrayLike<number>, chance: number): number | undefined {
  const n = amounts.length;
  if (!(chance >= 0 && chance <= 1))
    throw new MoneyFault("OUT_OF_RANGE", `A chance lies between 0 and 1 (it is ${chance}).`, "chance");
  if (n === 0) return undefined;
  const sorted = Float64Array.from(amounts).sort();
  const place = times(whole(n - 1), ratioOf(chance)!);
  const below = Number(place.top / place.bottom);
  const over: Ratio = minus(place, whole(below));
  const step = whole(sorted[Math.min(below + 1, n - 1)]! - sorted[below]!);
  return roundedMinor(plus(whole(sorted[below]!), times(over, step))) + 0;
}

/**
 * Contingency: how much more than planned the cost is in the run at the asked chance; zero where the plan is dearer than
 * that already. Undefined without runs: there is then no figure.
 * @param runs cost to completion of each run of the simulation, whole minor units
 * @param plannedMinor cost to completion of the plan in force, minor units
 */
export function contingency(runs: ArrayLike<number>, plannedMinor: number, chance: number): number | undefined {
  const quantile = amountQuantile(runs, chance);
  return quantile === undefined ? undefined : Math.max(0, quantile - plannedMinor);
}
