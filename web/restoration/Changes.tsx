import { useState } from "react";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { momentInFull } from "../shared/format.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { useSave } from "../shared/save.tsx";
import { type Column, Table } from "../shared/Table.tsx";

const ChangesQuery = graphql(`
  query Changes($restoration: ID!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      changes(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node { id at summary undoOf undone final account { id name } } }
      }
    }
  }
`);

interface Change {
  id: string;
  at: string;
  summary: string;
  undoOf: string | null;
  undone: boolean;
  final: boolean;
  account: { name: string };
}

/** Who changed what, and when; each change can be taken back while its rows are as it left them. */
export function Changes({ restoration }: { restoration: string }) {
  const paging = usePaging("changes", 20);
  const { first, after } = paging.variables;
  const [result, again] = useQuery({
    query: ChangesQuery,
    variables: { restoration, first: first ?? paging.size, after: after ?? null },
  });
  const { undo } = useSave();
  const [undoing, setUndoing] = useState<string | null>(null);
  const changes = result.data?.restoration.changes;
  if (!changes)
    return result.error ? (
      <Problem of={result.error} what="the record of changes" again={() => again({ requestPolicy: "network-only" })} />
    ) : (
      <Loading what="the record of changes" />
    );
  const takeBack = async (change: string) => {
    setUndoing(change);
    await undo(change);
    setUndoing(null);
  };
  const columns: Column<Change>[] = [
    { id: "what", title: "What", lead: true, cell: (row) => row.summary },
    { id: "who", title: "Who", cell: (row) => row.account.name },
    { id: "when", title: "When", cell: (row) => <time dateTime={row.at}>{momentInFull(row.at)}</time> },
    {
      id: "undo",
      title: "Undo",
      cell: (row) =>
        row.undone ? (
          <span className="soft">undone</span>
        ) : row.final ? (
          <span className="soft">kept for good</span>
        ) : (
          <button type="button" className="no-print" disabled={undoing !== null} onClick={() => void takeBack(row.id)}>
            Undo<span className="unseen"> {row.summary}</span>
          </button>
        ),
    },
  ];
  const rows = changes.edges.map((edge) => edge.node);
  return (
    <Table
      caption="The changes, newest first"
      rows={rows}
      columns={columns}
      rowKey={(row) => row.id}
      paging={
        <Paging of={paging} page={changes.pageInfo} total={changes.totalCount} shown={rows.length} noun="change" />
      }
      empty={<p className="soft">Nothing was changed yet.</p>}
    />
  );
}
