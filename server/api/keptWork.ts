/** Work of a thread kept for a restoration as it stands: shared by all who wait, given up when none does, begun anew where something changes. */
import { KeptByRevision } from "../plan/kept.ts";
import type { Store } from "../store/client.ts";
import { Stopped } from "../worker/jobs.ts";
import type { Asker } from "../worker/line.ts";
import { SharedWork } from "../worker/sharedWork.ts";
import { threads } from "../worker/threads.ts";

interface Drawing<T> {
  work: SharedWork<T>;
  outdated: boolean;
}

export class KeptWork<T> {
  private readonly kept = new KeptByRevision<Drawing<T>>((drawing) => {
    drawing.outdated = true;
    drawing.work.end();
  });

  constructor(
    private readonly make: (store: Store, restorationId: string, figuresFor: string, asker: Asker) => Promise<T>,
  ) {}

  /** Throws what the work throws, and Refused (TOO_BUSY). */
  async of(store: Store, restorationId: string, figuresFor: string, { account, signal }: Asker): Promise<T> {
    const { value } = await this.kept.of(store, restorationId, figuresFor, (drop) => ({
      outdated: false,
      work: new SharedWork(async (ending) => {
        const refusal = threads.refusal(account);
        if (refusal !== null) throw refusal;
        return this.make(store, restorationId, figuresFor, { account, signal: ending });
      }, drop),
    }));
    try {
      return await value.work.wait(signal);
    } catch (error) {
      if (!(error instanceof Stopped && value.outdated) || signal?.aborted) throw error;
      // Whoever still waits is told what the changed rows say.
      return this.of(store, restorationId, figuresFor, { account, signal });
    }
  }
}
