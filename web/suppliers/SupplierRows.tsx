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

const orderColumns = (own: boolean): Column<OrderRow>[] => [
  {
    id: "part",
    title: "Part",
    lead: true,
    cell: ({ part }) => <Link to={addressOf.part(part.restoration.id, part.id)}>{part.name}</Link>,
  },
  { id: "code", title: "Order", cell: ({ code }) => <span className="code">{code}</span> },
  { id: "state", title: "State", cell: (order) => <OrderMark order={order} own={own} /> },
  { id: "placed", title: own ? "Begun" : "Placed", cell: ({ placedOn }) => <Day date={placedOn} /> },
  { id: "promised", title: "Promised", cell: ({ promisedOn }) => <Day date={promisedOn} /> },
  { id: "arrived", title: own ? "Ready" : "Arrived", cell: ({ arrivedOn }) => arrivedOn && <Day date={arrivedOn} /> },
  { id: "fit", title: "Fit", cell: ({ fitRating }) => fitRating && `${fitRating} of 5` },
  {
    id: "total",
    title: "Total",
    numeric: true,
    cell: ({ total }) => <span className="money">{money(total)}</span>,
  },
];

/** What was ordered from a supplier, or begun at the shop itself, the newest first. */
export function SupplierOrders({ supplier, paging }: RowsProps) {
  const own = supplier.kind === "SHOP";
  return (
    <Section title="Orders" id="orders">
      {supplier.orders.totalCount === 0 ? (
        <p className="soft">{own ? "Nothing was begun yet." : "Nothing was ordered from them yet."}</p>
      ) : (
        <Table
          caption={`Orders ${own ? "at" : "from"} ${supplier.name}`}
          rows={supplier.orders.edges.map(({ node }) => node)}
          rowKey={({ id }) => id}
          columns={orderColumns(own)}
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

const quoteColumns = (own: boolean): Column<QuoteRow>[] => [
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
    title: own ? "Ready if begun" : "Arrives if ordered",
    cell: ({ arrivalDate }) => <Day date={arrivalDate} />,
  },
  {
    id: "price",
    title: "Price each",
    numeric: true,
    cell: ({ unitPrice }) => <span className="money">{money(unitPrice)}</span>,
  },
];

/** What a supplier quotes for, on every restoration of the workshop; the machine is named where it is another one. */
export function SupplierQuotes({ supplier, paging }: RowsProps) {
  const restoration = useRestoration();
  const elsewhere = supplier.quotes.edges.some(({ node }) => node.part.restoration.id !== restoration.id);
  const columns = quoteColumns(supplier.kind === "SHOP").filter(({ id }) => elsewhere || id !== "machine");
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
