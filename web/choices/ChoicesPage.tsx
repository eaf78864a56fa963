import { useEffect, useMemo } from "react";
import { Link, useLocation, useNavigate, useSearchParams } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { useEveryPage } from "../shared/everyPage.ts";
import { Folded } from "../shared/Folded.tsx";
import { days } from "../shared/format.ts";
import { JobProgress } from "../shared/JobProgress.tsx";
import { Empty, Loading, Page, Problem, Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { WITHIN_CAP } from "./amounts.ts";
import { Chosen } from "./Chosen.tsx";
import "./choices.css";
import { type ChoicesFound, PlansQuery } from "./documents.ts";
import { useChoicesJob } from "./job.ts";
import { Opening } from "./Opening.tsx";
import { PlanTable } from "./PlanTable.tsx";
import { Plot } from "./Plot.tsx";
import { Settled } from "./Settled.tsx";

/** Which quotes, remedies and ways to take: every plan that no other beats in date, cost and points at once. */
export default function ChoicesPage() {
  const { id } = useRestoration();
  const run = useChoicesJob(id);
  const { job, working, problem, start, stop } = run;
  if (job?.state === "DONE") return <Plans key={job.id} job={job.id} onAgain={() => void start()} />;
  return (
    <Page title="Choices">
      {problem ? (
        <Problem of={problem} what="the plans" again={() => void start()} />
      ) : job?.state === "FAILED" ? (
        <Problem
          of={job.problem?.message ?? "They could not be worked out."}
          what="the plans"
          again={() => void start()}
        />
      ) : job?.state === "STOPPED" ? (
        <Empty
          title="Stopped"
          actions={
            <button type="button" className="main" onClick={() => void start()}>
              Work out the plans
            </button>
          }
        >
          <p>The plans were not worked out to the end. Nothing was changed.</p>
        </Empty>
      ) : (
        <div className="state">
          <p role="status">{job?.stage || "Reading the choices"} …</p>
          {working && job && <JobProgress label="Working out the plans" job={job} stop={stop} />}
        </div>
      )}
    </Page>
  );
}

const plansIn = (data: { job: { choices: ChoicesFound | null } }) =>
  data.job.choices?.plans ?? { totalCount: 0, pageInfo: { hasNextPage: false, endCursor: null }, edges: [] };

function Plans({ job, onAgain }: { job: string; onAgain: () => void }) {
  const restoration = useRestoration();
  const variables = useMemo(() => ({ job }), [job]);
  const { data, rows: plans, error, again } = useEveryPage(PlansQuery, variables, plansIn);
  const [params] = useSearchParams();
  const address = usePlanAddress();
  const navigate = useNavigate();
  const asked = Number(params.get("plan"));
  const picked = Number.isInteger(asked) && asked > 0 ? asked : null;
  const found = data?.job.choices;
  // What the server no longer holds is worked out anew.
  const gone = data !== undefined && !found;
  useEffect(() => {
    if (gone) onAgain();
  }, [gone, onAgain]);

  if (!found || !plans)
    return (
      <Page title="Choices">
        {error ? <Problem of={error} what="the plans" again={again} /> : <Loading what="the plans" />}
      </Page>
    );
  const only = plans.length === 1 && plans[0]?.differences.totalCount === 0;
  // Nothing to spend and nothing to choose: the date of such a plan says nothing.
  const nothing = only && found.inForce.cost?.minor === 0;
  const renew = (
    <button type="button" onClick={onAgain}>
      Work it out again
    </button>
  );
  return (
    <Page title="Choices" sentence={!nothing && <Opening found={found} plans={plans} address={address} />}>
      {found.stale && (
        <div className="row stale" role="status">
          <p>
            The restoration has changed since these plans were worked out. They can be read, and no longer be taken.
          </p>
          {renew}
        </div>
      )}
      {plans.length === 0 || only ? (
        <Empty
          title="Nothing to choose"
          actions={
            <Link className="button" to={addressOf.parts(restoration.id)}>
              See the parts
            </Link>
          }
        >
          <p>
            {only
              ? "No other choice of quotes, remedies and ways is better in date, cost or points than what is in force."
              : "There is no plan to choose from: something has no source or remedy that may be taken."}{" "}
            A second quote for a part, a second remedy for a snag or another way to do an operation gives a choice.
          </p>
        </Empty>
      ) : (
        <>
          <Answers found={found} address={address} />
          <Section title="Plans to choose from" id="plans">
            <p className="soft">
              No plan here is beaten by another in date, cost and points lost at once. The larger the mark, the more
              points lost; plans of one date stand side by side, the fewest points lost first. A square on its corner
              marks the best by worth.
            </p>
            <Plot
              plans={plans}
              found={found}
              picked={picked}
              onPick={(plan) => navigate(address(plan), { replace: true, preventScrollReset: true })}
            />
            <OnHands daysToBound={found.daysToBound} />
            {picked === null && <p className="soft no-print">Pick a plan to see what it changes.</p>}
          </Section>
          {picked !== null && <Chosen key={picked} job={job} plan={picked} found={found} onTaken={onAgain} />}
          <Section title="The same in rows" id="rows">
            <Folded summary="Each plan, in figures">
              <PlanTable job={job} found={found} picked={picked} address={address} />
            </Folded>
          </Section>
        </>
      )}
      <Settled found={found} />
    </Page>
  );
}

/** How good the plans are on the hands of the shop. */
function OnHands({ daysToBound }: Pick<ChoicesFound, "daysToBound">) {
  if (daysToBound === null) return null;
  return (
    <p className="prose soft">
      Each day is one that the hands can keep, and the one that Hold-ups says once the plan is taken.{" "}
      {daysToBound === 0
        ? "No other choice and no other order of work is better."
        : `None better was found: for no more money and points, whatever the order of work, nothing could be ready more than ${days(daysToBound)} sooner.`}
    </p>
  );
}

function Answers({ found, address }: { found: ChoicesFound; address: (plan: number) => string }) {
  const { cheapestByTarget, earliestWithinCap, mostPointsWithinBoth, bestByWorth } = found.answers;
  const rows = [
    ["Cheapest by the target", cheapestByTarget],
    [`Earliest ${WITHIN_CAP}`, earliestWithinCap],
    [`Most points by the target, ${WITHIN_CAP}`, mostPointsWithinBoth],
    ["Best by worth", bestByWorth],
  ] as const;
  return (
    <dl className="facts answers">
      {rows.map(([title, { plan, words }]) => (
        <div key={title}>
          <dt>{title}</dt>
          <dd>
            {words}
            {plan && (
              <>
                {" "}
                <Link to={address(plan.number)} preventScrollReset>
                  Plan {plan.number}
                </Link>
              </>
            )}
          </dd>
        </div>
      ))}
    </dl>
  );
}

/** The address of this sheet with a plan picked; the list keeps its page. */
function usePlanAddress(): (plan: number) => string {
  const [params] = useSearchParams();
  const { pathname } = useLocation();
  return (plan) => {
    const next = new URLSearchParams(params);
    next.set("plan", String(plan));
    next.delete("change");
    return `${pathname}?${next}`;
  };
}
