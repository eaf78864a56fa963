import type { VariablesOf } from "gql.tada";
import { useState } from "react";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { momentInFull } from "./format.ts";
import { Loading, Problem } from "./Page.tsx";
import { Paging, usePaging } from "./paging.tsx";
import { Table } from "./Table.tsx";
import { useMay } from "./useMay.ts";

const RowChangesQuery = graphql(`
  query RowChanges($row: RowKind!, $id: ID!, $first: Int, $after: String) {
    changes(row: $row, id: $id, first: $first, after: $after) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { id at summary undone account { id name } } }
    }
  }
`);

interface RowChangesProps {
  row: VariablesOf<typeof RowChangesQuery>["row"];
  id: string;
}

/** The record of one row and of what hangs on it, read once it is opened. Entries are only ever added. */
export function RowChanges(props: RowChangesProps) {
  const may = useMay();
  const [opened, setOpened] = useState(false);
  if (!may("Query.changes")) return null;
  return (
    <details className="row-changes" onToggle={(event) => setOpened(event.currentTarget.open)}>
      <summary>What was changed, when and by whom</summary>
      {opened && <Entries {...props} />}
    </details>
  );
}

function Entries({ row, id }: RowChangesProps) {
  const paging = usePaging("changed", 10);
  const [{ data, error }, again] = useQuery({
    query: RowChangesQuery,
    variables: { row, id, first: paging.size, after: paging.variables.after ?? null },
  });
  if (!data)
    return error ? (
      <Problem of={error} what="the record" again={() => again({ requestPolicy: "network-only" })} />
    ) : (
      <Loading what="the record" />
    );
  const { edges, pageInfo, totalCount } = data.changes;
  return (
    <Table
      caption="What was changed, the newest first"
      rows={edges.map(({ node }) => node)}
      rowKey={(change) => change.id}
      columns={[
        {
          id: "what",
          title: "What",
          lead: true,
          cell: ({ summary, undone }) => (
            <>
              {summary}
              {undone && <span className="soft"> (undone since)</span>}
            </>
          ),
        },
        { id: "when", title: "When", cell: ({ at }) => <time dateTime={at}>{momentInFull(at)}</time> },
        { id: "who", title: "By whom", cell: ({ account }) => account.name },
      ]}
      paging={<Paging of={paging} page={pageInfo} total={totalCount} shown={edges.length} noun="change" />}
      empty={<p className="soft">Nothing was changed since it was entered from files.</p>}
    />
  );
}
