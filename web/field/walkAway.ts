import { useMemo } from "react";
import { graphql } from "../client.ts";
import { useEveryPage } from "../shared/everyPage.ts";
import type { WalkAway } from "./fieldSheet.ts";

const WalkAwaysQuery = graphql(`
  query FieldWalkAways($restoration: ID!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      walkAways(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges { node {
          part { id }
          walkAway { provenance words daysSaved pointsDifference price { minor currency decimals } }
        } }
      }
    }
  }
`);

/** Walk-away prices by the part's id; undefined until they are worked out. They are asked for beside the sheet, which they would hold up. */
export function useWalkAways(restoration: string) {
  const variables = useMemo(() => ({ restoration }), [restoration]);
  const { rows, error, again } = useEveryPage(WalkAwaysQuery, variables, (data) => data.restoration.walkAways);
  const byPart = useMemo(
    () =>
      rows && Object.fromEntries(rows.map(({ part, walkAway }): [string, readonly WalkAway[]] => [part.id, walkAway])),
    [rows],
  );
  return { byPart, error, again };
}
