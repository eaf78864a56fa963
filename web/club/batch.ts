import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";

export const BATCH_BASIS = { DRAWING: "a drawing", SAMPLE: "a sample" } as const;
export const BATCH_STATE = {
  TAKING_NAMES: "taking names",
  GOES_AHEAD: "goes ahead",
  NOT_FILLED: "not filled",
} as const;
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
    id code part machine maker closesOn state smallest most own withheldReason
    member { id name }
    outlook {
      putDown needed chance
      oneMoreSaves { minor currency decimals }
      now { ...SizeParts }
      goingAhead { ...SizeParts }
    }
    ownNameDown { id quantity }
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
    takingNames: batches(first: 1, state: TAKING_NAMES) { totalCount edges { node { ...BatchLine } } }
  }
`,
  [BatchLine],
);

export const NameDownParts = graphql(`
  fragment NameDownParts on NameDown @_unmask {
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
      revision references basis currency sparePercent depositPercent begunOn leadDays notes
      pattern { minor currency decimals }
      setUp { minor currency decimals }
      unit { minor currency decimals }
      prices { size unit { minor currency decimals } }
      stages { title percent }
      outlook { room arrivesOn withOneMore { ...SizeParts } sizes { ...SizeParts } }
      ownNameDown { ...NameDownParts }
      ownPart { id code name restoration { id machine } }
      namesDown(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { ...NameDownParts } }
      }
    }
  }
`,
  [BatchLine, SizeParts, NameDownParts],
);

export type BatchRow = ResultOf<typeof BatchLine>;
export type Batch = ResultOf<typeof BatchQuery>["batch"];
export type Size = ResultOf<typeof SizeParts>;
export type NameDown = ResultOf<typeof NameDownParts>;
