import type { ResultOf } from "gql.tada";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { dateInFull } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Mark } from "../shared/Mark.tsx";
import { Loading, Problem } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { useClub } from "./club.ts";

const MembersQuery = graphql(`
  query ClubMembers($first: Int, $after: String) {
    clubMembers(first: $first, after: $after) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { id revision name joinedOn steward own } }
    }
  }
`);

const SetSteward = graphql(
  `
  mutation SetClubSteward($clubMember: ID!, $revision: Int!, $steward: Boolean!) {
    setClubSteward(clubMember: $clubMember, revision: $revision, steward: $steward) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

type Member = ResultOf<typeof MembersQuery>["clubMembers"]["edges"][number]["node"];

/** Everybody of the club, its stewards first; a steward makes others stewards. */
export function MembersTable() {
  const club = useClub();
  const paging = usePaging("members");
  const [result, again] = useQuery({
    query: MembersQuery,
    variables: { first: paging.size, after: paging.variables.after ?? null },
  });
  const data = useKept(result.data, club.id)?.clubMembers;
  if (!data)
    return result.error ? (
      <Problem of={result.error} what="the members" again={() => again({ requestPolicy: "network-only" })} />
    ) : (
      <Loading what="the members" />
    );
  const rows = data.edges.map(({ node }) => node);
  return (
    <Table
      caption="Members"
      rows={rows}
      rowKey={({ id }) => id}
      columns={[
        { id: "name", title: "Name", lead: true, cell: ({ name, own }) => (own ? `${name} (you)` : name) },
        {
          id: "joined",
          title: "Joined",
          cell: ({ joinedOn }) => <span className="nowrap">{dateInFull(joinedOn)}</span>,
        },
        {
          id: "steward",
          title: "Steward",
          cell: ({ steward }) => (steward ? <Mark word="steward" colour="ink" shape="full" /> : null),
        },
        ...(club.steward
          ? [{ id: "controls", title: "", controls: true, cell: (member: Member) => <StewardButton member={member} /> }]
          : []),
      ]}
      paging={<Paging of={paging} page={data.pageInfo} total={data.totalCount} shown={rows.length} noun="member" />}
    />
  );
}

function StewardButton({ member: { id, revision, name, steward } }: { member: Member }) {
  const { save, saving } = useSave();
  const change = () => save(SetSteward, { clubMember: id, revision, steward: !steward });
  return (
    <button type="button" disabled={saving} onClick={() => void change()}>
      {steward ? "No longer a steward" : "Make a steward"}
      <span className="unseen"> {name}</span>
    </button>
  );
}
