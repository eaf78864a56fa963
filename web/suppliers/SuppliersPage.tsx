import type { ResultOf } from "gql.tada";
import { Fragment, type ReactNode, useRef } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { told } from "../shared/Brief.tsx";
import { Code } from "../shared/Code.tsx";
import { ChoiceFilter, Narrowing, SearchFilter } from "../shared/Filters.tsx";
import { counted, listed, plainNumber } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type Column, Table } from "../shared/Table.tsx";
import { useNarrow } from "../shared/useNarrow.ts";
import { choicesOf, SUPPLIER_KIND } from "../shared/words.ts";
import { countryChoices, countryName } from "./countries.ts";
import { SupplierForm } from "./SupplierForm.tsx";

const SuppliersQuery = graphql(`
  query Suppliers(
    $restoration: ID!, $first: Int, $after: String, $last: Int, $before: String, $search: String, $kind: SupplierKind, $country: String
  ) {
    restoration(id: $restoration) {
      id
      orders(first: 3, late: true) { totalCount edges { node { id quote { supplier { id name } } } } }
    }
    all: suppliers(first: 500) { totalCount edges { node { id country } } }
    suppliers(
      first: $first, after: $after, last: $last, before: $before, search: $search, kind: $kind, country: $country
    ) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges {
        node {
          id revision code name kind country email phone website notes
      carriage { minor currency decimals } minimum { minor currency decimals } shareBy
      quoteCount
          orders(first: 1) { totalCount }
        }
      }
    }
  }
`);

type Listed = ResultOf<typeof SuppliersQuery>["suppliers"]["edges"][number]["node"];

const isKind = (word: string | null): word is keyof typeof SUPPLIER_KIND => word !== null && word in SUPPLIER_KIND;

const columnsOf = (restoration: string, controls: (supplier: Listed) => ReactNode): Column<Listed>[] => [
  {
    id: "name",
    title: "Supplier",
    lead: true,
    cell: ({ id, name }) => <Link to={addressOf.supplier(restoration, id)}>{name}</Link>,
  },
  { id: "code", title: "Code", cell: ({ code }) => <Code noun="supplier" of={code} /> },
  { id: "kind", title: "Kind", cell: ({ kind }) => SUPPLIER_KIND[kind] },
  { id: "country", title: "Country", cell: ({ country }) => countryName(country) },
  { id: "phone", title: "Telephone", cell: ({ phone }) => phone && <span className="nowrap">{phone}</span> },
  { id: "quotes", title: "Quotes", numeric: true, cell: ({ quoteCount }) => plainNumber(quoteCount) },
  { id: "orders", title: "Orders", numeric: true, cell: ({ orders }) => plainNumber(orders.totalCount) },
  { id: "controls", title: "", controls: true, cell: controls },
];

