import { Link } from "react-router";
import { useQuery } from "urql";
import { dateInFull, lateBy, money, plainNumber } from "../shared/format.ts";
import { Problem } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { type ChoicesFound, type PlanRow, PlansQuery } from "./documents.ts";

const LISTED = 25;

/** The plans in rows: the same as drawn. */
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
  const [result] = useQuery({
    query: PlansQuery,
    variables: { job, first: LISTED, after: paging.variables.after ?? null },
  });
  const plans = result.data?.job.choices?.plans;
  if (!plans) return result.error ? <Problem of={result.error} what="the list of plans" /> : null;
  const answers = [
    [found.answers.cheapestByTarget, "cheapest by the target"],
    [found.answers.earliestWithinCap, "earliest within the cap"],
    [found.answers.mostPointsWithinBoth, "most points within both"],
  ] as const;
  const columns: Column<PlanRow>[] = [
    {
      id: "number",
      title: "Plan",
      lead: true,
      cell: ({ number }) => (
        <Link to={address(number)} preventScrollReset aria-current={number === picked ? "true" : undefined}>
          Plan {number}
        </Link>
      ),
    },
    { id: "date", title: "Ready", cell: ({ date }) => <span className="nowrap">{dateInFull(date)}</span> },
    { id: "late", title: "Target", cell: ({ daysLate }) => daysLate !== null && lateBy(daysLate) },
    { id: "cost", title: "To spend", numeric: true, cell: ({ cost }) => money(cost) },
    { id: "points", title: "Points lost", numeric: true, cell: ({ pointsLost }) => plainNumber(pointsLost, 2) },
    {
      id: "differs",
      title: "Choices that differ",
      numeric: true,
      cell: ({ differences: { totalCount } }) => plainNumber(totalCount),
    },
    {
      id: "answers",
      title: "Which is",
      cell: ({ number, differences: { totalCount } }) =>
        [
          ...(totalCount === 0 ? ["in force"] : []),
          ...answers.filter(([answer]) => answer.plan?.number === number).map(([, words]) => words),
        ].join(", "),
    },
  ];
  return (
    <Table
      caption="Plans, the earliest first"
      rows={plans.edges.map(({ node }) => node)}
      rowKey={({ id }) => id}
      columns={columns}
      paging={
        <Paging of={paging} page={plans.pageInfo} total={plans.totalCount} shown={plans.edges.length} noun="plan" />
      }
    />
  );
}
