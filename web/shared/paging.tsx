import { useCallback } from "react";
import { counted } from "./format.ts";
import { useAddress } from "./useAddress.ts";

export interface PageArguments {
  first?: number;
  after?: string;
  last?: number;
  before?: string;
}

interface PageInfo {
  hasNextPage: boolean;
  hasPreviousPage: boolean;
  startCursor: string | null;
  endCursor: string | null;
}

export interface PagingState {
  /** For a connection that pages both ways; for one that only goes forward take first and after. */
  variables: PageArguments;
  size: number;
  turn: (to: "first" | "previous" | "next" | "last", page: PageInfo) => void;
  /** Pages turned forward from the first. */
  turned: number;
}

/**
 * Where a list stands, kept in the address under `name` (name: cursors of the pages turned; name.before, name.end: paging
 * from the end). Two lists on one sheet need two names.
 */
export function usePaging(name: string, size = 50): PagingState {
  const [params, change] = useAddress();
  const trail = params.getAll(name);
  const before = params.get(`${name}.before`);
  const fromEnd = params.has(`${name}.end`);
  const after = trail.at(-1);
  const variables: PageArguments = fromEnd
    ? { last: size }
    : before
      ? { last: size, before }
      : { first: size, ...(after ? { after } : {}) };

  const turn: PagingState["turn"] = (to, page) =>
    change((next) => {
      const cursors = next.getAll(name);
      for (const key of [name, `${name}.before`, `${name}.end`]) next.delete(key);
      if (to === "last") next.set(`${name}.end`, "1");
      else if (to === "next") {
        for (const cursor of page.endCursor ? [...cursors, page.endCursor] : cursors) next.append(name, cursor);
      } else if (to === "previous") {
        if (cursors.length > 0) for (const cursor of cursors.slice(0, -1)) next.append(name, cursor);
        else if (page.startCursor) next.set(`${name}.before`, page.startCursor);
      }
    });
  return { variables, size, turn, turned: trail.length };
}

interface PagingProps {
  of: PagingState;
  page: PageInfo;
  total: number;
  /** Rows on this page. */
  shown: number;
  /** "part"; plural with an s unless given. */
  noun: string;
  plural?: string;
  /** The connection takes last and before too. */
  bothWays?: boolean;
}

/** First, previous, next and last page of a list, and how many rows there are; of no rows the list itself speaks. */
export function Paging({ of, page, total, shown, noun, plural, bothWays }: PagingProps) {
  if (total === 0) return null;
  const back = of.turned > 0 || page.hasPreviousPage;
  const turns = back || page.hasNextPage;
  return (
    <nav className="paging" aria-label={`Pages of the ${plural ?? `${noun}s`}`}>
      <p>{shown < total ? `${shown} of ${counted(total, noun, plural)}` : counted(total, noun, plural)}</p>
      {turns && (
        <>
          <button type="button" disabled={!back} onClick={() => of.turn("first", page)}>
            First
          </button>
          <button
            type="button"
            disabled={!back || (!bothWays && of.turned === 0)}
            onClick={() => of.turn("previous", page)}
          >
            Previous
          </button>
          <button type="button" disabled={!page.hasNextPage} onClick={() => of.turn("next", page)}>
            Next
          </button>
          {bothWays && (
            <button type="button" disabled={!page.hasNextPage} onClick={() => of.turn("last", page)}>
              Last
            </button>
          )}
        </>
      )}
    </nav>
  );
}

/** One value in the address. Setting null takes it out; other lists' pages named in `restart` go back to the first. */
export function useAddressValue(
  name: string,
  restart: readonly string[] = [],
  earlier?: string,
): [string | null, (value: string | null) => void] {
  const [params, change] = useAddress();
  const restarts = restart.join(" ");
  const set = useCallback(
    (value: string | null) =>
      change(
        (next) => {
          if (value === null || value === "") next.delete(name);
          else next.set(name, value);
          if (earlier !== undefined) next.delete(earlier);
          for (const list of restarts.split(" ").filter(Boolean))
            for (const key of [list, `${list}.before`, `${list}.end`]) next.delete(key);
        },
        { replace: true },
      ),
    [change, name, restarts, earlier],
  );
  return [params.get(name) ?? (earlier === undefined ? null : params.get(earlier)), set];
}
