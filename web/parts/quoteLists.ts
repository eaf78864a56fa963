/** Lists in the form of a quote: what it brings with it, and what the supplier states. Typed as text, sent as values. */
import { majorText } from "../shared/format.ts";
import type { SaveOutcome } from "../shared/save.tsx";
import type { LENGTH_UNIT } from "../shared/words.ts";
import type { Part, Quote } from "./part.ts";
import { TypedList } from "./typedList.ts";

type Specification = Part["specification"];

export type BreakRow = Record<"quantity" | "unitPriceMinor" | "currency", string>;
export type KnockOnRow = Record<"title" | "priceMinor" | "currency" | "hours" | "points", string>;
export type StatedRow = Record<"dimension" | "value" | "unit", string>;

/** The knock-ons of a quote as they stand in its form. */
export function typedKnockOns(quote: Quote | undefined): KnockOnRow[] {
  return (quote?.knockOns ?? []).map(({ title, price, hours, points }) => ({
    title,
    priceMinor: majorText(price.minor, price.decimals),
    currency: price.currency,
    hours: String(hours),
    points: String(points),
  }));
}

/** What was typed as values; undefined where the list was left as it is. */
export function knockOnsOf(rows: readonly KnockOnRow[] | undefined, decimals: (currency: string) => number) {
  const list = new TypedList("knockOns");
  const values = rows?.map(({ title, priceMinor, currency, hours, points }, place) => ({
    title,
    priceMinor:
      priceMinor.trim() === "" ? 0 : list.minor(place, "priceMinor", priceMinor, currency, decimals(currency)),
    currency,
    hours: list.number(place, "hours", hours, 0),
    points: list.number(place, "points", points, 0),
  }));
  return { rows: values, outcome: list.outcome() };
}

const named = (dimension: string): string => dimension.trim().toLowerCase();

/** What the supplier states, and after it the dimensions of the specification that are not stated yet, blank. */
export function typedStated(quote: Quote | undefined, specification: Specification): StatedRow[] {
  const stated = quote?.statedDimensions ?? [];
  const known = new Set(stated.map(({ dimension }) => named(dimension)));
  return [
    ...stated.map(({ dimension, value, unit }) => ({ dimension, value: String(value), unit })),
    ...specification
      .filter(({ dimension }) => !known.has(named(dimension)))
      .map(({ dimension, unit }) => ({ dimension, value: "", unit })),
  ];
}

/**
 * What was typed as values; undefined where the list was left as it is. A dimension of the specification without a value is
 * not stated, and is not sent; `atItsRow` takes the server's faults back to the rows as they stand in the form.
 */
export function statedOf(rows: readonly StatedRow[] | undefined, specification: Specification) {
  const list = new TypedList("statedDimensions");
  const asked = new Set(specification.map(({ dimension }) => named(dimension)));
  const sent = (rows ?? [])
    .map((row, place) => ({ row, place }))
    .filter(({ row }) => row.value.trim() !== "" || !(row.dimension.trim() === "" || asked.has(named(row.dimension))));
  const values = sent.map(({ row, place }) => ({
    dimension: row.dimension,
    value: list.number(place, "value", row.value),
    unit: row.unit as keyof typeof LENGTH_UNIT,
  }));
  const atItsRow = (outcome: SaveOutcome): SaveOutcome =>
    outcome.kind === "faults"
      ? {
          ...outcome,
          faults: outcome.faults.map((fault) => ({
            ...fault,
            field:
              fault.field?.replace(
                /^statedDimensions\.(\d+)/,
                (_, place: string) => `statedDimensions.${sent[Number(place)]?.place ?? place}`,
              ) ?? null,
          })),
        }
      : outcome;
  return { rows: rows && values, outcome: list.outcome(), atItsRow };
}
