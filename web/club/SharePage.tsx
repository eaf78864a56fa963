import type { ResultOf } from "gql.tada";
import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { Code, codeInWords } from "../shared/Code.tsx";
import { SearchFilter } from "../shared/Filters.tsx";
import { counted, dateInFull, money, plainNumber } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Empty, Loading, Page, Problem } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { FIT_RATING, PROVENANCE, SUPPLIER_KIND } from "../shared/words.ts";
import { clubAddress } from "./addresses.ts";
import { useClub } from "./club.ts";
import { SaveSource } from "./SourceForm.tsx";

const SuppliersToShareQuery = graphql(`
  query SuppliersToShare($first: Int, $after: String, $search: String) {
    suppliers(first: $first, after: $after, search: $search) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { id code name kind quoteCount orders(first: 1) { totalCount } } }
    }
  }
`);

const QuotesToShareQuery = graphql(`
  query QuotesToShare($supplier: ID!, $first: Int, $after: String) {
    supplier(id: $supplier) {
      id name country
      quotes(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges {
          node {
            id code provenance
            unitPrice { minor currency decimals }
            part { id name references { number } restoration { id machine } }
            orders { id code state daysLate placedOn promisedOn arrivedOn fitRating }
          }
        }
      }
    }
  }
`);

const SharedOfQuery = graphql(`
  query SharedOf($supplier: String!) {
    clubSources(first: 500, own: true, supplier: $supplier) { edges { node { id code part machine } } }
  }
`);

type Quote = ResultOf<typeof QuotesToShareQuery>["supplier"]["quotes"]["edges"][number]["node"];
type Order = Quote["orders"][number];

/** What the own workshop knows of its suppliers, shared with the club one row at a time. */
export default function SharePage() {
  const [supplier] = useAddressValue("supplier");
  const { restorer } = useClub();
  if (!restorer)
    return (
      <Page
        title="Share from my suppliers"
        sentence="Only a restorer has suppliers and quotes to share from. A source can be shared by typing it."
      >
        <Link to={clubAddress.sources()}>Back to the sources</Link>
      </Page>
    );
  return supplier ? <QuotesToShare supplier={supplier} /> : <SuppliersToShare />;
}

function SuppliersToShare() {
  const club = useClub();
  const [search, setSearch] = useAddressValue("q", ["page"]);
  const paging = usePaging("page", 50);
  const [result, again] = useQuery({
    query: SuppliersToShareQuery,
    variables: { first: paging.size, after: paging.variables.after ?? null, search },
  });
  const data = useKept(result.data, club.id);
  const suppliers = data?.suppliers;
  return (
    <Page
      title="Share from my suppliers"
      sentence="Choose a supplier; then share what it made for you, one at a time, each with its price or without."
      aside={<Link to={clubAddress.sources()}>Back to the sources</Link>}
    >
      {result.error && !suppliers ? (
        <Problem of={result.error} what="the suppliers" again={() => again({ requestPolicy: "network-only" })} />
      ) : !suppliers ? (
        <Loading what="the suppliers" />
      ) : (
        <Table
          caption="Suppliers of the workshop"
          rows={suppliers.edges.map(({ node }) => node)}
          rowKey={({ id }) => id}
          copy={false}
          columns={[
            {
              id: "name",
              title: "Supplier",
              lead: true,
              cell: ({ id, name }) => <Link to={clubAddress.share(id)}>{name}</Link>,
            },
            { id: "kind", title: "Kind", cell: ({ kind }) => SUPPLIER_KIND[kind] },
            { id: "quotes", title: "Quotes", numeric: true, cell: ({ quoteCount }) => plainNumber(quoteCount) },
            { id: "orders", title: "Orders", numeric: true, cell: ({ orders }) => plainNumber(orders.totalCount) },
          ]}
          filters={<SearchFilter label="Search" value={search} onChange={setSearch} />}
          empty={
            <Empty title={search ? "No supplier matches" : "The workshop has no supplier yet"}>
              <p>
                {search
                  ? `No supplier has “${search}” in its name or code.`
                  : "List suppliers and their quotes in a restoration first, or share a source by typing it."}
              </p>
            </Empty>
          }
          paging={
            suppliers.totalCount > 0 && (
              <Paging
                of={paging}
                page={suppliers.pageInfo}
                total={suppliers.totalCount}
                shown={suppliers.edges.length}
                noun="supplier"
              />
            )
          }
        />
      )}
    </Page>
  );
}

/** The order from which delivery and fit are told: an accepted one. */
const acceptedOf = ({ orders }: Quote): Order | undefined => orders.find(({ state }) => state === "ACCEPTED");
/** An order that failed: sent back, or past its promise with nothing arrived. */
const failedOf = ({ orders }: Quote): Order | undefined =>
  orders.find(({ state, daysLate }) => state === "SENT_BACK" || (state === "PLACED" && daysLate > 0));

