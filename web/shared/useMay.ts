import { useCallback } from "react";
import { useQuery } from "urql";
import { VisitorQuery } from "../accounts/documents.ts";

/** A field of the API as the server names it in what the visitor may do. */
export type Doing = `${"Query" | "Mutation" | "Restoration"}.${string}`;

/**
 * Whether who looks on may read or do something: `may("Mutation.savePart")`. While the server cannot be asked, all that
 * is kept on this device is the reader's own, so everything may be.
 */
export function useMay(): (what: Doing) => boolean {
  const [{ data }] = useQuery({ query: VisitorQuery });
  const known = data?.visitor.may;
  return useCallback((what: Doing) => known?.includes(what) ?? true, [known]);
}
