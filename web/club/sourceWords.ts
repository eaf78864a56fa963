/** Deliveries and makers in words. */
import { counted, days, plainNumber } from "../shared/format.ts";
import type { Source } from "./source.ts";

/** "the source of Drip feed lubricator, Aldermere Castings" */
export const sourceWords = ({ part, supplier }: Pick<Source, "part" | "supplier">): string =>
  `the source of ${part}, ${supplier}`;

/** "61 days, 19 late" */
export function deliveryWords({ promisedDays, takenDays }: NonNullable<Source["delivery"]>): string {
  const late = takenDays - promisedDays;
  if (late > 0) return `${days(takenDays)}, ${late} late`;
  return late < 0 ? `${days(takenDays)}, ${-late} early` : `${days(takenDays)}, as promised`;
}

/** "4 deliveries, 1 late, 1 never came, fit 4.2 of 5"; nothing where no order stands behind a row. */
export function recordWords({ deliveries, late, failed, fitRating }: Source["record"]): string {
  if (deliveries === 0 && failed === 0) return "no delivery told yet";
  return [
    counted(deliveries, "delivery", "deliveries"),
    deliveries > 0 && (late > 0 ? `${late} late` : "none late"),
    failed > 0 && `${failed} failed`,
    fitRating !== null && `fit\u00a0${plainNumber(fitRating, 1)}\u00a0of\u00a05`,
  ]
    .filter(Boolean)
    .join(", ");
}
