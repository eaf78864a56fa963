import { spawn } from "node:child_process";
import { once } from "node:events";
import { copyFile, mkdir, mkdtemp, readdir, rm, writeFile } from "node:fs/promises";
import { createServer, type Server } from "node:net";
import { tmpdir } from "node:os";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { afterAll, beforeAll, expect, test } from "vitest";

const TOOLS = fileURLToPath(new URL("../../server/tools/", import.meta.url));

/** A fresh clone's tools, with nothing installed or built. */
let clone: string;
let taken: Server;
let port: number;

beforeAll(async () => {
  clone = await mkdtemp(path.join(tmpdir(), "lastbolt-clone-"));
  const tools = path.join(clone, "server", "tools");
  await mkdir(tools, { recursive: true });
  for (const name of await readdir(TOOLS))
    if (name.endsWith(".mjs")) await copyFile(path.join(TOOLS, name), path.join(tools, name));
  await writeFile(path.join(clone, "package.json"), '{ "private": true, "type": "module" }\n');
  taken = createServer().listen(0, "127.0.0.1");
  await once(taken, "listening");
  port = (taken.address() as { port: number }).port;
});
afterAll(async () => {
  taken.close();
  await rm(clone, { recursive: true, force: true });
});

/** What `npm start` says and how it ends, where PORT is as given. */
async function started(env: Record<string, string>): Promise<{ said: string; status: number }> {
  // Without npm_execpath and a PATH no package can be installed, whatever becomes of the rest.
  const running = spawn(process.execPath, ["server/tools/start.mjs"], {
    cwd: clone,
    env: { PATH: "", HOST: "127.0.0.1", ...env },
  });
  let said = "";
  for (const stream of [running.stdout, running.stderr]) stream.on("data", (piece: Buffer) => (said += piece));
  const [status] = await once(running, "close");
  return { said, status };
}

test("a port that is in use is told before anything is installed or built, with the next one to take", async () => {
  const { said, status } = await started({ PORT: String(port) });
  expect(said).toContain(`Port ${port} of 127.0.0.1 is in use.`);
  expect(said).toContain(`PORT=${port + 1} npm start`);
  expect(said).not.toContain("Installing");
  expect(status).toBe(1);
});

test("a port that is no port is told before anything is installed or built", async () => {
  const { said, status } = await started({ PORT: "70000" });
  expect(said.trim()).toBe("PORT must be a whole number from 0 to 65535; it is 70000.");
  expect(status).toBe(1);
});

test("a port that can be had holds nothing up", async () => {
  expect((await started({ PORT: "0" })).said).toContain("Installing packages");
});
