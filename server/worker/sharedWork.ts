/** Work that several wait for: it goes on while anybody does, and is given up when the last has left. */
import { unlessStopped } from "./jobs.ts";

export class SharedWork<T> {
  private readonly ending = new AbortController();
  private readonly result: Promise<T>;
  private waiting = 0;
  private settled = false;

  /**
   * @param begin is told by the signal when it is given up
   * @param drop forgets it, where it failed or was given up
   */
  constructor(
    begin: (signal: AbortSignal) => Promise<T>,
    private readonly drop: () => void,
  ) {
    this.result = begin(this.ending.signal).finally(() => {
      this.settled = true;
    });
    this.result.catch(drop);
  }

  /** Waits for it, until the signal. Throws what the work throws, and Stopped. */
  async wait(signal?: AbortSignal): Promise<T> {
    this.waiting++;
    try {
      return await unlessStopped(this.result, signal);
    } finally {
      this.waiting--;
      if (this.waiting === 0 && !this.settled) {
        // At once: whoever asks from now on begins anew.
        this.drop();
        this.ending.abort();
      }
    }
  }

  /** Gives it up for all who wait. */
  end(): void {
    this.ending.abort();
  }
}
