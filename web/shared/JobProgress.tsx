interface JobProgressProps {
  /** What is being worked out, to screen readers. */
  label: string;
  job: { done: number; total: number };
  stop: () => unknown;
}

/** How far long work is, and the way to stop it. */
export const JobProgress = ({ label, job, stop }: JobProgressProps) => (
  <div className="row">
    <progress aria-label={label} value={job.done} max={Math.max(1, job.total)} />
    <button type="button" onClick={() => void stop()}>
      Stop
    </button>
  </div>
);
