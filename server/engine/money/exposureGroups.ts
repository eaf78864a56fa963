/** The owner's exposure laid out by group of the machine, by month and by currency. */
import { type Bucket, type ExposureLine, type ExposureSum, sumOf, sumsByBucket } from "./exposure.ts";

export interface ExposureGroup {
  /** Group, month (YYYY-MM) or ISO 4217 code; null is what has none. */
  key: string | null;
  buckets: Record<Bucket, ExposureSum>;
  total: ExposureSum;
}

/** A currency's group, with what was and is to be paid in the currency itself. */
export interface CurrencyGroup extends ExposureGroup {
  paidOwnMinor: number;
  owedOwnMinor: number;
}

/** By group of the machine, in alphabetical order; what has no group last. */
export const byGroup = (lines: readonly ExposureLine[]): ExposureGroup[] =>
  grouped(lines, ({ group }) => (group === "" ? null : group)).map(([key, own]) => groupOf(key, own));

/** By month of payment, the earliest first; what has no date last. */
export const byMonth = (lines: readonly ExposureLine[]): ExposureGroup[] =>
  grouped(lines, ({ month }) => month).map(([key, own]) => groupOf(key, own));

/** By currency of payment, in alphabetical order; what is not decided last. */
export const byCurrency = (lines: readonly ExposureLine[]): CurrencyGroup[] =>
  grouped(lines, ({ currency }) => currency).map(([key, own]) => ({
    ...groupOf(key, own),
    paidOwnMinor: ownOf(own, "PAID"),
    owedOwnMinor: ownOf(own, "OWED"),
  }));

const ownOf = (lines: readonly ExposureLine[], bucket: Bucket): number =>
  lines.reduce((sum, line) => (line.bucket === bucket ? sum + (line.ownMinor ?? 0) : sum), 0);

const groupOf = (key: string | null, lines: readonly ExposureLine[]): ExposureGroup => ({
  key,
  buckets: sumsByBucket(lines),
  total: sumOf(lines),
});

function grouped(
  lines: readonly ExposureLine[],
  keyOf: (line: ExposureLine) => string | null,
): [string | null, ExposureLine[]][] {
  const groups = new Map<string | null, ExposureLine[]>();
  for (const line of lines) {
    const key = keyOf(line);
    const known = groups.get(key);
    if (known === undefined) groups.set(key, [line]);
    else known.push(line);
  }
  return [...groups].sort(([a], [b]) => (a === null ? 1 : b === null ? -1 : a < b ? -1 : 1));
}
