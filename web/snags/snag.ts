import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { PaymentParts } from "../parts/part.ts";
import { SaveParts } from "../shared/save.tsx";

export const SnagsQuery = graphql(`
  query Snags($restoration: ID!, $open: Boolean, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      stillOpen: snags(open: true, first: 500) { totalCount edges { node { id chosenRemedy { id } } } }
      snags(open: $open, first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges {
          node {
            id revision code title description foundOn clearedOn
            operation { id code title }
            chosenRemedy { id title }
            remedies {
              id revision code title days hours points notes chosen
              price { minor currency decimals }
              supplier { id code name }
            }
          }
        }
      }
    }
  }
`);

/** Payments of one snag's remedies: asked for by themselves, since a list of many snags need not tell them. */
export const SnagPaymentsQuery = graphql(
  `
  query SnagPayments($snag: ID!) {
    snag(id: $snag) { id remedies { id payments { ...PaymentParts } } }
  }
`,
  [PaymentParts],
);

export type SnagOnSheet = ResultOf<typeof SnagsQuery>["restoration"]["snags"]["edges"][number]["node"];
export type RemedyOnSheet = SnagOnSheet["remedies"][number];

export const SaveSnag = graphql(
  `
  mutation SaveSnag($input: SnagInput!) {
    saveSnag(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const SaveRemedy = graphql(
  `
  mutation SaveRemedy($input: RemedyInput!) {
    saveRemedy(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const ChooseRemedy = graphql(
  `
  mutation ChooseRemedy($snag: ID!, $remedy: ID, $revision: Int!) {
    chooseRemedy(snag: $snag, remedy: $remedy, revision: $revision) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);
