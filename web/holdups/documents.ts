import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { SaveParts } from "../shared/save.tsx";

/** What a rung of the ladder, its place in the table and the list of orders show of a hold-up. */
export const RungParts = graphql(`
  fragment RungParts on HoldUp @_unmask {
    id kind code title handName @include(if: $contact) otherWorkUntil open lacking cleared decided declined tie tieSize
    heldTo nextCompletionDate orderOn arrivalDate usableDate
    needBy orderBy daysLeft orderByTarget chanceWeekLater daysGained floatDays huntedUntil
    quoteDoubts @include(if: $landed)
    consent @include(if: $landed)
    part { id quantity revision outlook { state } hunt @include(if: $landed) { id } }
    snag { id }
    order { id state promisedOn daysLate }
    quote {
      id leadDays unitPrice { minor currency decimals } supplier { id name kind }
      landed { ordered total { minor currency decimals } }
    }
    remedy { id title days price { minor currency decimals } supplier { id name } }
  }
`);

/** What a line of the orders due soon shows. */
export const OrderLineParts = graphql(`
  fragment OrderLineParts on HoldUp @_unmask {
    id title decided orderBy daysLeft huntedUntil
    quoteDoubts @include(if: $landed)
    consent @include(if: $landed)
    part { id outlook { state } }
    quote { supplier { name kind } landed { total { minor currency decimals } } }
    remedy { price { minor currency decimals } supplier { name } }
  }
`);

/** `top` is read for the sentence, whatever page the ladder is on. */
export const HoldUpsQuery = graphql(
  `
  query HoldUps(
    $restoration: ID!, $figuresFor: Date, $confidence: Float,
    $ladderFirst: Int, $ladderAfter: String, $orderFirst: Int, $orderAfter: String,
    $chaseFirst: Int, $chaseAfter: String, $freeFirst: Int, $freeAfter: String, $trade: String,
    $contact: Boolean!, $landed: Boolean!
  ) {
    holdUps(restoration: $restoration, figuresFor: $figuresFor, confidence: $confidence) {
      figuresFor confidence
      orderDays @include(if: $landed) { own { end chanceAtOnce held heldEnd chance } target { end chanceAtOnce held } }
      restoration { id revision planRevision }
      completion { entered date dateWithOpenInHand daysLate open cleared targetDate targetName workOnlyDate workOnlyHours }
      heldByMarks @include(if: $contact) { title notBefore completionWithout operation { id } }
      top: ladder(first: 50) {
        edges { node {
          id kind title handName @include(if: $contact) open lacking cleared tie tieSize heldTo nextCompletionDate needBy
          part { id } snag { id }
        } }
      }
      soon: toOrder(first: 8) { edges { node { ...OrderLineParts } } }
      laterOrders @include(if: $landed) { count firstOn lastOn chosen cost { minor currency decimals } }
      late: chase(first: 3) {
        edges { node { daysLate holdsUp part { id name } supplier { id name email @include(if: $contact) phone @include(if: $contact) } } }
      }
      ladder(first: $ladderFirst, after: $ladderAfter) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { cursor node { ...RungParts } }
      }
      toOrder(first: $orderFirst, after: $orderAfter) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { ...RungParts } }
      }
      chase(first: $chaseFirst, after: $chaseAfter) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node {
          daysLate expectedOn promisedOn holdsUp
          order { id code } part { id name } supplier { id name email @include(if: $contact) phone @include(if: $contact) }
        } }
      }
      freeToStart(first: $freeFirst, after: $freeAfter, trade: $trade) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { critical floatHours hours from hands @include(if: $contact) operation { id code title trade } } }
      }
      freeToStartByTrade { trade operations hours }
    }
  }
`,
  [RungParts, OrderLineParts],
);

/** The dates by their odds: of the machine, and of the rungs in view. */
export const LadderOddsQuery = graphql(`
  query LadderOdds($restoration: ID!, $figuresFor: Date, $rungs: [ID!]!) {
    odds(restoration: $restoration, figuresFor: $figuresFor) {
      figuresFor evenOdds fourInFive onTarget condition endlessHunts
      holdUps(first: 100, of: $rungs) { edges { node { id evenOddsCompletion fourInFiveCompletion evenOddsDays } } }
    }
  }
`);

/** The machine's date by its odds, with the runs and the hold-ups behind it. */
export const OddsQuery = graphql(`
  query Odds($restoration: ID!, $figuresFor: Date, $first: Int!) {
    odds(restoration: $restoration, figuresFor: $figuresFor) {
      figuresFor runs never condition endlessHunts evenOdds fourInFive onTarget standardError
      weeks { from to share }
      holdUps(first: $first) {
        edges { node { id setsEnd meanDays evenOddsArrival fourInFiveArrival part { id name } snag { id title } } }
      }
    }
  }
`);

/** What keeping the order of work costs or spares: drawn after the odds, and shown when it is there. */
export const PoliciesQuery = graphql(`
  query Policies($restoration: ID!, $figuresFor: Date) {
    odds(restoration: $restoration, figuresFor: $figuresFor) {
      figuresFor policies { evenOddsDays fourInFiveDays differ differDays }
    }
  }
`);

export const OddsJobParts = graphql(`
  fragment OddsJobParts on Job @_unmask {
    id state stage done total
    problem { message }
    oddsSoFar { runs standardError fourInFive }
  }
`);

export const StartOdds = graphql(
  `
  mutation StartOdds($restoration: ID!, $figuresFor: Date) {
    started: startOdds(restoration: $restoration, figuresFor: $figuresFor) { ...OddsJobParts }
  }
`,
  [OddsJobParts],
);

export const StopOdds = graphql(
  `
  mutation StopOdds($job: ID!) { stopJob(job: $job) { ...OddsJobParts } }
`,
  [OddsJobParts],
);

export const OddsJobEvents = graphql(
  `
  subscription OddsJob($id: ID!) { job(id: $id) { ...OddsJobParts } }
`,
  [OddsJobParts],
);

export const OddsJobNow = graphql(
  `
  query OddsJobNow($id: ID!) { job(id: $id) { ...OddsJobParts } }
`,
  [OddsJobParts],
);

/** The date by which to decide on a hunt: asked apart, because the runs take a while. */
export const DecideByQuery = graphql(`
  query DecideBy($hunt: ID!, $confidence: Float) {
    hunt(id: $hunt) { id outlook(confidence: $confidence) { figuresFor odds { decideBy } } }
  }
`);

/** One rung with its reasons, found by the cursor of the rung before it. */
export const WhyQuery = graphql(`
  query Why($restoration: ID!, $figuresFor: Date, $confidence: Float, $after: String) {
    holdUps(restoration: $restoration, figuresFor: $figuresFor, confidence: $confidence) {
      restoration { id }
      ladder(first: 1, after: $after) {
        edges { node {
          id needBy orderBy daysLeft needByTarget orderByTarget chanceWeekLater floatDays daysGained
          directOperations waitingOperations waitingHours
          chain { kind code title startDate finishDate hours lag lagUnit operation { id trade } }
        } }
      }
    }
  }
`);

/** Where a rung stands that is not on the page in view. */
export const WhereQuery = graphql(`
  query Where($restoration: ID!, $figuresFor: Date, $confidence: Float, $after: String) {
    holdUps(restoration: $restoration, figuresFor: $figuresFor, confidence: $confidence) {
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

export type OddsJob = ResultOf<typeof OddsJobParts>;
