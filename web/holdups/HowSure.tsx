import type { ResultOf } from "gql.tada";
import { type ReactNode, useMemo } from "react";
import { addressOf } from "../shared/addresses.ts";
import { sentence } from "../shared/ByOdds.tsx";
import { Folded } from "../shared/Folded.tsx";
import { dateInFull, dayAndMonth, days, odds, oddsOfRuns, percent, plainNumber } from "../shared/format.ts";
import { useJobRead } from "../shared/job.ts";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { SheetLink } from "../shared/SheetLink.tsx";
import { Table } from "../shared/Table.tsx";
import { useMay } from "../shared/useMay.ts";
import { OddsQuery, PoliciesQuery } from "./documents.ts";
import { OddsProgress } from "./OddsProgress.tsx";
import type { OddsRun } from "./oddsRun.ts";
import type { HoldUpsData } from "./rows.ts";

const SHOWN = 12;

interface HowSureProps {
  /** What the sheet shows beside it: the odds are read anew with it, since names may have changed. */
  shown: HoldUpsData;
  run: OddsRun;
}

/** The date by its odds: in a sentence, as a drawing of the runs, and by what costs the days. */
export function HowSure({ shown, run }: HowSureProps) {
  const { id } = useRestoration();
  const may = useMay();
  const variables = useMemo(() => ({ restoration: id, figuresFor: shown.figuresFor, first: SHOWN }), [id, shown]);
  const read = useJobRead(OddsQuery, variables, run);
  const { dateWithOpenInHand: quoted, targetDate } = shown.completion;
  const found = read.data?.odds.figuresFor === shown.figuresFor ? read.data.odds : null;
  const failed = run.problem !== null || run.job?.state === "FAILED";
  const waits = !found && !failed && read.error === null && run.job?.state !== "STOPPED";
  return (
    <Section title="How sure" id="how-sure">
      <OddsProgress run={run} earlier={found !== null && !read.current} />
      {read.error && <Problem of={read.error} what="the odds" again={read.again} />}
      {waits && !run.working && <Loading what="the odds" />}
      {found && (
        <Figures found={found} quoted={quoted} targetDate={targetDate}>
          {/* Of the order of work an owner reads nothing. */}
          {may("Restoration.handGains") && <CheckLine shown={shown} run={run} />}
        </Figures>
      )}
    </Section>
  );
}

/** The same runs with the order of work not kept: a check on it, and a warning where the two lie far apart. */
function CheckLine({ shown, run }: HowSureProps) {
  const { id } = useRestoration();
  const variables = useMemo(() => ({ restoration: id, figuresFor: shown.figuresFor }), [id, shown]);
  const { data, error, again } = useJobRead(PoliciesQuery, variables, run);
  if (error) return <Problem of={error} what="the check on the order of work" again={again} />;
  const found = data?.odds.figuresFor === shown.figuresFor ? data.odds.policies : null;
  if (!found || found.evenOddsDays === null) return null;
  const { evenOddsDays, fourInFiveDays, differ, differDays } = found;
  return (
    <>
      <p className="prose">
        All this is with the order of work kept. If whoever is free took the next that can be started instead, even odds
        would come <strong>{apart(evenOddsDays)}</strong>
        {fourInFiveDays !== null && ` and 4 in 5 would come ${apart(fourInFiveDays)}`}.
      </p>
      {differ && (
        <p className="caution prose">
          That is more than {days(differDays)} apart:{" "}
          {evenOddsDays < 0
            ? "hands wait in this order for what may well come late. Look for another order, or let the bench take what can be started."
            : "without this order hands would begin work that stands in the way of other work. See that the bench keeps to it."}
        </p>
      )}
    </>
  );
}

/** "3 days later", "1 day sooner", "on the same day" */
const apart = (count: number): string =>
  count === 0 ? "on the same day" : `${days(Math.abs(count))} ${count > 0 ? "later" : "sooner"}`;

interface FiguresProps {
  found: ResultOf<typeof OddsQuery>["odds"];
  quoted: string;
  targetDate: string | null;
  children: ReactNode;
}

function Figures({ found, quoted, targetDate, children }: FiguresProps) {
  const { id } = useRestoration();
  const rows = found.holdUps.edges
    .map(({ node }) => node)
    // What rounds to nothing in both columns says nothing.
    .filter(({ setsEnd, meanDays }) => setsEnd >= 0.005 || meanDays >= 0.05);
  return (
    <>
      <p className="said">
        {found.evenOdds && (
          <>
            {sentence(found.condition, "even odds by")} <strong>{dateInFull(found.evenOdds)}</strong>
            {found.fourInFive && `, 4 in 5 by ${dateInFull(found.fourInFive)}`}.{" "}
          </>
        )}
        {!found.fourInFive &&
          `No date has odds of 4 in 5: in ${oddsOfRuns(found.never)} something fails and nothing replaces it. `}
        As quoted it is {dateInFull(quoted)}.{found.endlessHunts && ` ${found.endlessHunts}.`}
        {targetDate && found.onTarget !== null && (
          <>
            {" "}
            The target of {dateInFull(targetDate)}:{" "}
            <strong>{found.onTarget === 0 ? "none of the runs keeps it" : odds(found.onTarget)}</strong>.
          </>
        )}
      </p>
      <Weeks weeks={found.weeks} evenOdds={found.evenOdds} fourInFive={found.fourInFive} targetDate={targetDate} />
      <Folded summary={`From ${plainNumber(found.runs)} runs of the plan, and what they hang on`}>
        <p className="soft">
          From {plainNumber(found.runs)} runs of the plan, each with hours and waits drawn from their three figures or
          from how the maker has delivered before. Where several chains must all be in, the latest counts, so the odds
          lie later than adding up the means along one chain, as the textbook formula does, would say.
        </p>
        {children}
        {rows.length > 0 && (
          <Table
            caption="What the odds hang on"
            rows={rows}
            rowKey={(row) => row.id}
            columns={[
              {
                id: "what",
                title: "Hold-up",
                lead: true,
                cell: ({ part, snag }) =>
                  part ? (
                    <SheetLink reads="Query.part" to={addressOf.part(id, part.id)}>
                      {part.name}
                    </SheetLink>
                  ) : (
                    (snag?.title ?? "")
                  ),
              },
              {
                id: "holds",
                title: "Sets the end",
                numeric: true,
                cell: ({ setsEnd }) => oddsOfRuns(setsEnd, true),
              },
              {
                id: "days",
                title: "Delays on average",
                numeric: true,
                cell: ({ meanDays }) => `${plainNumber(meanDays, 1)} days`,
              },
              {
                id: "even",
                title: "Here, even odds",
                cell: ({ evenOddsArrival }) => (evenOddsArrival ? dateInFull(evenOddsArrival) : "perhaps never"),
              },
              {
                id: "sure",
                title: "Here, 4 in 5",
                cell: ({ fourInFiveArrival }) => (fourInFiveArrival ? dateInFull(fourInFiveArrival) : "perhaps never"),
              },
            ]}
          />
        )}
      </Folded>
    </>
  );
}

