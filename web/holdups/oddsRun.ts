import type { AnyVariables, TypedDocumentNode } from "@urql/core";
import { useEffect, useMemo, useState } from "react";
import { type CombinedError, useClient } from "urql";
import { type JobRun, useJob } from "../shared/job.ts";
import { type OddsJob, OddsJobEvents, OddsJobNow, StartOdds, StopOdds } from "./documents.ts";

const REQUESTS = { start: StartOdds, stop: StopOdds, events: OddsJobEvents, now: OddsJobNow };

export type OddsRun = JobRun<OddsJob>;

/** Has the odds drawn for a plan revision and a day of figures, and follows the runs. */
export function useOddsRun(restoration: string, plan: { figuresFor: string; planRevision: number } | null): OddsRun {
  const { figuresFor, planRevision } = plan ?? { figuresFor: null, planRevision: null };
  return useJob(
    REQUESTS,
    useMemo(
      () => (figuresFor === null ? null : { variables: { restoration, figuresFor }, planRevision }),
      [restoration, figuresFor, planRevision],
    ),
  );
}

export interface OddsRead<D> {
  /** The last that was read, which may be of the plan before its last change. */
  data: D | null;
  /** What was read is of the plan as it is now. */
  current: boolean;
  error: CombinedError | null;
  again: () => void;
}

/**
 * Reads odds once their runs are drawn. Asked for earlier, or left open for the client to ask again after each change,
 * the question itself would keep the runs going that a stop is to end.
 * @param variables another object reads anew; null: not yet
 */
export function useOddsRead<D, V extends AnyVariables>(
  query: TypedDocumentNode<D, V>,
  variables: V | null,
  { job }: OddsRun,
): OddsRead<D> {
  const client = useClient();
  const [read, setRead] = useState<{ of: string; data: D } | null>(null);
  const [error, setError] = useState<CombinedError | null>(null);
  const [turn, setTurn] = useState(0);
  const done = job?.state === "DONE" ? job.id : null;
  useEffect(() => {
    // Each turn is a try of its own.
    if (done === null || variables === null || turn < 0) return;
    let wanted = true;
    setError(null);
    const ask = async () => {
      const found = await client.query(query, variables, { requestPolicy: "network-only" }).toPromise();
      if (!wanted) return;
      if (found.data) setRead({ of: done, data: found.data });
      else setError(found.error ?? null);
    };
    void ask();
    return () => {
      wanted = false;
    };
  }, [client, query, variables, done, turn]);
  return {
    data: read?.data ?? null,
    current: read !== null && read.of === done,
    error,
    again: () => setTurn((now) => now + 1),
  };
}
