/**
 * Fit: a part's specification against the dimensions that a supplier states. A figure that is off may be put right with
 * metal, or not; the worst row decides. One inch is exactly 25.4 mm (international inch, 1959).
 */

export type LengthUnit = "MM" | "IN";

export const MM_PER_INCH = 25.4;

/**
 * What kind of length it is: OUTSIDE can have metal taken off (a shaft, a flange), INSIDE can be opened up (a bore, a
 * slot), and nothing can be done about a DISTANCE (bolt circle, centres, pitch).
 */
export type DimensionKind = "OUTSIDE" | "INSIDE" | "DISTANCE";

export interface SpecificationRow {
  dimension: string;
  kind: DimensionKind;
  /** Allowed are nominal - minus to nominal + plus, both included, in `unit`. */
  nominal: number;
  minus: number;
  plus: number;
  unit: LengthUnit;
  /** Metal may also be put on: sprayed, plated, sleeved or bushed. Default false. */
  buildUp?: boolean;
}

export interface StatedDimension {
  dimension: string;
  value: number;
  unit: LengthUnit;
}

export type FitVerdict = "FITS" | "NEEDS_WORK" | "NOT_STATED" | "DOES_NOT_FIT";

/** Metal on the dimension itself (on a diameter, not on each side), in the row's unit. */
export interface Metal {
  action: "REMOVE" | "ADD";
  /** Brings the dimension just within its limits. */
  least: number;
  /** Brings it to the far limit: more would spoil it. */
  most: number;
}

export interface RowFit {
  dimension: string;
  verdict: FitVerdict;
  unit: LengthUnit;
  /** Limits in the row's unit. */
  least: number;
  most: number;
  /** The stated value in the row's unit; null when not stated. */
  value: number | null;
  /** How far outside the limits, in the row's unit: positive is too large, negative too small, zero within. */
  off: number;
  /** What would bring it in; null when it fits, is not stated, or nothing would. */
  metal: Metal | null;
  /** For people. */
  words: string;
}

export interface Fit {
  verdict: FitVerdict;
  rows: readonly RowFit[];
  /** Dimensions that the supplier states and the specification does not ask for. */
  notAskedFor: readonly string[];
}

/** Input that cannot be measured against; `row` names the dimension. */
export class FitFault extends Error {
  constructor(
    readonly code: "NOT_A_NUMBER" | "NEGATIVE" | "DUPLICATE",
    message: string,
    readonly row: string,
    readonly field: string,
  ) {
    super(message);
    this.name = "FitFault";
  }
}

/** Lengths closer than a nanometre are the same: far below any gauge, far above the rounding of a change of unit. In mm. */
const SAME_LENGTH = 1e-6;

const SEVERITY: Readonly<Record<FitVerdict, number>> = { FITS: 0, NEEDS_WORK: 1, NOT_STATED: 2, DOES_NOT_FIT: 3 };

/** A length in another unit. */
export function inUnit(value: number, from: LengthUnit, to: LengthUnit): number {
  if (from === to) return value;
  return from === "IN" ? value * MM_PER_INCH : value / MM_PER_INCH;
}

/**
 * Reads a specification against what is stated. Dimensions are matched by name, whatever the case and spacing. A part
 * with no specification is NOT_STATED: there is nothing to go by.
 * @throws FitFault when a figure is no number or negative, or a dimension is stated twice
 */
export function fitOf(specification: readonly SpecificationRow[], stated: readonly StatedDimension[]): Fit {
  const open = new Map<string, StatedDimension>();
  for (const one of stated) {
    check(one.value, one.dimension, "value");
    const name = plainName(one.dimension);
    if (open.has(name))
      throw new FitFault("DUPLICATE", `${one.dimension} is stated twice.`, one.dimension, "dimension");
    open.set(name, one);
  }
  const asked = new Set<string>();
  const rows = specification.map((row) => {
    asked.add(plainName(row.dimension));
    return rowFit(row, open.get(plainName(row.dimension)));
  });
  const verdict = rows.reduce<FitVerdict>(
    (worst, row) => (SEVERITY[row.verdict] > SEVERITY[worst] ? row.verdict : worst),
    rows.length === 0 ? "NOT_STATED" : "FITS",
  );
  const notAskedFor = stated.filter((one) => !asked.has(plainName(one.dimension))).map((one) => one.dimension);
  return { verdict, rows, notAskedFor };
}

