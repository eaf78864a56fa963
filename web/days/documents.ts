import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";

export const DaysQuery = graphql(`
  query Days($restoration: ID!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      days(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges {
          node {
            day
            targetDate
            open
            completion
            evenOdds
            fourInFive
            targetOdds
            cost { minor currency decimals }
          }
        }
      }
    }
  }
`);

export const MovedQuery = graphql(`
  query Moved($restoration: ID!, $day: Date!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      movedSince(day: $day) {
        since { day open completion }
        days
        opened
        closed
        lacking
        moved(first: $first, after: $after) {
          totalCount
          pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
          edges { cursor node { id title days from to part { id code } snag { id code } } }
        }
      }
    }
    holdUps(restoration: $restoration) { figuresFor completion { entered date dateWithOpenInHand } }
  }
`);

export type DayRow = NonNullable<ResultOf<typeof DaysQuery>["restoration"]>["days"]["edges"][number]["node"];
export type MovedData = NonNullable<NonNullable<ResultOf<typeof MovedQuery>["restoration"]>["movedSince"]>;
