import type { ResultOf } from "gql.tada";
import { useCallback, useEffect, useRef, useState } from "react";
import { useClient } from "urql";
import { graphql } from "../client.ts";
import { wordsOf } from "../shared/Page.tsx";

const JobParts = graphql(`
  fragment JobParts on Job @_unmask {
    id state stage done total
    problem { code message file row field value }
    importPreview {
      applicable machine restoration
      counts { file holds rows added changed same }
      columns { file heading readAs choices }
      faults(first: 0) { totalCount }
      notices(first: 0) { totalCount }
    }
  }
`);

const JobEvents = graphql(`subscription ImportJob($id: ID!) { job(id: $id) { ...JobParts } }`, [JobParts]);
const JobQuery = graphql(`query ImportJobNow($id: ID!) { job(id: $id) { ...JobParts } }`, [JobParts]);
const ApplyImport = graphql(`mutation ApplyImport($job: ID!) { applyImport(job: $job) { ...JobParts } }`, [JobParts]);
const StopJob = graphql(`mutation StopJob($job: ID!) { stopJob(job: $job) { ...JobParts } }`, [JobParts]);

export type ImportJob = ResultOf<typeof JobParts>;

const WAITING = new Set<ImportJob["state"]>(["READING", "CHECKING", "WRITING"]);
const POLL_MS = 700;

/** Follows an import: told of each step by the server, or asking again and again where the stream does not hold. */
export function useImportJob(id: string | null) {
  const client = useClient();
  const [job, setJob] = useState<ImportJob | null>(null);
  const [problem, setProblem] = useState<string | null>(null);
  const [asking, setAsking] = useState(false);
  const [round, setRound] = useState(0);
  const state = useRef<ImportJob["state"] | null>(null);

  // biome-ignore lint/correctness/useExhaustiveDependencies: a new round follows the same job again once it writes
  useEffect(() => {
    if (id === null) {
      setJob(null);
      setProblem(null);
      return;
    }
    let left = false;
    let waiting: ReturnType<typeof setTimeout> | undefined;
    const take = (next: ImportJob) => {
      if (left) return;
      state.current = next.state;
      setJob(next);
    };
    const ask = async () => {
      const result = await client.query(JobQuery, { id }, { requestPolicy: "network-only" }).toPromise();
      if (left) return;
      if (result.data) take(result.data.job);
      else if (result.error) setProblem(wordsOf(result.error));
      if (result.data && WAITING.has(result.data.job.state)) waiting = setTimeout(() => void ask(), POLL_MS);
    };
    const fallBack = () => {
      if (left || waiting !== undefined || (state.current !== null && !WAITING.has(state.current))) return;
      waiting = setTimeout(() => void ask(), POLL_MS);
    };
    const stream = client.subscription(JobEvents, { id }).subscribe((result) => {
      if (result.data) take(result.data.job);
      if (result.error) fallBack();
    });
    // A stream that says nothing at all is as good as none.
    const silent = setTimeout(() => {
      if (state.current === null || WAITING.has(state.current)) fallBack();
    }, 3_000);
    return () => {
      left = true;
      clearTimeout(waiting);
      clearTimeout(silent);
      stream.unsubscribe();
    };
  }, [client, id, round]);

  const send = useCallback(
    async (what: "apply" | "stop") => {
      if (id === null) return;
      setAsking(true);
      setProblem(null);
      const result =
        what === "apply"
          ? await client.mutation(ApplyImport, { job: id }).toPromise()
          : await client.mutation(StopJob, { job: id }).toPromise();
      setAsking(false);
      if (result.error) setProblem(wordsOf(result.error));
      const data = result.data as { applyImport?: ImportJob; stopJob?: ImportJob } | undefined;
      const next = data?.applyImport ?? data?.stopJob;
      if (next) {
        state.current = next.state;
        setJob(next);
        setRound((n) => n + 1);
      }
    },
    [client, id],
  );

  return { job, problem, asking, apply: () => send("apply"), stop: () => send("stop") };
}
