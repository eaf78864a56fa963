/**
 * Long work with progress that can be followed and stopped. Jobs live in memory, belong to a workshop,
 * and the oldest finished ones are dropped.
 */
import { randomUUID } from "node:crypto";
import { cannotWriteOf, type Fault, InvalidInput, NotFound, Refused, StaleRow } from "../store/fault.ts";

export type JobState = "READING" | "CHECKING" | "READY" | "WRITING" | "DONE" | "FAILED" | "STOPPED";

/** Whose job it is; whoever may see every job of the same workshop follows and stops it, and else who began it. */
export interface JobOwner {
  workshopId: string;
  accountId?: string;
  /** False where only jobs that the account began itself are its to see; true when absent. */
  everyJob?: boolean;
}

/** What may be told about a job at one moment. */
export interface JobView {
  id: string;
  kind: string;
  state: JobState;
  /** What it is doing, in words. */
  stage: string;
  done: number;
  total: number;
  /** What the work says of itself beside how far it is; of the kind of the job. */
  soFar: unknown;
  result: unknown;
  problem: Fault | null;
  /** Somebody asked it to stop: it is as good as stopped. */
  stopAsked: boolean;
}

/** What the work itself sees of its job. */
export interface RunningJob {
  readonly id: string;
  /** The account that began it; "" for none. */
  readonly account: string;
  /** Aborted once somebody asked it to stop. */
  readonly signal: AbortSignal;
  /** Throws {@link Stopped} once somebody asked it to stop. */
  check(): void;
  enter(state: JobState): void;
  progress(stage: string, done: number, total: number, soFar?: unknown): void;
  /** Lets other requests be served, then checks for a stop. */
  breathe(): Promise<void>;
}

/** Ends the work of a job that was stopped; everything it began is taken back by whoever catches it. */
export class Stopped extends Error {
  constructor() {
    super("It was stopped. Nothing was changed.");
    this.name = "Stopped";
  }
}

/** Waits for something, and no longer once the signal says so: Stopped then. */
export async function unlessStopped<T>(result: Promise<T>, signal: AbortSignal | undefined): Promise<T> {
  let leave = (): void => {};
  const left = new Promise<never>((_, reject) => {
    leave = () => reject(new Stopped());
    signal?.addEventListener("abort", leave);
  });
  if (signal?.aborted) leave();
  try {
    return await Promise.race([result, left]);
  } finally {
    signal?.removeEventListener("abort", leave);
  }
}

const FINISHED: ReadonlySet<JobState> = new Set(["DONE", "FAILED", "STOPPED"]);

class Job implements RunningJob {
  readonly id = randomUUID();
  state: JobState = "READING";
  stage = "";
  done = 0;
  total = 0;
  soFar: unknown = null;
  result: unknown = null;
  problem: Fault | null = null;
  private readonly stopping = new AbortController();
  running = false;
  version = 0;
  touchedAt = Date.now();
  readonly listeners = new Set<() => void>();

  constructor(
    readonly kind: string,
    readonly workshopId: string,
    readonly accountId: string | undefined,
  ) {}

  get account(): string {
    return this.accountId ?? "";
  }

  get finished(): boolean {
    return FINISHED.has(this.state);
  }

  get signal(): AbortSignal {
    return this.stopping.signal;
  }

  get stopAsked(): boolean {
    return this.signal.aborted;
  }

  stop(): void {
    this.stopping.abort();
  }

  check(): void {
    if (this.stopAsked) throw new Stopped();
  }

  enter(state: JobState): void {
    this.state = state;
    this.changed();
  }

  progress(stage: string, done: number, total: number, soFar: unknown = this.soFar): void {
    this.stage = stage;
    this.done = done;
    this.total = total;
    this.soFar = soFar;
    this.changed();
  }

  async breathe(): Promise<void> {
    await new Promise((resolve) => setImmediate(resolve));
    this.check();
  }

