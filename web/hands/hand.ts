import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { hours } from "../shared/format.ts";
import { SaveParts } from "../shared/save.tsx";
import { WEEKDAYS } from "../shared/weekdays.ts";

export const HandsQuery = graphql(`
  query Hands($first: Int, $after: String, $from: Date!) {
    hands(first: $first, after: $after) {
      totalCount
      pageInfo { hasNextPage endCursor }
      edges {
        node {
          id revision name people trades monday tuesday wednesday thursday friday saturday sunday joinsOn leavesOn askSame
          account { id name }
          absences(first: 2, from: $from) { totalCount edges { node { id fromDate toDate } } }
        }
      }
    }
  }
`);

export type Hand = ResultOf<typeof HandsQuery>["hands"]["edges"][number]["node"];

export const AbsencesQuery = graphql(`
  query Absences($hand: ID!, $first: Int, $after: String) {
    hand(id: $hand) {
      id
      absences(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges { node { id revision fromDate toDate } }
      }
    }
  }
`);

/** Accounts that may be a hand's; those of others are read by an admin alone. */
export const HandAccountsQuery = graphql(`
  query HandAccounts($all: Boolean!, $first: Int, $after: String) {
    me { id name role }
    people(first: $first, after: $after) @include(if: $all) {
      totalCount
      pageInfo { hasNextPage endCursor }
      edges { node { id name role } }
    }
  }
`);

export const SaveHand = graphql(
  `
  mutation SaveHand($input: HandInput!) {
    saveHand(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const SaveAbsence = graphql(
  `
  mutation SaveAbsence($input: AbsenceInput!) {
    saveAbsence(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const BeAway = graphql(
  `
  mutation BeAway($fromDate: Date!, $toDate: Date!) {
    beAway(fromDate: $fromDate, toDate: $toDate) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const JoinHands = graphql(
  `
  mutation JoinHands($hand: ID!, $revision: Int!, $as: ID!, $asRevision: Int!) {
    joinHands(hand: $hand, revision: $revision, as: $as, asRevision: $asRevision) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

const dayName = (day: string): string => `${day[0]!.toUpperCase()}${day.slice(1)}`;

/** "7.5 h Monday to Friday, 4 h Saturday" */
export function weekWords(week: Record<(typeof WEEKDAYS)[number], number>): string {
  const runs: { from: string; to: string; hours: number }[] = [];
  let before = 0;
  for (const day of WEEKDAYS) {
    const worked = week[day];
    if (worked > 0 && worked === before) runs.at(-1)!.to = day;
    else if (worked > 0) runs.push({ from: day, to: day, hours: worked });
    before = worked;
  }
  if (runs.length === 0) return "no hours on any day";
  return runs
    .map(({ from, to, hours: each }) => `${hours(each)} ${dayName(from)}${from === to ? "" : ` to ${dayName(to)}`}`)
    .join(", ");
}
