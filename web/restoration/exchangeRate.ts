import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { SaveParts } from "../shared/save.tsx";

/** The workshop's rates, the newest first; currency: those to or from it. */
export const ExchangeRatesQuery = graphql(`
  query ExchangeRates($restoration: ID!, $currency: String, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      all: exchangeRates(first: 1) { totalCount edges { node { id date } } }
      exchangeRates(currency: $currency, first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { id revision date base counter rate } }
      }
    }
  }
`);

export type ExchangeRate = ResultOf<typeof ExchangeRatesQuery>["restoration"]["exchangeRates"]["edges"][number]["node"];

export const SaveExchangeRate = graphql(
  `
  mutation SaveExchangeRate($input: ExchangeRateInput!) {
    saveExchangeRate(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const ImportExchangeRates = graphql(
  `
  mutation ImportExchangeRates($csv: String!) {
    importExchangeRates(csv: $csv) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);