function QuotesToShare({ supplier: id }: { supplier: string }) {
  const paging = usePaging("quotes", 50);
  const [result, again] = useQuery({
    query: QuotesToShareQuery,
    variables: { supplier: id, first: paging.size, after: paging.variables.after ?? null },
  });
  const supplier = useKept(result.data, id)?.supplier;
  const [shared] = useQuery({
    query: SharedOfQuery,
    variables: { supplier: supplier?.name ?? "" },
    pause: supplier === undefined,
  });
  const own = shared.data?.clubSources.edges.map(({ node }) => node) ?? [];
  const codeOf = ({ part }: Quote) =>
    own.find((row) => row.part === part.name && row.machine === part.restoration.machine)?.code;
  const rows = supplier?.quotes.edges.map(({ node }) => node) ?? [];
  const left = rows.filter((quote) => codeOf(quote) === undefined).length;
  return (
    <Page
      title={supplier ? `Share what ${supplier.name} made` : "Share from my suppliers"}
      sentence={
        supplier && (
          <>
            {supplier.name} has {counted(supplier.quotes.totalCount, "quote")} in your restorations
            {rows.length === supplier.quotes.totalCount && rows.length > 0 && <>, {left} not shared yet</>}. Delivery
            and fit are told from the orders themselves; the price only where you choose it.
          </>
        )
      }
      aside={<Link to={clubAddress.share()}>Another supplier</Link>}
    >
      {result.error && !supplier ? (
        <Problem of={result.error} what="the quotes" again={() => again({ requestPolicy: "network-only" })} />
      ) : !supplier ? (
        <Loading what="the quotes" />
      ) : (
        <Table
          caption={`Quotes of ${supplier.name}`}
          rows={rows}
          rowKey={(quote) => quote.id}
          copy={false}
          columns={[
            {
              id: "part",
              title: "Part",
              lead: true,
              cell: ({ part }) => (
                <>
                  <Link to={addressOf.part(part.restoration.id, part.id)}>{part.name}</Link>
                  <span className="club-under">{part.restoration.machine}</span>
                </>
              ),
            },
            { id: "provenance", title: "Provenance", cell: ({ provenance }) => PROVENANCE[provenance] },
            { id: "order", title: "Order", cell: (quote) => <OrderWords quote={quote} /> },
            {
              id: "price",
              title: "Price",
              numeric: true,
              cell: ({ unitPrice }) => <span className="money">{money(unitPrice)}</span>,
            },
            {
              id: "share",
              title: "Share",
              controls: true,
              cell: (quote) => {
                const code = codeOf(quote);
                return code ? (
                  <span>
                    shared as{" "}
                    <Link to={clubAddress.maker(supplier.name)} className="code">
                      {codeInWords("source", code)}
                    </Link>
                  </span>
                ) : (
                  <ShareButtons quote={quote} supplier={supplier} />
                );
              },
            },
          ]}
          empty={
            <Empty title={`${supplier.name} has no quote yet`}>
              <p>Nothing to share from: quotes are noted at each part of a restoration.</p>
            </Empty>
          }
          paging={
            supplier.quotes.totalCount > 0 && (
              <Paging
                of={paging}
                page={supplier.quotes.pageInfo}
                total={supplier.quotes.totalCount}
                shown={rows.length}
                noun="quote"
              />
            )
          }
        />
      )}
    </Page>
  );
}

function OrderWords({ quote }: { quote: Quote }) {
  const accepted = acceptedOf(quote);
  if (accepted)
    return (
      <>
        <Code noun="order" of={accepted.code} /> came {accepted.arrivedOn && dateInFull(accepted.arrivedOn)}
        {accepted.fitRating !== null && (
          <span className="club-under">fit {FIT_RATING[accepted.fitRating as keyof typeof FIT_RATING]}</span>
        )}
      </>
    );
  const failed = failedOf(quote);
  if (failed)
    return (
      <>
        <Code noun="order" of={failed.code} />{" "}
        <span className="late">
          {failed.state === "SENT_BACK" ? "was sent back" : `was promised for ${dateInFull(failed.promisedOn)}`}
        </span>
      </>
    );
  const [waiting] = quote.orders;
  return waiting ? (
    <>
      <Code noun="order" of={waiting.code} /> promised for {dateInFull(waiting.promisedOn)}
    </>
  ) : (
    <span className="soft">quoted, not ordered</span>
  );
}

interface ShareButtonsProps {
  quote: Quote;
  supplier: { name: string; country: string };
}

function ShareButtons({ quote, supplier }: ShareButtonsProps) {
  const { save, saving } = useSave();
  const accepted = acceptedOf(quote);
  const failed = failedOf(quote);
  const share = (more: { priceMinor?: number; currency?: string; order?: string; failed?: boolean }) =>
    void save(SaveSource, {
      input: {
        supplier: supplier.name,
        country: supplier.country,
        part: quote.part.name,
        machine: quote.part.restoration.machine,
        references: quote.part.references.map(({ number }) => number).join(", "),
        provenance: quote.provenance,
        ...(accepted ? { order: accepted.id } : {}),
        ...more,
      },
    });
  const price = { priceMinor: quote.unitPrice.minor, currency: quote.unitPrice.currency };
  const what = <span className="unseen"> {quote.part.name}</span>;
  return (
    <>
      {accepted && (
        <button type="button" disabled={saving} onClick={() => share(price)}>
          Share with the price{what}
        </button>
      )}
      <button type="button" disabled={saving} onClick={() => share({ currency: price.currency })}>
        Share without the price{what}
      </button>
      {!accepted && failed && (
        <button
          type="button"
          disabled={saving}
          onClick={() => share({ currency: price.currency, order: failed.id, failed: true })}
        >
          {failed.state === "SENT_BACK" ? "Share that it went back" : "Share that it never came"}
          {what}
        </button>
      )}
    </>
  );
}
