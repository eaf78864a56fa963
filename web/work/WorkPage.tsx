import { lazy, type ReactNode, Suspense, useMemo, useState } from "react";
import { Link, useSearchParams } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { useChoice } from "../shared/choice.ts";
import { Narrowing } from "../shared/Filters.tsx";
import { counted, dateInFull, freeInWords, hours, plainNumber, underWayInWords } from "../shared/format.ts";
import { Empty, Loading, Page, Problem } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { type RestorationInView, useRestoration } from "../shared/restoration.ts";
import { useNarrow } from "../shared/useNarrow.ts";
import { AddOperation } from "./AddOperation.tsx";
import { Filters, STATES, type State, useWorkFilter } from "./Filters.tsx";
import { OperationBars } from "./OperationBars.tsx";
import { OperationTable } from "./OperationTable.tsx";
import { useSchedule, type WholeSchedule } from "./schedule.ts";
import "./work.css";

const NetworkSheet = lazy(() => import("./NetworkSheet.tsx"));

const VIEWS = ["bars", "table", "waits"] as const;
type View = (typeof VIEWS)[number];

/** What the views were called in earlier addresses. */
const EARLIER: Readonly<Record<string, View>> = { calendar: "bars", network: "waits" };

/** The work to be done: operations as bars on the shop's calendar or in a table, or a drawing of what waits for what. */
export default function WorkPage() {
  const restoration = useRestoration();
  const [adding, setAdding] = useState(false);
  const add = (
    <>
      <Link className="button" to={addressOf.severalOperations(restoration.id)}>
        Add several
      </Link>
      <button type="button" onClick={() => setAdding(true)}>
        Add an operation
      </button>
    </>
  );
  return (
    <>
      <Work restoration={restoration} add={add} />
      <AddOperation open={adding} onClose={() => setAdding(false)} />
    </>
  );
}

function Work({ restoration, add }: { restoration: RestorationInView; add: ReactNode }) {
  const schedule = useSchedule(restoration.id);
  const [asked] = useAddressValue("view");
  if (!schedule.rows || !schedule.week)
    return (
      <Page title="Work" aside={add}>
        {schedule.error ? (
          <Problem of={schedule.error} what="the work" again={schedule.again} />
        ) : (
          <Loading
            what={schedule.total > 0 ? `the work, ${schedule.read} of ${schedule.total} operations` : "the work"}
          />
        )}
      </Page>
    );
  if (schedule.rows.length === 0)
    return (
      <Page title="Work" sentence="No work is entered yet, so nothing can be planned.">
        <Empty
          title="Begin with the operations"
          actions={
            <>
              {add}
              <Link className="button" to={addressOf.files(restoration.id)}>
                Bring in files
              </Link>
            </>
          }
        >
          <p>
            Type the first piece of shop work with its hours, several in a table that also takes cells pasted from a
            spreadsheet, or bring in operations.csv and links.csv.
          </p>
        </Empty>
      </Page>
    );
  const shown = VIEWS.find((view) => view === asked) ?? EARLIER[asked ?? ""] ?? "bars";
  return (
    <Page title="Work" aside={add} sentence={<Sentence restoration={restoration} schedule={schedule} />}>
      <ViewLinks shown={shown} />
      <Sheet restoration={restoration} schedule={schedule} view={shown} />
    </Page>
  );
}

function Sentence({ restoration, schedule }: { restoration: RestorationInView; schedule: WholeSchedule }) {
  const rows = schedule.rows ?? [];
  const left = rows.filter((row) => row.operation.state !== "DONE");
  const { operations, brought } = schedule.hoursToDo ?? { operations: 0, brought: 0 };
  const critical = left.filter((row) => row.critical).length;
  const underWay = left.filter((row) => row.operation.state === "UNDER_WAY");
  const free = freeInWords(schedule.freeIds.size);
  const work = addressOf.work(restoration.id);
  if (left.length === 0) return <>All {counted(rows.length, "operation")} are done.</>;
  return (
    <>
      {counted(left.length, "operation")}, {hours(operations + brought)} to do
      {brought > 0 && `, ${hours(brought)} of them on what parts and remedies bring`};{" "}
      {schedule.freeIds.size > 0 ? <Link to={`${work}?state=free`}>{free}</Link> : free}
      {underWay.length > 0 && (
        <>
          , <Link to={`${work}?state=under-way`}>{underWayInWords(underWay.length)}</Link>
        </>
      )}
      ; <Link to={`${work}?state=critical`}>{plainNumber(critical)}</Link> {critical === 1 ? "lies" : "lie"} on the
      critical path.
      {schedule.completion?.open && (
        <>
          {" "}
          <Link to={addressOf.holdUps(restoration.id)}>Something has {schedule.completion.lacking}</Link>, so the
          machine has no completion date: what waits for it is dated as if it were {schedule.completion.cleared},{" "}
          {dateInFull(schedule.completion.dateWithOpenInHand)} at the end.
        </>
      )}
    </>
  );
}

