import { useEffect, useMemo } from "react";
import { Link } from "react-router";
import { told } from "../shared/Brief.tsx";
import { useEveryPage } from "../shared/everyPage.ts";
import { dateInFull, lateBy, money, plainNumber, points } from "../shared/format.ts";
import { Problem } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { type Column, type Sort, Table, useSort } from "../shared/Table.tsx";
import { WITHIN_CAP } from "./amounts.ts";
import { type ChoicesFound, type PlanRow, PlansQuery } from "./documents.ts";
import { usePlanOdds } from "./job.ts";
import { capApart, isOver } from "./Plot.tsx";

const LISTED = 25;

const plansIn = (data: { job: { choices: ChoicesFound | null } }) =>
  data.job.choices?.plans ?? { totalCount: 0, pageInfo: { hasNextPage: false, endCursor: null }, edges: [] };

/** A row: a plan to choose, or the one in force, which has no number and may lack what cannot be worked out. */
type Line = Omit<PlanRow, "id" | "number" | "cost" | "counted" | "differences"> & {
  number: number | null;
  cost: PlanRow["cost"] | null;
  counted: PlanRow["counted"] | null;
  differences: { totalCount: number };
};

/** The plan in force, then the plans in rows: the same as drawn. The order is that of all plans, not only of a page. */
export function PlanTable({
  job,
  found,
  picked,
  address,
}: {
  job: string;
  found: ChoicesFound;
  picked: number | null;
  address: (plan: number) => string;
}) {
  const paging = usePaging("list", LISTED);
  const [sort, onSort] = useSort({ column: "date", descending: false }, "sort", ["list"]);
  const variables = useMemo(() => ({ job }), [job]);
  const { rows: plans, error, again } = useEveryPage(PlansQuery, variables, plansIn);
  const from = Math.max(0, Number(paging.variables.after) || 0);
  const shown = plans ? sorted(plans, sort).slice(from, from + LISTED) : [];
  const undrawn = found.stale ? [] : shown.filter(({ odds }) => odds === null).map(({ number }) => number);
  const drawing = usePlanOdds(job, undrawn.toSorted((a, b) => a - b).join(" "));
  const drawn = drawing.job?.state === "DONE";
  // biome-ignore lint/correctness/useExhaustiveDependencies: read anew once, when the runs are drawn
  useEffect(() => {
    if (drawn) again();
  }, [drawn]);
  if (!plans) return error ? <Problem of={error} what="the list of plans" again={again} /> : null;
  const answers = [
    [found.answers.cheapestByTarget, "cheapest by the target"],
    [found.answers.earliestWithinCap, `earliest ${WITHIN_CAP}`],
    [found.answers.mostPointsWithinBoth, `most points by the target, ${WITHIN_CAP}`],
    [found.answers.bestByWorth, "best by worth"],
  ] as const;
  const judged = plans.some(({ award, disqualified }) => award !== null || disqualified);
  const columns: Column<Line>[] = [
    {
      id: "number",
      sortable: true,
      title: "Plan",
      lead: true,
      cell: ({ number }) =>
        number === null ? (
          "In force"
        ) : (
          <Link to={address(number)} preventScrollReset aria-current={number === picked ? "true" : undefined}>
            Plan {number}
          </Link>
        ),
    },
    {
      id: "date",
      sortable: true,
      title: "Ready as quoted",
      cell: ({ date }) => <span className="nowrap">{dateInFull(date)}</span>,
    },
    {
      id: "sure",
      sortable: true,
      title: "4 in 5 by",
      cell: ({ odds }) =>
        odds === null ? (
          drawing.working ? (
            "…"
          ) : (
            ""
          )
        ) : (
          <span className="nowrap">{odds.fourInFive === null ? "no date" : dateInFull(odds.fourInFive)}</span>
        ),
    },
    { id: "late", sortable: true, title: "Target", cell: ({ daysLate }) => daysLate !== null && lateBy(daysLate) },
    { id: "cost", sortable: true, title: "To spend", numeric: true, cell: ({ cost }) => sum(cost) },
    ...(capApart(found, plans)
      ? [
          {
            id: "counted",
            sortable: true,
            title: "Against the cap",
            numeric: true,
            cell: (plan: Line) => <span className={isOver(found, plan) ? "late" : undefined}>{sum(plan.counted)}</span>,
          },
        ]
      : []),
    {
      id: "points",
      sortable: true,
      title: "Points lost",
      numeric: true,
      cell: ({ pointsLost }) => plainNumber(pointsLost, 2),
    },
    ...(judged
      ? [
          {
            id: "award",
            title: "Award left",
            cell: ({ award, disqualified }: Line) => (disqualified ? "none: ruled out" : (award ?? "none")),
          },
        ]
      : []),
    {
      id: "differs",
      sortable: true,
      title: "Choices that differ",
      numeric: true,
      cell: ({ differences: { totalCount } }) => plainNumber(totalCount),
    },
    {
      id: "answers",
      title: "Which is",
      cell: ({ number, differences: { totalCount } }) =>
        [
          ...(number !== null && totalCount === 0 ? ["in force"] : []),
          ...answers.filter(([answer]) => answer.plan && answer.plan.number === number).map(([, words]) => words),
        ].join(", "),
    },
  ];
  return (
    <>
      {drawing.working && drawing.job && (
        <div className="row no-print">
          <p role="status">{drawing.job.stage} …</p>
          <progress
            aria-label="Drawing the runs of the plans"
            value={drawing.job.done}
            max={Math.max(1, drawing.job.total)}
          />
          <button type="button" onClick={() => void drawing.stop()}>
            Stop
          </button>
        </div>
      )}
      {!drawing.working && undrawn.length > 0 && drawing.job !== null && drawing.job.state !== "DONE" && (
        <div className="row no-print">
          <p>{drawing.job.problem?.message ?? "The dates with odds of 4 in 5 were not worked out to the end."}</p>
          <button type="button" onClick={() => void drawing.start()}>
            Work them out
          </button>
        </div>
      )}
      <Table
        caption="The plan in force, then the plans as sorted"
        rows={[{ ...found.inForce, number: null, differences: { totalCount: 0 } }, ...shown]}
        rowKey={({ number }) => String(number)}
        columns={columns}
        brief={({ number, date, daysLate, cost, pointsLost }) => ({
          name: number === null ? "In force" : `Plan ${number}`,
          also: told(dateInFull(date), daysLate !== null && lateBy(daysLate), `${points(pointsLost)} lost`),
          when: sum(cost),
        })}
        sort={sort}
        onSort={onSort}
        paging={
          <Paging
            of={paging}
            page={{
              hasNextPage: from + LISTED < plans.length,
              hasPreviousPage: from > 0,
              startCursor: String(from),
              endCursor: String(from + shown.length),
            }}
            total={plans.length}
            shown={shown.length}
            noun="plan"
          />
        }
      />
    </>
  );
}

const sum = (of: PlanRow["cost"] | null) => (of === null ? "cannot be worked out" : money(of));

/** What each column compares; what has no value stands last. */
const ORDERS: Record<string, (plan: PlanRow) => string | number | null> = {
  number: ({ number }) => number,
  date: ({ date }) => date,
  sure: ({ odds }) => odds?.fourInFive ?? null,
  late: ({ daysLate }) => daysLate,
  cost: ({ cost }) => cost.minor,
  counted: ({ counted }) => counted.minor,
  points: ({ pointsLost }) => pointsLost,
  differs: ({ differences }) => differences.totalCount,
};

/** Plans of one value keep the order of their numbers. */
function sorted(plans: readonly PlanRow[], { column, descending }: Sort): readonly PlanRow[] {
  const by = ORDERS[column];
  if (!by) return plans;
  const way = descending ? -1 : 1;
  return plans.toSorted((one, other) => {
    const [a, b] = [by(one), by(other)];
    if (a === null || b === null) return a === b ? one.number - other.number : a === null ? 1 : -1;
    return (a < b ? -way : a > b ? way : 0) || one.number - other.number;
  });
}
