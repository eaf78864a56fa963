import type { AnyVariables, TypedDocumentNode } from "@urql/core";
import { useCallback, useEffect, useRef, useState } from "react";
import { type CombinedError, useClient } from "urql";
import { wordsOf } from "./Page.tsx";

/** What every job says of itself; a screen may ask for more. */
export interface JobShown {
  id: string;
  state: string;
}

/** How one kind of job is begun, followed and stopped. The same object for every render. */
export interface JobRequests<J extends JobShown, V extends AnyVariables> {
  start: TypedDocumentNode<{ started: J }, V>;
  stop: TypedDocumentNode<{ stopJob: J }, { job: string }>;
  events: TypedDocumentNode<{ job: J }, { id: string }>;
  now: TypedDocumentNode<{ job: J }, { id: string }>;
}

export interface JobRun<J> {
  /** The job of what is asked now; null before it has begun. */
  job: J | null;
  working: boolean;
  problem: string | null;
  start: () => Promise<void>;
  stop: () => Promise<void>;
}

const WORKING: ReadonlySet<string> = new Set(["READING", "CHECKING", "WRITING"]);
const POLL_MS = 700;
/** A stream that says nothing for so long is as good as none. */
const SILENCE_MS = 3_000;
/** To begin, follow or stop working something out changes no row, so nothing else on the screen is asked again. */
const CHANGES_NOTHING = { additionalTypenames: [] };

/**
 * Has something worked out and follows the work over the stream of events, or by asking now and then where there is none.
 * @param asked what it is worked out from; another object begins another job, null none
 */
export function useJob<J extends JobShown, V extends AnyVariables>(
  requests: JobRequests<J, V>,
  asked: { variables: V } | null,
): JobRun<J> {
  const client = useClient();
  const [begun, setBegun] = useState<{ asked: typeof asked; job: J } | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const newest = useRef(0);

  const start = useCallback(async () => {
    newest.current += 1;
    const turn = newest.current;
    setProblem(null);
    if (asked === null) return;
    const { data, error } = await client.mutation(requests.start, asked.variables, CHANGES_NOTHING).toPromise();
    if (turn !== newest.current) return;
    if (data) setBegun({ asked, job: data.started });
    else if (error) setProblem(wordsOf(error));
  }, [client, requests, asked]);

  useEffect(() => {
    void start();
    return () => {
      newest.current += 1;
    };
  }, [start]);

  const job = begun !== null && begun.asked === asked ? begun.job : null;
  const id = job !== null && WORKING.has(job.state) ? job.id : null;
  const take = useCallback(
    (next: J) => setBegun((now) => (now?.job.id === next.id ? { asked: now.asked, job: next } : now)),
    [],
  );
  useEffect(() => {
    if (id === null) return;
    let left = false;
    let heard = false;
    let waiting: ReturnType<typeof setTimeout> | undefined;
    const ask = async () => {
      const result = await client.query(requests.now, { id }, { requestPolicy: "network-only" }).toPromise();
      if (left) return;
      if (result.data) take(result.data.job);
      else if (result.error) setProblem(wordsOf(result.error));
      if (!result.data || WORKING.has(result.data.job.state)) waiting = setTimeout(() => void ask(), POLL_MS);
    };
    const fallBack = () => {
      if (!left && waiting === undefined) waiting = setTimeout(() => void ask(), POLL_MS);
    };
    const stream = client.subscription(requests.events, { id }, CHANGES_NOTHING).subscribe((result) => {
      heard = true;
      if (left) return;
      if (result.data) take(result.data.job);
      if (result.error) fallBack();
    });
    const silent = setTimeout(() => {
      if (!heard) fallBack();
    }, SILENCE_MS);
    return () => {
      left = true;
      clearTimeout(waiting);
      clearTimeout(silent);
      stream.unsubscribe();
    };
  }, [client, requests, id, take]);

  const stop = useCallback(async () => {
    if (id === null) return;
    const { data, error } = await client.mutation(requests.stop, { job: id }, CHANGES_NOTHING).toPromise();
    if (data) take(data.stopJob);
    else if (error) setProblem(wordsOf(error));
  }, [client, requests, id, take]);

  return { job, working: id !== null, problem, start, stop };
}

export interface JobRead<D> {
  /** The last that was read, which may be of the plan before its last change. */
  data: D | null;
  /** What was read is of the plan as it is now. */
  current: boolean;
  error: CombinedError | null;
  again: () => void;
}

/**
 * Reads what a job worked out, once it is done. Asked for earlier, or left open for the client to ask again after each change,
 * the question itself would keep the work going that a stop is to end.
 * @param variables another object reads anew; null: not yet
 */
export function useJobRead<D, V extends AnyVariables>(
  query: TypedDocumentNode<D, V>,
  variables: V | null,
  { job }: JobRun<JobShown>,
): JobRead<D> {
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
