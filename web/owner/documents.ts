import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { ExposureParts } from "../money/documents.ts";
import { SaveParts } from "../shared/save.tsx";

const DecisionParts = graphql(`
  fragment DecisionParts on Decision @_unmask {
    id kind title question askedOn state answeredOn answeredAs answer noted orderedAllTheSame
    questions(first: 20) { edges { node { id question askedOn askedAs answer answeredOn } } }
    amount { minor currency decimals }
    quote { id provenance leadDays supplier { id name } }
    remedy { id title days hours supplier { id name } snag { id title } }
    way { id title days hours supplier { id name } operation { id title } }
  }
`);

/** Only what an owner may read: the same report for the owner and for the restorer who looks at it. */
export const OwnerQuery = graphql(
  `
  query Owner($restoration: ID!, $answered: Int!, $after: String) {
    restoration(id: $restoration) {
      ...ExposureParts
      revision machine owner targetName targetDate reportedOn mayAnswer
      consentOver { minor currency decimals }
      pointsLost { total maximum disqualifiedBy floors { award by met } }
      waiting: decisions(first: 100, waiting: true) { totalCount edges { node { ...DecisionParts } } }
      answered: decisions(first: $answered, after: $after, waiting: false) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { ...DecisionParts } }
      }
    }
    holdUps(restoration: $restoration) {
      otherWork { until days }
      completion { entered open lacking cleared date dateWithOpenInHand targetDate daysLate }
      ladder(first: 100) { edges { node { id open title } } }
    }
  }
`,
  [ExposureParts, DecisionParts],
);

export const OwnerOddsQuery = graphql(`
  query OwnerOdds($restoration: ID!) {
    odds(restoration: $restoration) {
      runs never condition endlessHunts evenOdds fourInFive onTarget
      holdUps(first: 5) { edges { node { id setsEnd meanDays part { id name } snag { id title } } } }
    }
  }
`);

/** Who looks at the report, and with it whether anything can be asked here. */
export const ReaderQuery = graphql(`
  query Reader {
    visitor { account { id name role } }
  }
`);

/** An answer stands: there is no change that could be taken back. */
export const AnswerDecision = graphql(`
  mutation AnswerDecision($decision: ID!, $approve: Boolean!, $name: String!, $answer: String) {
    answerDecision(decision: $decision, approve: $approve, name: $name, answer: $answer) {
      __typename
      ... on Saved { id revision }
      ... on InvalidInput { message faults { code field message complaint } }
      ... on Refused { code message rows }
    }
  }
`);

/** A question back leaves the decision waiting. */
export const AskBack = graphql(
  `
  mutation AskBack($decision: ID!, $name: String!, $question: String!) {
    askBack(decision: $decision, name: $name, question: $question) {
      __typename
      ... on Saved { id revision }
      ... on InvalidInput { message faults { code field message complaint } }
      ... on Refused { code message rows }
    }
  }
`,
);

export const AnswerBack = graphql(
  `
  mutation AnswerBack($decisionQuestion: ID!, $answer: String!) {
    answerBack(decisionQuestion: $decisionQuestion, answer: $answer) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** The restorer's side: what is over the owner's limit, and the quotes, remedies and ways to name. */
export const AskingQuery = graphql(`
  query Asking($restoration: ID!) {
    restoration(id: $restoration) {
      id
      consentOver { minor currency decimals }
      consentDue(first: 100) {
        totalCount
        edges {
          node {
            kind row code title asked
            amount { minor currency decimals }
            quote { id supplier { id name } }
            remedy { id title supplier { id name } }
            way { id title supplier { id name } }
          }
        }
      }
    }
  }
`);

export const AskDecision = graphql(
  `
  mutation AskDecision($input: DecisionInput!) {
    askDecision(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const WithdrawDecision = graphql(
  `
  mutation WithdrawDecision($decision: ID!) {
    withdrawDecision(decision: $decision) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export type OwnerData = ResultOf<typeof OwnerQuery>;
export type Report = NonNullable<OwnerData["restoration"]>;
export type Decision = Report["waiting"]["edges"][number]["node"];
export type DueConsent = NonNullable<
  ResultOf<typeof AskingQuery>["restoration"]
>["consentDue"]["edges"][number]["node"];
