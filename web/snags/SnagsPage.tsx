import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { told } from "../shared/Brief.tsx";
import { Code } from "../shared/Code.tsx";
import { counted, dateInFull } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type Column, Table, useSort } from "../shared/Table.tsx";
import { SnagForm } from "./SnagForm.tsx";
import { SnagSheet } from "./SnagSheet.tsx";
import { type SnagOnSheet, SnagsQuery } from "./snag.ts";
import "./snags.css";

const SHOWN = { all: null, open: true, cleared: false } as const;

/** Faults found at fitting or on test, and what each remedy costs in money, days, hours and points. */
export default function SnagsPage() {
  const restoration = useRestoration();
  const [kept, setShown] = useAddressValue("show", ["snags"]);
  const [snag, setSnag] = useAddressValue("snag");
  const [adding, setAdding] = useAddressValue("add");
  const shown = kept && kept in SHOWN ? (kept as keyof typeof SHOWN) : "all";
  const paging = usePaging("snags", 50);
  const { first, after } = paging.variables;
  const variables = {
    restoration: restoration.id,
    open: SHOWN[shown],
    first: first ?? paging.size,
    after: after ?? null,
  };
  const [result, again] = useQuery({ query: SnagsQuery, variables });
  const [sort, onSort] = useSort({ column: "cleared", descending: false });
  const found = result.data?.restoration;
  const add = (
    <button type="button" onClick={() => setAdding("1")}>
      Add a snag
    </button>
  );
  if (!found)
    return (
      <Page title="Snags">
        {result.error ? (
          <Problem of={result.error} what="the snags" again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what="the snags" />
        )}
      </Page>
    );
  const rows = found.snags.edges.map((edge) => edge.node);
  const chosen = rows.find((row) => row.id === snag) ?? rows.find((row) => !row.clearedOn) ?? rows[0];
  const undecided = found.stillOpen.edges.filter(({ node }) => !node.chosenRemedy).length;
  const none = found.stillOpen.totalCount === 0 && rows.length === 0 && shown === "all";

  return (
    <Page
      title="Snags"
      aside={!adding && add}
      sentence={
        none
          ? "No snag is on record."
          : found.stillOpen.totalCount === 0
            ? "No snag is open."
            : `${counted(found.stillOpen.totalCount, "snag")} ${found.stillOpen.totalCount === 1 ? "is" : "are"} open; ${
                undecided === 0
                  ? found.stillOpen.totalCount === 1
                    ? "its remedy is chosen."
                    : "each has its remedy chosen."
                  : `${found.stillOpen.totalCount === 1 ? "it has" : undecided === 1 ? "one has" : `${undecided} have`} no remedy chosen, and the work stops there until one is.`
              }`
      }
    >
      {adding && (
        <Section title="New snag">
          <SnagForm
            operation={adding === "1" ? null : adding}
            onSaved={(id) => {
              setAdding(null);
              setSnag(id);
            }}
            onCancel={() => setAdding(null)}
          />
        </Section>
      )}
      {none ? (
        !adding && (
          <Empty title="Nothing has gone wrong yet" actions={add}>
            <p>A snag is a fault found at fitting or on test. It stops its operation until a remedy is carried out.</p>
          </Empty>
        )
      ) : (
        <Table
          caption="Snags"
          rows={rows}
          columns={columns(restoration.id)}
          rowKey={(row) => row.id}
          brief={(row) => ({
            name: row.title,
            also: told(row.operation.title, row.chosenRemedy?.title),
            when: row.clearedOn ? "cleared" : row.chosenRemedy ? "remedy chosen" : "no remedy",
            colour: row.clearedOn ? "verdigris" : row.chosenRemedy ? undefined : "red-lead",
          })}
          sort={sort}
          onSort={onSort}
          filters={
            <div className="field">
              <label htmlFor="snags-shown">Show</label>
              <select
                id="snags-shown"
                value={shown}
                onChange={(event) => setShown(event.target.value === "all" ? null : event.target.value)}
              >
                <option value="all">open and cleared</option>
                <option value="open">open</option>
                <option value="cleared">cleared</option>
              </select>
            </div>
          }
          paging={
            <Paging
              of={paging}
              page={found.snags.pageInfo}
              total={found.snags.totalCount}
              shown={rows.length}
              noun="snag"
            />
          }
          empty={
            <Empty title="No snag matches">
              <p>{shown === "open" ? "All snags are cleared." : "None is cleared yet."}</p>
            </Empty>
          }
        />
      )}
      {chosen && <SnagSheet key={chosen.id} snag={chosen} onRemoved={() => setSnag(null)} />}
    </Page>
  );
}

function columns(restoration: string): Column<SnagOnSheet>[] {
  return [
    {
      id: "snag",
      title: "Snag",
      lead: true,
      cell: (row) => (
        <Link to={`?snag=${encodeURIComponent(row.id)}`} preventScrollReset>
          <Code noun="snag" of={row.code} /> {row.title}
        </Link>
      ),
      sortable: true,
      sortBy: (row) => row.code,
    },
    {
      id: "operation",
      title: "Found in",
      cell: (row) => (
        <Link to={addressOf.operation(restoration, row.operation.id)}>
          <Code noun="operation" of={row.operation.code} /> {row.operation.title}
        </Link>
      ),
      sortable: true,
      sortBy: (row) => row.operation.code,
    },
    {
      id: "found",
      title: "Found on",
      cell: (row) => row.foundOn && <span className="nowrap">{dateInFull(row.foundOn)}</span>,
      sortable: true,
      sortBy: (row) => row.foundOn,
    },
    {
      id: "cleared",
      title: "State",
      cell: (row) =>
        row.clearedOn ? (
          <Mark word={`cleared ${dateInFull(row.clearedOn)}`} colour="verdigris" shape="full" />
        ) : row.chosenRemedy ? (
          <Mark word="open, remedy chosen" colour="ink" shape="half" />
        ) : (
          <Mark word="open, no remedy chosen" colour="red-lead" shape="cross" />
        ),
      sortable: true,
      sortBy: (row) => row.clearedOn ?? "",
    },
    { id: "remedy", title: "Remedy", cell: (row) => row.chosenRemedy?.title },
  ];
}
