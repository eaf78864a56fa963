import type { ResultOf } from "gql.tada";
import { type ReactNode, useMemo, useRef } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { type Brief, told } from "../shared/Brief.tsx";
import { Code } from "../shared/Code.tsx";
import { useChoice } from "../shared/choice.ts";
import { CheckFilter, ChoiceFilter, Narrowing, SearchFilter } from "../shared/Filters.tsx";
import { counted, dateInFull, days, listed } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { HoldsUpMark, SupplyMark } from "../shared/Mark.tsx";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type Column, Table, useSort } from "../shared/Table.tsx";
import { useNarrow } from "../shared/useNarrow.ts";
import { choicesOf, isOwnWork, SUPPLY_STATE, supplyWords } from "../shared/words.ts";
import { ChosenParts } from "./ChosenParts.tsx";
import { PartForm } from "./PartForm.tsx";
import { type Counts, leadOf, PartsSentence } from "./PartsSentence.tsx";
import "./parts.css";

const PartsQuery = graphql(`
  query Parts(
    $restoration: ID!, $first: Int, $after: String, $last: Int, $before: String, $search: String, $group: String,
    $state: [SupplyState!], $safetyCritical: Boolean, $sort: PartSort, $descending: Boolean
  ) {
    restoration(id: $restoration) {
      id
      all: parts(first: 1) { totalCount }
      IN_HAND: parts(first: 1, state: [IN_HAND]) { totalCount }
      NO_SOURCE: parts(first: 1, state: [NO_SOURCE]) { totalCount }
      HUNTED: parts(first: 1, state: [HUNTED]) { totalCount }
      UNDECIDED: parts(first: 1, state: [UNDECIDED]) { totalCount }
      TO_ORDER: parts(first: 1, state: [TO_ORDER]) { totalCount }
      ORDERED: parts(first: 1, state: [ORDERED]) { totalCount }
      LATE: parts(first: 1, state: [LATE]) { totalCount }
      ARRIVED: parts(first: 1, state: [ARRIVED]) { totalCount }
      parts(
        first: $first, after: $after, last: $last, before: $before, search: $search, group: $group,
        state: $state, safetyCritical: $safetyCritical, sort: $sort, descending: $descending
      ) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges {
          node {
            id revision code name group quantity stateOnHand safetyCritical notes
          kept visible ruledOut ownJudgingSection { id } judgingLine { id } chosenQuote { id }
            estimate { minor currency decimals }
            outlook { state quote { id supplier { id name kind } } arrivalDate needBy orderBy floatDays holdsUp }
          }
        }
      }
    }
  }
`);

/** Columns of the table beside the orders that the API knows. */
const SORTS = {
  name: "NAME",
  code: "CODE",
  group: "GROUP",
  state: "STATE",
  arrival: "ARRIVAL",
  needBy: "NEED_BY",
  orderBy: "ORDER_BY",
  float: "FLOAT",
} as const;

const isSupplyState = (word: string | null): word is keyof typeof SUPPLY_STATE => word !== null && word in SUPPLY_STATE;
const isSort = (word: string): word is keyof typeof SORTS => word in SORTS;

type Listed = ResultOf<typeof PartsQuery>["restoration"]["parts"]["edges"][number]["node"];

const dateCell = (date: string | null): ReactNode =>
  date && (
    <time className="nowrap" dateTime={date}>
      {dateInFull(date)}
    </time>
  );

function floatCell(float: number | null): ReactNode {
  if (float === null) return null;
  return float < 0 ? (
    <span className="late nowrap">{days(-float)} late</span>
  ) : (
    <span className="nowrap">{days(float)}</span>
  );
}

const columnsOf = (restoration: string, controls: (part: Listed) => ReactNode): Column<Listed>[] => [
  {
    id: "name",
    title: "Part",
    lead: true,
    sortable: true,
    cell: (part) => (
      <>
        <Link to={addressOf.part(restoration, part.id)}>{part.name}</Link>
        {part.quantity > 1 && <span className="soft nowrap"> × {part.quantity}</span>}
        {part.safetyCritical && <span className="soft small part-flag"> safety-critical</span>}
      </>
    ),
  },
  { id: "code", title: "Code", sortable: true, cell: (part) => <Code noun="part" of={part.code} /> },
  { id: "group", title: "Group", sortable: true, cell: (part) => part.group },
  {
    id: "state",
    title: "State",
    sortable: true,
    cell: ({ outlook }) => (
      <span className="part-state">
        <SupplyMark of={outlook} /> {outlook.holdsUp && <HoldsUpMark />}
      </span>
    ),
  },
  { id: "arrival", title: "Arrives", sortable: true, cell: ({ outlook }) => dateCell(outlook.arrivalDate) },
  { id: "needBy", title: "Need-by", sortable: true, cell: ({ outlook }) => dateCell(outlook.needBy) },
  { id: "orderBy", title: "Order-by", sortable: true, cell: ({ outlook }) => dateCell(outlook.orderBy) },
  { id: "float", title: "Float", sortable: true, numeric: true, cell: ({ outlook }) => floatCell(outlook.floatDays) },
  { id: "controls", title: "", controls: true, cell: controls },
];

