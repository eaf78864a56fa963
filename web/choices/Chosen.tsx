import { useState } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { counted, dateInFull, days, hours, lateBy, listed, money, points } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import type { Cost } from "../shared/optionCost.tsx";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { EffectWords } from "../shared/Weighed.tsx";
import { PROVENANCE } from "../shared/words.ts";
import { awardLeft, costAgainst, moreOrLess, pointsMore } from "./amounts.ts";
import { type ChoicesFound, type Difference, PlanEffectQuery, PlanQuery, TakePlan } from "./documents.ts";

const LISTED = 50;

interface ChosenProps {
  job: string;
  plan: number;
  found: ChoicesFound;
  onTaken: () => void;
}

/** What one plan changes in the plan in force, and the taking of it. */
export function Chosen({ job, plan: number, found, onTaken }: ChosenProps) {
  const restoration = useRestoration();
  const { save, saving } = useSave();
  const paging = usePaging("change", LISTED);
  const [result, again] = useQuery({
    query: PlanQuery,
    variables: { job, plan: number, first: LISTED, after: paging.variables.after ?? null },
  });
  const [left, leave] = useState<ReadonlySet<string>>(new Set());
  const choices = useKept(result.data?.job.choices ?? undefined, `${job} ${number}`);
  const title = `Plan ${number}`;
  if (!choices)
    return (
      <Section title={title} id="plan">
        {result.error ? (
          <Problem of={result.error} what={`plan ${number}`} again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what={`plan ${number}`} />
        )}
      </Section>
    );
  const { plan } = choices;
  if (!plan)
    return (
      <Section title={title} id="plan">
        <p className="prose">There is no plan of this number. Pick one from the drawing or the list.</p>
      </Section>
    );
  const change = costAgainst(plan, found);
  const rows = plan.changes.edges.map(({ node }) => node);
  const total = plan.changes.totalCount;
  // Of a plan whose changes are all on this page some can be left.
  const divisible = total > 1 && total <= LISTED && !found.stale;
  const only = divisible && left.size > 0 ? rows.map(rowOf).filter((row) => !left.has(row)) : null;
  const take = async () => {
    const outcome = await save(TakePlan, { job, plan: number, only }, { weighed: true });
    if (outcome.kind === "saved") onTaken();
  };
  const takes = ({ title: name, ...row }: Difference) => (
    <label className="take">
      <input
        type="checkbox"
        checked={!left.has(rowOf(row))}
        onChange={({ target: { checked } }) =>
          leave((now) => {
            const next = new Set(now);
            if (checked) next.delete(rowOf(row));
            else next.add(rowOf(row));
            return next;
          })
        }
      />
      <span className="unseen">Take what it changes for {name}</span>
    </label>
  );
  return (
    <Section
      title={title}
      id="plan"
      aside={
        plan.changes.totalCount + plan.decides.length > 0 && (
          <button
            type="button"
            className="main"
            disabled={saving || found.stale || only?.length === 0}
            onClick={() => void take()}
          >
            {only === null ? "Take this plan" : `Take ${only.length} of its ${counted(total, "change")}`}
          </button>
        )
      }
    >
      <p className="prose">
        Ready <strong>{dateInFull(plan.date)}</strong>
        {plan.daysLate !== null && <>, {lateBy(plan.daysLate)}</>}.{" "}
        <strong className="money">{money(plan.cost)}</strong> to spend
        {change !== null && <>, compared with the plan in force {change}</>}
        {plan.cost.minor !== plan.landed.minor && (
          <>
            ; <span className="nowrap">{money(plan.landed)}</span> is bought and {hours(plan.hours)} of our own come to{" "}
            <span className="nowrap">{money(plan.labour)}</span>
          </>
        )}
        {plan.charged.minor > 0 && (
          <>
            ; <span className="nowrap">{money(plan.charged)}</span> of it is charged by suppliers on whole orders; what
            several parts share of it is in no single cost below
          </>
        )}
        . <strong>{points(plan.pointsLost)}</strong> lost{awardLeft(plan, found.inForce)}.
      </p>
      {(plan.changes.totalCount === 0 || plan.decides.length > 0) && (
        <p className="prose">
          {plan.changes.totalCount === 0 && "This is the plan in force: nothing differs. "}
          {plan.decides.length > 0 &&
            `Once taken, it decides ${counted(plan.decides.length, "choice")} that ${plan.decides.length === 1 ? "is" : "are"} only assumed now: ${listed(fewOf(plan.decides))}.`}
        </p>
      )}
      {total > 0 && !found.stale && only?.length !== 0 && (
        <p className="prose" aria-live="polite">
          {only === null ? "Taken whole" : "Taken so far as it is ticked"}:{" "}
          <PlanEffect job={job} plan={number} only={only} />
        </p>
      )}
      {plan.changes.totalCount > 0 && (
        <Table
          caption={`What plan ${number} changes: ${counted(plan.changes.totalCount, "choice")}`}
          captionSeen
          rows={rows}
          rowKey={({ kind, code }) => `${kind} ${code}`}
          columns={[
            ...(divisible ? [{ id: "take", title: "Take", cell: takes, controls: true }] : []),
            ...columnsFor(restoration.id),
          ]}
          paging={
            plan.changes.totalCount > LISTED && (
              <Paging
                of={paging}
                page={plan.changes.pageInfo}
                total={plan.changes.totalCount}
                shown={rows.length}
                noun="choice"
              />
            )
          }
        />
      )}
    </Section>
  );
}

