import { useEffect, useMemo, useState } from "react";
import { flushSync } from "react-dom";
import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { useConnection, useWhenAnswering } from "../shared/connection.ts";
import { useEveryPage } from "../shared/everyPage.ts";
import { CheckFilter, SearchFilter } from "../shared/Filters.tsx";
import { counted, days, momentInFull, plainNumber } from "../shared/format.ts";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { useAddressValue } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useAgainAfter, useUnsent } from "../shared/unsent.tsx";
import { NOT_COME } from "../shared/words.ts";
import { type KeptSheet, keepSheet, keptSheet } from "./device.ts";
import { FieldParts } from "./FieldParts.tsx";
import { Finds } from "./Finds.tsx";
import "./field.css";
import { FieldFindsQuery, FieldPartsQuery, type FieldSheet, mostUrgentFirst, speaksOf } from "./fieldSheet.ts";
import { useOpensOffline } from "./offline.ts";
import { useWalkAways } from "./walkAway.ts";

/** Parts drawn at once on a screen; paper takes all of them. */
const SHOWN = 40;

/** What to look for at a swap meet, and what was found there. Opens without a connection once it was opened with one. */
export default function FieldPage() {
  const restoration = useRestoration();
  const { answers } = useConnection();
  const opens = useOpensOffline();
  const waiting = useUnsent("finds", restoration.id);
  const { sheet, readAt, kept, problem, again } = useFieldSheet(waiting.sentElsewhere);
  const [search, setSearch] = useAddressValue("search");
  const [priced, setPriced] = useAddressValue("walk-away");
  const [shown, setShown] = useShown(`${search} ${priced}`);

  if (!sheet)
    return (
      <Page title="Field sheet">
        {problem ? (
          <Problem
            of={problem}
            what="the field sheet"
            kept="Open it once with a connection, and it stays."
            again={again}
          />
        ) : (
          <Loading what="the field sheet" />
        )}
      </Page>
    );
  const parts = sheet.parts.filter(
    (part) =>
      (!search || speaksOf(part, search)) &&
      (priced !== "yes" || (sheet.walkAways[part.id] ?? []).some(({ price }) => price !== null)),
  );
  return (
    <Page title="Field sheet" sentence={sheet.parts.length > 0 && <Sentence sheet={sheet} />}>
      <p className="soft no-print" role="status">
        {problem || !answers
          ? `Without a connection: the sheet is as it was read on ${momentInFull(new Date(readAt).toISOString())}. Finds are kept on this device.`
          : opens && kept
            ? `Kept on this device: it opens without a connection, as read on ${momentInFull(new Date(readAt).toISOString())}.`
            : ""}
      </p>
      {problem && answers && (
        <p className="no-print">
          <button type="button" onClick={again}>
            Read it again
          </button>
        </p>
      )}
      {sheet.parts.length === 0 ? (
        <Empty
          title="Nothing to look for"
          actions={
            <Link className="button" to={addressOf.parts(restoration.id)}>
              See the parts
            </Link>
          }
        >
          <p>
            No part is outstanding. A part that is missing or needs work is listed here once it is entered among the
            parts.
          </p>
        </Empty>
      ) : (
        <Section title="To look for" id="to-look-for">
          <div className="table-filters no-print">
            <SearchFilter label="Search" value={search} onChange={setSearch} />
            <CheckFilter label="With a walk-away price only" value={priced} onChange={setPriced} />
            <button type="button" onClick={() => window.print()}>
              Print it
            </button>
          </div>
          <p className="unseen" role="status">
            {counted(parts.length, "part")} shown.
          </p>
          {parts.length === 0 ? (
            <p className="soft">No outstanding part matches.</p>
          ) : (
            <FieldParts sheet={sheet} parts={parts.slice(0, shown)} waiting={waiting} />
          )}
          {parts.length > shown && (
            <div className="row no-print">
              <span className="soft">
                {plainNumber(shown)} of {counted(parts.length, "part")}
              </span>
              <button type="button" onClick={() => setShown(shown + SHOWN)}>
                Show more
              </button>
            </div>
          )}
        </Section>
      )}
      <Finds finds={sheet.finds} parts={sheet.parts} waiting={waiting} answers={answers} />
    </Page>
  );
}

function Sentence({ sheet }: { sheet: FieldSheet }) {
  const { id } = useRestoration();
  const [first] = sheet.parts;
  if (!first) return null;
  const open = sheet.parts.filter(({ outlook }) => outlook.state === "NO_SOURCE").length;
  const gained = first.outlook.daysGained ?? 0;
  return (
    <>
      {counted(sheet.parts.length, "part is", "parts are")} outstanding
      {open > 0 ? <>, {open === sheet.parts.length ? "all" : plainNumber(open)} of them without a source</> : null}.
      First to look for: <Link to={addressOf.part(id, first.id)}>{first.name}</Link>
      {gained > 0 ? <>, which would bring the end forward by {days(gained)}</> : null}.
    </>
  );
}

/** The sheet as read now; until then, and without a connection, as it is kept on this device. */
function useFieldSheet(sentElsewhere: number) {
  const restoration = useRestoration();
  const { id } = restoration;
  const variables = useMemo(() => ({ restoration: id }), [id]);
  const wanted = useMemo(() => ({ ...variables, notCome: NOT_COME }), [variables]);
  const parts = useEveryPage(FieldPartsQuery, wanted, (data) => data.restoration.parts);
  const finds = useEveryPage(FieldFindsQuery, variables, (data) => data.restoration.finds);
  const walkAways = useWalkAways(id);
  const [old, setOld] = useState<KeptSheet | null>(null);
  const [keeps, setKeeps] = useState(false);
  const [readAt, setReadAt] = useState(0);

  useEffect(() => {
    let left = false;
    void keptSheet(id).then((sheet) => !left && setOld(sheet));
    return () => {
      left = true;
    };
  }, [id]);

  const fresh = useMemo<FieldSheet | null>(
    () =>
      parts.rows && finds.rows
        ? { parts: mostUrgentFirst(parts.rows), finds: finds.rows, walkAways: walkAways.byPart ?? old?.walkAways ?? {} }
        : null,
    [parts.rows, finds.rows, walkAways.byPart, old],
  );
  useEffect(() => {
    if (!fresh) return;
    const now = Date.now();
    setReadAt(now);
    void keepSheet({ ...fresh, restoration: id, head: restoration, readAt: now }).then(setKeeps);
  }, [fresh, id, restoration]);

  const again = () => {
    parts.again();
    finds.again();
    walkAways.again();
  };
  useWhenAnswering(again);
  useAgainAfter(sentElsewhere, finds.again);
  return {
    sheet: fresh ?? old,
    readAt: fresh ? readAt : (old?.readAt ?? 0),
    kept: keeps,
    problem: parts.error ?? finds.error,
    again,
  };
}

/** How many parts are drawn; all of them for paper. Another search starts anew. */
function useShown(search: string): [number, (count: number) => void] {
  const [state, setState] = useState({ search, count: SHOWN });
  const [paper, setPaper] = useState(false);
  useEffect(() => {
    const before = () => flushSync(() => setPaper(true));
    const after = () => setPaper(false);
    window.addEventListener("beforeprint", before);
    window.addEventListener("afterprint", after);
    return () => {
      window.removeEventListener("beforeprint", before);
      window.removeEventListener("afterprint", after);
    };
  }, []);
  const count = state.search === search ? state.count : SHOWN;
  return [paper ? Number.POSITIVE_INFINITY : count, (next) => setState({ search, count: next })];
}
