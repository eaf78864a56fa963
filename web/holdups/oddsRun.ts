import { useMemo } from "react";
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
