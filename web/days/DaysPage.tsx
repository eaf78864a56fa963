import type { ResultOf } from "gql.tada";
import { type ReactNode, useMemo } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { useEveryPage } from "../shared/everyPage.ts";
import { Folded } from "../shared/Folded.tsx";
import { counted, dateInFull, daysBetween, listed, money, odds, plainNumber } from "../shared/format.ts";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { Table } from "../shared/Table.tsx";
import { type DayRow, DaysQuery, type MovedData, MovedQuery } from "./documents.ts";
import { Line } from "./Line.tsx";
import "./days.css";

const MOVERS = 30;
const DAYS_SHOWN = 60;
const NO_DAYS = { totalCount: 0, pageInfo: { hasNextPage: false, endCursor: null }, edges: [] };
const daysIn = (data: ResultOf<typeof DaysQuery>) => data.restoration?.days ?? NO_DAYS;

/** The end as it stood on each day, and what moved it since one of them. */
export default function DaysPage() {
  const restoration = useRestoration();
  const variables = useMemo(() => ({ restoration: restoration.id }), [restoration.id]);
  const { rows: days, error, again } = useEveryPage(DaysQuery, variables, daysIn);
  const [asked, setSince] = useAddressValue("since", ["moved"]);
  const moved = usePaging("moved", MOVERS);
  const since = asked ?? weekBefore(days) ?? null;
  const [result, readAgain] = useQuery({
    query: MovedQuery,
    variables: {
      restoration: restoration.id,
      day: since ?? "",
      first: moved.variables.first ?? MOVERS,
      after: moved.variables.after ?? null,
    },
    pause: since === null,
  });

  if (!days)
    return (
      <Page title="Over time">
        {error ? <Problem of={error} what="the days" again={again} /> : <Loading what="the days" />}
      </Page>
    );
  if (days.length === 0)
    return (
      <Page title="Over time">
        <Empty
          title="No day is kept yet"
          actions={
            <Link className="button" to={addressOf.holdUps(restoration.id)}>
              See the hold-ups
            </Link>
          }
        >
          <p>The figures of each day are kept by themselves, a moment after the first change on it.</p>
        </Empty>
      </Page>
    );
  // Days kept while there was work stay as they were; without any there is no end now that could have moved.
  const entered = result.data?.holdUps.completion.entered ?? true;
  const found = (entered && result.data?.restoration?.movedSince) || null;
  const kept = found?.since.day ?? since;
  const drawn = withToday(days, restoration.targetDate, result.data?.holdUps);
  return (
    <Page
      title="Over time"
      sentence={
        entered
          ? found && <Opening moved={found} end={result.data!.holdUps.completion.dateWithOpenInHand} />
          : "No work and no part is entered, so there is no end that could have moved."
      }
    >
      <div className="fields no-print">
        <div className="field since-field">
          <label htmlFor="since">What moved since</label>
          <input
            id="since"
            type="date"
            value={since ?? ""}
            min={days[0]!.day}
            max={days.at(-1)!.day}
            onChange={(event) => setSince(event.target.value || null)}
          />
        </div>
      </div>
      <Section title="The end as it stood" id="line">
        <Line days={drawn} since={kept} onSince={setSince} />
      </Section>
      <Section title={kept ? `What moved it since ${dateInFull(kept)}` : "What moved it"} id="moved">
        {result.error ? (
          <Problem
            of={result.error}
            what="what moved the end"
            again={() => readAgain({ requestPolicy: "network-only" })}
          />
        ) : found ? (
          <MovedTable moved={found} paging={moved} />
        ) : result.fetching ? (
          <Loading what="what moved the end" />
        ) : !entered ? (
          <p>Nothing is entered that could move it.</p>
        ) : (
          <p>No day was kept on or before that one. The first is {dateInFull(days[0]!.day)}.</p>
        )}
      </Section>
      <Section title="The same in rows" id="rows">
        <Folded summary="Each day, the newest first">
          <DayTable days={drawn} />
        </Folded>
      </Section>
    </Page>
  );
}

/** The kept days, and the day of the figures as it stands where nothing of it is kept yet: the sentence and the drawing end alike. */
function withToday(
  days: readonly DayRow[],
  targetDate: string | null,
  now: ResultOf<typeof MovedQuery>["holdUps"] | undefined,
): readonly DayRow[] {
  if (!now?.completion.entered || now.figuresFor <= days.at(-1)!.day) return days;
  const { figuresFor, completion } = now;
  const figures = { open: completion.date === null, completion: completion.dateWithOpenInHand };
  return [
    ...days,
    { day: figuresFor, targetDate, ...figures, evenOdds: null, fourInFive: null, targetOdds: null, cost: null },
  ];
}

/** The last day kept at least a week before the newest, else the first. */
function weekBefore(days: readonly DayRow[] | undefined): string | undefined {
  const newest = days?.at(-1)?.day;
  if (newest === undefined) return undefined;
  return (days!.findLast(({ day }) => daysBetween(day, newest) >= 7) ?? days![0])?.day;
}

