/** Runs the choice of quotes off the main thread, so that the server goes on answering; stopping ends the thread. */
import { Worker } from "node:worker_threads";
import type { QuoteChoice } from "../engine/quoteChoice.ts";
import type { UncertainModel } from "../engine/uncertainty.ts";
import type { Odds, OddsOptions } from "../engine/uncertaintyOdds.ts";
import type { WalkAwayPrice } from "../engine/walkAway.ts";
import { InvalidInput } from "../store/fault.ts";
import { type Asked, type Found, type Told, weigh } from "./choicesThread.ts";
import type { RunningJob } from "./jobs.ts";

const THREAD = new URL("./choicesStart.mjs", import.meta.url);

/** Milliseconds between two looks at whether somebody asked to stop. */
const LOOK_EVERY = 50;

/** Faults of the input, as the engine names them; anything else is a mistake in the program. */
const INPUT_FAULTS: ReadonlySet<string> = new Set(["ChoiceFault", "NetworkFault", "TooManyCaps", "UncertainFault"]);

/** All undominated plans. Throws InvalidInput where the rows make no choice, Cancelled once the job is stopped. */
export const choicesInThread = (work: Extract<Asked, { kind: "choices" }>["work"], job: RunningJob) =>
  inThread({ kind: "choices", work }, job) as Promise<QuoteChoice>;

/** Prices of offers: at once where they are few, else in a thread. */
export async function walkAwaysOf(asked: Extract<Asked, { kind: "walkAways" }>): Promise<WalkAwayPrice[][]> {
  const { offers, work } = asked;
  const size = (offers.length + 1) * (work.arrivals.length + 1) * 8 ** Math.min(6, work.operations.length);
  return (size <= 1_000 ? weigh(asked, () => {}) : await inThread(asked)) as WalkAwayPrice[][];
}

/** What the runs of a model say, from a thread of its own. Throws InvalidInput where the model says something impossible. */
export const oddsInThread = (model: UncertainModel, options: OddsOptions) =>
  inThread({ kind: "odds", model, options }) as Promise<Omit<Odds, "runs">>;

function inThread(asked: Asked, job?: RunningJob): Promise<Found> {
  return new Promise((resolve, reject) => {
    const thread = new Worker(THREAD, { workerData: { lastbolt: asked } });
    const settle = (how: () => void): void => {
      clearInterval(looking);
      void thread.terminate();
      how();
    };
    const looking = setInterval(() => {
      try {
        job?.check();
      } catch (stopped) {
        settle(() => reject(stopped));
      }
    }, LOOK_EVERY);
    thread.on("message", (told: Told) => {
      if ("share" in told) job?.progress("Weighing the choices", Math.floor(told.share * 100), 100);
      else if ("found" in told) settle(() => resolve(told.found));
      else
        settle(() =>
          reject(
            INPUT_FAULTS.has(told.name)
              ? new InvalidInput([{ code: "OUT_OF_RANGE", message: told.failed }])
              : new Error(told.failed),
          ),
        );
    });
    thread.on("error", (error) => settle(() => reject(error)));
    thread.on("exit", () => settle(() => reject(new Error("The thread that weighs choices ended without a result."))));
  });
}
