import { useCallback, useEffect, useMemo, useRef, useState } from "react";
import { useNarrow } from "./useNarrow.ts";

interface Seen {
  id: string;
  revision: number;
}

/** As it is listed: what it is called. */
interface Shown extends Seen {
  title?: string;
  name?: string;
}

/** Rows of a list that are chosen, to do something with all of them. They stay so while one pages or narrows the list. */
export interface Choice {
  ids: ReadonlySet<string>;
  /** Whether rows can be chosen: where there is room always, on a narrow screen once that was begun. */
  on: boolean;
  begin: () => void;
  /** Chooses these, or leaves them out again. */
  put: (ids: readonly string[], chosen: boolean) => void;
  /** Chooses none; on a narrow screen the list is then as before. */
  end: () => void;
  /** The rows with the revision at which each was last on the screen. */
  rows: () => Seen[];
  /** What the chosen rows are called. */
  names: () => string[];
}

/** @param shown the rows that are on the screen now, as they were read; undefined while they are read */
export function useChoice(shown: readonly Shown[] | undefined): Choice {
  const narrow = useNarrow();
  const [ids, setIds] = useState<ReadonlySet<string>>(new Set());
  const [begun, setBegun] = useState(false);
  const seen = useRef(new Map<string, { revision: number; name: string }>());
  useEffect(() => {
    for (const { id, revision, title, name } of shown ?? [])
      seen.current.set(id, { revision, name: title ?? name ?? "" });
  }, [shown]);
  const put = useCallback(
    (some: readonly string[], chosen: boolean) =>
      setIds((now) => (chosen ? new Set([...now, ...some]) : new Set([...now].filter((id) => !some.includes(id))))),
    [],
  );
  const begin = useCallback(() => setBegun(true), []);
  const end = useCallback(() => {
    setIds(new Set());
    setBegun(false);
  }, []);
  return useMemo(
    () => ({
      ids,
      on: !narrow || begun || ids.size > 0,
      begin,
      put,
      end,
      rows: () => [...ids].map((id) => ({ id, revision: seen.current.get(id)?.revision ?? 0 })),
      names: () => [...ids].map((id) => seen.current.get(id)?.name ?? "").filter((name) => name !== ""),
    }),
    [ids, narrow, begun, begin, put, end],
  );
}
