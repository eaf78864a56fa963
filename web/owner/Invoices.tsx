import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { told } from "../shared/Brief.tsx";
import { dateInFull, money } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { Table } from "../shared/Table.tsx";

const InvoicesQuery = graphql(`
  query Invoices($restoration: ID!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      invoices(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges { node {
          id code kind day paidOn corrects correctedBy
          amount { minor currency decimals } left { minor currency decimals }
        } }
      }
    }
  }
`);

const SIZE = 8;

/** What was asked of the owner and what came in, each with its days, the newest first. */
export function Invoices({ restoration }: { restoration: string }) {
  const paging = usePaging("invoices", SIZE);
  const [result, again] = useQuery({
    query: InvoicesQuery,
    variables: { restoration, first: SIZE, after: paging.variables.after ?? null },
  });
  const list = useKept(result.data, restoration)?.restoration.invoices;
  if (!list)
    return result.error ? (
      <Problem of={result.error} what="the invoices" again={() => again({ requestPolicy: "network-only" })} />
    ) : (
      <Loading what="the invoices" />
    );
  const rows = list.edges.map(({ node }) => node);
  const nameOf = ({ kind, code }: (typeof rows)[number]) => `${kind === "INVOICE" ? "Invoice" : "Received"} ${code}`;
  const standsOf = ({ kind, corrects, correctedBy, paidOn, left }: (typeof rows)[number]): string => {
    if (corrects) return "takes another back";
    if (correctedBy) return "taken back";
    if (kind === "RECEIPT") return "";
    return paidOn ? `paid ${dateInFull(paidOn)}` : left ? `${money(left)} outstanding` : "no rate known";
  };
  return (
    <>
      <h3>Invoices and what came in</h3>
      <Table
        caption="Invoices and what came in"
        copy={false}
        rows={rows}
        rowKey={({ id }) => id}
        brief={(row) => ({
          name: nameOf(row),
          also: told(dateInFull(row.day), standsOf(row)),
          when: money(row.amount),
        })}
        columns={[
          { id: "what", title: "What", lead: true, cell: nameOf },
          { id: "day", title: "Day", cell: ({ day }) => <span className="nowrap">{dateInFull(day)}</span> },
          { id: "stands", title: "Paid", cell: standsOf },
          { id: "amount", title: "Amount", numeric: true, cell: ({ amount }) => money(amount) },
        ]}
        paging={
          list.totalCount > rows.length ? (
            <Paging
              of={paging}
              page={list.pageInfo}
              total={list.totalCount}
              shown={rows.length}
              noun="entry"
              plural="entries"
            />
          ) : undefined
        }
        empty={<p>Nothing was asked of the owner yet.</p>}
      />
      {rows.some(({ kind }) => kind === "RECEIPT") && (
        <p className="soft">What comes in goes to the oldest invoice first.</p>
      )}
    </>
  );
}
