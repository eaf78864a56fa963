import type { ResultOf } from "gql.tada";
import type { HoldUpsQuery, LadderOddsQuery, RungParts } from "./documents.ts";

export type RungRow = ResultOf<typeof RungParts>;
export type HoldUpsData = ResultOf<typeof HoldUpsQuery>["holdUps"];
export type LadderOdds = ResultOf<typeof LadderOddsQuery>["odds"];
export type CompletionRow = HoldUpsData["completion"];

/** A hand by name, to whom the names of hands are told; else by trades. */
export const nameOf = ({ title, handName }: { title: string; handName?: string | null }): string => handName || title;

/** It is still looked for; what is ordered is its fallback. */
export const isHunted = ({ part }: { part: { outlook: { state: string } } | null }): boolean =>
  part?.outlook.state === "HUNTED";

/** What the figures are asked for: the day they are for and the chance of order-by dates. */
export interface Asked {
  restoration: string;
  figuresFor: string | null;
  /** Absent: as the restoration says. */
  confidence: number | undefined;
}

/** From even odds to 4 in 5: the end held by one hold-up alone. Null: it may never come. */
export interface Band {
  evenOdds: string | null;
  fourInFive: string | null;
}

/** By hold-up, the days by which the even odds come earlier with it alone cleared; null where there are none. */
export const evenOddsDaysOf = (odds: LadderOdds | null): Map<string, number | null> =>
  new Map(odds?.holdUps.edges.map(({ node }) => [node.id, node.evenOddsDays]));

/** The bands by hold-up; a band of one day shows nothing that the line does not. */
export function bandsOf(odds: LadderOdds | null): Map<string, Band> {
  const found = odds?.holdUps.edges.map(({ node }) => node) ?? [];
  return new Map(
    found
      .filter(({ evenOddsCompletion: even, fourInFiveCompletion: sure }) => even !== sure)
      .map(({ id, evenOddsCompletion: evenOdds, fourInFiveCompletion: fourInFive }) => [id, { evenOdds, fourInFive }]),
  );
}

/** Where the ladder ends: the work alone, with what is on it cleared, hands too. */
export const workAloneOf = (
  rungs: readonly RungRow[],
  { workOnlyDate }: Pick<CompletionRow, "workOnlyDate">,
): string => (rungs.some(({ kind }) => kind === "HAND") ? rungs.at(-1)!.nextCompletionDate : workOnlyDate);

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
