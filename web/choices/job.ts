import { useMemo } from "react";
import { useJob } from "../shared/job.ts";
import { ChoicesJobEvents, ChoicesJobNow, StartChoices, StopChoices } from "./documents.ts";

const REQUESTS = { start: StartChoices, stop: StopChoices, events: ChoicesJobEvents, now: ChoicesJobNow };

/** Has the plans of a restoration worked out, and follows the work; the same revision is worked out once. */
export function useChoicesJob(restoration: string) {
  return useJob(
    REQUESTS,
    useMemo(() => ({ variables: { restoration } }), [restoration]),
  );
}
