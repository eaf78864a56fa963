import type { ResultOf } from "gql.tada";
import { useMemo } from "react";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { compareCodes } from "../shared/Code.tsx";
import { useEveryPage } from "../shared/everyPage.ts";
import { dateInFull, dayAndMonth } from "../shared/format.ts";

const ScheduleQuery = graphql(`
  query WorkSchedule($restoration: ID!, $first: Int, $after: String) {
    holdUps(restoration: $restoration) {
      figuresFor
      hoursToDo { operations brought }
      completion { open lacking cleared date dateWithOpenInHand targetDate targetName }
      schedule(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges {
          node {
            critical earlyStart earlyStartDate earlyFinishDate lateStartDate lateFinishDate
            totalFloat freeFloat floatToTarget hoursToDo waitsForOpen lacking hands
            operation { id revision code title trade group state hoursLikely remainingHours startedOn finishedOn mayBePutDown }
          }
        }
      }
    }
  }
`);

const LinksQuery = graphql(`
  query WorkLinks($restoration: ID!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      links(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges { node { id lag lagUnit before { id } after { id } } }
      }
    }
  }
`);

const FreeToStartQuery = graphql(`
  query WorkFree($restoration: ID!) {
    holdUps(restoration: $restoration) {
      freeToStart(first: 500) { edges { node { operation { id } } } }
    }
  }
`);

const ShopWeekQuery = graphql(`
  query WorkWeek($restoration: ID!) {
    restoration(id: $restoration) {
      id
      shopDays { monday tuesday wednesday thursday friday saturday sunday }
      closedDates(first: 500) { edges { node { date reason } } }
    }
  }
`);

type ScheduleData = ResultOf<typeof ScheduleQuery>;

/** One operation at its place in the plan. Dates are calendar dates; floats are working hours. */
export type Scheduled = ScheduleData["holdUps"]["schedule"]["edges"][number]["node"];

/** After starts once before is done and the lag has passed. */
export interface WorkLink {
  id: string;
  before: string;
  after: string;
  lag: number;
  lagUnit: "HOURS" | "DAYS";
}

/** Its dates in words: "3 to 9 Aug 2027"; done work by the dates on record. */
export function spanWords({ earlyStartDate, earlyFinishDate, operation }: Scheduled): string {
  const from = operation.state === "DONE" ? (operation.startedOn ?? earlyStartDate) : earlyStartDate;
  const to = operation.state === "DONE" ? (operation.finishedOn ?? earlyFinishDate) : earlyFinishDate;
  if (from === to) return dateInFull(from);
  return from.slice(0, 4) === to.slice(0, 4)
    ? `${dayAndMonth(from)} to ${dateInFull(to)}`
    : `${dateInFull(from)} to ${dateInFull(to)}`;
}

const inOrder = (one: Scheduled, other: Scheduled): number =>
  one.earlyStartDate.localeCompare(other.earlyStartDate) ||
  one.earlyStart - other.earlyStart ||
  one.earlyFinishDate.localeCompare(other.earlyFinishDate) ||
  compareCodes(one.operation.code, other.operation.code);

/** The whole plan of the work, in order of early start, with its links and what is free to start. */
export function useSchedule(restoration: string) {
  const variables = useMemo(() => ({ restoration }), [restoration]);
  const schedule = useEveryPage(ScheduleQuery, variables, (data) => data.holdUps.schedule);
  const linked = useEveryPage(LinksQuery, variables, (data) => data.restoration.links);
  const [free] = useQuery({ query: FreeToStartQuery, variables });
  const [week] = useQuery({ query: ShopWeekQuery, variables });

  const rows = useMemo(() => schedule.rows?.toSorted(inOrder), [schedule.rows]);
  const links = useMemo<WorkLink[]>(
    () =>
      (linked.rows ?? []).map(({ id, lag, lagUnit, before, after }) => ({
        id,
        lag,
        lagUnit,
        before: before.id,
        after: after.id,
      })),
    [linked.rows],
  );
  const freeIds = useMemo(
    () => new Set(free.data?.holdUps.freeToStart.edges.map(({ node }) => node.operation.id)),
    [free.data],
  );
  return {
    rows,
    links,
    freeIds,
    week: week.data?.restoration,
    figuresFor: schedule.data?.holdUps.figuresFor ?? "",
    completion: schedule.data?.holdUps.completion,
    hoursToDo: schedule.data?.holdUps.hoursToDo,
    read: schedule.read,
    total: schedule.total,
    error: schedule.error ?? linked.error ?? free.error ?? week.error,
    again: () => {
      schedule.again();
      linked.again();
    },
  };
}

/** Everything the work sheet draws from. */
export type WholeSchedule = ReturnType<typeof useSchedule>;
export type ShopWeek = NonNullable<WholeSchedule["week"]>;
