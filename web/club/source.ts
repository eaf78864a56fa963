import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";

export const SourceParts = graphql(`
  fragment SourceParts on ClubSource @_unmask {
    id revision code supplier country part machine references provenance failed notes sharedOn withheldReason own
    price { minor currency decimals }
    delivery { promisedDays takenDays fitRating }
    record { deliveries late failed fitRating }
    member { id name }
  }
`);

export type Source = ResultOf<typeof SourceParts>;

export const SourcesQuery = graphql(
  `
  query ClubSources(
    $first: Int, $after: String, $search: String, $in: [SourceField!], $provenance: Provenance, $supplier: String,
    $own: Boolean, $withheld: Boolean, $searches: Boolean!
  ) {
    clubSources(
      first: $first, after: $after, search: $search, in: $in, provenance: $provenance, supplier: $supplier, own: $own,
      withheld: $withheld
    ) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { ...SourceParts } }
    }
    nearest: clubSources(
      first: 10, search: $search, nearest: true, in: $in, provenance: $provenance, supplier: $supplier, own: $own,
      withheld: $withheld
    ) @include(if: $searches) { edges { node { ...SourceParts } } }
  }
`,
  [SourceParts],
);

/** Where the words are looked for. */
export const SOURCE_FIELD = {
  PART: "the part's name",
  REFERENCES: "reference numbers",
  MACHINE: "the machine",
  SUPPLIER: "who makes it",
} as const;
