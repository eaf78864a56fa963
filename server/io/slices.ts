/**
 * Long work on the main thread, in slices: whoever reads a file yields between its steps, and whoever runs the reading
 * decides when others are let in. So no file, however it is made, keeps other requests waiting for longer than a slice
 * and its longest step.
 */

/** Milliseconds of work after which others are let in. */
export const SLICE_MS = 10;

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

/** Waits for one turn of the event loop, in which others are served. */
export const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/** Each item in turn, with a step every so many. */
export function* stepping<T>(items: Iterable<T>, each: (item: T) => void, every = 100): Steps<void> {
  let done = 0;
  for (const item of items) {
    each(item);
    done += 1;
    if (done % every === 0) yield done;
  }
}
