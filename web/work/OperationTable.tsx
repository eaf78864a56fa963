import type { ReactNode } from "react";
import { told } from "../shared/Brief.tsx";
import { compareCodes } from "../shared/Code.tsx";
import type { Choice } from "../shared/choice.ts";
import { dateInFull, hours, listed, plainNumber } from "../shared/format.ts";
import { WorkMark } from "../shared/Mark.tsx";
import { type Column, type Sort, Table, useSort } from "../shared/Table.tsx";
import { ChosenOperations } from "./ChosenOperations.tsx";
import { CriticalMark, OpenMark, OperationLink } from "./CriticalMark.tsx";
import type { Scheduled } from "./schedule.ts";

interface OperationTableProps {
  restoration: string;
  /** All rows that the filters leave: the order is theirs, not only the page's. */
  rows: readonly Scheduled[];
  /** The rows of this page, of all in order. */
  pageOf: (rows: readonly Scheduled[]) => readonly Scheduled[];
  freeIds: ReadonlySet<string>;
  filters: ReactNode;
  paging: ReactNode;
  empty: ReactNode;
  choice: Choice;
}

/** The plan of the work in words and figures. */
export function OperationTable({
  restoration,
  rows,
  pageOf,
  freeIds,
  filters,
  paging,
  empty,
  choice,
}: OperationTableProps) {
  const [sort, onSort] = useSort({ column: "start", descending: false }, "sort", ["rows"]);
  const columns: Column<Scheduled>[] = [
    {
      id: "operation",
      title: "Operation",
      lead: true,
      cell: (row) => <OperationLink restoration={restoration} of={row.operation} />,
      sortable: true,
    },
    { id: "trade", title: "Trade", cell: (row) => row.operation.trade, sortable: true },
    { id: "who", title: "Who", cell: (row) => listed(row.hands), sortable: true },
    { id: "state", title: "State", cell: (row) => <WorkMark state={row.operation.state} />, sortable: true },
    {
      id: "hours",
      title: "To do",
      numeric: true,
      cell: (row) => (left(row) ? hours(row.hoursToDo) : null),
      sortable: true,
    },
    {
      id: "start",
      title: "Early start",
      cell: (row) => <span className="nowrap">{dateInFull(row.earlyStartDate)}</span>,
      sortable: true,
    },
    {
      id: "finish",
      title: "Early finish",
      cell: (row) => <span className="nowrap">{dateInFull(row.earlyFinishDate)}</span>,
      sortable: true,
    },
    {
      id: "late",
      title: "Late finish",
      cell: (row) => (left(row) ? <span className="nowrap">{dateInFull(row.lateFinishDate)}</span> : null),
      sortable: true,
    },
    {
      id: "float",
      title: "Float, h",
      numeric: true,
      cell: (row) => (left(row) ? plainNumber(row.totalFloat, 1) : null),
      sortable: true,
    },
    {
      id: "note",
      title: "Note",
      cell: (row) =>
        row.waitsForOpen.length > 0 ? (
          <OpenMark of={row} />
        ) : row.critical && left(row) ? (
          <CriticalMark />
        ) : freeIds.has(row.operation.id) ? (
          "free to start"
        ) : null,
    },
  ];
  const page = pageOf(sorted(rows, sort));
  return (
    <Table
      caption="The operations with their dates, in shop hours"
      rows={page}
      choosing={{
        choice,
        name: (row) => row.operation.title,
        line: <ChosenOperations choice={choice} page={page.map((row) => row.operation.id)} />,
      }}
      columns={columns}
      brief={(row) => ({
        name: row.operation.title,
        also: told(dateInFull(row.earlyStartDate), row.operation.trade, listed(row.hands)),
        when: left(row) ? hours(row.hoursToDo) : <WorkMark state={row.operation.state} />,
        colour: row.critical && left(row) ? "red-lead" : undefined,
      })}
      rowKey={(row) => row.operation.id}
      sort={sort}
      onSort={onSort}
      filters={filters}
      paging={paging}
      empty={empty}
    />
  );
}

const left = (row: Scheduled): boolean => row.operation.state !== "DONE";

const ORDERS: Record<string, (row: Scheduled) => string | number | null> = {
  operation: (row) => row.operation.code,
  trade: (row) => row.operation.trade,
  who: (row) => listed(row.hands) || null,
  state: (row) => row.operation.state,
  hours: ({ hoursToDo }) => hoursToDo,
  start: (row) => row.earlyStartDate,
  finish: (row) => row.earlyFinishDate,
  late: (row) => (left(row) ? row.lateFinishDate : null),
  float: (row) => (left(row) ? row.totalFloat : null),
};

/** In the order asked; what has no value stands last. */
function sorted(rows: readonly Scheduled[], { column, descending }: Sort): readonly Scheduled[] {
  const by = ORDERS[column];
  if (!by) return rows;
  const collator = new Intl.Collator("en-GB", { numeric: true });
  return rows.toSorted((one, other) => {
    const [a, b] = [by(one), by(other)];
    if (a === null || b === null) return a === b ? 0 : a === null ? 1 : -1;
    const text = column === "operation" ? compareCodes : collator.compare;
    const order = typeof a === "number" && typeof b === "number" ? a - b : text(String(a), String(b));
    return descending ? -order : order;
  });
}
