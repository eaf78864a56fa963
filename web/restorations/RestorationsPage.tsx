import { useState } from "react";
import { Link, useNavigate } from "react-router";
import { useQuery } from "urql";
import { Who } from "../accounts/Who.tsx";
import { graphql } from "../client.ts";
import { Import } from "../files/Import.tsx";
import { addressOf } from "../shared/addresses.ts";
import { counted, dateInFull } from "../shared/format.ts";
import { JobHead } from "../shared/Head.tsx";
import { Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useMay } from "../shared/useMay.ts";
import { NOT_IN_HAND } from "../shared/words.ts";
import { AddRestoration } from "./AddRestoration.tsx";
import { Begin } from "./Begin.tsx";
import { Machines } from "./Machines.tsx";

const RestorationsQuery = graphql(`
  query Restorations($first: Int, $after: String, $last: Int, $before: String, $notInHand: [SupplyState!]) {
    restorations(first: $first, after: $after, last: $last, before: $before) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node {
        id machine owner targetName targetDate
        keptEnd { open evenOdds }
        operations(first: 1) { totalCount }
        parts(first: 1) { totalCount }
        wanted: parts(first: 1, state: $notInHand) { totalCount }
      } }
    }
    currencies { code name decimals used }
  }
`);

interface Row {
  id: string;
  machine: string;
  owner: string;
  targetName: string;
  targetDate: string | null;
  keptEnd: { open: boolean; evenOdds: string | null } | null;
  operations: { totalCount: number };
  parts: { totalCount: number };
  wanted: { totalCount: number };
}

/** The machines in the shop, and how to begin with another. */
export default function RestorationsPage() {
  const paging = usePaging("page", 50);
  const navigate = useNavigate();
  const may = useMay();
  const [adding, setAdding] = useState(false);
  const [result, again] = useQuery({
    query: RestorationsQuery,
    variables: { ...paging.variables, notInHand: NOT_IN_HAND },
  });
  const list = result.data?.restorations;
  const rows = list?.edges.map((edge) => edge.node) ?? [];
  const none = list?.totalCount === 0;
  const currencies = result.data?.currencies ?? [];
  const open = (id: string) => void navigate(addressOf.holdUps(id));
  return (
    <div className="sheet">
      <a className="skip" href="#main">
        Skip to the sheet
      </a>
      <JobHead
        of={{ label: "Machines in the shop", value: "Lastbolt" }}
        who={<Who />}
        ways={may("Query.club") ? [{ address: "/club", name: "The club" }] : []}
      />
      <main id="main" tabIndex={-1}>
        <Page
          title="Restorations"
          sentence={
            list &&
            (none
              ? "Lastbolt tells which missing part holds up the last bolt, what to order today and what can be worked on meanwhile. It begins with a machine."
              : `${counted(list.totalCount, "machine")} in the shop. Open ${list.totalCount === 1 ? "it" : "one"} to see what holds it up.`)
          }
          aside={
            !none &&
            !adding && (
              <button type="button" className="main" onClick={() => setAdding(true)}>
                Add a restoration
              </button>
            )
          }
        >
          {adding && !none && (
            <Section title="A new restoration">
              <AddRestoration currencies={currencies} onSaved={open} onCancel={() => setAdding(false)} />
            </Section>
          )}
          {result.error && !list ? (
            <Problem of={result.error} what="the restorations" again={() => again({ requestPolicy: "network-only" })} />
          ) : !list ? (
            <Loading what="the restorations" />
          ) : none ? (
            <>
              <Section title="Type it">
                <p className="prose">
                  The machine alone is needed. With who works, and a part, the work that waits for it and one quote, the
                  first day by which to order follows at once. What is left blank can be entered later on its own sheet.
                </p>
                <Begin currencies={currencies} onSaved={open} />
              </Section>
              <Section title="Bring in files">
                <p className="prose">
                  Operations, parts, quotes and orders can come from spreadsheets, a file each. They are checked first,
                  and columns may have names of your own.{" "}
                  <a href="/templates.zip">The files with their columns, empty</a>
                </p>
                <Import />
              </Section>
              <Section title="Look at the demo">
                <p className="prose">
                  A 1913 cyclecar that arrived in eleven crates, with its work, parts, quotes and orders, all of it made
                  up. Stop the program, then start it on the demo, which has a data folder of its own:
                </p>
                <pre className="command">npm start -- demo</pre>
              </Section>
            </>
          ) : (
            <>
              <Table
                caption="Restorations"
                rows={rows}
                rowKey={(row) => row.id}
                columns={COLUMNS}
                copy={false}
                paging={
                  <Paging
                    of={paging}
                    page={list.pageInfo}
                    total={list.totalCount}
                    shown={rows.length}
                    noun="restoration"
                    bothWays
                  />
                }
              />
              {may("Query.machines") && list.totalCount > 1 && <Machines of={list.totalCount} />}
            </>
          )}
        </Page>
      </main>
    </div>
  );
}

const COLUMNS: Column<Row>[] = [
  {
    id: "machine",
    title: "Machine",
    lead: true,
    cell: (row) => <Link to={addressOf.holdUps(row.id)}>{row.machine}</Link>,
  },
  { id: "owner", title: "Owner", cell: (row) => row.owner },
  {
    id: "target",
    title: "Target",
    cell: (row) => [row.targetName, row.targetDate && dateInFull(row.targetDate)].filter(Boolean).join(", "),
  },
  {
    id: "end",
    title: "Even odds by",
    cell: ({ keptEnd: end, operations, parts }) =>
      operations.totalCount + parts.totalCount === 0 ? (
        <span className="soft">nothing entered yet</span>
      ) : end === null ? (
        <span className="soft">not worked out yet</span>
      ) : end.open ? (
        "no date yet"
      ) : (
        end.evenOdds && dateInFull(end.evenOdds)
      ),
  },
  { id: "operations", title: "Operations", numeric: true, cell: (row) => String(row.operations.totalCount) },
  { id: "parts", title: "Parts", numeric: true, cell: (row) => String(row.parts.totalCount) },
  { id: "wanted", title: "Not in hand", numeric: true, cell: (row) => String(row.wanted.totalCount) },
];
