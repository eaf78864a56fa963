import type { ReactNode } from "react";
import { Link } from "react-router";
import type { CombinedError } from "urql";
import { type Brief, told } from "../shared/Brief.tsx";
import { Code } from "../shared/Code.tsx";
import { SearchFilter } from "../shared/Filters.tsx";
import { counted, plainNumber } from "../shared/format.ts";
import { type Open, OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useNarrow } from "../shared/useNarrow.ts";
import { clubAddress } from "./addresses.ts";
import { Nearest } from "./Nearest.tsx";
import { RemoveRow } from "./RemoveRow.tsx";
import { openedAction, RowActions, Withheld } from "./RowActions.tsx";

type Noun = "want" | "spare";

/** What stands before the number of one. */
const SAID: Record<Noun, string> = { want: "wanted", spare: "spare" };

/** What a want and a spare have in common. */
interface PartRow {
  id: string;
  revision: number;
  code: string;
  part: string;
  machine: string;
  references: string;
  quantity: number;
  notes: string;
  withheldReason: string | null;
  own: boolean;
  member: { name: string };
}

interface PartConnection<Row> {
  totalCount: number;
  pageInfo: Parameters<typeof Paging>[0]["page"];
  edges: readonly { node: Row }[];
}

export interface PartWords {
  /** "Wants"; in an error "the wants". */
  title: string;
  noun: Noun;
  sentence: (count: number) => string;
  begin: string;
  new: string;
  own: string;
  ownEmpty: string;
  all: string;
  allEmpty: { title: string; words: string };
  /** Head of the column that names the member. */
  by: string;
}

interface PartListsProps<Row extends PartRow> {
  words: PartWords;
  pages: ReturnType<typeof usePartPages>;
  /** Undefined until it is read. */
  lists: { own: PartConnection<Row>; all: PartConnection<Row>; nearest: readonly Row[]; matches: number } | undefined;
  error: CombinedError | undefined;
  again: () => void;
  form: (props: { row?: Row; onSaved: () => void; onCancel: () => void }) => ReactNode;
  /** The part's name in the own list, where it is more than words. */
  ownName?: (row: Row) => ReactNode;
  /** Between the code and its state. */
  columns: Column<Row>[];
  state: (row: Row) => ReactNode;
  /** What stands at the right of a line on a narrow screen. */
  when: (row: Row) => ReactNode;
  /** Turns the state of an own row: it is found or gone, or not so after all. */
  turn: { words: (row: Row) => string; busy: boolean; onTurn: (row: Row) => void };
  /** What else may be done with another's row: a button, and the form that it opens. */
  take?: { words: string; form: (row: Row, onDone: () => void) => ReactNode };
}

/** Where both lists stand, and the variables that their query takes. */
export function usePartPages() {
  const narrow = useNarrow();
  const own = usePaging("own", narrow ? 10 : 25);
  const all = usePaging("page", narrow ? 25 : 50);
  const [search, setSearch] = useAddressValue("q", ["page"]);
  return {
    own,
    all,
    search,
    setSearch,
    variables: {
      first: all.size,
      after: all.variables.after ?? null,
      firstOwn: own.size,
      afterOwn: own.variables.after ?? null,
      search,
      searches: Boolean(search),
    },
  };
}

/** Parts that members want or can let go: the own list, then everybody's. */
export function PartLists<Row extends PartRow>(props: PartListsProps<Row>) {
  const { words, lists, pages, error, again, form } = props;
  const open = useOpen();
  const what = `the ${words.title.toLowerCase()}`;
  return (
    <Page
      title={words.title}
      sentence={
        lists && (
          <>
            {pages.search ? (
              lists.all.totalCount > 0 ? (
                <>
                  {counted(lists.all.totalCount, words.noun)} {lists.all.totalCount === 1 ? "fits" : "fit"} “
                  {pages.search}”.
                </>
              ) : (
                lists.nearest.length > 0 && <Nearest search={pages.search} />
              )
            ) : (
              words.sentence(lists.all.totalCount)
            )}{" "}
            <MatchCount count={lists.matches} />
          </>
        )
      }
      aside={
        lists && (
          <OpenButton of={open} opens="new" main>
            {words.begin}
          </OpenButton>
        )
      }
    >
      {open.has("new") && (
        <Section title={words.new}>
          <Opened>{form({ onSaved: () => open.close("new"), onCancel: () => open.close("new") })}</Opened>
        </Section>
      )}
      {lists ? (
        <>
          {(lists.all.totalCount > 0 || pages.search) && (
            <div className="club-search">
              <SearchFilter
                label={`Look through ${words.all.replace("What", "what")}`}
                value={pages.search}
                onChange={pages.setSearch}
              />
            </div>
          )}
          {!pages.search && <OwnList {...props} list={lists.own} open={open} />}
          <EveryonesList {...props} list={lists.all} nearest={lists.nearest} open={open} />
        </>
      ) : error ? (
        <Problem of={error} what={what} again={again} />
      ) : (
        <Loading what={what} />
      )}
    </Page>
  );
}

type ListProps<Row extends PartRow> = PartListsProps<Row> & { list: PartConnection<Row>; open: Open };