  changed(): void {
    this.version += 1;
    this.touchedAt = Date.now();
    for (const listener of this.listeners) listener();
  }

  view(): JobView {
    const { id, kind, state, stage, done, total, soFar, result, problem, stopAsked } = this;
    return { id, kind, state, stage, done, total, soFar, result, problem, stopAsked };
  }
}

export interface JobLimits {
  /** Finished jobs kept for those who ask afterwards. */
  finished: number;
  /** Refused ones, of which there may be many at once. */
  refused: number;
  /** Jobs that wait for a decision; the oldest is stopped when there are more. */
  ready: number;
  /** Shortest time between two reports to one follower, in milliseconds. */
  reportEvery: number;
}

/** The jobs of this process. */
export class Jobs {
  private readonly jobs = new Map<string, Job>();
  /** Apart from the others, so that no number of them drops what somebody waits for. */
  private readonly refusals = new Map<string, Job>();

  constructor(private readonly limits: JobLimits = { finished: 50, refused: 200, ready: 4, reportEvery: 100 }) {}

  /**
   * Starts work and returns at once. What the work returns becomes the result; it is DONE then,
   * unless the work left it READY for {@link resume}.
   */
  start(kind: string, owner: JobOwner, work: (job: RunningJob) => Promise<unknown>): JobView {
    const job = new Job(kind, owner.workshopId, owner.accountId);
    this.jobs.set(job.id, job);
    void this.run(job, work);
    return job.view();
  }

  /** Tells as a job that work was not begun. It can be read like any other, until as many have been refused after it. */
  refused(kind: string, { workshopId, accountId }: JobOwner, why: Refused): JobView {
    const job = new Job(kind, workshopId, accountId);
    job.problem = problemOf(why);
    job.enter("FAILED");
    this.refusals.set(job.id, job);
    const [oldest] = this.refusals.keys();
    if (this.refusals.size > this.limits.refused && oldest !== undefined) this.refusals.delete(oldest);
    return job.view();
  }

  /** Goes on with a READY job. Anything else is an {@link InvalidInput}: it is applied once, and not after a stop. */
  resume(id: string, owner: JobOwner, work: (job: RunningJob, result: unknown) => Promise<unknown>): JobView {
    const job = this.find(id, owner);
    if (job.state !== "READY" || job.running)
      throw new InvalidInput([
        {
          code: "OUT_OF_RANGE",
          field: "job",
          value: job.state,
          row: id,
          message: `These files are not ready to be brought in: ${inWords(job)}.`,
        },
      ]);
    const { result } = job;
    job.enter("WRITING");
    void this.run(job, (running) => work(running, result));
    return job.view();
  }

  /** @throws NotFound when there is no such job in the owner's workshop */
  get(id: string, owner: JobOwner): JobView {
    return this.find(id, owner).view();
  }

  /** The first of these jobs that goes on or is done; null: none is the owner's, or all failed or were stopped. */
  goingOn(ids: readonly string[], owner: JobOwner): JobView | null {
    const ended = ({ state, stopAsked }: Job): boolean => state === "FAILED" || state === "STOPPED" || stopAsked;
    const job = ids
      .map((id) => this.jobs.get(id))
      .find((one) => one !== undefined && isTheirs(one, owner) && !ended(one));
    return job?.view() ?? null;
  }

  /** Asks a job to stop. It becomes STOPPED as soon as its work has taken back what it began; a finished job stays as it is. */
  stop(id: string, owner: JobOwner): JobView {
    const job = this.find(id, owner);
    if (!job.finished) {
      job.stop();
      if (!job.running) this.stopped(job);
      else job.changed();
    }
    return job.view();
  }

