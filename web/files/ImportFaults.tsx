import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { type Column, Table } from "../shared/Table.tsx";

const FaultsQuery = graphql(`
  query ImportFaults($job: ID!, $first: Int, $after: String, $faults: Boolean!) {
    job(id: $job) {
      id
      importPreview {
        faults(first: $first, after: $after) @include(if: $faults) {
          totalCount
          pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
          edges { node { code file row field value message } }
        }
        notices(first: $first, after: $after) @skip(if: $faults) {
          totalCount
          pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
          edges { node { code file row field value message } }
        }
      }
    }
  }
`);

interface Found {
  code: string;
  file: string | null;
  row: string | null;
  field: string | null;
  value: string | null;
  message: string;
}

const COLUMNS: Column<Found>[] = [
  { id: "message", title: "What is wrong", lead: true, cell: (row) => row.message },
  { id: "file", title: "File", cell: (row) => row.file },
  { id: "line", title: "Line", cell: (row) => row.row },
  { id: "field", title: "Field", cell: (row) => row.field },
  { id: "value", title: "Value", cell: (row) => (row.value ? <span className="given">{row.value}</span> : null) },
];

/** Faults, or notices, of an import: file, line, field, value and what is wrong with it. */
export function ImportFaults({ job, kind }: { job: string; kind: "faults" | "notices" }) {
  const paging = usePaging(kind, 50);
  const { first, after } = paging.variables;
  const variables = { job, first: first ?? paging.size, after: after ?? null, faults: kind === "faults" };
  const [result, again] = useQuery({ query: FaultsQuery, variables, requestPolicy: "network-only" });
  const preview = result.data?.job.importPreview;
  const list = kind === "faults" ? preview?.faults : preview?.notices;
  if (!list)
    return result.error ? (
      <Problem of={result.error} what={`the ${kind}`} again={() => again({ requestPolicy: "network-only" })} />
    ) : (
      <Loading what={`the ${kind}`} />
    );
  const rows = list.edges.map((edge) => edge.node);
  const columns =
    kind === "faults"
      ? COLUMNS
      : COLUMNS.map((column) => (column.id === "message" ? { ...column, title: "Notice" } : column));
  return (
    <Table
      caption={kind === "faults" ? "Faults" : "Notices"}
      captionSeen
      rows={rows}
      columns={columns}
      rowKey={(row) => `${row.file} ${row.row} ${row.field} ${row.code} ${row.message}`}
      paging={
        <Paging
          of={paging}
          page={list.pageInfo}
          total={list.totalCount}
          shown={rows.length}
          noun={kind === "faults" ? "fault" : "notice"}
        />
      }
    />
  );
}
