import { minorOfText } from "../shared/format.ts";
import type { FieldFault, SaveOutcome } from "../shared/save.tsx";

/** Reads the text of a list's cells; what cannot be read becomes a fault at its cell, and nothing is sent. */
export class TypedList {
  readonly faults: FieldFault[] = [];

  constructor(private readonly name: string) {}

  /** A number with a point for decimals; blank is `blank`, or a fault where that is undefined. */
  number(row: number, column: string, text: string, blank?: number): number {
    const bare = text.trim();
    if (bare === "" && blank !== undefined) return blank;
    if (/^-?(\d+\.?\d*|\.\d+)$/.test(bare)) return Number(bare);
    return this.fault(
      row,
      column,
      bare === "" ? "A number is needed." : "Must be a number, with a point for decimals.",
    );
  }

  whole(row: number, column: string, text: string): number {
    const bare = text.trim();
    return /^\d{1,9}$/.test(bare) ? Number(bare) : this.fault(row, column, "A whole number is needed.");
  }

  /** An amount typed in the major unit, in minor units. */
  minor(row: number, column: string, text: string, decimals: number): number {
    return (
      minorOfText(text, decimals) ?? this.fault(row, column, `An amount with at most ${decimals} decimals is needed.`)
    );
  }

  private fault(row: number, column: string, message: string): number {
    this.faults.push({ code: "UNREADABLE", field: `${this.name}.${row}.${column}`, message });
    return 0;
  }

  /** How the save ends where something could not be read; null where all could. */
  outcome(): SaveOutcome | null {
    return this.faults.length > 0 ? { kind: "faults", faults: this.faults, message: "Nothing was changed." } : null;
  }
}
