import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";

export const BATCH_BASIS = { DRAWING: "a drawing", SAMPLE: "a sample" } as const;
export const BATCH_STATE = { OPEN: "open", CLOSED: "going ahead", FAILED: "failed" } as const;
export const DEPOSIT_STATE = { HELD: "held", RETURNED: "returned", SPENT: "paid to the maker" } as const;

export const SizeParts = graphql(`
  fragment SizeParts on BatchSize @_unmask {
    size cast
    total { minor currency decimals }
    piece { minor currency decimals }
  }
`);

export const BatchLine = graphql(
  `
  fragment BatchLine on Batch @_unmask {
    id code part machine maker closesOn state smallest most own hiddenReason
    member { id name }
    standing {
      pledged needed chance
      oneMoreSaves { minor currency decimals }
      now { ...SizeParts }
      goingAhead { ...SizeParts }
    }
    ownPledge { id quantity }
  }
`,
  [SizeParts],
);

export const BatchesQuery = graphql(
  `
  query Batches($first: Int, $after: String, $state: BatchState, $own: Boolean) {
    batches(first: $first, after: $after, state: $state, own: $own) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { ...BatchLine } }
    }
    open: batches(first: 1, state: OPEN) { totalCount edges { node { ...BatchLine } } }
  }
`,
  [BatchLine],
);

export const PledgeParts = graphql(`
  fragment PledgeParts on Pledge @_unmask {
    id memberName own quantity depositState
    price { minor currency decimals }
    deposit { minor currency decimals }
    stages { minor currency decimals }
  }
`);

export const BatchQuery = graphql(
  `
  query Batch($batch: ID!, $first: Int, $after: String) {
    batch(id: $batch) {
      ...BatchLine
      revision references basis currency sparePercent depositPercent openedOn leadDays notes
      pattern { minor currency decimals }
      setUp { minor currency decimals }
      unit { minor currency decimals }
      prices { size unit { minor currency decimals } }
      stages { title percent }
      standing { room arrivesOn withOneMore { ...SizeParts } sizes { ...SizeParts } }
      ownPledge { ...PledgeParts }
      pledges(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { ...PledgeParts } }
      }
    }
  }
`,
  [BatchLine, SizeParts, PledgeParts],
);

export type BatchRow = ResultOf<typeof BatchLine>;
export type Batch = ResultOf<typeof BatchQuery>["batch"];
export type Size = ResultOf<typeof SizeParts>;
export type Pledge = ResultOf<typeof PledgeParts>;
