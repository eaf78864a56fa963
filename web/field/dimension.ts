import { plainNumber } from "../shared/format.ts";

const MM_PER_INCH = 25.4;

/** A key dimension of a specification. */
export interface Dimension {
  nominal: number;
  unit: "MM" | "IN";
  /** Allowed below and above the nominal, in the same unit. */
  minus: number;
  plus: number;
}

/** A dimension with its limits in millimetres and in inches: "38.1 mm, 38 to 38.1 (1.5 in, 1.496 to 1.5)". The unit it was specified in stands first. */
export function inBothUnits({ nominal, unit, minus, plus }: Dimension): string {
  const figures = [nominal, nominal - minus, nominal + plus];
  const inUnit = (to: "MM" | "IN"): string => {
    const factor = unit === to ? 1 : to === "MM" ? MM_PER_INCH : 1 / MM_PER_INCH;
    // A conversion shows no more than a caliper reads; what was specified is shown as it stands.
    const digits = unit === to ? 4 : to === "MM" ? 2 : 3;
    const [middle, least, most] = figures.map((figure) => plainNumber(figure * factor, digits));
    const limits = minus === 0 && plus === 0 ? "" : `, ${least} to ${most}`;
    return `${middle} ${to === "MM" ? "mm" : "in"}${limits}`;
  };
  const other = unit === "MM" ? "IN" : "MM";
  return `${inUnit(unit)} (${inUnit(other)})`;
}
