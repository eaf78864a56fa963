import { useMemo } from "react";
import { useJob } from "../shared/job.ts";
import { ChoicesJobEvents, ChoicesJobNow, StartChoices, StartPlanOdds, StopChoices } from "./documents.ts";

const REQUESTS = { start: StartChoices, stop: StopChoices, events: ChoicesJobEvents, now: ChoicesJobNow };

/** Has the plans of a restoration worked out, and follows the work; the same revision is worked out once. */
export function useChoicesJob(restoration: string) {
  return useJob(
    REQUESTS,
    useMemo(() => ({ variables: { restoration } }), [restoration]),
  );
}

const OF_PLANS = { start: StartPlanOdds, stop: StopChoices, events: ChoicesJobEvents, now: ChoicesJobNow };

/** Has the runs of plans drawn, of those given by number and a space between; nothing for none. */
export function usePlanOdds(job: string, plans: string) {
  return useJob(
    OF_PLANS,
    useMemo(() => (plans === "" ? null : { variables: { job, plans: plans.split(" ").map(Number) } }), [job, plans]),
  );
}