/** Operations, drawn or written, and what waits for what. */
function ViewLinks({ shown }: { shown: View }) {
  const [params] = useSearchParams();
  const link = (view: View, words: string, here: boolean) => {
    const next = new URLSearchParams(params);
    if (view === "bars") next.delete("view");
    else next.set("view", view);
    return (
      <Link to={`?${next}`} aria-current={here ? "page" : undefined}>
        {words}
      </Link>
    );
  };
  return (
    <nav className="views no-print" aria-label="Ways to see the work">
      <ul>
        <li>{link(shown === "table" ? "table" : "bars", "Operations", shown !== "waits")}</li>
        <li>{link("waits", "What waits for what", shown === "waits")}</li>
      </ul>
      {shown !== "waits" && (
        <p className="small">
          {link("bars", "as bars", shown === "bars")} · {link("table", "as a table", shown === "table")}
        </p>
      )}
    </nav>
  );
}

function Sheet({
  restoration,
  schedule,
  view,
}: {
  restoration: RestorationInView;
  schedule: WholeSchedule;
  view: View;
}) {
  const filter = useWorkFilter();
  const narrow = useNarrow();
  const paging = usePaging("rows", narrow ? 20 : 50);
  const { rows = [], freeIds, week } = schedule;
  const matching = useMemo(() => rows.filter((row) => filter.holds(row, freeIds)), [rows, filter.holds, freeIds]);
  const from = paging.variables.last
    ? Math.max(0, matching.length - paging.size)
    : Number(paging.variables.after ?? -1) + 1;
  const operations = useMemo(() => rows.map(({ operation }) => operation), [rows]);
  const choice = useChoice(operations);
  const page = matching.slice(from, from + paging.size);
  const filters = (
    <Narrowing says={[filter.search && `“${filter.search}”`, STATES[filter.state], filter.trade]}>
      <Filters filter={filter} trades={restoration.trades} />
    </Narrowing>
  );
  const pages = (
    <Paging
      of={paging}
      noun="operation"
      shown={page.length}
      total={matching.length}
      page={{
        hasNextPage: from + page.length < matching.length,
        hasPreviousPage: from > 0,
        startCursor: String(from),
        endCursor: String(from + page.length - 1),
      }}
    />
  );
  if (!week) return null;
  if (view === "waits")
    return (
      <>
        <div className="table-filters no-print">{filters}</div>
        <Suspense fallback={<Loading what="the drawing" />}>
          <NetworkSheet restoration={restoration.id} schedule={schedule} matching={matching} />
        </Suspense>
      </>
    );
  const nothing = <Nothing state={filter.state} onAll={filter.clear} />;
  if (view === "table")
    return (
      <OperationTable
        restoration={restoration.id}
        rows={matching}
        pageOf={(all) => all.slice(from, from + paging.size)}
        freeIds={freeIds}
        filters={filters}
        paging={pages}
        empty={nothing}
        choice={choice}
      />
    );
  return (
    <>
      <div className="table-filters no-print">{filters}</div>
      {page.length === 0 ? (
        nothing
      ) : (
        <OperationBars restoration={restoration.id} schedule={schedule} week={week} matching={matching} rows={page} />
      )}
      {pages}
    </>
  );
}

function Nothing({ state, onAll }: { state: State; onAll: () => void }) {
  return (
    <Empty
      title="No operation matches"
      actions={
        <button type="button" onClick={onAll}>
          Show all operations
        </button>
      }
    >
      <p>
        {state === "free"
          ? "Nothing is free to start: all that is left is under way, or waits for a part, a snag or other work."
          : "The filters leave nothing."}
      </p>
    </Empty>
  );
}