/** Everyone a part can come from. They belong to the workshop, so that all its restorations see the same. */
export default function SuppliersPage() {
  const restoration = useRestoration();
  const [search, setSearch] = useAddressValue("q", ["page"]);
  const [kind, setKind] = useAddressValue("kind", ["page"]);
  const [country, setCountry] = useAddressValue("country", ["page"]);
  const paging = usePaging("page", useNarrow() ? 30 : 50);
  const open = useOpen();
  const form = useRef<HTMLDivElement>(null);
  const [result, again] = useQuery({
    query: SuppliersQuery,
    variables: { restoration: restoration.id, ...paging.variables, search, kind: isKind(kind) ? kind : null, country },
  });
  const data = useKept(result.data, restoration.id);
  const narrowed = Boolean(search || kind || country);
  const begin = (
    <OpenButton of={open} opens="new" main>
      Add a supplier
    </OpenButton>
  );
  const clear = (
    <Link className="button" to={addressOf.suppliers(restoration.id)}>
      Clear the filters
    </Link>
  );
  const none = data?.all.totalCount === 0;
  const inUse = [...new Set(data?.all.edges.map(({ node }) => node.country))].filter(Boolean);

  return (
    <Page
      title="Suppliers"
      sentence={
        data &&
        !none && (
          <>
            {counted(data.all.totalCount, "supplier")} {data.all.totalCount === 1 ? "is" : "are"} known to the workshop
            {inUse.length > 1 && `, in ${inUse.length} countries`}. <Late orders={data.restoration.orders} />
          </>
        )
      }
      aside={data && !none && begin}
    >
      {open.has("new") && (
        <Section title="Add a supplier">
          <div ref={form}>
            <Opened>
              <SupplierForm
                onSaved={() => form.current?.querySelector("input")?.focus()}
                onCancel={() => open.close("new")}
              />
            </Opened>
          </div>
        </Section>
      )}
      {result.error && !data ? (
        <Problem of={result.error} what="the suppliers" again={() => again({ requestPolicy: "network-only" })} />
      ) : !data ? (
        <Loading what="the suppliers" />
      ) : none ? (
        !open.has("new") && (
          <Empty
            title="No supplier is listed yet"
            actions={
              <>
                {begin}
                <Link className="button" to={addressOf.files(restoration.id)}>
                  Read suppliers from files
                </Link>
              </>
            }
          >
            <p>List makers, dealers, foundries, breakers and club members here; then note their quotes at each part.</p>
          </Empty>
        )
      ) : (
        <Table
          caption="Suppliers"
          rows={data.suppliers.edges.map(({ node }) => node)}
          rowKey={({ id }) => id}
          brief={({ name, kind, country, quoteCount }) => ({
            name,
            also: told(SUPPLIER_KIND[kind], countryName(country)),
            when: quoteCount > 0 && counted(quoteCount, "quote"),
          })}
          columns={columnsOf(restoration.id, (supplier) => (
            <>
              <OpenButton of={open} opens={supplier.id}>
                Change<span className="unseen"> {supplier.name}</span>
              </OpenButton>
              <RemoveButton row="SUPPLIER" id={supplier.id} revision={supplier.revision} what={supplier.name} />
            </>
          ))}
          below={(supplier) =>
            open.has(supplier.id) && (
              <Opened>
                <SupplierForm
                  supplier={supplier}
                  onSaved={() => open.close(supplier.id)}
                  onCancel={() => open.close(supplier.id)}
                />
              </Opened>
            )
          }
          filters={
            <Narrowing
              says={[search && `“${search}”`, isKind(kind) && SUPPLIER_KIND[kind], country && countryName(country)]}
            >
              <SearchFilter label="Search" value={search} onChange={setSearch} />
              <ChoiceFilter
                label="Kind"
                all="all kinds"
                value={kind}
                onChange={setKind}
                choices={choicesOf(SUPPLIER_KIND)}
              />
              <ChoiceFilter
                label="Country"
                all="all countries"
                value={country}
                onChange={setCountry}
                choices={countryChoices().filter(
                  ({ value }) =>
                    data.all.totalCount > data.all.edges.length || inUse.includes(value) || value === country,
                )}
              />
              {narrowed && clear}
            </Narrowing>
          }
          empty={
            <Empty title="No supplier matches" actions={clear}>
              <p>
                None of the {counted(data.all.totalCount, "supplier")} has{" "}
                {listed(
                  [
                    search && `“${search}” in its name or code`,
                    isKind(kind) && `the kind “${SUPPLIER_KIND[kind]}”`,
                    country && `its place in ${countryName(country)}`,
                  ].filter((word): word is string => Boolean(word)),
                )}
                .
              </p>
            </Empty>
          }
          paging={
            data.suppliers.totalCount > 0 && (
              <Paging
                of={paging}
                page={data.suppliers.pageInfo}
                total={data.suppliers.totalCount}
                shown={data.suppliers.edges.length}
                noun="supplier"
                bothWays
              />
            )
          }
        />
      )}
    </Page>
  );
}

/** Orders of this restoration past their promise, and with whom. */
function Late({ orders }: { orders: ResultOf<typeof SuppliersQuery>["restoration"]["orders"] }) {
  const restoration = useRestoration();
  if (orders.totalCount === 0) return <>No order is past its promise.</>;
  const suppliers = new Map(orders.edges.map(({ node }) => [node.quote.supplier.id, node.quote.supplier.name]));
  return (
    <>
      {counted(orders.totalCount, "order")} {orders.totalCount === 1 ? "is" : "are"} past the promise:{" "}
      {[...suppliers].map(([id, name], place) => (
        <Fragment key={id}>
          {place > 0 && ", "}
          <Link to={addressOf.supplier(restoration.id, id)}>{name}</Link>
        </Fragment>
      ))}
      {orders.totalCount > orders.edges.length && " and others"}.
    </>
  );
}
