import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { EffectParts } from "../shared/effect.ts";
import { SaveParts } from "../shared/save.tsx";

export const HuntQuery = graphql(`
  query PartHunt($part: ID!) {
    part(id: $part) {
      id revision name
      fallbackQuote { id code asked }
      quotes { id code supplier { name } }
      hunt {
        id revision state begunOn chancePerWeek beliefWeeks stopDate provenance leadDays preparationHours
        currency price { minor } fallbackDoubts
        events { id date title chance }
        outlook {
          figuresFor chanceNextWeek weeksLooked confidence evenOddsDate lastOrderDate targetMissed
          findDisqualifiedBy fallbackDisqualifiedBy
          best { date chanceOfTarget }
          atStop { date chanceFound }
          stops {
            date chanceFound chanceOfTarget fallbackArrival listed points
            cost { minor currency decimals }
          }
        }
      }
    }
  }
`);

/** Asked apart, because the runs take a while. */
export const HuntOddsQuery = graphql(`
  query HuntOdds($hunt: ID!) {
    hunt(id: $hunt) {
      id
      outlook {
        confidence
        odds {
          inHand decideBy best { date }
          stops { date onTarget daysLate total { minor currency decimals } }
        }
      }
    }
  }
`);

/** What stopping on another day would do. */
export const StopEffectQuery = graphql(
  `
  query StopEffect($hunt: ID!, $on: Date) {
    hunt(id: $hunt) { id stopEffect(on: $on) { ...EffectParts } }
  }
`,
  [EffectParts],
);

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

export const RecordFruitlessSearch = graphql(
  `
  mutation RecordFruitlessSearch($hunt: ID!, $revision: Int!, $date: Date!, $title: String!) {
    recordFruitlessSearch(hunt: $hunt, revision: $revision, date: $date, title: $title) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const HuntFound = graphql(
  `
  mutation HuntFound(
    $hunt: ID!, $revision: Int!, $inHand: Boolean!, $supplier: ID, $provenance: Provenance, $unitPriceMinor: Minor,
    $currency: String, $leadDays: Int, $preparationHours: Float, $notes: String
  ) {
    huntFound(
      hunt: $hunt, revision: $revision, inHand: $inHand, supplier: $supplier, provenance: $provenance,
      unitPriceMinor: $unitPriceMinor, currency: $currency, leadDays: $leadDays, preparationHours: $preparationHours,
      notes: $notes
    ) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export type HuntedPart = NonNullable<ResultOf<typeof HuntQuery>["part"]>;
export type HuntRow = NonNullable<HuntedPart["hunt"]>;
export type HuntOutlook = NonNullable<HuntRow["outlook"]>;
export type HuntOdds = NonNullable<NonNullable<ResultOf<typeof HuntOddsQuery>["hunt"]["outlook"]>["odds"]>;
