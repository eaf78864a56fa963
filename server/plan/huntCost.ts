/** What a part that is looked for is expected to cost: a find before the hunt stops, or else its fallback, ordered then. Pure. */
import { daysBetween } from "../engine/date.ts";
import { chanceFound } from "../engine/hunt.ts";
import { expectedOf } from "../engine/huntStop.ts";
import type { Acquisition } from "./acquisition.ts";
import type { ChoiceRows } from "./choicesLoad.ts";
import { inCurrency, type Rates } from "./exchange.ts";
import { lookingOf } from "./huntOutlook.ts";
import type { HuntRow } from "./rows.ts";

/** Minor units of the restoration's currency, and shop hours before it fits. */
export interface HuntCost {
  /** Expected; null: the fallback's cost cannot be worked out. */
  landedMinor: number | null;
  hours: number;
  /** What a find costs; null: not said, and then it counts as its fallback. */
  findMinor: number | null;
  findHours: number;
}

/** What a find is expected to cost; null: not said, or no rate is known. */
export const findPrice = (
  { priceMinor, currency }: Pick<HuntRow, "priceMinor" | "currency">,
  home: string,
  rates: Rates,
): number | null => (priceMinor === null ? null : inCurrency(priceMinor, currency, home, rates));

/**
 * The cost of a part that is looked for until a stop date.
 * @param fallbackMinor what its fallback costs, ordered by itself; its hours are the acquisition's
 */
export function huntCost(
  { plan, figuresFor, restoration, rates }: Pick<ChoiceRows, "plan" | "figuresFor" | "restoration" | "rates">,
  { rowId, preparationHours }: Pick<Acquisition, "rowId" | "preparationHours">,
  fallbackMinor: number | null,
): HuntCost {
  const hunt = plan.hunts.find(({ partId }) => partId === rowId)!;
  const events = plan.huntEvents.filter(({ huntId }) => huntId === hunt.id);
  const findMinor = findPrice(hunt, restoration.currency, rates);
  const found = { landedMinor: findMinor ?? fallbackMinor, hours: hunt.preparationHours, points: 0 };
  const { landedMinor, hours } = expectedOf(
    chanceFound(lookingOf(hunt, events, figuresFor), daysBetween(figuresFor, hunt.stopDate!)),
    found,
    { landedMinor: fallbackMinor, hours: preparationHours, points: 0 },
  );
  return { landedMinor, hours, findMinor, findHours: hunt.preparationHours };
}
