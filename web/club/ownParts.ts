import { useCallback } from "react";
import { type Client, useClient } from "urql";
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

async function ownPartsHolding(client: Client, search: string): Promise<Found[]> {
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
}

/**
 * Finds outstanding parts of the workshop's restorations by code or name; before anything is typed those first that are
 * called as what is offered.
 */
export function useFindOwnParts(offered = ""): (search: string) => Promise<readonly Found[]> {
  const client = useClient();
  return useCallback(
    async (search) => {
      const asked = search === "" && offered !== "" ? [offered, ""] : [search];
      const found = (await Promise.all(asked.map((one) => ownPartsHolding(client, one)))).flat();
      return found.filter(({ id }, i) => found.findIndex((one) => one.id === id) === i);
    },
    [client, offered],
  );
}
