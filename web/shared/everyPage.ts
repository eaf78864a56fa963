import type { TadaDocumentNode } from "gql.tada";
import { useEffect, useState } from "react";
import { type CombinedError, useClient, useQuery } from "urql";

/** Rows asked for at once: the most that the server gives. */
const SIZE = 500;

interface Connection<Node> {
  totalCount: number;
  pageInfo: { hasNextPage: boolean; endCursor: string | null };
  edges: readonly { node: Node }[];
}

interface EveryPage<Data, Node> {
  /** What the first page brought beside the list. */
  data: Data | undefined;
  /** All rows once complete; undefined before. While they are read anew, the last complete ones. */
  rows: readonly Node[] | undefined;
  /** How far the reading is. */
  read: number;
  total: number;
  error: CombinedError | undefined;
  again: () => void;
}

/**
 * Every row of a list, read page after page: for drawings that need the whole. Each change of the restoration reads anew.
 * `variables` and `pick` must stay the same between renders unless the list is another one.
 */
export function useEveryPage<Data, Vars extends { first?: number | null; after?: string | null }, Node>(
  document: TadaDocumentNode<Data, Vars>,
  variables: Omit<Vars, "first" | "after">,
  pick: (data: Data) => Connection<Node>,
): EveryPage<Data, Node> {
  const client = useClient();
  const [first, read] = useQuery({ query: document, variables: { ...variables, first: SIZE } as unknown as Vars });
  const [whole, setWhole] = useState<readonly Node[]>();
  const [progress, setProgress] = useState({ read: 0, total: 0 });
  const [error, setError] = useState<CombinedError>();
  const { data } = first;

  // biome-ignore lint/correctness/useExhaustiveDependencies: a new first page is what starts the reading anew
  useEffect(() => {
    if (!data) return;
    let left = false;
    const readOn = async () => {
      setError(undefined);
      let page = pick(data);
      const rows = page.edges.map((edge) => edge.node);
      while (page.pageInfo.hasNextPage) {
        setProgress({ read: rows.length, total: page.totalCount });
        const next = { ...variables, first: SIZE, after: page.pageInfo.endCursor } as unknown as Vars;
        const result = await client.query(document, next).toPromise();
        if (left) return;
        if (!result.data) return setError(result.error);
        page = pick(result.data);
        for (const edge of page.edges) rows.push(edge.node);
      }
      setProgress({ read: rows.length, total: page.totalCount });
      setWhole(rows);
    };
    void readOn();
    return () => {
      left = true;
    };
  }, [data, client, document]);

  return {
    data,
    rows: whole,
    ...progress,
    error: first.error && !data ? first.error : error,
    again: () => read({ requestPolicy: "network-only" }),
  };
}
