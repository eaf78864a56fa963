import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { SpareParts, WantParts } from "./want.ts";

export const MatchesQuery = graphql(
  `
  query Matches($first: Int, $after: String) {
    matches(first: $first, after: $after) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { reason messageCount want { ...WantParts } spare { ...SpareParts } } }
    }
  }
`,
  [WantParts, SpareParts],
);

export const MatchQuery = graphql(
  `
  query Match($want: ID!, $spare: ID!, $first: Int, $after: String) {
    match(want: $want, spare: $spare) {
      reason
      want { ...WantParts }
      spare { ...SpareParts }
      messages(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { id text withheldReason enteredAt member { id name own } } }
      }
    }
  }
`,
  [WantParts, SpareParts],
);

export type MatchRow = ResultOf<typeof MatchesQuery>["matches"]["edges"][number]["node"];
export type Message = ResultOf<typeof MatchQuery>["match"]["messages"]["edges"][number]["node"];

/** Why a want and a spare go together. */
export const MATCH_REASON = {
  SAME_REFERENCE: "the same reference number",
  SAME_MACHINE_AND_WORDING: "the same machine and the same words",
  SAME_MACHINE_ALIKE_WORDING: "the same machine and words much alike",
} as const;
