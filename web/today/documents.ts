import { graphql } from "../client.ts";

export const TodayQuery = graphql(`
  query Today($restoration: ID!, $first: Int!, $shop: Boolean!) {
    restoration(id: $restoration) {
      id
      daySummary {
        day isToday sentence since
        sections {
          kind title none
          lines(first: $first) {
            totalCount
            edges { node { subject what due daysLeft note phone pressing part { id } snag { id } } }
          }
        }
      }
    }
    holdUps(restoration: $restoration) @include(if: $shop) {
      restoration { id }
      laterOrders { count firstOn lastOn chosen cost { minor currency decimals } }
      handLoad(first: 25) {
        edges { node {
          name trades
          weeks(first: 1) { away { from to } work { title hours operation { id } restoration { id machine } } }
        } }
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
