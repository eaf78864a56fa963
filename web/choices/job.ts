import { useCallback, useEffect, useRef, useState } from "react";
import { useClient } from "urql";
import { wordsOf } from "../shared/Page.tsx";
import { type ChoicesJob, ChoicesJobEvents, ChoicesJobNow, StartChoices, StopChoices } from "./documents.ts";

const WORKING: ReadonlySet<ChoicesJob["state"]> = new Set(["READING", "CHECKING"]);
const POLL_MS = 700;
/** A stream that says nothing for so long is as good as none. */
const SILENCE_MS = 3_000;

/** Has the plans of a restoration worked out, and follows the work; the same revision is worked out once. */
export function useChoicesJob(restoration: string) {
  const client = useClient();
  const [job, setJob] = useState<ChoicesJob | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const newest = useRef(0);

  const start = useCallback(async () => {
    newest.current += 1;
    const turn = newest.current;
    setProblem(null);
    const { data, error } = await client.mutation(StartChoices, { restoration }).toPromise();
    if (turn !== newest.current) return;
    if (data) setJob(data.startChoices);
    else if (error) setProblem(wordsOf(error));
  }, [client, restoration]);

  useEffect(() => {
    void start();
    return () => {
      newest.current += 1;
    };
  }, [start]);

  const id = job !== null && WORKING.has(job.state) ? job.id : null;
  useEffect(() => {
    if (id === null) return;
    let left = false;
    let heard = false;
    let waiting: ReturnType<typeof setTimeout> | undefined;
    const take = (next: ChoicesJob) => {
      if (!left) setJob((now) => (now?.id === next.id ? next : now));
    };
    const ask = async () => {
      const result = await client.query(ChoicesJobNow, { id }, { requestPolicy: "network-only" }).toPromise();
      if (left) return;
      if (result.data) take(result.data.job);
      else if (result.error) setProblem(wordsOf(result.error));
      if (!result.data || WORKING.has(result.data.job.state)) waiting = setTimeout(() => void ask(), POLL_MS);
    };
    const fallBack = () => {
      if (!left && waiting === undefined) waiting = setTimeout(() => void ask(), POLL_MS);
    };
    const stream = client.subscription(ChoicesJobEvents, { id }).subscribe((result) => {
      heard = true;
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
  }, [client, id]);

  const stop = useCallback(async () => {
    if (id === null) return;
    const { data, error } = await client.mutation(StopChoices, { job: id }).toPromise();
    if (data) setJob(data.cancelJob);
    else if (error) setProblem(wordsOf(error));
  }, [client, id]);

  return { job, working: id !== null, problem, start, stop };
}
