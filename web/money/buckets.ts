/** What money is spent, owed and still to come, in the order in which it is told, and in words. */
import { type MoneyValue, money } from "../shared/format.ts";
import type { Buckets, Sum } from "./documents.ts";

export const BUCKETS = ["paid", "owed", "chosen", "undecided", "unsourced", "labourDone", "labourToGo"] as const;
export type Bucket = (typeof BUCKETS)[number];

export const BUCKET_WORDS: Record<Bucket, { name: string; says: string }> = {
  paid: { name: "Paid", says: "Gone to suppliers and not come back" },
  owed: { name: "Owed", says: "Ordered or done outside, not yet paid" },
  chosen: {
    name: "Chosen",
    says: "Chosen, not yet ordered; what is looked for at what it costs on average, found or not",
  },
  undecided: { name: "Undecided", says: "Quoted, and the choice is still open: from the lowest quote to the highest" },
  unsourced: {
    name: "Without a source or remedy",
    says: "Nobody quotes it, or no remedy is entered: an estimate, or unknown",
  },
  labourDone: { name: "Labour done", says: "Hours booked, or as estimated where none were" },
  labourToGo: { name: "Labour to go", says: "From the shortest estimate to the longest" },
};

export const isLabour = (bucket: Bucket): boolean => bucket === "labourDone" || bucket === "labourToGo";

/** Those that count against the cap. */
export const countedOf = (coversLabour: boolean): Bucket[] =>
  BUCKETS.filter((bucket) => coversLabour || !isLabour(bucket));

type In = Pick<MoneyValue, "currency" | "decimals">;

/** One figure of a sum: never zero for what has none. */
export function figure(minor: number, { unknown }: Sum, of: In): string {
  if (unknown === 0) return money({ ...of, minor });
  return minor === 0 ? "unknown" : `at least ${money({ ...of, minor })}`;
}

/** "£585.00", "£589.00 to £1,560.78", "at least £420.00", "unknown" */
export function range(sum: Sum, of: In): string {
  const { low, high, unknown } = sum;
  if (low === high) return figure(low, sum, of);
  return `${unknown > 0 ? "at least " : ""}${money({ ...of, minor: low })} to ${money({ ...of, minor: high })}`;
}

/** A sum of several buckets. */
export function together(buckets: Buckets, names: readonly Bucket[]): Sum {
  const sum = { low: 0, planned: 0, high: 0, unknown: 0 };
  for (const name of names) {
    const { low, planned, high, unknown } = buckets[name];
    sum.low += low;
    sum.planned += planned;
    sum.high += high;
    sum.unknown += unknown;
  }
  return sum;
}

/** "December 2026" of YYYY-MM; what has no date is said so. */
export function monthInFull(month: string | null): string {
  if (month === null) return "No date yet";
  const name = new Intl.DateTimeFormat("en-GB", { month: "long", timeZone: "UTC" });
  return `${name.format(new Date(`${month}-01T00:00:00Z`))} ${month.slice(0, 4)}`;
}

/** Nothing of it; what has no figure is not nothing. */
export const isNothing = ({ low, high, unknown }: Sum): boolean => low === 0 && high === 0 && unknown === 0;