function OwnList<Row extends PartRow>({
  words,
  pages,
  list,
  open,
  form,
  ownName,
  columns,
  state,
  turn,
}: ListProps<Row>) {
  const { noun } = words;
  return (
    <Section title={words.own}>
      <Table
        caption={words.own}
        copy={false}
        rows={list.edges.map(({ node }) => node)}
        rowKey={({ id }) => id}
        brief={(row) => briefOf(row, state)}
        columns={[
          ...partColumns(noun, ownName),
          ...columns,
          { id: "state", title: "State", cell: state },
          {
            id: "controls",
            title: "",
            controls: true,
            cell: (row) => (
              <>
                <OpenButton of={open} opens={row.id}>
                  Change<span className="unseen"> {row.part}</span>
                </OpenButton>
                <button type="button" disabled={turn.busy} onClick={() => turn.onTurn(row)}>
                  {turn.words(row)}
                  <span className="unseen"> {row.part}</span>
                </button>
                <RemoveRow noun={noun} row={row} what={row.part} />
              </>
            ),
          },
        ]}
        below={(row) =>
          open.has(row.id) && (
            <Opened>{form({ row, onSaved: () => open.close(row.id), onCancel: () => open.close(row.id) })}</Opened>
          )
        }
        empty={<p className="prose">{words.ownEmpty}</p>}
        paging={
          list.totalCount > pages.own.size && (
            <Paging
              of={pages.own}
              page={list.pageInfo}
              total={list.totalCount}
              shown={list.edges.length}
              noun={`${noun} of yours`}
              plural={`${noun}s of yours`}
            />
          )
        }
      />
    </Section>
  );
}

function EveryonesList<Row extends PartRow>({
  words,
  pages,
  list,
  nearest,
  open,
  columns,
  when,
  take,
}: ListProps<Row> & { nearest: readonly Row[] }) {
  const kind = words.noun === "want" ? "WANT" : "SPARE";
  const actionsOf = (row: Row) => ({ row, kind, what: row.part, open }) as const;
  const takes = (row: Row) => `take ${row.id}`;
  return (
    <Section title={words.all}>
      <Table
        caption={words.all}
        rows={list.totalCount > 0 ? list.edges.map(({ node }) => node) : nearest}
        rowKey={({ id }) => `all ${id}`}
        brief={(row) => briefOf(row, when, row.own ? "yours" : row.member.name)}
        columns={[
          ...partColumns<Row>(words.noun),
          ...columns,
          {
            id: "member",
            title: words.by,
            cell: ({ own, member }) => <span className="nowrap">{own ? "you" : member.name}</span>,
          },
          {
            id: "controls",
            title: "",
            controls: true,
            cell: (row) =>
              row.own ? null : (
                <>
                  {take && (
                    <OpenButton of={open} opens={takes(row)}>
                      {take.words}
                      <span className="unseen"> {row.part}</span>
                    </OpenButton>
                  )}
                  <RowActions {...actionsOf(row)} />
                </>
              ),
          },
        ]}
        below={(row) =>
          row.own ? null : take && open.has(takes(row)) ? (
            <Opened>{take.form(row, () => open.close(takes(row)))}</Opened>
          ) : (
            openedAction(actionsOf(row))
          )
        }
        empty={
          pages.search ? (
            <Empty
              title={`No ${words.noun} matches`}
              actions={
                <button type="button" onClick={() => pages.setSearch(null)}>
                  Clear the search
                </button>
              }
            >
              <p>None has “{pages.search}” in its name, machine or numbers, nor words like it.</p>
            </Empty>
          ) : (
            <Empty title={words.allEmpty.title}>
              <p>{words.allEmpty.words}</p>
            </Empty>
          )
        }
        paging={
          list.totalCount > 0 && (
            <Paging
              of={pages.all}
              page={list.pageInfo}
              total={list.totalCount}
              shown={list.edges.length}
              noun={words.noun}
            />
          )
        }
      />
    </Section>
  );
}

/** How many matches wait, with the way to them. */
function MatchCount({ count }: { count: number }) {
  if (count === 0) return <>None of yours meets another's at present.</>;
  return (
    <>
      <Link to={clubAddress.matches()}>{counted(count, "match", "matches")}</Link> {count === 1 ? "brings" : "bring"}{" "}
      yours and others' together.
    </>
  );
}

const briefOf = <Row extends PartRow>(row: Row, when: (row: Row) => ReactNode, whose?: string): Brief => ({
  name: row.quantity > 1 ? `${row.part} × ${plainNumber(row.quantity)}` : row.part,
  also: told(whose, row.machine),
  ...(row.withheldReason === null ? { when: when(row) } : { when: "withheld", colour: "red-lead" }),
});

const partColumns = <Row extends PartRow>(
  noun: Noun,
  name: (row: Row) => ReactNode = ({ part }) => part,
): Column<Row>[] => [
  {
    id: "part",
    title: "Part",
    lead: true,
    cell: (row) => (
      <>
        {name(row)}
        {row.quantity > 1 && <>, {plainNumber(row.quantity)} of them</>}
        {row.machine && <span className="club-under">{row.machine}</span>}
        {row.references && <span className="club-under code">{row.references}</span>}
        {row.notes && <span className="club-under club-notes">{row.notes}</span>}
        <Withheld reason={row.withheldReason} />
      </>
    ),
  },
  { id: "code", title: "Code", cell: ({ code }) => <Code noun={SAID[noun]} of={code} /> },
];
