import { useState } from "react";
import { EndsMoved } from "../shared/endsMoved.tsx";
import { JobProgress } from "../shared/JobProgress.tsx";
import { useJob } from "../shared/job.ts";
import { Problem, Section } from "../shared/Page.tsx";
import { useSave } from "../shared/save.tsx";
import { DropOrderOfWork, KeepOrderOfWork, ORDER_OF_WORK } from "./orderOfWork.ts";

/** Looks longer for an order of work than a page can, and keeps one so that the dates stand still. */
export function OrderOfWork({ restoration, kept }: { restoration: string; kept: boolean }) {
  const [asked, ask] = useState<{ variables: { restoration: string } } | null>(null);
  const { job, working, problem, stop } = useJob(ORDER_OF_WORK, asked);
  const { save, saving } = useSave();
  const look = () => ask({ variables: { restoration } });
  const found = job?.orderOfWork;
  return (
    <Section id="order-of-work" title="Order of work">
      <p className="prose soft">
        All dates follow one order of work: who does what, and when. It is worked out anew, in a moment, whenever
        something changes. A longer look tries some thousands of orders, to find a better one that you may keep. What is
        kept stands until another ends a day sooner, so that dates do not move for hours. To keep one may change who
        does what in a week, even where no end moves.
      </p>
      {kept && <p>An order of work is kept.</p>}
      {problem !== null || job?.state === "FAILED" ? (
        <Problem of={problem ?? job?.problem?.message ?? "No order was found."} what="the order of work" again={look} />
      ) : working && job ? (
        <div className="state">
          <p role="status">{job.stage}.</p>
          <JobProgress label="Trying orders of work" job={job} stop={stop} />
        </div>
      ) : (
        <>
          {job?.state === "STOPPED" && <p role="status">Stopped: the order is as it was.</p>}
          {job?.state === "DONE" && found && (
            <div className="state">
              <p role="status">
                {found.sooner
                  ? "By the order that was found:"
                  : "No order was found by which any machine ends on another day:"}
              </p>
              <EndsMoved ends={found.ends} />
            </div>
          )}
          <div className="row no-print">
            {job?.state === "DONE" && found && (found.sooner || !kept) && (
              <button
                type="button"
                {...(found.sooner && { className: "main" })}
                disabled={saving}
                onClick={() =>
                  void save(KeepOrderOfWork, { job: job.id }).then(() => {
                    ask(null);
                  })
                }
              >
                {found.sooner ? "Keep this order" : "Keep one, so that dates stand still"}
              </button>
            )}
            {kept && (
              <button type="button" disabled={saving} onClick={() => void save(DropOrderOfWork, {})}>
                Let it go
              </button>
            )}
            <button type="button" onClick={look}>
              {job === null ? "Look for a better order" : "Look again"}
            </button>
          </div>
        </>
      )}
    </Section>
  );
}
