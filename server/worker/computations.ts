/** The engine's long computations, run beside the main thread: they can be followed, and stopped. */

import type { QuoteChoice } from "../engine/choice/quoteChoice.ts";
import type { WalkAwayPrice } from "../engine/choice/walkAway.ts";
import type { StopOddsFound, StopOddsWork } from "../engine/hunt/stopOdds.ts";
import type { CostOfRuns } from "../engine/money/costRuns.ts";
import { type OddsOptions, type OddsRoom, type OddsSoFar, oddsRoom } from "../engine/odds/odds.ts";
import type { OrderDaysFound, OrderDaysWork } from "../engine/odds/orderDays.ts";
import type { Policies, PoliciesAsked } from "../engine/odds/policies.ts";
import { Turns } from "../engine/odds/turns.ts";
import type { UncertainModel } from "../engine/odds/uncertainty.ts";
import type { HandGains, HandGainsAsked } from "../plan/hands/handGains.ts";
import { type RunningJob, Stopped } from "./jobs.ts";
import type { Asker } from "./line.ts";
import { charged } from "./solver.ts";
import { type Asked, compute, type Found } from "./thread.ts";
import { type Run, threads } from "./threads.ts";

/** What a job says of itself while other work has the threads. */
export const WAITING = "Waiting for its turn: other work is done first";

/** All undominated plans. Throws InvalidInput where the rows make no choice, Stopped once the job is stopped. */
export const choicesInThread = (
  asked: Omit<Extract<Asked, { kind: "choices" }>, "kind">,
  job: RunningJob,
): Promise<QuoteChoice> =>
  threads.run(
    { kind: "choices", ...asked },
    {
      account: job.account,
      signal: job.signal,
      waits: () => job.progress(WAITING, 0, 100),
      follow: (share) => job.progress("Weighing the choices", Math.floor((share as number) * 100), 100),
    },
  );

/** Nodes of the work of a shop, in the best order found. Throws Stopped once the job is stopped. */
export const orderOfWorkInThread = (
  asked: Omit<Extract<Asked, { kind: "orderOfWork" }>, "kind">,
  job: RunningJob,
): Promise<string[]> =>
  threads.run(
    { kind: "orderOfWork", ...asked },
    {
      account: job.account,
      signal: job.signal,
      waits: () => job.progress(WAITING, 0, 100),
      follow: (share) => job.progress("Trying orders of work", Math.floor((share as number) * 100), 100),
    },
  );

/** What a round may cost on the main thread: offers, arrivals and ways together, and operations of the plan. */
const AT_ONCE = { rounds: 1_000, nodes: 200 };

/** Prices of offers: at once where they are few, in a plan that is small, else in a thread. */
export async function walkAwaysOf(
  asked: Extract<Asked, { kind: "walkAways" }>,
  asker: Asker,
): Promise<WalkAwayPrice[][]> {
  const { offers, work } = asked;
  const rounds = (offers.length + 1) * (work.arrivals.length + 1) * 8 ** Math.min(6, work.operations.length);
  if (rounds <= AT_ONCE.rounds && work.nodes.length <= AT_ONCE.nodes && !charged(work))
    return (await compute(asked, () => {})) as WalkAwayPrice[][];
  return threads.run(asked, asker);
}

/** The odds of every stop date of a hunt, drawn in one thread. Throws InvalidInput, and Stopped once it is stopped. */
export const stopOddsInThread = (
  work: StopOddsWork,
  options: { seed: number; samples: number },
  asker: Asker,
): Promise<StopOddsFound> => threads.run({ kind: "stopOdds", work, ...options }, asker);

/** Days by which to order, drawn in one thread. Throws InvalidInput, and Refused (TOO_BUSY). */
export const orderDaysInThread = (work: OrderDaysWork, runs: OddsOptions): Promise<OrderDaysFound[]> =>
  threads.run({ kind: "orderDays", work, runs });

/** What runs cost beyond the plan, drawn in one thread. */
export const costOfRunsInThread = (
  asked: Omit<Extract<Asked, { kind: "costRuns" }>, "kind">,
  asker: Asker,
): Promise<CostOfRuns> => threads.run({ kind: "costRuns", ...asked }, asker);