/** What a part asks, with its date: "order by 9 Feb 2027", "arrives 4 May 2027". */
function asks({ outlook: { state, quote, arrivalDate, needBy, orderBy } }: Listed): ReactNode {
  const own = quote !== null && isOwnWork(quote);
  if (state === "IN_HAND" || state === "ARRIVED") return supplyWords(state, own);
  if (state === "NO_SOURCE") return needBy ? <>find by {dateCell(needBy)}</> : "find";
  if (state === "ORDERED" || state === "LATE")
    return arrivalDate ? (
      <>
        {state === "LATE" ? "late, " : ""}
        {own ? "ready" : "arrives"} {dateCell(arrivalDate)}
      </>
    ) : (
      supplyWords(state, own)
    );
  return orderBy ? (
    <>
      {own ? "begin" : "order"} by {dateCell(orderBy)}
    </>
  ) : (
    supplyWords(state, own)
  );
}

const COLOURS: Partial<Record<keyof typeof SUPPLY_STATE, Brief["colour"]>> = {
  NO_SOURCE: "red-lead",
  LATE: "red-lead",
  IN_HAND: "verdigris",
};

/** A part on a narrow screen: what it is, from whom or in which state, and what it asks. */
const briefOf =
  (restoration: string) =>
  (part: Listed): Brief => ({
    name: `${part.name}${part.quantity > 1 ? ` × ${part.quantity}` : ""}`,
    to: addressOf.part(restoration, part.id),
    also: told(
      part.outlook.holdsUp && "holds it up",
      supplyWords(part.outlook.state, part.outlook.quote !== null && isOwnWork(part.outlook.quote)),
      part.outlook.state !== "IN_HAND" && part.outlook.quote?.supplier.name,
      part.safetyCritical && "safety-critical",
    ),
    when: asks(part),
    colour: COLOURS[part.outlook.state],
  });

