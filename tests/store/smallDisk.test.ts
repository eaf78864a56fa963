/** A whole server whose disk runs full, and one whose disk may only be read. */
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, expect, onTestFinished, test } from "vitest";
import { fillDemo } from "../../seed/load.ts";
import { connectTo } from "../../server/store/backup.ts";
import { migrate } from "../../server/store/migrate.ts";
import { type ServerProcess, serveFolder } from "../support/process.ts";
import { smallDisk } from "../support/smallDisk.ts";

/** Bytes: the demo takes 2.7 MB, and its write-ahead log as much again before it is emptied. */
const ROOM = 5_000_000;

let demo: string;
beforeAll(async () => {
  demo = await mkdtemp(path.join(tmpdir(), "lastbolt-demo-"));
  await migrate(path.join(demo, "lastbolt.db"), { fill: fillDemo });
});
afterAll(() => rm(demo, { recursive: true, force: true }));

async function ask<T>({ address }: ServerProcess, query: string, variables = {}) {
  const response = await fetch(`${address}/graphql`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ query, variables }),
  });
  return (await response.json()) as { data: T; errors?: { extensions: { code: string } }[] };
}

const SAVE = "mutation ($input: SnagInput!) { saveSnag(input: $input) { ... on Saved { id } } }";

/** Sends a picture of 3 MB: noise, so that it is as large as it looks. */
async function photograph({ address }: ServerProcess, part: string) {
  const body = await sharp(noise(3_000_000), { raw: { width: 1_000, height: 1_000, channels: 3 } })
    .png()
    .toBuffer();
  const response = await fetch(`${address}/photographs?part=${part}`, { method: "POST", body: new Uint8Array(body) });
  return { status: response.status, json: (await response.json()) as { id: string; code: string } };
}

function noise(length: number): Buffer {
  const bytes = Buffer.alloc(length);
  for (let i = 0, state = 1; i < length; i++) {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    bytes[i] = state >>> 24;
  }
  return bytes;
}

test("a disk that runs full refuses photographs and changes by a code, loses no change it took, and goes on once there is room", async () => {
  const disk = await smallDisk(demo, ROOM);
  onTestFinished(disk.remove);
  const server = await serveFolder(disk.folder, {}, disk.by);
  onTestFinished(() => server.end("SIGKILL"));
  const { data } = await ask<{ restorations: { edges: { node: { id: string } }[] } }>(
    server,
    "{ restorations { edges { node { id } } } }",
  );
  const [restoration] = data.restorations.edges;
  const places = await ask<Record<"operations" | "parts", { edges: { node: { id: string } }[] }>>(
    server,
    "query ($id: ID!) { restoration(id: $id) { operations { edges { node { id } } } parts { edges { node { id } } } } }",
    { id: restoration!.node.id },
  );
  const { operations, parts } = (places.data as unknown as { restoration: typeof places.data }).restoration;
  const part = parts.edges[0]!.node.id;
  const input = { operation: operations.edges[0]!.node.id, title: "Cracked lug", description: "x".repeat(1_900) };

  expect(await photograph(server, part)).toMatchObject({ status: 507, json: { code: "DISK_FULL" } });
  const snags: string[] = [];
  let failed: { extensions: { code: string } } | undefined;
  while (failed === undefined) {
    const { data, errors } = await ask<{ saveSnag: { id: string } }>(server, SAVE, { input });
    if (errors === undefined) snags.push(data.saveSnag.id);
    else failed = errors[0];
  }
  expect(failed.extensions.code).toBe(disk.code);
  const told = await fetch(`${server.address}/health`);
  // Where only long files are refused, the short one by which health is tried is not.
  if (disk.code === "DISK_FULL")
    expect([told.status, await told.json()]).toMatchObject([503, { ok: false, code: "DISK_FULL" }]);

  disk.giveRoom(server.process);
  const again = await ask<{ saveSnag: { id: string } }>(server, SAVE, { input });
  snags.push(again.data.saveSnag.id);
  const { status, json } = await photograph(server, part);
  expect(status).toBe(201);
  await expect.poll(async () => (await fetch(`${server.address}/health`)).status, { timeout: 20_000 }).toBe(200);
  expect((await fetch(`${server.address}/photographs/${json.id}/full`)).status).toBe(200);
  await server.end("SIGTERM");

  const connection = connectTo(path.join(disk.folder, "lastbolt.db"));
  expect((await connection.execute("PRAGMA integrity_check")).rows[0]).toMatchObject({ integrity_check: "ok" });
  const { rows } = await connection.execute('SELECT "id" FROM "Snag"');
  connection.close();
  expect(rows.map(({ id }) => id)).toEqual(expect.arrayContaining(snags));
}, 240_000);

test("a server whose folder may only be read does not start, and says why in a line", async () => {
  const disk = await smallDisk(demo, ROOM);
  onTestFinished(disk.remove);
  const folder = disk.readOnly();
  const server = await serveFolder(folder);
  expect(await server.ended).toBe(1);
  expect(server.said()).toContain(`Lastbolt cannot write to its data folder ${folder}: `);
  expect(server.said().trim().split("\n")).toHaveLength(1);
}, 120_000);

test("a file where the data folder should be is told in a line too", async () => {
  const server = await serveFolder(path.join(demo, "lastbolt.db"));
  expect(await server.ended).toBe(1);
  expect(server.said()).toMatch(/^.*lastbolt\.db cannot be the data folder: EEXIST.*\n$/);
}, 120_000);
