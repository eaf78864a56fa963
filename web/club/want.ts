import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";

export const WantParts = graphql(`
  fragment WantParts on Want @_unmask {
    id revision code part machine references quantity needBy notes met withheldReason own
    member { id name }
    ownPart { id restoration name }
  }
`);

export const SpareParts = graphql(`
  fragment SpareParts on Spare @_unmask {
    id revision code part machine references provenance condition quantity notes gone withheldReason own currency
    ownPart { id code name restoration { id machine } }
    price { minor currency decimals }
    member { id name }
  }
`);

export type Want = ResultOf<typeof WantParts>;
export type Spare = ResultOf<typeof SpareParts>;

export const WantsQuery = graphql(
  `
  query Wants($first: Int, $after: String, $firstOwn: Int, $afterOwn: String, $search: String, $searches: Boolean!) {
    own: wants(first: $firstOwn, after: $afterOwn, own: true) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { ...WantParts } }
    }
    wants(first: $first, after: $after, search: $search) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { ...WantParts } }
    }
    nearest: wants(first: 10, search: $search, nearest: true) @include(if: $searches) { edges { node { ...WantParts } } }
    matches(first: 1) { totalCount }
  }
`,
  [WantParts],
);

export const SparesQuery = graphql(
  `
  query Spares($first: Int, $after: String, $firstOwn: Int, $afterOwn: String, $search: String, $searches: Boolean!) {
    own: spares(first: $firstOwn, after: $afterOwn, own: true) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { ...SpareParts } }
    }
    spares(first: $first, after: $after, search: $search) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { ...SpareParts } }
    }
    nearest: spares(first: 10, search: $search, nearest: true) @include(if: $searches) { edges { node { ...SpareParts } } }
    matches(first: 1) { totalCount }
  }
`,
  [SpareParts],
);
