import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { EffectParts } from "../shared/effect.ts";
import { OptionCostParts } from "../shared/optionCost.tsx";
import { SaveParts } from "../shared/save.tsx";

/** A quote as it stands beside the others of its part. */
export const QuoteParts = graphql(
  `
  fragment QuoteParts on Quote @_unmask {
    id asked revision code provenance minimumQuantity dutyRate taxRate incoterm leadDays leadLeast leadLikely leadMost
    orderFrom validUntil expired preparationHours pointsByHand notes chosen arrivalDate
    supplier { id name country kind }
    unitPrice { minor currency decimals }
    carriage { minor currency decimals }
    insurance { minor currency decimals }
    deposit { minor currency decimals }
    priceBreaks { id quantity unitPrice { minor currency decimals } }
    ruledOut condition coreReturned weightGrams pointsLost
    coreCharge { minor currency decimals }
    knockOns { id title hours points price { minor currency decimals } }
    statedDimensions { id dimension value unit }
    makerRecord { orders arrived onTime averageDaysLate overdue ownShare next { evenOdds fourInFive } }
    landed {
      quantity ordered problem rateDate missingRates { from to date }
      total { minor currency decimals }
      exchange { date from rate to }
      lines { kind words rate amount { minor currency decimals } basis { minor currency decimals } }
    }
    cost { ...OptionCostParts }
    fit { verdict notAskedFor rows { dimension verdict unit least most value off words metal { action least most } } }
  }
`,
  [OptionCostParts],
);

export const PaymentParts = graphql(`
  fragment PaymentParts on Payment @_unmask {
    id revision kind paidOn notes rate corrects correctedBy amount { minor currency decimals }
  }
`);

/** An order with its payments. */
export const OrderParts = graphql(
  `
  fragment OrderParts on Order @_unmask {
    id revision code state quantity placedOn promisedOn expectedOn arrivedOn fitRating daysLate notes
    total { minor currency decimals } totalWorkedOut
    paid { minor currency decimals }
    quote { id code supplier { id name kind } }
    payments { ...PaymentParts }
  }
`,
  [PaymentParts],
);

/** All of a part's own sheet. */
export const PartQuery = graphql(
  `
  query Part($part: ID!) {
    part(id: $part) {
      id revision code name group quantity stateOnHand safetyCritical caution notes
      kept visible ruledOut chosenQuote { id }
      judgingSection { id name }
      ownJudgingSection { id name }
      judgingLine { id title mandatory disqualifying }
      estimate { minor currency decimals }
      outlook { quote { id supplier { id kind } } state arrivalDate needBy orderBy floatDays daysGained holdsUp }
      preparation { hours hands }
      declined { words follows }
      references { id book number }
      specification { id dimension nature nominal unit minus plus note }
      needs { id revision quantity operation { id code title state } }
      quotes { ...QuoteParts }
      orders { ...OrderParts }
      photographs(first: 1) { totalCount }
      inspections { id revision inspectedOn inspector what operation { id code title } }
    }
  }
`,
  [QuoteParts, OrderParts],
);

/** Where the part stands on the ladder, and what the target date asks of it. */
export const RungsQuery = graphql(`
  query Rungs($restoration: ID!) {
    holdUps(restoration: $restoration) {
      figuresFor confidence
      orderDays { own { heldEnd chance } }
      completion { date dateWithOpenInHand open targetDate targetName }
      ladder(first: 500) {
        edges {
          node { id tie tieSize title open heldTo nextCompletionDate huntedUntil needByTarget orderByTarget part { id } }
        }
      }
    }
  }
`);

export type Part = ResultOf<typeof PartQuery>["part"];
export type Quote = ResultOf<typeof QuoteParts>;

/** The quotes that may be chosen: what the owner declined and what is ruled out is not among them. */
export const quotesLeft = ({ quotes, ruledOut }: Pick<Part, "quotes" | "ruledOut">): Quote[] =>
  quotes.filter((quote) => quote.asked !== "DECLINED" && !quote.ruledOut && !ruledOut.includes(quote.provenance));

/** Whether it is waited for no more, tried or not. */
export const isHere = ({ outlook: { state } }: Pick<Part, "outlook">): boolean =>
  state === "IN_HAND" || state === "ARRIVED";
export type Order = ResultOf<typeof OrderParts>;
export type Payment = ResultOf<typeof PaymentParts>;
export type Inspection = Part["inspections"][number];
export type Need = Part["needs"][number];
export type Plan = ResultOf<typeof RungsQuery>["holdUps"];
export type Rung = Plan["ladder"]["edges"][number]["node"];

export const SavePart = graphql(
  `
  mutation SavePart($input: PartInput!) {
    savePart(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const ChooseQuote = graphql(
  `
  mutation ChooseQuote($part: ID!, $quote: ID, $revision: Int!) {
    chooseQuote(part: $part, quote: $quote, revision: $revision) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** What a quote would do, saved and chosen. */
export const QuoteEffectQuery = graphql(
  `
  query QuoteEffect($input: QuoteInput!) { quoteEffect(input: $input) { ...EffectParts } }
`,
  [EffectParts],
);

export const SaveQuote = graphql(
  `
  mutation SaveQuote($input: QuoteInput!) {
    saveQuote(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** How a supplier kept to what was promised, as on the day of the figures. */
export const SupplierRecordQuery = graphql(`
  query SupplierRecord($supplier: ID!, $restoration: ID!) {
    supplier(id: $supplier) { id makerRecord(restoration: $restoration) { orders arrived onTime averageDaysLate } }
  }
`);

/** What of a part's quotes is over the owner's limit and has no consent. */
export const OrderConsentQuery = graphql(`
  query OrderConsent($part: ID!, $restoration: ID!) {
    part(id: $part) { id quotes { id consentDue { asked amount { minor currency decimals } } } }
    restoration(id: $restoration) { id consentOver { minor currency decimals } }
  }
`);

export const OrderTotalQuery = graphql(`
  query OrderTotal($part: ID!, $quantity: Int, $placedOn: Date) {
    part(id: $part) {
      id
      quotes {
        id
        orderTotal(quantity: $quantity, placedOn: $placedOn) {
          beside problem
          alone { minor currency decimals }
          shared { minor currency decimals }
        }
      }
    }
  }
`);

export const SaveOrder = graphql(
  `
  mutation SaveOrder($input: OrderInput!) {
    saveOrder(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const SavePayment = graphql(
  `
  mutation SavePayment($input: PaymentInput!) {
    savePayment(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const CorrectPayment = graphql(
  `
  mutation CorrectPayment($payment: ID!, $input: PaymentInput) {
    correctPayment(payment: $payment, input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const SaveNeed = graphql(
  `
  mutation SaveNeed($input: NeedInput!) {
    saveNeed(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const SaveInspection = graphql(
  `
  mutation SaveInspection($input: InspectionInput!) {
    saveInspection(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);