const rowOf = ({ part, snag, operation }: Pick<Difference, "part" | "snag" | "operation">): string =>
  (part ?? snag ?? operation)?.id ?? "";

function PlanEffect({ job, plan, only }: { job: string; plan: number; only: string[] | null }) {
  const [{ data, fetching }] = useQuery({ query: PlanEffectQuery, variables: { job, plan, only } });
  return <EffectWords effect={fetching ? undefined : (data?.job.choices?.plan?.effect ?? undefined)} />;
}

const fewOf = (titles: readonly string[]): string[] =>
  titles.length <= 6 ? [...titles] : [...titles.slice(0, 5), `${titles.length - 5} more`];

const columnsFor = (restoration: string): Column<Difference>[] => [
  {
    id: "title",
    title: "For",
    lead: true,
    cell: ({ part, operation, title }) =>
      part ? (
        <Link to={addressOf.part(restoration, part.id)}>{title}</Link>
      ) : operation ? (
        <Link to={addressOf.operation(restoration, operation.id)}>{title}</Link>
      ) : (
        <Link to={addressOf.snags(restoration)}>{title}</Link>
      ),
  },
  { id: "from", title: "In force", cell: ({ kind, from }) => <Option of={from} noun={OPTION[kind]} /> },
  { id: "to", title: "In this plan", cell: ({ kind, to }) => <Option of={to} noun={OPTION[kind]} /> },
  {
    id: "cost",
    title: "Cost",
    numeric: true,
    cell: ({ costChange, from, to }) => (
      <>
        {costChange ? moreOrLess(costChange) : "cannot be worked out"}
        {costChange && from.cost.landed && to.cost.landed && <Split from={from.cost} to={to.cost} />}
      </>
    ),
  },
  { id: "points", title: "Points lost", numeric: true, cell: ({ pointsChange }) => pointsMore(pointsChange) },
];

/** How much of a change is bought and how much is hours, where it is both or the hours count. */
function Split({ from, to }: { from: Cost; to: Cost }) {
  if (!from.landed || !to.landed || !from.total || !to.total) return null;
  const bought = to.landed.minor - from.landed.minor;
  if (to.total.minor - from.total.minor === bought) return null;
  const labour = { ...to.labour, minor: to.labour.minor - from.labour.minor };
  return (
    <span className="soft small below">
      bought {moreOrLess({ ...to.landed, minor: bought })}, hours {moreOrLess(labour)}
    </span>
  );
}

/** What is chosen for each kind. */
const OPTION: Record<Difference["kind"], string> = { PART: "quote", SNAG: "remedy", OPERATION: "way" };

function Option({ of, noun }: { of: Difference["from"]; noun: string }) {
  return (
    <>
      {of.words}
      {of.code && (
        <>
          {" "}
          <Code noun={noun} of={of.code} />
        </>
      )}
      {of.quote && (
        <>
          , {PROVENANCE[of.quote.provenance]}, {days(of.quote.leadDays)}
        </>
      )}
    </>
  );
}
