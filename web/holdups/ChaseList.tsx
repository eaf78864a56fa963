import type { ReactNode } from "react";
import { addressOf } from "../shared/addresses.ts";
import { dateInFull, days } from "../shared/format.ts";
import { HoldsUpMark } from "../shared/Mark.tsx";
import { Empty } from "../shared/Page.tsx";
import { SheetLink } from "../shared/SheetLink.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useMay } from "../shared/useMay.ts";
import type { HoldUpsData } from "./rows.ts";

type ChaseRow = HoldUpsData["chase"]["edges"][number]["node"];

/** Orders past their promise, with whom to call. */
export function ChaseList({
  restoration,
  rows,
  paging,
}: {
  restoration: string;
  rows: readonly ChaseRow[];
  paging: ReactNode;
}) {
  const may = useMay();
  return (
    <Table
      caption="To chase"
      rows={rows}
      rowKey={(row) => row.order.id}
      columns={columnsFor(restoration, may("Query.supplier"))}
      paging={paging}
      empty={<Empty title="No order is late">Every maker is within the promised date.</Empty>}
    />
  );
}

const CONTACT: Column<ChaseRow> = {
  id: "contact",
  title: "Contact",
  cell: (row) => <Contact supplier={row.supplier} />,
};

const columnsFor = (restoration: string, contact: boolean): Column<ChaseRow>[] => [
  {
    id: "part",
    title: "Part",
    lead: true,
    cell: (row) => (
      <SheetLink reads="Query.part" to={addressOf.part(restoration, row.part.id)}>
        {row.part.name}
      </SheetLink>
    ),
  },
  { id: "order", title: "Order", cell: (row) => <span className="code">{row.order.code}</span> },
  { id: "late", title: "Late", cell: (row) => <span className="late nowrap">{days(row.daysLate)}</span> },
  { id: "promised", title: "Promised", cell: (row) => <span className="nowrap">{dateInFull(row.promisedOn)}</span> },
  {
    id: "expected",
    title: "Newest word",
    cell: (row) => (row.expectedOn ? <span className="nowrap">{dateInFull(row.expectedOn)}</span> : "none"),
  },
  {
    id: "supplier",
    title: "Supplier",
    cell: (row) => (
      <SheetLink reads="Query.supplier" to={addressOf.supplier(restoration, row.supplier.id)}>
        {row.supplier.name}
      </SheetLink>
    ),
  },
  ...(contact ? [CONTACT] : []),
  { id: "holds", title: "Holds up", cell: (row) => (row.holdsUp ? <HoldsUpMark /> : "") },
];

function Contact({ supplier }: { supplier: ChaseRow["supplier"] }) {
  if (!supplier.email && !supplier.phone) return <span className="soft">none recorded</span>;
  return (
    <span className="row">
      {supplier.phone && <a href={`tel:${supplier.phone.replace(/[^+\d]/g, "")}`}>{supplier.phone}</a>}
      {supplier.email && <a href={`mailto:${supplier.email}`}>{supplier.email}</a>}
    </span>
  );
}
