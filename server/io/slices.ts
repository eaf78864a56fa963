/**
 * Long work on the main thread, in slices: whoever reads a file yields between its steps, and whoever runs the reading
 * decides when others are let in. So no file, however it is made, keeps other requests waiting for longer than a slice
 * and its longest step.
 */

import { Refused } from "../store/fault.ts";

/** Milliseconds of work after which others are let in. */
export const SLICE_MS = 10;

/** Milliseconds between two slices: what is asked meanwhile takes several turns of the event loop, and none waits behind a slice. */
const REST_MS = 4;

/** Work that yields how many rows are done, after each step that takes some time. */
export type Steps<T> = Generator<number, T>;

/** Runs work to its end without letting anybody in. */
export function atOnce<T>(steps: Steps<T>): T {
  for (;;) {
    const { done, value } = steps.next();
    if (done) return value;
  }
}

/** Runs work to its end; after each slice waits for `pause`, which is told how many rows are done and may throw to stop it. */
export async function inSlices<T>(steps: Steps<T>, pause: (done: number) => Promise<unknown> = turn): Promise<T> {
  let began = performance.now();
  for (;;) {
    const { done, value } = steps.next();
    if (done) return value;
    if (performance.now() - began < SLICE_MS) continue;
    await pause(value);
    began = performance.now();
  }
}

/** Waits while others are served. */
export const turn = (): Promise<void> => new Promise((resolve) => setTimeout(resolve, REST_MS));

/** The slices of work that waits in between for something else. */
export class Slices {
  private began = performance.now();

  constructor(private readonly pause: (done: number) => Promise<unknown> = turn) {}

  /** Lets others in once the slice is over. */
  async next(done = 0): Promise<void> {
    if (performance.now() - this.began < SLICE_MS) return;
    await this.pause(done);
    this.began = performance.now();
  }
}

/** Work of which one is done after the other, so that neither memory nor slices add up; only so many wait. */
export class Turns {
  private last: Promise<unknown> = Promise.resolve();
  private count = 0;

  constructor(private readonly most: number) {}

  /** @throws Refused TOO_BUSY at once where too many wait already; nothing is begun then */
  async take<T>(work: () => Promise<T>): Promise<T> {
    if (this.count >= this.most)
      throw new Refused("TOO_BUSY", "Others' files are being read. Nothing of this one was: try again in a moment.");
    this.count += 1;
    const done = this.last.then(work);
    this.last = done.catch(() => {});
    try {
      return await done;
    } finally {
      this.count -= 1;
    }
  }
}

/** Files that come in, of whomever. */
export const incoming = new Turns(8);

/** Who follows an import, and may stop it by throwing. */
export interface Watch {
  enter(state: "CHECKING" | "READY"): void;
  progress(stage: string, done: number, total: number): void;
  /** Lets others work; throws when the import is to stop. */
  breathe(): Promise<void>;
}

/** Nobody follows. */
export const UNWATCHED: Watch = { enter() {}, progress() {}, async breathe() {} };
