/** A thread as it was measured, read from the address. */
import { numberTyped } from "../shared/typedNumber.ts";

export const MEASURED = ["diameter", "pitch", "perInch", "tolerance", "wear", "angle"] as const;
export type MeasuredName = (typeof MEASURED)[number];

interface Asked extends Partial<Record<MeasuredName, number>> {
  diameter: number;
  unit: "MM" | "IN";
}

export interface Measured {
  /** As typed. */
  text: Readonly<Record<MeasuredName, string>>;
  unit: "MM" | "IN";
  /** What cannot be read. */
  faults: readonly { field: string; message: string }[];
  /** What is asked of the server; null while nothing can be. */
  asked: Asked | null;
}

/** Reads a measurement from an address; a fraction of an inch, such as 1/4, is read too. */
export function measuredIn(params: URLSearchParams): Measured {
  const unit = params.get("unit") === "in" ? "IN" : "MM";
  const text = Object.fromEntries(MEASURED.map((name) => [name, params.get(name) ?? ""])) as Record<
    MeasuredName,
    string
  >;
  const faults: { field: string; message: string }[] = [];
  const asked: Partial<Record<MeasuredName, number>> = {};
  for (const name of MEASURED) {
    if (text[name].trim() === "") continue;
    const value = lengthOf(text[name]);
    if ("fault" in value) faults.push({ field: name, message: value.fault });
    else asked[name] = value.value;
  }
  if (asked.pitch !== undefined && asked.perInch !== undefined)
    faults.push({ field: "perInch", message: "Give the pitch or the threads to the inch, not both." });
  const { diameter } = asked;
  return {
    text,
    unit,
    faults,
    asked: faults.length === 0 && diameter !== undefined ? { ...asked, diameter, unit } : null,
  };
}

/** "6.35", "6,35", "1/4", "1 1/4"; else what is wrong with it. */
function lengthOf(text: string): { value: number } | { fault: string } {
  const bare = text.trim();
  const [, whole, over, under] = /^(?:(\d+)\s+)?(\d+)\/(\d+)$/.exec(bare) ?? [];
  if (over && Number(under) > 0) return { value: Number(whole ?? 0) + Number(over) / Number(under) };
  const read = numberTyped(bare);
  return "value" in read && read.value < 0 ? { fault: "Must not be negative." } : read;
}
