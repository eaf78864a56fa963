import { graphql } from "../client.ts";

export const TodayQuery = graphql(`
  query Today($restoration: ID!, $first: Int!) {
    restoration(id: $restoration) {
      id
      daySummary {
        day isToday sentence since
        sections {
          kind title none
          lines(first: $first) {
            totalCount
            edges { node { subject words pressing part { id } snag { id } } }
          }
        }
      }
    }
    me { id revision role email dailySummary mailIsSent }
  }
`);

export const SaveMorning = graphql(`
  mutation SaveMorning($input: AccountInput!) {
    saveAccount(input: $input) {
      __typename
      ... on InvalidInput { message faults { field message complaint } }
      ... on StaleRow { message }
      ... on Refused { message }
    }
  }
`);
