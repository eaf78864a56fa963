import { once } from "node:events";
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterAll, beforeAll, expect, onTestFinished, test } from "vitest";
import { DataInUse, lockData } from "../../server/store/lock.ts";
import { runBeside, serveFolder } from "../support/process.ts";

let scratch: string;
beforeAll(async () => {
  scratch = await mkdtemp(path.join(tmpdir(), "lastbolt-lock-"));
});
afterAll(() => rm(scratch, { recursive: true, force: true }));

const folder = (): Promise<string> => mkdtemp(path.join(scratch, "data-"));

/** Another process that has the folder, until it is killed. */
async function holder(data: string) {
  const other = runBeside([
    "--input-type=module",
    "--eval",
    `import { lockData } from "./server/store/lock.ts";
     const lock = await lockData(${JSON.stringify(data)});
     await lock.reachedAt("http://127.0.0.1:4173/");
     console.log("held");
     setTimeout(() => {}, 60_000);`,
  ]);
  onTestFinished(() => void other.kill("SIGKILL"));
  await once(other.stdout!, "data");
  return other;
}

test("a folder that is released can be taken again", async () => {
  const data = path.join(await folder(), "not", "there yet");
  const first = await lockData(data);
  await expect(lockData(data)).rejects.toThrow(DataInUse);
  await first.release();
  await first.release();
  await (await lockData(data)).release();
});

test("who holds the folder is named: process and address", async () => {
  const data = await folder();
  const other = await holder(data);
  const refusal = await lockData(data).catch((error: unknown) => error);
  expect(refusal).toMatchObject({
    code: "DATA_IN_USE",
    folder: data,
    holder: { pid: other.pid, address: "http://127.0.0.1:4173/" },
  });
  expect(String(refusal)).toContain(`${data} is in use by another Lastbolt (process ${other.pid}, http://127.0.0.1`);
});

test("a process that was killed holds nothing, whatever it left written", async () => {
  const data = await folder();
  const other = await holder(data);
  other.kill("SIGKILL");
  await once(other, "close");
  await (await lockData(data)).release();
});

test("a note that cannot be read changes nothing of the lock", async () => {
  const data = await folder();
  const first = await lockData(data);
  await writeFile(path.join(data, "lock.json"), "{");
  await expect(lockData(data)).rejects.toMatchObject({ code: "DATA_IN_USE", holder: null });
  await first.release();
});

test("of two servers on one folder the second is refused and ends with status 1; the first goes on", async () => {
  const data = await folder();
  const env = { LASTBOLT_SEED: "none" };
  const first = await serveFolder(data, env);
  onTestFinished(() => first.end("SIGKILL"));
  const second = await serveFolder(data, env);
  expect(second.address).toBeNull();
  expect(await second.ended).toBe(1);
  expect(second.said()).toContain(
    `${data} is in use by another Lastbolt (process ${first.process.pid}, ${first.address}/)`,
  );
  expect((await fetch(`${first.address}/templates.zip`)).status).toBe(200);
  await first.end("SIGTERM");
  const third = await serveFolder(data, env);
  expect(third.address).not.toBeNull();
  await third.end("SIGTERM");
  expect(await third.ended).toBe(0);
}, 120_000);
