import { useCallback } from "react";
import { useClient } from "urql";
import { graphql } from "../client.ts";
import type { Found } from "../shared/FindField.tsx";
import { NOT_COME } from "../shared/words.ts";

const FindOwnParts = graphql(`
  query FindOwnParts($search: String, $notCome: [SupplyState!]) {
    restorations(first: 50) {
      edges {
        node {
          id machine
          parts(first: 20, search: $search, state: $notCome) {
            edges { node { id code name } }
          }
        }
      }
    }
  }
`);

/** A part as it stands in a field that picks it; the machine where it is known to be one of several. */
export const ownPartFound = ({ id, code, name, restoration }: OwnPart): Found => ({
  id,
  code,
  title: `${name}, ${restoration.machine}`,
});

export interface OwnPart {
  id: string;
  code: string;
  name: string;
  restoration: { id: string; machine: string };
}

/** Finds outstanding parts of the workshop's restorations by code or name. */
export function useFindOwnParts(): (search: string) => Promise<readonly Found[]> {
  const client = useClient();
  return useCallback(
    async (search) => {
      const result = await client.query(FindOwnParts, { search: search || null, notCome: NOT_COME }).toPromise();
      if (!result.data) throw result.error ?? new Error("The parts cannot be read.");
      const machines = result.data.restorations.edges;
      return machines.flatMap(({ node: { machine, parts } }) =>
        parts.edges.map(({ node: { id, code, name } }) => ({
          id,
          code,
          title: machines.length > 1 ? `${name}, ${machine}` : name,
        })),
      );
    },
    [client],
  );
}
