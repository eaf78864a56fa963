import { graphql } from "../client.ts";
import { SaveParts } from "../shared/save.tsx";

/** What a rung of the ladder, its place in the table and the list of orders show of a hold-up. */
export const RungParts = graphql(`
  fragment RungParts on HoldUp @_unmask {
    id kind code title open decided tie tieSize
    completionDate nextCompletionDate orderOn arrivalDate usableDate
    needBy orderBy daysLeft daysGained floatDays
    part { id quantity revision outlook { standing } }
    snag { id }
    order { id state promisedOn daysLate }
    quote { id leadDays unitPrice { minor currency decimals } supplier { id name } }
    remedy { id title days price { minor currency decimals } supplier { id name } }
  }
`);

/** `top` is read for the sentence, whatever page the ladder is on. */
export const HoldUpsQuery = graphql(
  `
  query HoldUps(
    $restoration: ID!, $dataDate: Date, $confidence: Float,
    $ladderFirst: Int, $ladderAfter: String, $orderFirst: Int, $orderAfter: String,
    $chaseFirst: Int, $chaseAfter: String, $freeFirst: Int, $freeAfter: String, $trade: String
  ) {
    holdUps(restoration: $restoration, dataDate: $dataDate, confidence: $confidence) {
      dataDate confidence
      restoration { id revision }
      completion { date dateWithOpenInHand daysLate open targetDate targetName workOnlyDate workOnlyHours }
      top: ladder(first: 50) { edges { node { id title open tie tieSize completionDate nextCompletionDate } } }
      ladder(first: $ladderFirst, after: $ladderAfter) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { cursor node { ...RungParts } }
      }
      orderNow(first: $orderFirst, after: $orderAfter) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { ...RungParts } }
      }
      chase(first: $chaseFirst, after: $chaseAfter) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node {
          daysLate expectedOn promisedOn holdsUp
          order { id code } part { id name } supplier { id name email phone }
        } }
      }
      freeWork(first: $freeFirst, after: $freeAfter, trade: $trade) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { critical floatHours hours operation { id code title trade } } }
      }
      freeWorkByTrade { trade operations hours }
    }
  }
`,
  [RungParts],
);

/** One rung with its reasons, found by the cursor of the rung before it. */
export const WhyQuery = graphql(`
  query Why($restoration: ID!, $dataDate: Date, $confidence: Float, $after: String) {
    holdUps(restoration: $restoration, dataDate: $dataDate, confidence: $confidence) {
      restoration { id }
      ladder(first: 1, after: $after) {
        edges { node {
          id needBy orderBy daysLeft needByTarget orderByTarget floatDays daysGained
          directOperations waitingOperations waitingHours
          chain { kind code title startDate finishDate hours lag lagUnit operation { id trade } }
        } }
      }
    }
  }
`);

/** Where a rung stands that is not on the page in view. */
export const WhereQuery = graphql(`
  query Where($restoration: ID!, $dataDate: Date, $confidence: Float, $after: String) {
    holdUps(restoration: $restoration, dataDate: $dataDate, confidence: $confidence) {
      restoration { id }
      ladder(first: 100, after: $after) {
        pageInfo { hasNextPage endCursor }
        edges { cursor node { id } }
      }
    }
  }
`);

export const ChooseQuote = graphql(
  `
  mutation ChooseQuoteFromHoldUps($part: ID!, $quote: ID, $revision: Int!) {
    chooseQuote(part: $part, quote: $quote, revision: $revision) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);
