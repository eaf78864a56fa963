import type { ResultOf } from "gql.tada";
import type { ReactNode } from "react";
import type { CombinedError } from "urql";
import { AllOfIt } from "../money/AllOfIt.tsx";
import { isNothing } from "../money/buckets.ts";
import { useDayInView } from "../shared/dayInView.ts";
import { Folded } from "../shared/Folded.tsx";
import { dateInFull, days, lateBy, listed, odds, oddsOfRuns, plainNumber } from "../shared/format.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { Table } from "../shared/Table.tsx";
import type { OwnerData, OwnerOddsQuery, Report } from "./documents.ts";
import { OddsLine } from "./OddsLine.tsx";

type Completion = OwnerData["holdUps"]["completion"];
type Odds = ResultOf<typeof OwnerOddsQuery>["odds"];

interface OpeningProps {
  report: Report;
  plan: OwnerData["holdUps"];
  /** Null until the runs are done. */
  byOdds: Odds | null;
  /** Whom the decisions wait for. */
  reader: string;
}

/** When it will be finished, against the target, in a few sentences, as it is quoted: the odds stand above them. */
export function Opening({ report, plan, byOdds, reader }: OpeningProps) {
  const { word } = useDayInView();
  const { completion, ladder } = plan;
  const open = ladder.edges.flatMap(({ node }) => (node.open ? [node.title] : []));
  const late = completion.entered ? completion.daysLate : null;
  const first = byOdds?.evenOdds != null;
  const quoted = dateInFull(completion.dateWithOpenInHand);
  return (
    <>
      {!completion.entered ? (
        <>No work and no part of the {report.machine} is entered yet, so there is no date to tell</>
      ) : completion.open ? (
        <>
          <strong className="late">There is no date yet on which the {report.machine} will be finished</strong>:{" "}
          {open.length === 0 ? "some of the work" : open.length <= 3 ? listed(open) : `${open.length} things`}{" "}
          {open.length < 2 ? "has" : "have"} {completion.lacking}. As quoted, with {open.length < 2 ? "it" : "them"}{" "}
          {completion.cleared} {word}, it would be {first ? quoted : <strong>{quoted}</strong>}
        </>
      ) : (
        <>
          As quoted, {first ? "it" : `the ${report.machine}`} will be finished on{" "}
          {first ? quoted : <strong>{quoted}</strong>}
        </>
      )}
      {completion.targetDate && late !== null && (
        <>
          , <strong className={late > 0 ? "late" : undefined}>{lateBy(late)}</strong> for{" "}
          {report.targetName ? `the ${report.targetName.replace(/^the /i, "")}` : "the target"} on{" "}
          {dateInFull(completion.targetDate)}
        </>
      )}
      .{" "}
      {plan.otherWork &&
        `Whoever works on it is on other work until ${dateInFull(plan.otherWork.until)}: without that it would be ${days(plan.otherWork.days)} sooner. `}
      {report.waiting.totalCount > 0 && (
        <>
          <a href="#decisions">
            {report.waiting.totalCount === 1
              ? "One decision waits"
              : `${plainNumber(report.waiting.totalCount)} decisions wait`}
          </a>{" "}
          for {reader}.
        </>
      )}
    </>
  );
}

interface AnswersProps extends Pick<OpeningProps, "report" | "plan" | "byOdds"> {
  /** Who pays: "You have". */
  payer: string;
}

