/**
 * Threads beside the main one, so that the server goes on answering. A thread that has done its work is kept a while for
 * the next: starting one takes longer than most computations. Whoever stops waiting for one ends it.
 */
import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import { InvalidInput } from "../store/fault.ts";
import { Cancelled } from "./jobs.ts";
import { type Asked, type Found, OWN, type SoFar, type Told } from "./thread.ts";

const START = new URL("./threadStart.mjs", import.meta.url);

/** Faults of the input, as the engine names them; anything else is a mistake in the program. */
const INPUT_FAULTS: ReadonlySet<string> = new Set(["ChoiceFault", "NetworkFault", "TooManyCaps", "UncertainFault"]);

export interface Following {
  /** Ends the thread; the result is then {@link Cancelled}. */
  signal?: AbortSignal | undefined;
  follow?: ((soFar: SoFar) => void) | undefined;
}

export class Threads {
  private readonly idle: { worker: Worker; end: NodeJS.Timeout }[] = [];
  private working = 0;

  /**
   * @param most threads that wait for work, and that share one computation
   * @param keptFor milliseconds after which a thread without work is ended
   */
  constructor(
    readonly most = Math.min(4, availableParallelism()),
    private readonly keptFor = 60_000,
  ) {}

  /** Threads at work now. */
  get busy(): number {
    return this.working;
  }

  /** How many threads may help the one that leads a computation: as many cores as are not at work already. */
  get spare(): number {
    return Math.max(0, this.most - 1 - this.working);
  }

  /** Computes on a thread. Throws InvalidInput where the input says something impossible, Cancelled when it is stopped. */
  run<A extends Asked>(asked: A, { signal, follow }: Following = {}): Promise<Found[A["kind"]]> {
    return new Promise((resolve, reject) => {
      if (signal?.aborted) throw new Cancelled();
      const worker = this.take();
      const leave = (): void => {
        worker.removeAllListeners();
        worker.on("error", () => {});
        signal?.removeEventListener("abort", stop);
      };
      const end = (why: Error): void => {
        leave();
        void worker.terminate().then(() => {
          this.working--;
          reject(why);
        });
      };
      const stop = (): void => end(new Cancelled());
      worker.on("message", (told: Told) => {
        if ("soFar" in told) {
          follow?.(told.soFar);
          return;
        }
        leave();
        this.working--;
        this.keep(worker);
        if ("found" in told) resolve(told.found as Found[A["kind"]]);
        else reject(problemOf(told));
      });
      worker.on("error", end);
      worker.on("exit", () => end(new Error("A thread ended without a result.")));
      signal?.addEventListener("abort", stop);
      try {
        worker.postMessage(asked);
      } catch (error) {
        end(error as Error);
      }
    });
  }

  private take(): Worker {
    const kept = this.idle.pop();
    clearTimeout(kept?.end);
    const worker = kept?.worker ?? new Worker(START, { workerData: OWN });
    worker.removeAllListeners();
    worker.ref();
    this.working++;
    return worker;
  }

  private keep(worker: Worker): void {
    const end = (): void => {
      const at = this.idle.findIndex((one) => one.worker === worker);
      if (at >= 0) this.idle.splice(at, 1);
      void worker.terminate();
    };
    if (this.idle.length >= this.most) {
      void worker.terminate();
      return;
    }
    // One that fails while nothing is asked of it is taken off the list, and that is all.
    worker.on("error", end);
    worker.on("exit", end);
    worker.unref();
    this.idle.push({ worker, end: setTimeout(end, this.keptFor).unref() });
  }
}

const problemOf = ({ failed, name }: Extract<Told, { failed: string }>): Error =>
  INPUT_FAULTS.has(name) ? new InvalidInput([{ code: "OUT_OF_RANGE", message: failed }]) : new Error(failed);

/** The threads of this server. */
export const threads = new Threads();
