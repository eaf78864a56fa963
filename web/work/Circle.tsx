import { useMemo } from "react";
import { graphql } from "../client.ts";
import { Code } from "../shared/Code.tsx";
import { useEveryPage } from "../shared/everyPage.ts";
import { useRestoration } from "../shared/restoration.ts";
import { OperationLink } from "./CriticalMark.tsx";

const TitlesQuery = graphql(`
  query CircleTitles($restoration: ID!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      operations(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges { node { id code title } }
      }
    }
  }
`);

/** The circle that a refused link would have closed, step by step. The first code is repeated at the end. */
export function Circle({ codes }: { codes: readonly string[] }) {
  const restoration = useRestoration();
  const variables = useMemo(() => ({ restoration: restoration.id }), [restoration.id]);
  const { rows } = useEveryPage(TitlesQuery, variables, (data) => data.restoration.operations);
  const byCode = new Map((rows ?? []).map((row) => [row.code, row]));
  return (
    <div role="alert">
      <p className="form-problem">This link would make the work wait for itself:</p>
      <ol className="circle">
        {codes.map((code, place) => {
          const row = byCode.get(code);
          return (
            <li key={`${place} ${code}`}>
              {row ? <OperationLink restoration={restoration.id} of={row} /> : <Code noun="operation" of={code} />}
              {place === 0
                ? " is to come before"
                : place < codes.length - 1
                  ? ", which comes before"
                  : ", where it began"}
            </li>
          );
        })}
      </ol>
      <p>Choose another operation, or first remove one of these links. Nothing was changed.</p>
    </div>
  );
}
