/** The server as a process of its own, as `npm start` runs it: what it says, where it listens, and how it ends. */
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../", import.meta.url));

export interface StartedProcess {
  process: ChildProcess;
  /** Such as http://127.0.0.1:40123, with no slash at the end, once it listens; null where it ended before. */
  listens: Promise<string | null>;
  /** All that it has said so far, on both streams. */
  said(): string;
  /** Its exit status, once it has ended; null where a signal ended it. */
  ended: Promise<number | null>;
  /** Ends it in this way and waits until it is gone. */
  end(signal: "SIGKILL" | "SIGTERM"): Promise<void>;
}

export interface ServerProcess extends StartedProcess {
  /** Where it listens; null where it ended before it did. */
  address: string | null;
}

/** Starts a TypeScript file of this project beside the test, by another command where one is given; whoever starts it ends it. */
export function runBeside(
  args: readonly string[],
  env: Record<string, string> = {},
  by: readonly string[] = [],
): ChildProcess {
  const [command, ...rest] = [...by, process.execPath, "--import", "tsx", ...args];
  return spawn(command!, rest, {
    cwd: root,
    env: { ...process.env, ...env },
    stdio: ["ignore", "pipe", "pipe"],
  });
}

/** Starts a server on a folder and a free port. */
export function startFolder(
  folder: string,
  env: Record<string, string> = {},
  by: readonly string[] = [],
): StartedProcess {
  const running = runBeside(["server/main.ts"], { LASTBOLT_DATA: folder, HOST: "127.0.0.1", PORT: "0", ...env }, by);
  let said = "";
  const ended = once(running, "close").then(([status]) => status as number | null);
  const listens = new Promise<string | null>((resolve) => {
    const hear = (chunk: Buffer) => {
      said += chunk;
      const ready = /ready at (http:\S+)\//.exec(said)?.[1];
      if (ready !== undefined) resolve(ready);
    };
    running.stdout!.on("data", hear);
    running.stderr!.on("data", hear);
    void ended.then(() => resolve(null));
  });
  return {
    process: running,
    listens,
    said: () => said,
    ended,
    async end(signal) {
      running.kill(signal);
      await ended;
    },
  };
}

/** The same, and waits until it listens or has ended. */
export async function serveFolder(...where: Parameters<typeof startFolder>): Promise<ServerProcess> {
  const started = startFolder(...where);
  return { ...started, address: await started.listens };
}
