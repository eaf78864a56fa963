import type { ResultOf, VariablesOf } from "gql.tada";
import { graphql } from "../client.ts";
import { SaveParts } from "../shared/save.tsx";
import type { WaitingRow } from "../shared/waitingRows.ts";

/** A find as the list of finds shows it. */
export const FindParts = graphql(`
  fragment FindParts on Find @_unmask {
    id revision clientKey what seller currency provenance condition notes foundOn
    asked { minor currency decimals }
    part { id code name }
    quote { id code }
  }
`);

export type StoredFind = ResultOf<typeof FindParts>;

export const SaveFind = graphql(
  `
  mutation SaveFind($input: FindInput!) {
    saveFind(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const FindBecomesQuote = graphql(
  `
  mutation FindBecomesQuote(
    $find: ID!, $revision: Int!, $part: ID, $provenance: Provenance, $unitPriceMinor: Minor,
    $carriageMinor: Minor, $leadDays: Int, $preparationHours: Float
  ) {
    findBecomesQuote(
      find: $find, revision: $revision, part: $part, provenance: $provenance, unitPriceMinor: $unitPriceMinor,
      carriageMinor: $carriageMinor, leadDays: $leadDays, preparationHours: $preparationHours
    ) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export type FindInput = VariablesOf<typeof SaveFind>["input"];

/** A find kept on this device until it is sent. */
export interface WaitingFind extends WaitingRow {
  input: FindInput;
  /** Name of its part, which the input knows by id alone. */
  partName: string | null;
}

/** How the fields of a find are called, in its form and where one is not taken. */
export const FIND_LABELS = {
  what: "What it is",
  seller: "With whom",
  provenance: "Provenance",
  condition: "Condition",
  part: "For which part",
  foundOn: "Seen on",
  notes: "Notes",
  askedMinor: "Asked price",
  currency: "In",
} as const;
