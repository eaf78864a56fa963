import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { SaveParts } from "../shared/save.tsx";

export const HuntQuery = graphql(`
  query PartHunt($part: ID!) {
    part(id: $part) {
      id revision name
      fallbackQuote { id }
      quotes { id code supplier { name } }
      hunt {
        id revision state begunOn chancePerWeek beliefWeeks stopDate provenance leadDays currency price { minor }
        events { id date title chance }
        outlook {
          chanceNextWeek weeksLooked confidence evenOddsDate lastOrderDate
          decideBy { date chanceOfTarget }
          best { date chanceOfTarget }
          stops { date chanceFound chanceOfTarget fallbackArrival cost { minor currency decimals } points }
        }
      }
    }
  }
`);

export const SaveHunt = graphql(
  `
  mutation SaveHunt($input: HuntInput!) {
    saveHunt(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const ChooseFallback = graphql(
  `
  mutation ChooseFallback($part: ID!, $quote: ID, $revision: Int!) {
    chooseFallback(part: $part, quote: $quote, revision: $revision) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const HuntFound = graphql(
  `
  mutation HuntFound($hunt: ID!, $revision: Int!) {
    huntFound(hunt: $hunt, revision: $revision, inHand: true) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export type HuntedPart = NonNullable<ResultOf<typeof HuntQuery>["part"]>;
export type HuntRow = NonNullable<HuntedPart["hunt"]>;
