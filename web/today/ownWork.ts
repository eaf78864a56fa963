import type { ResultOf } from "gql.tada";
import { useMemo } from "react";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { useMay } from "../shared/useMay.ts";

const OwnWorkQuery = graphql(`
  query OwnWork($restoration: ID!) {
    ownHand { id name }
    ownWork(restoration: $restoration, first: 12) {
      totalCount
      edges { node { startDate finishDate work { title hours operation { id } restoration { id machine } } } }
    }
  }
`);

export type OwnTask = ResultOf<typeof OwnWorkQuery>["ownWork"]["edges"][number]["node"];

/** What the hand whose account this is does now and next, on all machines; undefined while it is read, null for nobody's account. */
export function useOwnWork(
  restoration: string,
): { name: string; tasks: readonly OwnTask[]; total: number } | null | undefined {
  const may = useMay();
  const [{ data }] = useQuery({ query: OwnWorkQuery, variables: { restoration }, pause: !may("Query.ownWork") });
  return useMemo(() => {
    if (!data) return undefined;
    if (!data.ownHand) return null;
    return {
      name: data.ownHand.name,
      tasks: data.ownWork.edges.map(({ node }) => node),
      total: data.ownWork.totalCount,
    };
  }, [data]);
}
