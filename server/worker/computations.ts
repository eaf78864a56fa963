/** The engine's long computations, run beside the main thread: they can be followed, and stopped. */
import type { StopOddsFound, StopOddsWork } from "../engine/huntStopOdds.ts";
import type { QuoteChoice } from "../engine/quoteChoice.ts";
import type { UncertainModel } from "../engine/uncertainty.ts";
import { type OddsOptions, type OddsRoom, type OddsSoFar, oddsRoom } from "../engine/uncertaintyOdds.ts";
import { Turns } from "../engine/uncertaintyTurns.ts";
import type { WalkAwayPrice } from "../engine/walkAway.ts";
import { Cancelled, type RunningJob } from "./jobs.ts";
import { type Asked, compute, type Found } from "./thread.ts";
import { threads } from "./threads.ts";

/** All undominated plans. Throws InvalidInput where the rows make no choice, Cancelled once the job is stopped. */
export const choicesInThread = (
  work: Extract<Asked, { kind: "choices" }>["work"],
  job: RunningJob,
): Promise<QuoteChoice> =>
  threads.run(
    { kind: "choices", work },
    {
      signal: job.signal,
      follow: (share) => job.progress("Weighing the choices", Math.floor((share as number) * 100), 100),
    },
  );

/** Prices of offers: at once where they are few, else in a thread. */
export async function walkAwaysOf(asked: Extract<Asked, { kind: "walkAways" }>): Promise<WalkAwayPrice[][]> {
  const { offers, work } = asked;
  const size = (offers.length + 1) * (work.arrivals.length + 1) * 8 ** Math.min(6, work.operations.length);
  return size <= 1_000 ? (compute(asked, () => {}) as WalkAwayPrice[][]) : await threads.run(asked);
}

/** The odds of every stop date of a hunt, drawn in one thread. Throws InvalidInput, and Cancelled once it is stopped. */
export const stopOddsInThread = (
  work: StopOddsWork,
  options: { seed: number; samples: number },
  signal?: AbortSignal,
): Promise<StopOddsFound> => threads.run({ kind: "stopOdds", work, ...options }, { signal });

/** Nodes times runs up to which one thread has finished before another could help. */
const FEW = 2_000_000;

export interface OddsRunning {
  /** How many share the runs; when absent, as many as are free where there is enough to do. The odds are the same. */
  threads?: number;
  /** Stops the threads between two blocks of runs; the result is then Cancelled. */
  signal?: AbortSignal;
  /** Where the runs are kept: over what a stopped call left there, the next one goes on. */
  standing?: { room: OddsRoom | null };
  follow?: (soFar: OddsSoFar) => void;
}

/**
 * What the runs of a model say, drawn by several threads. Throws InvalidInput where the model says something impossible,
 * Cancelled when it is stopped; no thread is at work on it by then.
 */
export async function runOdds(
  model: UncertainModel,
  options: OddsOptions,
  { threads: asked, signal, follow, standing = { room: null } }: OddsRunning = {},
): Promise<Found["odds"]> {
  if (signal?.aborted) throw new Cancelled();
  const few = model.nodes.length * (options.maxSamples ?? Number.POSITIVE_INFINITY) <= FEW;
  standing.room ??= oddsRoom(model, options, asked ?? (few ? 1 : 1 + threads.spare));
  const { room } = standing;
  const count = room.counts.length;
  const simulation = { model, options, room };
  const turns = new Turns(room.turns);
  turns.goOn();
  const stop = (): void => turns.stop();
  signal?.addEventListener("abort", stop);
  const failing = new AbortController();
  const ending = failing.signal;
  const leading = threads.run(
    { kind: "odds", ...simulation },
    { signal: ending, follow: (soFar) => follow?.(soFar as OddsSoFar) },
  );
  const helping = Array.from({ length: count - 1 }, (_, i) =>
    threads.run({ kind: "help", place: i + 1, ...simulation }, { signal: ending }),
  );
  // A helper that comes too late finds nothing left to do; one that fails leaves a block that is never drawn.
  const failed = new Promise<never>((_, reject) => {
    for (const helper of helping)
      helper.catch((error) => {
        failing.abort();
        reject(error);
      });
  });
  failed.catch(() => {});
  try {
    return await Promise.race([leading, failed]);
  } catch (error) {
    // Stopped, each thread leaves after the block it has taken; where one failed, the others would wait for it.
    if (!signal?.aborted) failing.abort();
    const [led] = await Promise.allSettled([leading, ...helping]);
    if (!turns.whole) standing.room = null;
    throw signal?.aborted && led.status === "rejected" ? new Cancelled() : error;
  } finally {
    signal?.removeEventListener("abort", stop);
  }
}
