import { useMemo } from "react";
import { addressOf } from "../shared/addresses.ts";
import { dateInFull, days, hours, money } from "../shared/format.ts";
import { gainWords, type HandGain, HandGainsQuery, type OrderMark } from "../shared/handGains.tsx";
import { JobProgress } from "../shared/JobProgress.tsx";
import { useJob, useJobRead } from "../shared/job.ts";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { SheetLink } from "../shared/SheetLink.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { HAND_GAINS } from "./byHand.ts";

/** What one more hand, an hour more, Saturdays or work sent out would gain; and what is to be done first, or not before a day, costs. */
export function HandGains({ plan: { id: restoration, planRevision } }: { plan: { id: string; planRevision: number } }) {
  const asked = useMemo(() => ({ variables: { restoration }, planRevision }), [restoration, planRevision]);
  const run = useJob(HAND_GAINS, asked);
  const { data, current, error, again } = useJobRead(HandGainsQuery, asked.variables, run);
  const { job, working, problem, start, stop } = run;
  const read = data?.restoration;
  const gains = read?.handGains.edges.map(({ node }) => node) ?? [];
  const marks = read?.orderMarks.edges.map(({ node }) => node) ?? [];
  const most = Math.max(1, ...gains.map(({ daysGained }) => daysGained ?? 0));
  const failed = problem ?? (job?.state === "FAILED" ? (job.problem?.message ?? "It could not be worked out.") : error);
  const before = read && !current && " The figures below are from before the last change.";
  return (
    <>
      <Section title="What more hands would gain" id="more-hands">
        {failed === null && working && job && (
          <div className="state">
            <p role="status">
              {job.stage}.{before}
            </p>
            <JobProgress label="What more hands would gain" job={job} stop={stop} />
          </div>
        )}
        {job?.state === "STOPPED" && (
          <div className="state">
            <p role="status">Stopped.{before}</p>
            <div className="row">
              <button type="button" onClick={() => void start()}>
                Work it out
              </button>
            </div>
          </div>
        )}
        {failed !== null ? (
          <Problem of={failed} what="what more hands would gain" again={() => (error ? again() : void start())} />
        ) : !read ? (
          !working && job?.state !== "STOPPED" && <Loading what="what more hands would gain" />
        ) : gains.length === 0 ? (
          <p className="prose">Nothing: the end does not wait for hands.</p>
        ) : (
          <>
            <p className="soft">
              Each line is the plan made again with that one thing changed, the order of work too: one more hand by the
              shop's hours, an hour more on every day, every Saturday as long as their longest day. What work is charged
              at is in the money whoever does it; what one more hand would be busy with is told apart.
            </p>
            <Table
              caption="What more hands would gain"
              rows={gains}
              columns={gainColumns(restoration, most)}
              rowKey={({ kind, trades, way }) => `${kind} ${trades.join(" ")} ${way?.id ?? ""}`}
            />
          </>
        )}
      </Section>
      {marks.length > 0 && (
        <Section title="What the order you set costs" id="order-marks">
          <Table
            caption="What is to be done first, or not before a day, costs"
            rows={marks}
            columns={markColumns(restoration)}
            rowKey={({ kind, operation }) => `${kind} ${operation.id}`}
          />
        </Section>
      )}
    </>
  );
}

const gainColumns = (restoration: string, most: number): Column<HandGain>[] => [
  {
    id: "what",
    title: "What",
    lead: true,
    cell: (gain) =>
      gain.operation ? (
        <SheetLink reads="Query.operation" to={addressOf.operation(restoration, gain.operation.id)}>
          {gainWords(gain)}
        </SheetLink>
      ) : (
        gainWords(gain)
      ),
  },
  {
    id: "days",
    title: "Sooner by",
    cell: ({ daysGained }) =>
      daysGained === null ? (
        "its work has a date at all"
      ) : (
        <span className="gain">
          {daysGained > 0 && <span className="gain-bar" style={{ width: `${(6 * daysGained) / most}rem` }} />}
          {daysGained === 0 ? "no day" : days(daysGained)}
        </span>
      ),
  },
  { id: "end", title: "Ready, as quoted", cell: ({ completionDate }) => dateInFull(completionDate) },
  {
    id: "money",
    title: "Money",
    numeric: true,
    cell: ({ moneyGained }) =>
      moneyGained.minor === 0
        ? "as much"
        : `${money({ ...moneyGained, minor: Math.abs(moneyGained.minor) })} ${moneyGained.minor > 0 ? "less" : "more"}`,
  },
  {
    id: "theirs",
    title: "Would work",
    numeric: true,
    cell: (gain) =>
      gain.hours === null ? "" : `${hours(gain.hours)}${gain.wages ? `, ${money(gain.wages)} at its rate` : ""}`,
  },
];

const markColumns = (restoration: string): Column<OrderMark>[] => [
  {
    id: "operation",
    title: "Operation",
    lead: true,
    cell: ({ operation }) => (
      <SheetLink reads="Query.operation" to={addressOf.operation(restoration, operation.id)}>
        {operation.title}
      </SheetLink>
    ),
  },
  { id: "mark", title: "Set", cell: ({ kind }) => (kind === "FIRST" ? "done first" : "not before a day") },
  {
    id: "cost",
    title: "Costs",
    cell: ({ daysCost }) =>
      daysCost === 0 ? "no day" : daysCost > 0 ? days(daysCost) : `nothing; it is ${days(-daysCost)} sooner without`,
  },
  { id: "end", title: "Ready without it", cell: ({ completionDate }) => dateInFull(completionDate) },
];
