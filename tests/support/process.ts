/** The server as a process of its own, as `npm start` runs it: what it says, where it listens, and how it ends. */
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../", import.meta.url));

export interface ServerProcess {
  process: ChildProcess;
  /** Such as http://127.0.0.1:40123, with no slash at the end; null where it ended before it listened. */
  address: string | null;
  /** All that it has said so far, on both streams. */
  said(): string;
  /** Its exit status, once it has ended; null where a signal ended it. */
  ended: Promise<number | null>;
  /** Ends it in this way and waits until it is gone. */
  end(signal: "SIGKILL" | "SIGTERM"): Promise<void>;
}

/** Starts a TypeScript file of this project beside the test; whoever starts it ends it. */
export function runBeside(args: readonly string[], env: Record<string, string> = {}): ChildProcess {
  return spawn(process.execPath, ["--import", "tsx", ...args], {
    cwd: root,
    env: { ...process.env, ...env },
    stdio: ["ignore", "pipe", "pipe"],
  });
}

/** Starts a server on a folder and a free port, and waits until it listens or has ended. */
export async function serveFolder(folder: string, env: Record<string, string> = {}): Promise<ServerProcess> {
  const running = runBeside(["server/main.ts"], { LASTBOLT_DATA: folder, HOST: "127.0.0.1", PORT: "0", ...env });
  let said = "";
  const ended = once(running, "close").then(([status]) => status as number | null);
  const address = await new Promise<string | null>((resolve) => {
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
    address,
    said: () => said,
    ended,
    async end(signal) {
      running.kill(signal);
      await ended;
    },
  };
}
