import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";

/** How a supplier has delivered, and what is expected of its next delivery. */
export const RecordParts = graphql(`
  fragment RecordParts on MakerRecord @_unmask {
    overdue ownShare crowdMakers crowdDeliveries
    next { promisedDays oneInTen evenOdds fourInFive nineInTen }
    generally { oneInTen evenOdds fourInFive nineInTen }
    curve { ratio maker general }
    deliveries(first: 40) {
      totalCount
      edges { node { promisedDays actualDays ratio order { id code part { id name } } } }
    }
  }
`);

export type SupplierRecord = ResultOf<typeof RecordParts>;
export type Delivery = SupplierRecord["deliveries"]["edges"][number]["node"];

/** A share as "4 in 10": neither none nor all while it is not. */
export function inTen(share: number): string {
  return `${share <= 0 ? 0 : share >= 1 ? 10 : Math.min(9, Math.max(1, Math.round(share * 10)))} in 10`;
}

/** Marks of the scale of actual over promised that lie within it, far enough apart to be read. */
export function marksOf(from: number, to: number): { ratio: number; words: string }[] {
  const place = (ratio: number) => Math.log(ratio / from) / Math.log(to / from);
  const kept: { ratio: number; words: string }[] = [];
  // The promise itself first, then the rounder figures.
  for (const ratio of [1, 2, 0.5, 1.5, 3, 0.75, 5, 0.25, 10]) {
    const at = place(ratio);
    if (at < 0.03 || at > 0.97 || kept.some((mark) => Math.abs(place(mark.ratio) - at) < 0.19)) continue;
    kept.push({ ratio, words: WORDS[ratio] ?? `${ratio} times` });
  }
  return kept.toSorted((a, b) => a.ratio - b.ratio);
}

const WORDS: Partial<Record<number, string>> = { 0.25: "a quarter", 0.5: "half", 1: "as promised", 2: "twice" };
