/** One database file on a thread of its own: what takes seconds there (a check of every page, a copy) holds nobody up. */
import { Worker } from "node:worker_threads";
import { fileUrl } from "./client.ts";

export type Row = Readonly<Record<string, unknown>>;

interface Told {
  rows?: Row[];
  problem?: { message: string; code?: string };
}

interface Waiting {
  resolve: (rows: Row[]) => void;
  reject: (error: Error) => void;
}

/** The database refused a statement. */
export class DatabaseProblem extends Error {
  override readonly name = "DatabaseProblem";
  constructor(
    message: string,
    /** SQLite's own, such as SQLITE_CORRUPT. */
    readonly code: string | undefined,
  ) {
    super(message);
  }
}

export interface ThreadOptions {
  /** All that is read stands as it did at the first statement, whatever others write meanwhile. */
  snapshot?: boolean;
  /** Stops waiting for what is under way, and throws the signal's reason. */
  signal?: AbortSignal | undefined;
}

export class DatabaseThread {
  private readonly worker: Worker;
  private readonly waiting: Waiting[] = [];

  constructor(
    file: string,
    private readonly options: ThreadOptions = {},
  ) {
    const { snapshot = false, signal } = options;
    this.worker = new Worker(new URL("./databaseThread.mjs", import.meta.url), {
      workerData: { url: fileUrl(file), snapshot },
    });
    this.worker.on("message", ({ rows, problem }: Told) => {
      const next = this.waiting.shift();
      if (problem === undefined) next?.resolve(rows ?? []);
      else next?.reject(new DatabaseProblem(problem.message, problem.code));
    });
    this.worker.on("error", (error) => this.end(error instanceof Error ? error : new Error(String(error))));
    this.worker.on("exit", () => this.end(new Error("The database's thread has ended.")));
    signal?.addEventListener("abort", this.stop);
  }

  private readonly stop = (): void => this.end(this.options.signal?.reason);

  /** Runs one statement after those before it. Throws {@link DatabaseProblem}. */
  all(sql: string, ...args: (string | number)[]): Promise<Row[]> {
    return new Promise((resolve, reject) => {
      this.options.signal?.throwIfAborted();
      this.waiting.push({ resolve, reject });
      this.worker.postMessage({ sql, args });
    });
  }

  /** Ends the thread and its hold on the file; a statement under way ends first, and who has stopped does not wait for it. */
  async close(): Promise<void> {
    const { signal } = this.options;
    signal?.removeEventListener("abort", this.stop);
    const ended = this.worker.terminate();
    if (signal?.aborted) this.worker.unref();
    else await ended;
  }

  private end(error: Error): void {
    for (const { reject } of this.waiting.splice(0)) reject(error);
  }
}

/** Opens a file on a thread for as long as the work lasts. */
export async function onThread<T>(
  file: string,
  options: ThreadOptions,
  work: (database: DatabaseThread) => Promise<T>,
): Promise<T> {
  const database = new DatabaseThread(file, options);
  try {
    return await work(database);
  } finally {
    await database.close();
  }
}
