import { useCallback } from "react";
import { useClient } from "urql";
import { graphql } from "../client.ts";
import type { Found } from "./FindField.tsx";
import { useRestoration } from "./restoration.ts";

const FindOperations = graphql(`
  query FindOperations($restoration: ID!, $search: String, $first: Int) {
    restoration(id: $restoration) {
      id
      operations(search: $search, first: $first) { edges { node { id code title } } }
    }
  }
`);

const FindParts = graphql(`
  query FindParts($restoration: ID!, $search: String, $first: Int) {
    restoration(id: $restoration) {
      id
      parts(search: $search, first: $first) { edges { node { id code name } } }
    }
  }
`);

const FindSuppliers = graphql(`
  query FindSuppliers($search: String, $first: Int) {
    suppliers(search: $search, first: $first) { edges { node { id code name } } }
  }
`);

/** More than are shown, so that those already used can be left out. */
const MANY = 40;

/** Finds operations of the restoration in view by code or title. */
export function useFindOperations(): (search: string) => Promise<readonly Found[]> {
  const client = useClient();
  const { id } = useRestoration();
  return useCallback(
    async (search) => {
      const result = await client
        .query(FindOperations, { restoration: id, search: search || null, first: MANY })
        .toPromise();
      if (!result.data) throw result.error ?? new Error("The operations cannot be read.");
      return result.data.restoration.operations.edges.map(({ node }) => node);
    },
    [client, id],
  );
}

/** Finds parts of the restoration in view by code or name. */
export function useFindParts(): (search: string) => Promise<readonly Found[]> {
  const client = useClient();
  const { id } = useRestoration();
  return useCallback(
    async (search) => {
      const result = await client
        .query(FindParts, { restoration: id, search: search || null, first: MANY })
        .toPromise();
      if (!result.data) throw result.error ?? new Error("The parts cannot be read.");
      return result.data.restoration.parts.edges.map(({ node }) => ({
        id: node.id,
        code: node.code,
        title: node.name,
      }));
    },
    [client, id],
  );
}

/** Finds suppliers by code or name. */
export function useFindSuppliers(): (search: string) => Promise<readonly Found[]> {
  const client = useClient();
  return useCallback(
    async (search) => {
      const result = await client.query(FindSuppliers, { search: search || null, first: MANY }).toPromise();
      if (!result.data) throw result.error ?? new Error("The suppliers cannot be read.");
      return result.data.suppliers.edges.map(({ node }) => ({ id: node.id, code: node.code, title: node.name }));
    },
    [client],
  );
}
