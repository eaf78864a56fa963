import type { ResultOf } from "gql.tada";
import type { HoldUpsQuery, RungParts } from "./documents.ts";

export type RungRow = ResultOf<typeof RungParts>;
export type HoldUpsData = ResultOf<typeof HoldUpsQuery>["holdUps"];
export type CompletionRow = HoldUpsData["completion"];

/** What the figures are asked for: the day they stand for and the chance of order-by dates. */
export interface Asked {
  restoration: string;
  dataDate: string | null;
  confidence: number | null;
}

/** Rungs that finish together stand together; alone, a rung is a group of one. */
export function tiesOf(rungs: readonly RungRow[]): RungRow[][] {
  const groups: RungRow[][] = [];
  for (const rung of rungs) {
    const last = groups.at(-1);
    if (last && !rung.open && last[0]?.tie === rung.tie && !last[0].open) last.push(rung);
    else groups.push([rung]);
  }
  return groups;
}