  /** The job now, each change after (not more often than the limit), and always its last state; it ends when the job does. */
  changes(id: string, owner: JobOwner): AsyncIterableIterator<JobView> {
    const job = this.find(id, owner);
    let wake: () => void = () => {};
    let left = false;
    const listener = () => wake();
    const { reportEvery } = this.limits;
    const reports = (async function* () {
      job.listeners.add(listener);
      try {
        while (!left) {
          const seen = job.version;
          yield job.view();
          if (job.finished && job.version === seen) return;
          if (job.version === seen && !left)
            await new Promise<void>((resolve) => {
              wake = resolve;
            });
          wake = () => {};
          if (!job.finished && !left) await new Promise((resolve) => setTimeout(resolve, reportEvery));
        }
      } finally {
        job.listeners.delete(listener);
      }
    })();
    return {
      next: () => reports.next(),
      // A follower who leaves while nothing happens must not wait for the next change.
      return: async () => {
        left = true;
        wake();
        void reports.return();
        return { done: true, value: undefined };
      },
      [Symbol.asyncIterator]() {
        return this;
      },
    };
  }

  private find(id: string, owner: JobOwner): Job {
    const job = this.jobs.get(id) ?? this.refusals.get(id);
    if (job === undefined || !isTheirs(job, owner)) throw new NotFound("job");
    return job;
  }

  private async run(job: Job, work: (job: RunningJob) => Promise<unknown>): Promise<void> {
    job.running = true;
    try {
      job.result = await work(job);
      job.running = false;
      // The work is complete (committed, where it writes): a stop that came too late changes nothing.
      if (job.state === "READY" && job.stopAsked) this.stopped(job);
      else job.enter(job.state === "READY" ? "READY" : "DONE");
    } catch (error) {
      job.running = false;
      if (error instanceof Stopped) this.stopped(job);
      else {
        job.problem = problemOf(error);
        job.result = null;
        job.enter("FAILED");
      }
    }
    this.forget();
  }

  private stopped(job: Job): void {
    job.result = null;
    job.stage = "Stopped. Nothing was changed.";
    job.enter("STOPPED");
  }

  /** Keeps memory bounded: drops the oldest finished jobs and stops the oldest that wait. */
  private forget(): void {
    const byAge = [...this.jobs.values()].sort((a, b) => a.touchedAt - b.touchedAt);
    const waiting = byAge.filter((job) => job.state === "READY" && !job.running);
    for (const job of waiting.slice(0, Math.max(0, waiting.length - this.limits.ready))) this.stopped(job);
    const finished = byAge.filter((job) => job.finished);
    for (const job of finished.slice(0, Math.max(0, finished.length - this.limits.finished))) this.jobs.delete(job.id);
  }
}

const isTheirs = (job: Job, { workshopId, accountId, everyJob }: JobOwner): boolean =>
  job.workshopId === workshopId && (everyJob !== false || job.accountId === accountId);

const inWords = (job: Job): string =>
  ({
    READING: "they are still being read",
    CHECKING: "they are still being checked",
    READY: "that has begun already",
    WRITING: "they are being written",
    DONE: "they are in already",
    FAILED: "they could not be read or written",
    STOPPED: "it was stopped, and nothing of them was kept",
  })[job.state];

function problemOf(error: unknown): Fault {
  if (error instanceof InvalidInput && error.faults.length === 1) return error.faults[0]!;
  if (error instanceof InvalidInput) return { code: "OUT_OF_RANGE", message: error.message };
  if (error instanceof Refused && error.code === "TOO_BUSY") return { code: error.code, message: error.message };
  if (error instanceof NotFound || error instanceof Refused || error instanceof StaleRow)
    return { code: "UNKNOWN_ROW", message: error.message };
  const disk = cannotWriteOf(error);
  if (disk !== null) return { code: disk.code, message: disk.message };
  // The cause belongs in the server's log, not on the screen.
  console.error(error);
  return {
    code: "UNREADABLE",
    message: "It could not be finished because of a mistake in the program. Nothing was changed.",
  };
}

/** The jobs of this server. */
export const jobs = new Jobs();