/** When, how much and how sure: what an owner asks first, each in a line. */
export function Answers({ report, plan, byOdds, payer }: AnswersProps) {
  const { entered, open, lacking, cleared, dateWithOpenInHand, targetDate } = plan.completion;
  const { total } = report.exposure;
  const first = byOdds?.evenOdds ?? null;
  return (
    <dl className="facts answers">
      {entered && (
        <div className="fact">
          <dt>When</dt>
          <dd>
            {open ? "No date yet. " : ""}
            {first ? "Even odds by " : "As quoted, "}
            <strong>{dateInFull(first ?? dateWithOpenInHand)}</strong>
            {first
              ? byOdds?.condition && `, ${byOdds.condition.charAt(0).toLowerCase()}${byOdds.condition.slice(1)}`
              : open && `, once what has ${lacking} is ${cleared}`}
          </dd>
        </div>
      )}
      {!isNothing(total) && (
        <div className="fact">
          <dt>How much</dt>
          <dd>
            <AllOfIt of={report} payer={payer} />
          </dd>
        </div>
      )}
      {entered && byOdds && (
        <div className="fact">
          <dt>How sure</dt>
          <dd>
            {byOdds.fourInFive ? (
              <>
                <a href="#when">4 in 5</a> by <strong>{dateInFull(byOdds.fourInFive)}</strong>
              </>
            ) : (
              "4 in 5 is never reached"
            )}
            {targetDate &&
              byOdds.onTarget !== null &&
              `; ready by ${dateInFull(targetDate)}: ${byOdds.onTarget === 0 ? "in none of the runs" : odds(byOdds.onTarget)}`}
          </dd>
        </div>
      )}
    </dl>
  );
}

interface HowSureProps {
  completion: Completion;
  /** Null until the runs are done. */
  found: Odds | null;
  error: CombinedError | undefined;
  again: () => void;
}

/** The dates by their odds, and what they hang on. */
export function HowSure({ completion, found, error, again }: HowSureProps) {
  const facts: [string, ReactNode][] = [
    ...(found
      ? ([
          ["Even odds", found.evenOdds ? dateInFull(found.evenOdds) : "no date"],
          ["4 in 5", found.fourInFive ? dateInFull(found.fourInFive) : "no date"],
        ] as [string, ReactNode][])
      : []),
    ["As quoted", dateInFull(completion.dateWithOpenInHand)],
    ...(completion.targetDate
      ? ([
          [
            `Ready by ${dateInFull(completion.targetDate)}`,
            found?.onTarget == null ? "…" : found.onTarget === 0 ? "in none of the runs" : odds(found.onTarget),
          ],
        ] as [string, ReactNode][])
      : []),
  ];
  const rows =
    found?.holdUps.edges
      .map(({ node }) => node)
      .filter(({ meanDays, setsEnd }) => meanDays >= 0.5 || setsEnd >= 0.05) ?? [];
  return (
    <>
      <dl className="facts">
        {facts.map(([name, value]) => (
          <div className="fact" key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      {found && (
        <OddsLine
          quoted={completion.dateWithOpenInHand}
          targetDate={completion.targetDate}
          evenOdds={found.evenOdds}
          fourInFive={found.fourInFive}
        />
      )}
      {!found && (error ? <Problem of={error} what="the odds" again={again} /> : <Loading what="the odds" />)}
      {found && (
        <Folded summary="What these odds rest on">
          <p className="soft">
            From {plainNumber(found.runs)} runs of the plan, each with its own luck in hours and waits.
            {found.condition && ` These odds hold ${found.condition}.`}
            {found.endlessHunts && ` ${found.endlessHunts}.`}
            {found.never > 0 && ` In ${oddsOfRuns(found.never)} something fails and nothing replaces it.`}
          </p>
        </Folded>
      )}
      {rows.length > 0 && (
        <>
          <h3>What the date hangs on</h3>
          <Table
            caption="What the date hangs on"
            copy={false}
            rows={rows}
            rowKey={(row) => row.id}
            brief={({ part, snag, setsEnd, meanDays }) => ({
              name: part?.name ?? snag?.title,
              also: `delays by ${plainNumber(meanDays, 1)} days on average`,
              when: oddsOfRuns(setsEnd),
            })}
            columns={[
              { id: "what", title: "What", lead: true, cell: ({ part, snag }) => part?.name ?? snag?.title },
              {
                id: "sets",
                title: "Sets the date",
                numeric: true,
                cell: ({ setsEnd }) => oddsOfRuns(setsEnd),
              },
              {
                id: "days",
                title: "Delays on average",
                numeric: true,
                cell: ({ meanDays }) => `${plainNumber(meanDays, 1)} days`,
              },
            ]}
          />
        </>
      )}
    </>
  );
}
