/** Timing for the benchmark: medians of repeated runs in one process, and one printed line a figure. */

/** Milliseconds of each run, sorted; runs until both counts are met, after a few (`warm`) that are not counted. */
export function timings(run: () => unknown, options: { least?: number; forMs?: number; warm?: number } = {}): number[] {
  const { least = 7, forMs = 600, warm = 3 } = options;
  for (let i = 0; i < warm; i++) run();
  const times: number[] = [];
  const began = performance.now();
  while (times.length < least || performance.now() - began < forMs) {
    const start = performance.now();
    run();
    times.push(performance.now() - start);
    if (times.length >= 2_000) break;
  }
  return times.sort((a, b) => a - b);
}

/** The same for a run that answers later. @param before what comes before each, and is not timed */
export async function timingsOf(
  run: () => Promise<unknown>,
  options: { least?: number; forMs?: number; before?: () => Promise<unknown> } = {},
): Promise<number[]> {
  const { least = 15, forMs = 1_500, before } = options;
  for (let i = 0; i < 3; i++) {
    await before?.();
    await run();
  }
  const times: number[] = [];
  const began = performance.now();
  while (times.length < least || performance.now() - began < forMs) {
    await before?.();
    const start = performance.now();
    await run();
    times.push(performance.now() - start);
    if (times.length >= 2_000) break;
  }
  return times.sort((a, b) => a - b);
}

/** R-7 quantile of sorted values. */
export function quantile(sorted: readonly number[], p: number): number {
  const at = (sorted.length - 1) * p;
  const low = Math.floor(at);
  const high = Math.min(sorted.length - 1, low + 1);
  return sorted[low]! + (sorted[high]! - sorted[low]!) * (at - low);
}

export const median = (sorted: readonly number[]): number => quantile(sorted, 0.5);

/** One figure, one line: `name value unit`. */
export function figure(name: string, value: number, unit: string): void {
  const digits = Math.abs(value) >= 100 ? 0 : Math.abs(value) >= 10 ? 1 : Math.abs(value) >= 1 ? 2 : 3;
  console.log(`${name} ${value.toFixed(digits)} ${unit}`);
}
