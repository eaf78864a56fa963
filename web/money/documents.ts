import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { SaveParts } from "../shared/save.tsx";

const SumParts = graphql(`
  fragment SumParts on ExposureSum @_unmask { low planned high unknown }
`);

const BucketParts = graphql(
  `
  fragment BucketParts on ExposureBuckets @_unmask {
    paid { ...SumParts }
    owed { ...SumParts }
    chosen { ...SumParts }
    undecided { ...SumParts }
    unsourced { ...SumParts }
    labourDone { ...SumParts }
    labourToGo { ...SumParts }
  }
`,
  [SumParts],
);

/** What the owner reads too: the sums, and what is at risk. */
export const ExposureParts = graphql(
  `
  fragment ExposureParts on Restoration @_unmask {
    id
    capCoversLabour
    cap { minor currency decimals }
    exposure {
      figuresFor
      labourUnrated
      buckets { ...BucketParts }
      total { ...SumParts }
      counted { ...SumParts }
      capLeft { minor currency decimals }
      invoiced { minor currency decimals }
      received { minor currency decimals }
      unpriced(first: 100) { totalCount edges { node { kind row code title why } } }
      atRisk(first: 100) {
        totalCount
        edges {
          node {
            order code part partName supplierName promisedOn daysLate unknown
            paid { minor currency decimals }
            amount { minor currency decimals }
          }
        }
      }
    }
  }
`,
  [BucketParts, SumParts],
);

export const MoneyQuery = graphql(
  `
  query Money($restoration: ID!) {
    restoration(id: $restoration) {
      ...ExposureParts
      owner
      consentOver { minor currency decimals }
      waiting: decisions(first: 1, waiting: true) { totalCount }
      declined(first: 100) { totalCount edges { node { title words follows } } }
      consentDue(first: 100) { edges { node { kind row title asked amount { minor currency decimals } } } }
      exposure {
        paidDirectly(first: 100) {
          totalCount
          edges { node {
            id way remedy operation snag code title owed inForce
            price { minor currency decimals }
            paid { minor currency decimals }
            left { minor currency decimals }
          } }
        }
        byGroup(first: 500) { edges { node { key buckets { ...BucketParts } total { ...SumParts } } } }
        byMonth(first: 500) { edges { node { key buckets { ...BucketParts } total { ...SumParts } } } }
        byCurrency {
          currency
          total { ...SumParts }
          paidThere { minor currency decimals }
          owedThere { minor currency decimals }
        }
      }
    }
  }
`,
  [ExposureParts, BucketParts, SumParts],
);

/** Asked for by itself: it waits for the runs. */
export const ContingencyQuery = graphql(`
  query Contingency($restoration: ID!) {
    restoration(id: $restoration) {
      id
      capCoversLabour
      exposure {
        buckets { labourToGo { planned } }
        labourExpected { minor currency decimals }
        contingency {
          amount { minor currency decimals }
          total { minor currency decimals }
          labour { minor currency decimals }
          parts { minor currency decimals }
          capLeft { minor currency decimals }
          chance runs never
        }
      }
    }
  }
`);

export const LedgerQuery = graphql(`
  query Ledger(
    $restoration: ID!, $first: Int, $after: String
    $kinds: [LedgerKind!], $search: String, $from: Date, $to: Date, $sort: LedgerSort, $descending: Boolean
  ) {
    restoration(id: $restoration) {
      id
      ledger(
        first: $first, after: $after
        kinds: $kinds, search: $search, from: $from, to: $to, sort: $sort, descending: $descending
      ) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges {
          node {
            id day kind what code part operation snag ofClub supplier who rate takesBack takenBack notes
            amount { minor currency decimals }
            home { minor currency decimals }
            balance { minor currency decimals }
          }
        }
      }
    }
  }
`);

export const SaveInvoice = graphql(
  `
  mutation SaveInvoice($input: InvoiceInput!) {
    saveInvoice(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const CorrectInvoice = graphql(
  `
  mutation CorrectInvoice($invoice: ID!, $input: InvoiceInput) {
    correctInvoice(invoice: $invoice, input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export type Exposed = ResultOf<typeof ExposureParts>;
export type Sum = Exposed["exposure"]["total"];
export type Buckets = Exposed["exposure"]["buckets"];
export type MoneyData = NonNullable<ResultOf<typeof MoneyQuery>["restoration"]>;
export type Group = MoneyData["exposure"]["byGroup"]["edges"][number]["node"];
export type Entry = NonNullable<ResultOf<typeof LedgerQuery>["restoration"]>["ledger"]["edges"][number]["node"];
