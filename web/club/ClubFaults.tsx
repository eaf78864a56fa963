import { Paging, usePaging } from "../shared/paging.tsx";
import { type Column, Table } from "../shared/Table.tsx";

/** What was found wrong with a cell of a file. */
export interface ClubFault {
  code: string;
  message: string;
  file?: string | null;
  /** Line of the file. */
  row?: string | null;
  /** Name of the column. */
  field?: string | null;
  value?: string | null;
}

const columnsOf = (kind: "faults" | "notices"): Column<ClubFault>[] => [
  { id: "message", title: kind === "faults" ? "What is wrong" : "Notice", lead: true, cell: ({ message }) => message },
  { id: "file", title: "File", cell: ({ file }) => file },
  { id: "line", title: "Line", cell: ({ row }) => row },
  { id: "field", title: "Column", cell: ({ field }) => field },
  { id: "value", title: "Value", cell: ({ value }) => (value ? <span className="given">{value}</span> : null) },
];

/** Faults, or notices, of files brought in: file, line, column and value. The whole list is here; it is shown by the page. */
export function ClubFaults({ kind, faults }: { kind: "faults" | "notices"; faults: readonly ClubFault[] }) {
  const paging = usePaging(kind);
  const from = Math.min(Number(paging.variables.after ?? 0) || 0, faults.length);
  const rows = faults.slice(from, from + paging.size);
  const end = from + rows.length;
  return (
    <Table
      caption={kind === "faults" ? "Faults" : "Notices"}
      captionSeen
      rows={rows}
      columns={columnsOf(kind)}
      rowKey={(fault) => `${fault.file} ${fault.row} ${fault.field} ${fault.code} ${fault.message}`}
      paging={
        faults.length > paging.size && (
          <Paging
            of={paging}
            page={{
              hasNextPage: end < faults.length,
              hasPreviousPage: from > 0,
              startCursor: String(from),
              endCursor: String(end),
            }}
            total={faults.length}
            shown={rows.length}
            noun={kind === "faults" ? "fault" : "notice"}
          />
        )
      }
    />
  );
}