function Opening({ moved, end }: { moved: MovedData; end: string }) {
  const { since, days, opened, closed, lacking } = moved;
  const first = moved.moved.edges.slice(0, 2).map(({ node }) => node);
  return (
    <>
      Since {dateInFull(since.day)} the end has{" "}
      {days === 0 ? (
        "not moved"
      ) : (
        <>
          moved{" "}
          <strong className={days > 0 ? "late" : undefined}>
            {counted(Math.abs(days), "day")} {days > 0 ? "later" : "earlier"}
          </strong>
          , to {dateInFull(end)}
        </>
      )}
      .{" "}
      {first.length > 0 && (
        <>
          {first.map((node, place) => (
            <span key={node.id}>
              {place > 0 && "; "}
              <Named node={node} /> {node.days > 0 ? "made it later by" : "made it earlier by"}{" "}
              {inDaysAndTenths(node.days)}
            </span>
          ))}
          .{" "}
        </>
      )}
      {opened.length > 0 && (
        <strong className="late">
          {listed(opened, 4)} {opened.length === 1 ? "has" : "have"} {lacking} since.{" "}
        </strong>
      )}
      {closed.length > 0 && (
        <>
          {listed(closed, 4)} {closed.length === 1 ? "has" : "have"} a source or remedy since, or need none.
        </>
      )}
    </>
  );
}

type Mover = MovedData["moved"]["edges"][number]["node"];

function Named({ node: { title, part, snag } }: { node: Mover }): ReactNode {
  const { id } = useRestoration();
  if (part) return <Link to={addressOf.part(id, part.id)}>{title}</Link>;
  if (snag) return <Link to={addressOf.snags(id)}>{title}</Link>;
  return title;
}

const inDaysAndTenths = (days: number): string =>
  `${plainNumber(Math.abs(days), 1)} ${Math.abs(days) === 1 ? "day" : "days"}`;

function MovedTable({ moved, paging }: { moved: MovedData; paging: ReturnType<typeof usePaging> }) {
  const rows = moved.moved.edges.map(({ node }) => node);
  return (
    <>
      <p className="soft">
        A hold-up moves the end only as far as no other holds it. Where several moved, each is given the mean of what it
        does over every order in which they could have moved, so that the days add up to the whole:{" "}
        {moved.days > 0 ? "+" : ""}
        {plainNumber(moved.days)}.
      </p>
      <Table
        caption="What moved the end"
        rows={rows}
        rowKey={({ id }) => id}
        columns={[
          { id: "what", title: "Hold-up", lead: true, cell: (node) => <Named node={node} /> },
          {
            id: "days",
            title: "Days",
            numeric: true,
            cell: ({ days }) => (
              <span className={days > 0 ? "moved-later" : "moved-earlier"}>
                {inDaysAndTenths(days)} {days > 0 ? "later" : "earlier"}
              </span>
            ),
          },
          { id: "from", title: "Held the end to", cell: ({ from }) => (from ? dateInFull(from) : "nothing dated") },
          { id: "to", title: "Now to", cell: ({ to }) => (to ? dateInFull(to) : "nothing dated") },
        ]}
        paging={
          <Paging
            of={paging}
            page={moved.moved.pageInfo}
            total={moved.moved.totalCount}
            shown={rows.length}
            noun="hold-up"
          />
        }
        empty={<p>Nothing moved the end.</p>}
      />
    </>
  );
}

function DayTable({ days }: { days: readonly DayRow[] }) {
  const [all, setAll] = useAddressValue("days");
  const latest = days.toReversed();
  const shown = all === "all" ? latest : latest.slice(0, DAYS_SHOWN);
  const withOdds = days.some(({ fourInFive }) => fourInFive !== null);
  const withCost = days.some(({ cost }) => cost !== null);
  return (
    <>
      <Table
        caption="The figures of each day, the newest first"
        rows={shown}
        rowKey={({ day }) => day}
        columns={[
          { id: "day", title: "Day of the figures", lead: true, cell: ({ day }) => dateInFull(day) },
          {
            id: "completion",
            title: "As quoted",
            cell: ({ open, completion }) =>
              `${dateInFull(completion)}${open ? ", if nothing lacked a source or remedy" : ""}`,
          },
          ...(withOdds
            ? [
                {
                  id: "evenOdds",
                  title: "Even odds",
                  cell: ({ evenOdds }: DayRow) => evenOdds && dateInFull(evenOdds),
                },
                {
                  id: "fourInFive",
                  title: "4 in 5",
                  cell: ({ fourInFive }: DayRow) => fourInFive && dateInFull(fourInFive),
                },
                {
                  id: "targetOdds",
                  title: "Odds of the target",
                  cell: ({ targetOdds }: DayRow) => targetOdds !== null && odds(targetOdds, true),
                },
              ]
            : []),
          ...(withCost
            ? [
                {
                  id: "cost",
                  title: "All of it",
                  numeric: true,
                  cell: ({ cost }: DayRow) => cost && money(cost),
                },
              ]
            : []),
        ]}
      />
      {days.length > DAYS_SHOWN && (
        <div className="row no-print">
          <button type="button" onClick={() => setAll(all === "all" ? null : "all")}>
            {all === "all" ? `Only the last ${DAYS_SHOWN} days` : `All ${counted(days.length, "day")}`}
          </button>
        </div>
      )}
    </>
  );
}
