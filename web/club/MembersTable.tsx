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
      edges { node { id revision name joinedOn admin own } }
    }
  }
`);

const SetAdmin = graphql(
  `
  mutation SetClubAdmin($clubMember: ID!, $revision: Int!, $admin: Boolean!) {
    setClubAdmin(clubMember: $clubMember, revision: $revision, admin: $admin) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

type Member = ResultOf<typeof MembersQuery>["clubMembers"]["edges"][number]["node"];

/** Everybody of the club, its admins first; an admin makes others admins. */
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
          id: "admin",
          title: "Admin",
          cell: ({ admin }) => (admin ? <Mark word="admin" colour="ink" shape="full" /> : null),
        },
        ...(club.admin
          ? [{ id: "controls", title: "", controls: true, cell: (member: Member) => <AdminButton member={member} /> }]
          : []),
      ]}
      paging={<Paging of={paging} page={data.pageInfo} total={data.totalCount} shown={rows.length} noun="member" />}
    />
  );
}

function AdminButton({ member: { id, revision, name, admin } }: { member: Member }) {
  const { save, saving } = useSave();
  const change = () => save(SetAdmin, { clubMember: id, revision, admin: !admin });
  return (
    <button type="button" disabled={saving} onClick={() => void change()}>
      {admin ? "No longer an admin" : "Make an admin"}
      <span className="unseen"> {name}</span>
    </button>
  );
}
