/**
 * Who is at work beside the main thread, and who waits in line for it. Waiting work is taken up in the order in which it was asked for, but accounts take turns: first
 * whoever has least at work, so that one account's line keeps nobody else waiting.
 */
import { Refused } from "../store/fault.ts";
import { Stopped } from "./jobs.ts";

export interface Asker {
  /** Whose work it is; "" is the server's own. */
  account: string;
  /** Leaves the line. What is at work is not its concern. */
  signal?: AbortSignal | undefined;
  /** Told where it has to wait. */
  waits?: (() => void) | undefined;
}

export interface LineLimits {
  /** Most that waits of one account, and of all. */
  each: number;
  all: number;
}

export class Line {
  /** By account, each in the order of asking; the account whose turn was longest ago stands first. */
  private readonly lines = new Map<string, (() => void)[]>();
  private readonly atWork = new Map<string, number>();
  private places: number;

  constructor(
    private readonly most: number,
    private readonly limits: LineLimits,
  ) {
    this.places = most;
  }

  get taken(): number {
    return this.most - this.places;
  }

  get waiting(): number {
    let sum = 0;
    for (const line of this.lines.values()) sum += line.length;
    return sum;
  }

  /** Why no more of an account's work can wait; null where it can, or need not. */
  refusal(account: string): Refused | null {
    if (this.places > 0) return null;
    const own = this.lines.get(account)?.length ?? 0;
    if (own >= this.limits.each)
      return new Refused(
        "TOO_BUSY",
        `You have asked for ${own} things already that wait for their turn. Nothing was begun: wait until one of them is done, or stop one, then ask again.`,
      );
    if (this.waiting >= this.limits.all)
      return new Refused(
        "TOO_BUSY",
        "The server has as much to work out as it can take on. Nothing was begun: ask again in a minute.",
      );
    return null;
  }

  /**
   * Takes a place: null where it is taken at once, else what settles when it is. Throws Refused; the promise rejects with
   * Stopped where the asker leaves. Whoever has a place {@link leave}s it.
   */
  take({ account, signal, waits }: Asker): Promise<void> | null {
    if (signal?.aborted) throw new Stopped();
    const refusal = this.refusal(account);
    if (refusal !== null) throw refusal;
    if (this.places > 0) {
      this.enter(account);
      return null;
    }
    waits?.();
    return new Promise((resolve, reject) => {
      const line = this.lines.get(account) ?? [];
      this.lines.set(account, line);
      const begin = (): void => {
        signal?.removeEventListener("abort", go);
        resolve();
      };
      const go = (): void => {
        line.splice(line.indexOf(begin), 1);
        if (line.length === 0) this.lines.delete(account);
        reject(new Stopped());
      };
      line.push(begin);
      signal?.addEventListener("abort", go, { once: true });
    });
  }

  leave(account: string): void {
    this.places++;
    const left = this.atWork.get(account)! - 1;
    if (left > 0) this.atWork.set(account, left);
    else this.atWork.delete(account);
    this.next();
  }

  /** Holds a place, where one is free, while something ends that no account asked for. */
  async during(ending: Promise<unknown>): Promise<void> {
    this.places--;
    await ending;
    this.places++;
    this.next();
  }

  private enter(account: string): void {
    this.places--;
    this.atWork.set(account, (this.atWork.get(account) ?? 0) + 1);
  }

  private next(): void {
    if (this.places <= 0) return;
    let least: string | undefined;
    const has = (account: string): number => this.atWork.get(account) ?? 0;
    for (const account of this.lines.keys()) if (least === undefined || has(account) < has(least)) least = account;
    if (least === undefined) return;
    const line = this.lines.get(least)!;
    const begin = line.shift()!;
    // Last from now on, among those with as much at work.
    this.lines.delete(least);
    if (line.length > 0) this.lines.set(least, line);
    this.enter(least);
    begin();
  }
}
