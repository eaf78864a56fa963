import { useEffect, useMemo, useState } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { useOpensOffline } from "../field/offline.ts";
import { addressOf } from "../shared/addresses.ts";
import { useConnection, useWhenAnswering } from "../shared/connection.ts";
import { ChoiceFilter } from "../shared/Filters.tsx";
import { dateInFull, freeInWords, hours, momentInFull, underWayInWords } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { useAddressValue } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useAgainAfter, useUnsent } from "../shared/unsent.tsx";
import { useMay } from "../shared/useMay.ts";
import { useOwnWork } from "../today/ownWork.ts";
import { clockText, useClock, useElapsed } from "./clock.ts";
import { type BookedLately, bookedLatelyOf, HoursSheetQuery, type Workable, workableOf } from "./hours.ts";
import "./hours.css";
import { Code, codeInWords } from "../shared/Code.tsx";
import { type Clock, type HoursSheet, hoursSheets, keptHours, type WaitingHours } from "./kept.ts";
import { NotSent } from "./NotSent.tsx";
import { StopForm } from "./StopForm.tsx";

/** Hours at the bench: one tap starts the clock of an operation, one stops it, then what remains. Works without a connection. */
export default function HoursPage() {
  const restoration = useRestoration();
  const { answers } = useConnection();
  useOpensOffline();
  const { sheet, problem, again } = useSheet();
  const waiting = useUnsent("hours", restoration.id);
  useAgainAfter(waiting.sentElsewhere, again);
  const bench = useClock(restoration.id);
  const may = useMay();
  const [trade, setTrade] = useAddressValue("trade");
  if (!bench.read || (!sheet && !problem))
    return (
      <Page title="Hours">
        <Loading what="the work" />
      </Page>
    );
  const { clock } = bench;
  const { work, lately, own } = sheet ?? NOTHING;
  const asRead =
    sheet && (problem || !answers) ? `as read on ${momentInFull(new Date(sheet.readAt).toISOString())}` : null;
  const trades = [...new Set(work.map((one) => one.trade).filter(Boolean))].sort();
  const shown = work.filter((one) => !trade || one.trade === trade);
  const mine = shown.filter((one) => own?.operations.includes(one.id));
  const underWay = shown.filter((one) => one.underWay && !one.putDownUntil && !mine.includes(one));
  const putDown = shown.filter((one) => one.putDownUntil && !mine.includes(one));
  const free = shown.filter((one) => !one.underWay && !mine.includes(one));
  const buttons = (operations: readonly Workable[]) => (
    <ul className="hours-work">
      {operations.map((one) => (
        <li key={one.id}>
          <button
            type="button"
            className="on-paper-too"
            disabled={clock !== null}
            onClick={() => void bench.start(one)}
          >
            <span className="hours-title">
              <span className="unseen">Start: </span>
              {one.title}
            </span>
            <span className="hours-facts">
              {codeInWords("operation", one.code)}
              {one.trade && `, ${one.trade}`}, {hours(one.hoursLeft)} to do
              {one.putDownUntil && `, goes on on ${dateInFull(one.putDownUntil)}`}
            </span>
          </button>
        </li>
      ))}
    </ul>
  );
  return (
    <Page title="Hours" sentence={(clock !== null || work.length > 0) && <Sentence clock={clock} work={work} />}>
      <p className="soft" role="status">
        {!answers
          ? `Without a connection${asRead ? `: the work is ${asRead}` : ""}. Hours are kept on this device and sent later.`
          : asRead
            ? `The work could not be read again: it is ${asRead}.`
            : ""}
      </p>
      {!bench.keeps && (
        <p className="caution">This browser keeps nothing, so a clock is lost when the page is closed or read again.</p>
      )}
      {clock && <Running clock={clock} bench={bench} onBook={waiting.keep} />}
      <NotSent waiting={waiting} />
      {!sheet && problem ? (
        <Problem of={problem} what="the work" kept="Open it once with a connection, and it stays." again={again} />
      ) : work.length === 0 ? (
        sheet && !sheet.entered ? (
          <Empty
            title="No work is entered yet"
            actions={
              may("Mutation.saveOperation") && (
                <Link className="button" to={addressOf.work(restoration.id)}>
                  Enter the work
                </Link>
              )
            }
          >
            <p>Hours are booked on operations: what is under way, and what is free to start, is listed here.</p>
          </Empty>
        ) : (
          <Empty
            title="No work can be done now"
            actions={
              <Link className="button" to={addressOf.holdUps(restoration.id)}>
                What holds it up
              </Link>
            }
          >
            <p>Nothing is free to start: what is entered is done, or waits for a part, a snag or work before it.</p>
          </Empty>
        )
      ) : (
        <>
          {trades.length > 1 && (
            <div className="table-filters">
              <ChoiceFilter
                label="Trade"
                value={trade}
                onChange={setTrade}
                all="all trades"
                choices={trades.map((one) => ({ value: one, label: one }))}
              />
            </div>
          )}
          {shown.length === 0 && <p className="soft">No work of this trade can be done now.</p>}
          {own && mine.length > 0 && <Section title={`Yours now, ${own.name}`}>{buttons(mine)}</Section>}
          {underWay.length > 0 && <Section title="Under way">{buttons(underWay)}</Section>}
          {free.length > 0 && <Section title="Free to start">{buttons(free)}</Section>}
          {putDown.length > 0 && <Section title="Under way, put down for other work">{buttons(putDown)}</Section>}
        </>
      )}
      {lately.length > 0 && (
        <Section title="Booked lately" id="lately">
          {asRead && <p className="soft">This list is {asRead}.</p>}
          <Lately entries={lately} />
        </Section>
      )}
    </Page>
  );
}

