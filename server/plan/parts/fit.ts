/** A part's specification against the dimensions that a quote states. */
import { type DimensionKind, type Fit, fitOf, type LengthUnit, type Metal, type RowFit } from "../../engine/fit/fit.ts";

export type Fitting = Fit;
export type FittedRow = RowFit;
/** Metal to take off or put on. */
export type Swarf = Metal;

export interface MeasuredRow {
  dimension: string;
  nature: DimensionKind;
  nominal: number;
  minus: number;
  plus: number;
  unit: LengthUnit;
}

export interface StatedRow {
  dimension: string;
  value: number;
  unit: LengthUnit;
}

/** A dimension's name as it is matched: whatever the case and the spaces. */
export const dimensionName = (dimension: string): string => dimension.trim().replace(/\s+/g, " ").toLowerCase();

/** Whether what is stated fits. Where a dimension is stated twice the first counts. */
export function quoteFit(specification: readonly MeasuredRow[], stated: readonly StatedRow[]): Fitting {
  const first = new Map<string, StatedRow>();
  for (const row of stated) {
    const name = dimensionName(row.dimension);
    if (!first.has(name)) first.set(name, row);
  }
  return fitOf(
    specification.map(({ nature, ...row }) => ({ ...row, kind: nature })),
    [...first.values()],
  );
}
