import type { FieldFault, SaveOutcome } from "../shared/save.tsx";
import { amountTyped, numberTyped } from "../shared/typedNumber.ts";

/** Reads the text of a list's cells; what cannot be read becomes a fault at its cell, and nothing is sent. */
export class TypedList {
  readonly faults: FieldFault[] = [];

  constructor(private readonly name: string) {}

  /** A number; blank is `blank`, or a fault where that is undefined. */
  number(row: number, column: string, text: string, blank?: number): number {
    const bare = text.trim();
    if (bare === "" && blank !== undefined) return blank;
    return this.read(row, column, bare === "" ? { fault: "A number is needed." } : numberTyped(text));
  }

  whole(row: number, column: string, text: string): number {
    const read = numberTyped(text, true);
    const isOne = "value" in read && read.value >= 0 && read.value < 1e9;
    return this.read(row, column, isOne ? read : { fault: "A whole number is needed." });
  }

  /** An amount typed in the major unit, in minor units. */
  minor(row: number, column: string, text: string, currency: string, decimals: number): number {
    return this.read(row, column, amountTyped(text, currency, decimals));
  }

  private read(row: number, column: string, read: { value: number } | { fault: string }): number {
    if ("value" in read) return read.value;
    this.faults.push({ code: "UNREADABLE", field: `${this.name}.${row}.${column}`, message: read.fault });
    return 0;
  }

  /** How the save ends where something could not be read; null where all could. */
  outcome(): SaveOutcome | null {
    return this.faults.length > 0 ? { kind: "faults", faults: this.faults, message: "Nothing was changed." } : null;
  }
}
