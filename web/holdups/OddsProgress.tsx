import { useEffect, useState } from "react";
import { dateInFull, plainNumber } from "../shared/format.ts";
import { JobProgress } from "../shared/JobProgress.tsx";
import { Problem } from "../shared/Page.tsx";
import type { OddsJob } from "./documents.ts";
import type { OddsRun } from "./oddsRun.ts";

/** Runs that are drawn sooner show no progress, which would only flicker. */
const MOMENT_MS = 500;

interface OddsProgressProps {
  run: OddsRun;
  /** Figures stand below, and are of the plan before its last change. */
  earlier: boolean;
}

/** How far the runs are while they are drawn, with a way to stop them, and after a stop a way to go on. */
export function OddsProgress({ run, earlier }: OddsProgressProps) {
  const { job, working, problem, start, stop } = run;
  const long = useLonger(working, MOMENT_MS);
  const before = earlier && " The figures below are from before the last change.";
  if (problem !== null || job?.state === "FAILED")
    return (
      <Problem
        of={problem ?? job?.problem?.message ?? "The runs could not be drawn."}
        what="the odds"
        again={() => void start()}
      />
    );
  if (job?.state === "STOPPED")
    return (
      <div className="state odds-run">
        <p role="status">
          Stopped. <SoFar job={job} />
          {before}
        </p>
        <div className="row">
          <button type="button" onClick={() => void start()}>
            Go on
          </button>
        </div>
      </div>
    );
  if (!working || !long || job === null) return null;
  return (
    <div className="state odds-run">
      <p role="status">
        {job.stage}.{before}
      </p>
      <p>
        <SoFar job={job} />
      </p>
      <JobProgress label="Drawing runs of the plan" job={job} stop={stop} />
    </div>
  );
}

/** "4,096 runs drawn, of about 20,480: 4 in 5 by 2 Aug 2027 so far, give or take 1.2 days." */
function SoFar({ job: { oddsSoFar, total } }: { job: OddsJob }) {
  if (!oddsSoFar || oddsSoFar.runs === 0) return <>No run is drawn yet.</>;
  const { runs, fourInFive, standardError } = oddsSoFar;
  return (
    <>
      {plainNumber(runs)} runs drawn, of about {plainNumber(total)}
      {fourInFive && (
        <>
          : <strong>4 in 5 by {dateInFull(fourInFive)}</strong> so far
          {standardError !== null && `, with a standard error of ${plainNumber(standardError, 1)} days`}
        </>
      )}
      .
    </>
  );
}

/** Whether something has lasted longer than a while. */
function useLonger(lasts: boolean, ms: number): boolean {
  const [longer, setLonger] = useState(false);
  useEffect(() => {
    if (!lasts) return;
    const timer = setTimeout(() => setLonger(true), ms);
    return () => {
      clearTimeout(timer);
      setLonger(false);
    };
  }, [lasts, ms]);
  return longer;
}
