/** The server's own process: a failure that nothing waits for ends nobody's request. */
import { spawn } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { expect, test, vi } from "vitest";

const root = fileURLToPath(new URL("../../", import.meta.url));
/** Brought in before the server: what it is sent fails where nothing waits for it. */
const FAILING = `data:text/javascript,${encodeURIComponent(
  'process.on("message", (words) => { Promise.reject(new Error(words)); });',
)}`;

test("is told of in the log, and the next request is answered", { timeout: 120_000 }, async () => {
  const data = await mkdtemp(path.join(tmpdir(), "lastbolt-"));
  const server = spawn(process.execPath, ["--import", "tsx", "--import", FAILING, "server/main.ts"], {
    cwd: root,
    env: { ...process.env, PORT: "0", HOST: "127.0.0.1", LASTBOLT_DATA: data, LASTBOLT_SEED: "none" },
    stdio: ["ignore", "pipe", "pipe", "ipc"],
  });
  let said = "";
  for (const stream of [server.stdout!, server.stderr!])
    stream.setEncoding("utf8").on("data", (piece: string) => {
      said += piece;
    });
  const ended = new Promise((resolve) => server.on("exit", resolve));
  const heard = (words: RegExp) =>
    vi.waitFor(
      () => {
        const found = words.exec(said);
        if (found === null) throw new Error(`The server has said: ${said}`);
        return found;
      },
      { timeout: 100_000, interval: 50 },
    );
  try {
    const [, address] = await heard(/ready at (http\S+?)\/\s/);
    server.send("The lamp went out");
    await heard(/failed in the background: Error: The lamp went out/);
    const answer = await fetch(`${address}/graphql`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ query: "{ visitor { may } }" }),
    });
    expect(answer.status).toBe(200);
    expect(server.exitCode).toBeNull();
  } finally {
    server.kill("SIGTERM");
    await ended;
    await rm(data, { recursive: true });
  }
});