/** Every part that the machine needs, and where each stands. */
export default function PartsPage() {
  const restoration = useRestoration();
  const [search, setSearch] = useAddressValue("q", ["page"]);
  const [group, setGroup] = useAddressValue("group", ["page"], "section");
  const [state, setState] = useAddressValue("state", ["page"], "standing");
  const [safety, setSafety] = useAddressValue("safety", ["page"]);
  const [sort, chooseSort] = useSort({ column: "state", descending: false }, "sort", ["page"]);
  const paging = usePaging("page", useNarrow() ? 20 : 50);
  const open = useOpen();
  const adding = open.has("new");
  const form = useRef<HTMLDivElement>(null);
  const [result, again] = useQuery({
    query: PartsQuery,
    variables: {
      restoration: restoration.id,
      ...paging.variables,
      search,
      group,
      state: isSupplyState(state) ? [state] : null,
      safetyCritical: safety === "yes" ? true : null,
      sort: isSort(sort.column) ? SORTS[sort.column] : "STATE",
      descending: sort.descending,
    },
  });
  const found = useKept(result.data, restoration.id)?.restoration;
  const rows = useMemo(() => found?.parts.edges.map(({ node }) => node) ?? [], [found]);
  const choice = useChoice(rows);
  const narrowed = Boolean(search || group || state || safety);
  const filters = (
    <Narrowing
      says={[search && `“${search}”`, group, isSupplyState(state) && SUPPLY_STATE[state], safety && "safety-critical"]}
    >
      <SearchFilter label="Search" value={search} onChange={setSearch} />
      <ChoiceFilter
        label="Group"
        all="all groups"
        value={group}
        onChange={setGroup}
        choices={restoration.groups.map((name) => ({ value: name, label: name }))}
      />
      <ChoiceFilter
        label="State"
        all="all states"
        value={state}
        onChange={setState}
        choices={choicesOf(SUPPLY_STATE)}
      />
      <CheckFilter label="Only safety-critical" value={safety} onChange={setSafety} />
      {narrowed && (
        <Link className="button" to={addressOf.parts(restoration.id)}>
          Clear the filters
        </Link>
      )}
    </Narrowing>
  );

  const begin = (
    <OpenButton of={open} opens="new" main>
      Add a part
    </OpenButton>
  );
  const several = (
    <Link className="button" to={addressOf.severalParts(restoration.id)}>
      Add several
    </Link>
  );
  const none = found?.all.totalCount === 0;
  const counts =
    found &&
    (Object.fromEntries(
      Object.keys(SUPPLY_STATE).map((word) => [word, found[word as keyof typeof SUPPLY_STATE].totalCount]),
    ) as Counts);

  return (
    <Page
      title="Parts"
      lead={counts && !none ? leadOf(restoration.id, found.all.totalCount, counts) : undefined}
      sentence={
        counts && !none && <PartsSentence restoration={restoration.id} all={found.all.totalCount} counts={counts} />
      }
      aside={
        <>
          <Link className="button" to={addressOf.threads(restoration.id)}>
            Find a thread
          </Link>
          {found && !none && (
            <>
              {several}
              {begin}
            </>
          )}
        </>
      }
    >
      {adding && (
        <Section title="Add a part">
          <div ref={form}>
            <Opened>
              <PartForm
                onSaved={() => form.current?.querySelector("input")?.focus()}
                onCancel={() => open.close("new")}
              />
            </Opened>
          </div>
        </Section>
      )}
      {result.error && !found ? (
        <Problem of={result.error} what="the parts" again={() => again({ requestPolicy: "network-only" })} />
      ) : !found ? (
        <Loading what="the parts" />
      ) : none ? (
        !adding && <NoParts begin={begin} several={several} />
      ) : (
        <Table
          caption="Parts"
          rows={rows}
          choosing={{
            choice,
            name: ({ name }) => name,
            line: <ChosenParts choice={choice} page={rows.map(({ id }) => id)} />,
          }}
          rowKey={({ id }) => id}
          brief={briefOf(restoration.id)}
          columns={columnsOf(restoration.id, (part) => (
            <>
              <OpenButton of={open} opens={part.id}>
                Change<span className="unseen"> {part.name}</span>
              </OpenButton>
              <RemoveButton
                row="PART"
                id={part.id}
                revision={part.revision}
                what={part.name}
                onRemoved={() => choice.put([part.id], false)}
              />
            </>
          ))}
          below={(part) =>
            open.has(part.id) && (
              <Opened>
                <PartForm part={part} onSaved={() => open.close(part.id)} onCancel={() => open.close(part.id)} />
              </Opened>
            )
          }
          sort={sort}
          onSort={chooseSort}
          filters={filters}
          empty={
            <Empty
              title="No part matches"
              actions={
                <Link className="button" to={addressOf.parts(restoration.id)}>
                  Clear the filters
                </Link>
              }
            >
              <p>
                {counted(found.all.totalCount, "part")} {found.all.totalCount === 1 ? "is" : "are"} listed, none of them
                with{" "}
                {listed(
                  [
                    search && `“${search}” in its name, code or notes, or as a quote or an order of it`,
                    group && `group ${group}`,
                    isSupplyState(state) && `the state “${SUPPLY_STATE[state]}”`,
                    safety && "the safety-critical mark",
                  ].filter((word): word is string => Boolean(word)),
                )}
                .
              </p>
            </Empty>
          }
          paging={
            found.parts.totalCount > 0 && (
              <Paging
                of={paging}
                page={found.parts.pageInfo}
                total={found.parts.totalCount}
                shown={found.parts.edges.length}
                noun="part"
                bothWays
              />
            )
          }
        />
      )}
    </Page>
  );
}

function NoParts({ begin, several }: { begin: ReactNode; several: ReactNode }) {
  const restoration = useRestoration();
  return (
    <Empty
      title="No part is listed yet"
      actions={
        <>
          {begin}
          {several}
          <Link className="button" to={addressOf.files(restoration.id)}>
            Bring in files
          </Link>
        </>
      }
    >
      <p>
        List what the machine needs and the shop may not have: one by one, several in a table that also takes cells
        pasted from a spreadsheet, or all at once from files.
      </p>
    </Empty>
  );
}
