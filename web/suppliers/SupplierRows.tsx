import { Link } from "react-router";
import { OrderMark } from "../parts/Orders.tsx";
import { addressOf } from "../shared/addresses.ts";
import { dateInFull, money } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { Section } from "../shared/Page.tsx";
import { Paging, type PagingState } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type Column, Table } from "../shared/Table.tsx";
import { PROVENANCE } from "../shared/words.ts";
import type { Supplier } from "./supplier.ts";

type OrderRow = Supplier["orders"]["edges"][number]["node"];
type QuoteRow = Supplier["quotes"]["edges"][number]["node"];

interface RowsProps {
  supplier: Supplier;
  paging: PagingState;
}

const ORDER_COLUMNS: Column<OrderRow>[] = [
  {
    id: "part",
    title: "Part",
    lead: true,
    cell: ({ part }) => <Link to={addressOf.part(part.restoration.id, part.id)}>{part.name}</Link>,
  },
  { id: "code", title: "Order", cell: ({ code }) => <span className="code">{code}</span> },
  { id: "state", title: "State", cell: (order) => <OrderMark order={order} /> },
  { id: "placed", title: "Placed", cell: ({ placedOn }) => <Day date={placedOn} /> },
  { id: "promised", title: "Promised", cell: ({ promisedOn }) => <Day date={promisedOn} /> },
  { id: "arrived", title: "Arrived", cell: ({ arrivedOn }) => arrivedOn && <Day date={arrivedOn} /> },
  { id: "fit", title: "Fit", cell: ({ fitRating }) => fitRating && `${fitRating} of 5` },
  {
    id: "total",
    title: "Total",
    numeric: true,
    cell: ({ total }) => <span className="money">{money(total)}</span>,
  },
];

/** What was ordered from a supplier, the newest first. */
export function SupplierOrders({ supplier, paging }: RowsProps) {
  return (
    <Section title="Orders" id="orders">
      {supplier.orders.totalCount === 0 ? (
        <p className="soft">Nothing was ordered from them yet.</p>
      ) : (
        <Table
          caption={`Orders from ${supplier.name}`}
          rows={supplier.orders.edges.map(({ node }) => node)}
          rowKey={({ id }) => id}
          columns={ORDER_COLUMNS}
          paging={
            <Paging
              of={paging}
              page={supplier.orders.pageInfo}
              total={supplier.orders.totalCount}
              shown={supplier.orders.edges.length}
              noun="order"
            />
          }
        />
      )}
    </Section>
  );
}

const QUOTE_COLUMNS: Column<QuoteRow>[] = [
  {
    id: "part",
    title: "Part",
    lead: true,
    cell: ({ part }) => <Link to={addressOf.part(part.restoration.id, part.id)}>{part.name}</Link>,
  },
  { id: "code", title: "Quote", cell: ({ code }) => <span className="code">{code}</span> },
  {
    id: "machine",
    title: "For",
    cell: ({ part }) => part.restoration.machine,
  },
  { id: "provenance", title: "Provenance", cell: ({ provenance }) => PROVENANCE[provenance] },
  {
    id: "chosen",
    title: "State",
    cell: ({ chosen, expired }) =>
      chosen ? (
        <Mark word="chosen" colour="verdigris" shape="full" />
      ) : expired ? (
        <Mark word="ask again" colour="brass" shape="broken" />
      ) : null,
  },
  {
    id: "arrives",
    title: "Arrives if ordered",
    cell: ({ arrivalDate }) => <Day date={arrivalDate} />,
  },
  {
    id: "price",
    title: "Unit price",
    numeric: true,
    cell: ({ unitPrice }) => <span className="money">{money(unitPrice)}</span>,
  },
];

/** What a supplier quotes for, on every restoration of the workshop; the machine is named where it is another one. */
export function SupplierQuotes({ supplier, paging }: RowsProps) {
  const restoration = useRestoration();
  const elsewhere = supplier.quotes.edges.some(({ node }) => node.part.restoration.id !== restoration.id);
  const columns = QUOTE_COLUMNS.filter(({ id }) => elsewhere || id !== "machine");
  return (
    <Section title="Quotes" id="quotes">
      {supplier.quotes.totalCount === 0 ? (
        <p className="soft">They quoted for nothing yet. Quotes are noted at the part.</p>
      ) : (
        <Table
          caption={`Quotes from ${supplier.name}`}
          rows={supplier.quotes.edges.map(({ node }) => node)}
          rowKey={({ id }) => id}
          columns={columns}
          paging={
            <Paging
              of={paging}
              page={supplier.quotes.pageInfo}
              total={supplier.quotes.totalCount}
              shown={supplier.quotes.edges.length}
              noun="quote"
            />
          }
        />
      )}
    </Section>
  );
}

function Day({ date }: { date: string }) {
  return (
    <time className="nowrap" dateTime={date}>
      {dateInFull(date)}
    </time>
  );
}
