import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { dateInFull } from "../shared/format.ts";
import { SaveParts } from "../shared/save.tsx";

/** What a photograph is of. */
export interface Subject {
  kind: "part" | "quote" | "operation" | "snag";
  id: string;
  /** "Gearbox casing", "quote 1 from Lower Mill Foundry". */
  name: string;
}

const PhotographParts = graphql(`
  fragment PhotographParts on Photograph @_unmask {
    id revision caption takenOn forOwner width height addedAt path smallPath
    account { name }
    quote { id }
  }
`);

const PhotographPage = graphql(
  `
  fragment PhotographPage on PhotographConnection @_unmask {
    totalCount
    pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
    edges { node { ...PhotographParts } }
  }
`,
  [PhotographParts],
);

export const OfPart = graphql(
  `
  query PhotographsOfPart($id: ID!, $first: Int, $after: String) {
    row: part(id: $id) { id photographs(first: $first, after: $after, quotes: true) { ...PhotographPage } }
  }
`,
  [PhotographPage],
);

export const OfOperation = graphql(
  `
  query PhotographsOfOperation($id: ID!, $first: Int, $after: String) {
    row: operation(id: $id) { id photographs(first: $first, after: $after) { ...PhotographPage } }
  }
`,
  [PhotographPage],
);

export const OfSnag = graphql(
  `
  query PhotographsOfSnag($id: ID!, $first: Int, $after: String) {
    row: snag(id: $id) { id photographs(first: $first, after: $after) { ...PhotographPage } }
  }
`,
  [PhotographPage],
);

export const SavePhotograph = graphql(
  `
  mutation SavePhotograph($input: PhotographInput!) {
    savePhotograph(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export type Photograph = ResultOf<typeof PhotographParts>;

/** Words for somebody who does not see the picture. */
export const altOf = ({ caption }: { caption: string }, subject: string): string =>
  caption || `Photograph of ${subject}, without a caption`;

/** When it was taken, or else added. */
export const dayOf = ({ takenOn, addedAt }: { takenOn: string | null; addedAt: string }): string =>
  takenOn ? `taken ${dateInFull(takenOn)}` : `added ${dateInFull(addedAt.slice(0, 10))}`;
