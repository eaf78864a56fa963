/** What a part that is looked for is expected to cost: a find before the hunt stops, or else its fallback, ordered then. Pure. */
import { expectedOf } from "../../engine/hunt/stop.ts";
import type { ChoiceRows } from "../choice/load.ts";
import { pointsOfHunt } from "../choice/points.ts";
import { inCurrency, type Rates } from "../money/exchange.ts";
import type { Acquisition } from "../parts/acquisition.ts";
import type { HuntRow } from "../rows/rows.ts";
import { chanceInTime } from "./outlook.ts";

/** Minor units of the restoration's currency, and shop hours before it fits. */
export interface HuntCost {
  /** Expected; null: the fallback's cost cannot be worked out, or there is no rate for the price of a find. */
  landedMinor: number | null;
  hours: number;
  /** Expected points lost, as they count where they are lost. */
  points: number;
  /** What a find costs; null: not said, and then it counts as its fallback. */
  findMinor: number | null;
  findHours: number;
}

/** What a find is expected to cost; null: not said, or no rate is known for its currency. */
export const findPrice = (
  { priceMinor, currency }: Pick<HuntRow, "priceMinor" | "currency">,
  home: string,
  rates: Rates,
): number | null => (priceMinor === null ? null : inCurrency(priceMinor, currency, home, rates));

/**
 * What a part that is looked for until a stop date is expected to cost and to lose.
 * @param fallbackMinor what its fallback costs, ordered then; its hours are the acquisition's
 */
export function huntCost(
  rows: Pick<ChoiceRows, "plan" | "figuresFor" | "restoration" | "rates" | "sheet" | "parts" | "quotes">,
  { rowId, quoteId, preparationHours }: Pick<Acquisition, "rowId" | "quoteId" | "preparationHours">,
  fallbackMinor: number | null,
): HuntCost {
  const { plan, figuresFor, restoration, rates, sheet } = rows;
  const { stopDate, ...hunt } = plan.hunts.find(({ partId }) => partId === rowId)!;
  const events = plan.huntEvents.filter(({ huntId }) => huntId === hunt.id);
  const findMinor = findPrice(hunt, restoration.currency, rates);
  const chance = chanceInTime({ ...hunt, stopDate: stopDate! }, events, figuresFor);
  const { landedMinor, hours } = expectedOf(
    chance,
    { landedMinor: hunt.priceMinor === null ? fallbackMinor : findMinor, hours: hunt.preparationHours, points: 0 },
    { landedMinor: fallbackMinor, hours: preparationHours, points: 0 },
  );
  const points = pointsOfHunt(sheet, rows.parts.get(rowId)!, hunt.provenance, rows.quotes.get(quoteId!)!, chance);
  return { landedMinor, hours, points, findMinor, findHours: hunt.preparationHours };
}
