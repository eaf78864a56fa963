/**
 * Threads beside the main one, so that the server goes on answering: never more than there are cores, whatever is asked. A
 * thread that has done its work is kept a while for the next: starting one takes longer than most computations. Whoever
 * stops waiting for one ends it. What finds no thread free waits its turn (`line.ts`).
 */
import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import { InvalidInput, type Refused } from "../store/fault.ts";
import { Stopped } from "./jobs.ts";
import { type Asker, Line, type LineLimits } from "./line.ts";
import { type Asked, type Found, OWN, type SoFar, type Told } from "./thread.ts";

const START = new URL("./threadStart.mjs", import.meta.url);

/** Faults of the input, as the engine names them; anything else is a mistake in the program. */
const INPUT_FAULTS: ReadonlySet<string> = new Set(["ChoiceFault", "NetworkFault", "UncertainFault"]);

/** Computations that wait: of one account, and of all. What waits holds little memory. */
const MOST_WAITING: LineLimits = { each: 8, all: 64 };

export interface Following {
  /** Ends the thread; the result is then {@link Stopped}. */
  signal?: AbortSignal | undefined;
  follow?: ((soFar: SoFar) => void) | undefined;
}

/** Computes one thing on the thread of a turn. */
export type Run = <A extends Asked>(asked: A, following?: Following) => Promise<Found[A["kind"]]>;

export class Threads {
  private readonly idle: { worker: Worker; end: NodeJS.Timeout }[] = [];
  private readonly line: Line;

  /**
   * @param most threads there are at once, at work or waiting for work
   * @param keptFor milliseconds after which a thread without work is ended
   */
  constructor(
    readonly most = availableParallelism(),
    private readonly keptFor = 60_000,
    limits = MOST_WAITING,
  ) {
    this.line = new Line(most, limits);
  }

  /** Threads at work now. */
  get busy(): number {
    return this.line.taken;
  }

  /** Computations that wait for their turn. */
  get inLine(): number {
    return this.line.waiting;
  }

  /** How many threads may help the one that leads a computation: as many cores as are not at work already. */
  get spare(): number {
    return this.inLine > 0 ? 0 : this.most - this.line.taken;
  }

  /** Why no more of the account's work can wait (TOO_BUSY), to be known before anything is read for it; null where it can. */
  refusal(account: string): Refused | null {
    return this.line.refusal(account);
  }

  /**
   * Does work that may compute on one thread, once it is its turn.
   * Throws Refused (TOO_BUSY) where too much waits already, Stopped where the asker leaves before the turn comes.
   */
  async turn<T>(asker: Asker, work: (run: Run) => Promise<T>): Promise<T> {
    const wait = this.line.take(asker);
    if (wait !== null) await wait;
    try {
      return await work((asked, following) => this.compute(asked, following));
    } finally {
      this.line.leave(asker.account);
    }
  }

  /**
   * Computes on a thread, once it is its turn. Throws InvalidInput where the input says something impossible, Stopped when
   * it is stopped, Refused (TOO_BUSY) where too much waits already.
   */
  run<A extends Asked>(asked: A, following: Following & Partial<Asker> = {}): Promise<Found[A["kind"]]> {
    const { account = "", signal, waits } = following;
    return this.turn({ account, signal, waits }, (run) => run(asked, following));
  }

  /** The same at once, on a thread that is free and that nobody waits for; null where there is none. */
  help<A extends Asked>(asked: A, account: string, following: Following): Promise<Found[A["kind"]]> | null {
    return this.spare > 0 ? this.run(asked, { ...following, account }) : null;
  }

  private compute<A extends Asked>(asked: A, { signal, follow }: Following = {}): Promise<Found[A["kind"]]> {
    return new Promise((resolve, reject) => {
      if (signal?.aborted) throw new Stopped();
      const worker = this.take();
      const leave = (): void => {
        worker.removeAllListeners();
        worker.on("error", () => {});
        signal?.removeEventListener("abort", stop);
      };
      const end = (why: Error): void => {
        leave();
        void worker.terminate().then(() => reject(why));
      };
      const stop = (): void => end(new Stopped());
      worker.on("message", (told: Told) => {
        if ("soFar" in told) {
          follow?.(told.soFar);
          return;
        }
        leave();
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

  /** Each turn has one thread at most, so there is one to be had or one to be started. */
  private take(): Worker {
    const kept = this.idle.pop();
    clearTimeout(kept?.end);
    const worker = kept?.worker ?? new Worker(START, { workerData: OWN });
    worker.removeAllListeners();
    worker.ref();
    return worker;
  }

  private keep(worker: Worker): void {
    const end = (): void => {
      const at = this.idle.findIndex((one) => one.worker === worker);
      if (at < 0) return;
      clearTimeout(this.idle[at]!.end);
      this.idle.splice(at, 1);
      // Until it is gone it counts as one of the threads there are.
      void this.line.during(worker.terminate());
    };
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