/** One row of the specification against one stated dimension. */
export function rowFit(row: SpecificationRow, stated: Pick<StatedDimension, "value" | "unit"> | undefined): RowFit {
  check(row.nominal, row.dimension, "nominal");
  check(row.minus, row.dimension, "minus");
  check(row.plus, row.dimension, "plus");
  const { dimension, unit } = row;
  const least = row.nominal - row.minus;
  const most = row.nominal + row.plus;
  const between = { dimension, unit, least, most };
  if (stated === undefined) {
    const words = `${dimension} is not stated; ask for it (${limits(row)}).`;
    return { ...between, verdict: "NOT_STATED", value: null, off: 0, metal: null, words };
  }
  const value = inUnit(stated.value, stated.unit, unit);
  const same = inUnit(SAME_LENGTH, "MM", unit);
  const off = value > most + same ? value - most : value < least - same ? value - least : 0;
  if (off === 0)
    return {
      ...between,
      verdict: "FITS",
      value,
      off,
      metal: null,
      words: `${dimension} fits: ${length(value, unit)} (${limits(row)}).`,
    };
  const metal = byMetal(row, value, off);
  const size = `${length(Math.abs(off), unit)} too ${off > 0 ? "large" : "small"} (${length(value, unit)}; ${limits(row)})`;
  return metal === null
    ? { ...between, verdict: "DOES_NOT_FIT", value, off, metal, words: `${dimension} does not fit: ${size}.` }
    : {
        ...between,
        verdict: "NEEDS_WORK",
        value,
        off,
        metal,
        words: `${dimension} needs work: ${size}; ${metal.action === "REMOVE" ? "take off" : "put on"} ${amount(metal, unit)}.`,
      };
}

/** The metal that would bring a value within its limits, or null. */
function byMetal(row: SpecificationRow, value: number, off: number): Metal | null {
  if (row.kind === "DISTANCE") return null;
  // A shaft too large and a bore too small both have metal to spare.
  const action = (row.kind === "OUTSIDE") === off > 0 ? "REMOVE" : "ADD";
  if (action === "ADD" && !row.buildUp) return null;
  const far = off > 0 ? row.nominal - row.minus : row.nominal + row.plus;
  return { action, least: Math.abs(off), most: Math.abs(value - far) };
}

function plainName(dimension: string): string {
  return dimension.trim().replace(/\s+/g, " ").toLowerCase();
}

function check(value: number, row: string, field: string): void {
  if (!Number.isFinite(value))
    throw new FitFault("NOT_A_NUMBER", `The ${field} of ${row} must be a number.`, row, field);
  if (value < 0) throw new FitFault("NEGATIVE", `The ${field} of ${row} must not be negative.`, row, field);
}

/** A micrometre, or a ten-thousandth of an inch with one more place: what a micrometer reads. */
const PLACES: Readonly<Record<LengthUnit, number>> = { MM: 3, IN: 5 };

function length(value: number, unit: LengthUnit): string {
  return `${Number(value.toFixed(PLACES[unit]))} ${unit === "MM" ? "mm" : "in"}`;
}

function limits(row: SpecificationRow): string {
  const low = length(row.nominal - row.minus, row.unit);
  return row.minus === 0 && row.plus === 0
    ? `asked for is ${low}`
    : `allowed are ${low} to ${length(row.nominal + row.plus, row.unit)}`;
}

function amount({ least, most }: Metal, unit: LengthUnit): string {
  const [low, high] = [length(least, unit), length(most, unit)];
  return low === high ? low : `${low} to ${high}`;
}
