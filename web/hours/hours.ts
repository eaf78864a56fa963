import type { ResultOf, VariablesOf } from "gql.tada";
import { graphql } from "../client.ts";
import { compareCodes } from "../shared/Code.tsx";
import { SaveParts } from "../shared/save.tsx";

const HoursParts = graphql(`
  fragment HoursParts on HoursBooked @_unmask {
    id workedOn hours remainingHours notes corrected
    rate { minor currency decimals }
    account { id name }
    corrects { id }
  }
`);

export type HoursEntry = ResultOf<typeof HoursParts>;

/** Work under way, work that is free to start, and what was booked lately. */
export const HoursSheetQuery = graphql(
  `
  query HoursSheet($restoration: ID!) {
    restoration(id: $restoration) {
      id
      entered: operations(first: 1) { totalCount }
      operations(state: UNDER_WAY, first: 200) { edges { node { id code title trade hoursLeft schedule { putDownUntil } } } }
      hoursBooked(first: 10) { totalCount edges { node { ...HoursParts operation { id code title } } } }
    }
    holdUps(restoration: $restoration) {
      freeToStart(first: 500) { totalCount edges { node { operation { id code title trade hoursLeft } } } }
    }
  }
`,
  [HoursParts],
);

export const HoursOfOperationQuery = graphql(
  `
  query HoursOfOperation($operation: ID!, $first: Int, $after: String) {
    operation(id: $operation) {
      id totalHoursBooked hoursLeft
      hoursBooked(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { ...HoursParts } }
      }
    }
  }
`,
  [HoursParts],
);

export const BookHours = graphql(
  `
  mutation BookHours($input: HoursInput!) {
    bookHours(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const CorrectHours = graphql(
  `
  mutation CorrectHours($input: HoursCorrectionInput!) {
    correctHours(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export type HoursInput = VariablesOf<typeof BookHours>["input"];
export type BookedLately = ResultOf<typeof HoursSheetQuery>["restoration"]["hoursBooked"]["edges"][number]["node"];

/** An operation that can be worked on now. */
export interface Workable {
  id: string;
  code: string;
  title: string;
  trade: string;
  underWay: boolean;
  /** The schedule puts it down for other work, and it goes on that day. */
  putDownUntil?: string | null;
  hoursLeft: number;
}

/** What is left after so many more hours, where nobody judged it: to a hundredth, never less than zero. */
export const leftAfter = (left: number, worked: number): number => Math.max(0, Math.round((left - worked) * 100) / 100);

/** Newest first. */
export const bookedLatelyOf = (data: ResultOf<typeof HoursSheetQuery>): BookedLately[] =>
  data.restoration.hoursBooked.edges.map(({ node }) => node);

/** Work under way first, then by code. */
export function workableOf(data: ResultOf<typeof HoursSheetQuery>): Workable[] {
  const underWay = data.restoration.operations.edges.map(({ node: { schedule, ...operation } }) => ({
    ...operation,
    underWay: true,
    putDownUntil: schedule.putDownUntil,
  }));
  const free = data.holdUps.freeToStart.edges.map(({ node: { operation } }) => ({ ...operation, underWay: false }));
  return [...underWay, ...free].sort(
    (one, other) => Number(other.underWay) - Number(one.underWay) || compareCodes(one.code, other.code),
  );
}
