/**
 * Work of a thread kept for a restoration as it stands: shared by all who wait, given up when none does, begun anew where
 * something changes. It can be followed and stopped as a job.
 */
import { KeptByRevision } from "../../plan/rows/kept.ts";
import type { Store } from "../../store/client.ts";
import { WAITING } from "../../worker/computations.ts";
import { type JobView, jobs, Stopped } from "../../worker/jobs.ts";
import type { Asker } from "../../worker/line.ts";
import { SharedWork } from "../../worker/sharedWork.ts";
import { threads } from "../../worker/threads.ts";
import type { Context } from "./context.ts";

/** How far it is: the share done; null while it waits for its turn. */
export type Told = (share: number | null) => void;

interface Drawing<T> {
  work: SharedWork<T>;
  outdated: boolean;
  /** Jobs by which it is followed. */
  jobs: string[];
  share: number | null;
  followers: Set<Told>;
}

export class KeptWork<T> {
  private readonly kept = new KeptByRevision<Drawing<T>>((drawing) => {
    drawing.outdated = true;
    drawing.work.end();
  });

  constructor(
    private readonly make: (
      store: Store,
      restorationId: string,
      figuresFor: string,
      asker: Asker,
      told: Told,
    ) => Promise<T>,
  ) {}

  /** Throws what the work throws, and Refused (TOO_BUSY). */
  async of(store: Store, restorationId: string, figuresFor: string, asker: Asker, follow?: Told): Promise<T> {
    const { account, signal } = asker;
    const drawing = await this.drawing(store, restorationId, figuresFor, account);
    if (follow !== undefined) {
      drawing.followers.add(follow);
      follow(drawing.share);
    }
    try {
      return await drawing.work.wait(signal);
    } catch (error) {
      if (!(error instanceof Stopped && drawing.outdated) || signal?.aborted) throw error;
      // Whoever still waits is told what the changed rows say.
      return this.of(store, restorationId, figuresFor, asker, follow);
    } finally {
      if (follow !== undefined) drawing.followers.delete(follow);
    }
  }

  /** Begins a job that follows it; the one that is there already where nothing has changed. */
  async start(
    { kind, stage }: { kind: string; stage: string },
    { store, viewer }: Context,
    restorationId: string,
    figuresFor: string,
  ): Promise<JobView> {
    const drawing = await this.drawing(store, restorationId, figuresFor, viewer.accountId);
    const known = jobs.goingOn(drawing.jobs, viewer);
    if (known !== null) return known;
    const job = jobs.start(kind, viewer, async (running) => {
      running.enter("CHECKING");
      await this.of(store, restorationId, figuresFor, running, (share) =>
        running.progress(share === null ? WAITING : stage, Math.floor((share ?? 0) * 100), 100),
      );
      running.progress(stage, 100, 100);
      return null;
    });
    drawing.jobs.push(job.id);
    return job;
  }

  private async drawing(store: Store, restorationId: string, figuresFor: string, account: string): Promise<Drawing<T>> {
    const { value } = await this.kept.of(store, restorationId, figuresFor, (drop) => {
      const told: Told = (share) => {
        drawing.share = share;
        for (const follow of drawing.followers) follow(share);
      };
      const drawing: Drawing<T> = {
        outdated: false,
        jobs: [],
        share: 0,
        followers: new Set(),
        work: new SharedWork(async (signal) => {
          const refusal = threads.refusal(account);
          if (refusal !== null) throw refusal;
          return this.make(store, restorationId, figuresFor, { account, signal }, told);
        }, drop),
      };
      return drawing;
    });
    return value;
  }
}