interface WeeksProps {
  weeks: readonly { from: string; to: string; share: number }[];
  evenOdds: string | null;
  fourInFive: string | null;
  targetDate: string | null;
}

/** No more bars than can be told apart on the narrowest screen. */
const MOST_BARS = 48;

/** Of runs that go on for years the last few are drawn as one bar. */
const SHOWN_RUNS = 0.95;

interface WeekMark {
  says: string;
  bar: number;
  row: number;
  leftwards: boolean;
}

/** Words beside their bars, each in a row of its own, so that none lies across the line of another. */
function marksOf(
  bars: readonly { from: string; to: string }[],
  dates: readonly { says: string; date: string | null }[],
): WeekMark[] {
  const placed = dates
    .map(({ says, date }) => ({
      says,
      bar: bars.findIndex(({ from, to }) => date !== null && from <= date && date <= to),
    }))
    .filter(({ bar }) => bar >= 0)
    .map((mark) => ({ ...mark, leftwards: mark.bar * 2 >= bars.length }));
  // The outermost stands highest: words run inwards from their line.
  const side = (leftwards: boolean) =>
    placed
      .filter((mark) => mark.leftwards === leftwards)
      .sort((a, b) => (leftwards ? b.bar - a.bar : a.bar - b.bar))
      .map((mark, row) => ({ ...mark, row }));
  return [...side(false), ...side(true)];
}

/** One bar for each week, or for as many weeks as leave few enough bars. The sentence above says what matters of it. */
function Weeks({ weeks, evenOdds, fourInFive, targetDate }: WeeksProps) {
  const inAll = (some: typeof weeks) => some.reduce((sum, { share }) => sum + share, 0);
  const bar = (own: typeof weeks) => ({ from: own[0]!.from, to: own.at(-1)!.to, share: inAll(own) });
  let shown = weeks.length;
  const all = inAll(weeks);
  if (shown > MOST_BARS) for (let passed = all; passed > SHOWN_RUNS * all; shown--) passed -= weeks[shown - 1]!.share;
  const together = Math.ceil(shown / MOST_BARS);
  const later = weeks.slice(shown);
  const bars = Array.from({ length: Math.ceil(shown / together) }, (_, at) =>
    bar(weeks.slice(at * together, Math.min(shown, (at + 1) * together))),
  );
  if (later.length > 0) bars.push(bar(later));
  const most = Math.max(...bars.map(({ share }) => share));
  const first = bars[0];
  const last = bars.at(-1);
  if (!first || !last || weeks.length < 2) return null;
  const marks = marksOf(bars, [
    { says: "even odds", date: evenOdds },
    { says: "4 in 5", date: fourInFive },
    { says: "target", date: targetDate },
  ]);
  const rows = Math.max(0, ...marks.map(({ row }) => row + 1));
  return (
    <figure className="weeks" aria-hidden="true">
      <svg className="week-hatch" aria-hidden="true">
        <pattern id="week-after" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
          <line x1="1" x2="1" y1="0" y2="5" />
        </pattern>
      </svg>
      <div className="weeks-bars" style={{ "--rows": rows } as React.CSSProperties}>
        {bars.map(({ from, to, share }, at) => (
          <div
            key={from}
            className={fourInFive !== null && from > fourInFive ? "week after" : "week"}
            title={`${dateInFull(from)} to ${dateInFull(to)}: ${percent(Number(share.toFixed(3)))}`}
          >
            {marks
              .filter(({ bar }) => bar === at)
              .map(({ says, row, leftwards }) => (
                <span
                  key={says}
                  className={leftwards ? "week-mark leftwards" : "week-mark"}
                  style={{ "--row": row } as React.CSSProperties}
                >
                  {says}
                </span>
              ))}
            {/* Of SVG, which is printed where backgrounds are not. */}
            <svg className="week-bar" aria-hidden="true" style={{ height: `${(share / most) * 100}%` }}>
              <rect width="100%" height="100%" />
            </svg>
          </div>
        ))}
      </div>
      <figcaption>
        <span>{dayAndMonth(first.from)}</span>
        <span>share of the runs that end in {together === 1 ? "each week" : `every ${together} weeks`}</span>
        <span>{later.length > 0 ? `after ${dateInFull(last.from)}` : dateInFull(last.to)}</span>
      </figcaption>
    </figure>
  );
}