/** The same runs with the order of work kept and without, drawn in one thread. Throws InvalidInput, and Stopped once it is stopped. */
export const policiesInThread = (asked: PoliciesAsked, asker: Asker): Promise<Policies> =>
  threads.run({ kind: "policies", ...asked }, asker);

/** The plan with one thing after the other changed about its hands, made in one thread. Throws Stopped once it is stopped. */
export const handGainsInThread = (
  asked: HandGainsAsked,
  asker: Asker,
  told: (share: number | null) => void,
): Promise<HandGains> =>
  threads.run(
    { kind: "handGains", ...asked },
    { ...asker, waits: () => told(null), follow: (share) => told(share as number) },
  );

/** Threads that help one simulation: more gain little. */
const MOST_HELPING = 3;

/** Nodes times runs up to which one thread has finished before another could help. */
const FEW = 2_000_000;

export interface OddsRunning {
  /** Whose runs they are: see {@link Asker}. */
  account?: string;
  waits?: () => void;
  /** How many share the runs; when absent, as many as are free where there is enough to do. The odds are the same. */
  threads?: number;
  /** Stops the threads between two strips of runs; the result is then Stopped. */
  signal?: AbortSignal;
  /** Where the runs are kept: over what a stopped call left there, the next one goes on. */
  standing?: { room: OddsRoom | null };
  follow?: (soFar: OddsSoFar) => void;
}

/**
 * What the runs of a model say, drawn by several threads, once it is their turn. Throws InvalidInput where the model says
 * something impossible, Stopped when it is stopped, Refused (TOO_BUSY); no thread is at work on it by then.
 * @param of the model, or what makes it once it is their turn
 */
export function runOdds(
  of: UncertainModel | (() => Promise<UncertainModel>),
  options: OddsOptions,
  running: OddsRunning = {},
): Promise<Found["odds"]> {
  const { account = "", signal, waits } = running;
  return threads.turn({ account, signal, waits }, (run) => {
    if (typeof of !== "function") return drawOdds(run, of, options, running);
    return of().then((model) => drawOdds(run, model, options, running));
  });
}

/** The turn's own thread leads. Others help as far as they are free: none is waited for, so no two simulations can wait for each other. */
async function drawOdds(
  run: Run,
  model: UncertainModel,
  options: OddsOptions,
  { account = "", threads: asked, signal, follow, standing = { room: null } }: OddsRunning,
): Promise<Found["odds"]> {
  if (signal?.aborted) throw new Stopped();
  const few = model.nodes.length * (options.maxSamples ?? Number.POSITIVE_INFINITY) <= FEW;
  standing.room ??= oddsRoom(model, options, asked ?? (few ? 1 : 1 + Math.min(MOST_HELPING, threads.spare)));
  const { room } = standing;
  const simulation = { model, options, room };
  const turns = new Turns(room.turns);
  turns.goOn();
  const stop = (): void => turns.stop();
  signal?.addEventListener("abort", stop);
  const failing = new AbortController();
  const ending = failing.signal;
  const leading = run(
    { kind: "odds", ...simulation },
    { signal: ending, follow: (soFar) => follow?.(soFar as OddsSoFar) },
  );
  const helping: Promise<null>[] = [];
  for (let place = 1; place < room.counts.length; place++) {
    const helper = threads.help({ kind: "help", place, ...simulation }, account, { signal: ending });
    if (helper === null) break;
    helping.push(helper);
  }
  // A helper that comes too late finds nothing left to do; one that fails leaves a strip that is never drawn.
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
    // Stopped, each thread leaves after the strip it has taken; where one failed, the others would wait for it.
    if (!signal?.aborted) failing.abort();
    const [led] = await Promise.allSettled([leading, ...helping]);
    if (!turns.whole) standing.room = null;
    throw signal?.aborted && led.status === "rejected" ? new Stopped() : error;
  } finally {
    signal?.removeEventListener("abort", stop);
  }
}