function Sentence({ clock, work }: { clock: Clock | null; work: readonly Workable[] }) {
  const { id } = useRestoration();
  if (clock)
    return (
      <>
        {clock.stoppedAt === null ? "The clock runs for " : "The clock was stopped for "}
        <Link to={addressOf.operation(id, clock.operation.id)}>{clock.operation.title}</Link>
        {clock.stoppedAt === null ? "." : ": say what remains, and the hours are booked."}
      </>
    );
  const underWay = work.filter((one) => one.underWay).length;
  return (
    <>
      Of the work {freeInWords(work.length - underWay)}, {underWayInWords(underWay)}. Tap the one that you begin.
    </>
  );
}

interface RunningProps {
  clock: Clock;
  bench: ReturnType<typeof useClock>;
  onBook: (booking: WaitingHours) => Promise<void>;
}

function Running({ clock, bench, onBook }: RunningProps) {
  const elapsed = useElapsed(clock);
  return (
    <section className="hours-clock" aria-label="The clock">
      <p className="hours-elapsed">
        <span className="hours-figure" role="timer" aria-label={`${clock.operation.title}, time on the clock`}>
          {clockText(elapsed)}
        </span>
        <span>
          <Code noun="operation" of={clock.operation.code} /> {clock.operation.title}
        </span>
      </p>
      {clock.stoppedAt === null ? (
        <button type="button" className="main hours-stop-button" onClick={() => void bench.stop()}>
          Stop<span className="unseen"> the clock of {clock.operation.title}</span>
        </button>
      ) : (
        <StopForm
          key={clock.stoppedAt}
          clock={clock}
          onBook={async (booking) => {
            await onBook(booking);
            await bench.clear();
          }}
          onGoOn={() => void bench.goOn()}
          onThrowAway={() => void bench.clear()}
        />
      )}
    </section>
  );
}

function Lately({ entries }: { entries: readonly BookedLately[] }) {
  const { id } = useRestoration();
  return (
    <ul className="hours-lately">
      {entries.map((entry) => (
        <li key={entry.id}>
          <span>
            <Link to={`${addressOf.operation(id, entry.operation.id)}#hours`}>
              <Code noun="operation" of={entry.operation.code} /> {entry.operation.title}
            </Link>
          </span>
          <span>
            {hours(entry.hours)}
            {entry.corrects ? " (correction)" : ""} on {dateInFull(entry.workedOn)}, {entry.account.name}
          </span>
        </li>
      ))}
    </ul>
  );
}

const NOTHING: Pick<HoursSheet, "work" | "lately" | "own"> = { work: [], lately: [], own: null };

/** The sheet as read now; without a connection as last read on this page, or as it is kept on this device. */
function useSheet() {
  const restoration = useRestoration();
  const { id } = restoration;
  const [result, again] = useQuery({ query: HoursSheetQuery, variables: { restoration: id } });
  const [kept, setKept] = useState<HoursSheet | null>(null);
  const data = useKept(result.data, id);

  useEffect(() => {
    let left = false;
    void keptHours(id).then((sheet) => !left && setKept(sheet));
    return () => {
      left = true;
    };
  }, [id]);

  const ownWork = useOwnWork(id);
  const { day } = restoration;
  const own = useMemo(
    () =>
      ownWork
        ? {
            name: ownWork.name,
            operations: ownWork.tasks.flatMap(({ startDate, work }) =>
              startDate <= day && work.operation ? [work.operation.id] : [],
            ),
          }
        : null,
    [ownWork, day],
  );
  const fresh = useMemo<HoursSheet | null>(
    () =>
      data
        ? {
            work: workableOf(data),
            lately: bookedLatelyOf(data),
            own,
            entered: data.restoration.entered.totalCount > 0,
            readAt: Date.now(),
          }
        : null,
    [data, own],
  );
  useEffect(() => {
    if (!fresh) return;
    // A browser that keeps nothing still shows the work while there is a connection.
    hoursSheets.put({ ...fresh, restoration: id, head: restoration }).catch(() => undefined);
  }, [fresh, id, restoration]);

  useWhenAnswering(() => again({ requestPolicy: "network-only" }));

  return {
    sheet: fresh ?? kept,
    problem: result.error,
    again: () => again({ requestPolicy: "network-only" }),
  };
}
