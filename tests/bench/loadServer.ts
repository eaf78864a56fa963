/** The server of a checkout as a process of its own, on the demo in a folder of its own. */
import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { cp, mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";

/** Milliseconds in which a server must be ready, and in which it must end. */
const PATIENCE = 120_000;

export interface Checkout {
  /** Runs its server over a fresh copy of the filled demo, and ends it whatever comes of the run. */
  serve<T>(run: (address: string) => Promise<T>): Promise<T>;
  remove(): Promise<void>;
}

/** Fills the demo once for a checkout that has been prepared (packages, generated code). */
export async function checkoutAt(root: string): Promise<Checkout> {
  const folder = await mkdtemp(path.join(tmpdir(), "lastbolt-load-"));
  const filled = path.join(folder, "filled");
  const data = path.join(folder, "data");
  await served(root, filled, async () => {});
  return {
    async serve(run) {
      await cp(filled, data, { recursive: true });
      try {
        return await served(root, data, run);
      } finally {
        await rm(data, { recursive: true, force: true });
      }
    },
    remove: () => rm(folder, { recursive: true, force: true }),
  };
}

async function served<T>(root: string, data: string, run: (address: string) => Promise<T>): Promise<T> {
  // The channel tells the server to stop when this process is gone.
  const server = spawn(process.execPath, ["--import", "tsx", "server/main.ts"], {
    cwd: root,
    stdio: ["ignore", "pipe", "pipe", "ipc"],
    env: { ...process.env, PORT: "0", HOST: "127.0.0.1", LASTBOLT_DATA: data, LASTBOLT_SEED: "demo" },
  });
  let said = "";
  server.stderr!.on("data", (text) => {
    said = (said + text).slice(-4_000);
  });
  try {
    return await run(await addressOf(server));
  } catch (error) {
    throw new Error(`The server of ${root}: ${(error as Error).message}\n${said}`);
  } finally {
    if (server.exitCode === null && server.signalCode === null) {
      const late = setTimeout(() => server.kill("SIGKILL"), PATIENCE);
      const ended = once(server, "exit");
      server.kill("SIGTERM");
      await ended;
      clearTimeout(late);
    }
  }
}

function addressOf(server: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    const late = setTimeout(() => reject(new Error("It was not ready in time.")), PATIENCE);
    let out = "";
    server.stdout!.on("data", (text) => {
      out = (out + text).slice(-4_000);
      const ready = /ready at (http:\/\/\S+?)\/\s/.exec(out);
      if (ready === null) return;
      clearTimeout(late);
      resolve(ready[1]!);
    });
    server.on("exit", (code) => {
      clearTimeout(late);
      reject(new Error(`It ended with ${code}.`));
    });
  });
}
