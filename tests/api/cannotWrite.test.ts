/** A disk that takes nothing: it is told by a code, nothing is lost, and work goes on as soon as it takes something again. */
import { readdir } from "node:fs/promises";
import sharp from "sharp";
import { afterAll, afterEach, beforeAll, expect, test } from "vitest";
import { cannotWriteOf, NotFound } from "../../server/store/fault.ts";
import { jobs } from "../../server/worker/jobs.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { type Shop, shop } from "./shop.ts";

let server: TestServer;
let rows: Shop;
beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
});
afterAll(() => server.close());

/** SQLite's own switches do to its one writing connection what a full or read-only disk does, on any machine. */
const pragma = (words: string) => server.store.$queryRawUnsafe<Record<string, bigint>[]>(`PRAGMA ${words}`);
const makeReadOnly = () => pragma("query_only = ON");
async function makeFull() {
  const [{ page_count: pages } = {}] = await pragma("page_count");
  await pragma(`max_page_count = ${pages}`);
}
afterEach(async () => {
  await pragma("query_only = OFF");
  await pragma("max_page_count = 1000000");
});

const snag = { title: "Cracked lug", description: "x".repeat(1_900) };
const saveSnag = () =>
  server.query<{ saveSnag: { id: string } }>(
    "mutation ($input: SnagInput!) { saveSnag(input: $input) { ... on Saved { id } } }",
    { input: { ...snag, operation: rows.brake } },
  );

const statusOfSnag = async () => {
  const input = { ...snag, operation: rows.brake };
  const query = "mutation ($input: SnagInput!) { saveSnag(input: $input) { __typename } }";
  const body = JSON.stringify({ query, variables: { input } });
  const headers = { "content-type": "application/json" };
  return (await fetch(`${server.address}/graphql`, { method: "POST", headers, body })).status;
};

/** Saves snags until one is refused: the refusal, and how many were taken before. */
async function untilRefused() {
  for (let taken = 0; ; taken++) {
    const { errors } = await saveSnag();
    if (errors !== undefined) return { taken, errors };
  }
}

let shade = 0;
const sendPhotograph = async () => {
  const background = { r: shade++ % 256, g: 90, b: 60 };
  const body = await sharp({ create: { width: 30, height: 20, channels: 3, background } })
    .png()
    .toBuffer();
  const response = await fetch(`${server.address}/photographs?part=${rows.casing}`, {
    method: "POST",
    body: new Uint8Array(body),
  });
  return { status: response.status, json: (await response.json()) as { id: string; code: string; message: string } };
};

const health = async () => {
  const response = await fetch(`${server.address}/health`);
  return [response.status, await response.json()];
};
/** One look at the disk answers everybody for a moment: waits until the next. */
const healthOnce = (status: number) =>
  expect
    .poll(async () => (await health())[0], { timeout: 20_000 })
    .toBe(status)
    .then(health);

test("a change that finds the disk full says so; all that was kept before is there, and it is kept once there is room", async () => {
  await makeFull();
  const before = await server.store.snag.count();
  const { taken, errors } = await untilRefused();
  expect(errors[0]!.extensions).toEqual({ code: "DISK_FULL" });
  expect(errors[0]!.message).toContain("disk is full, so nothing was changed");
  expect(await server.store.snag.count()).toBe(before + taken);
  await pragma("max_page_count = 1000000");
  expect((await saveSnag()).errors).toBeUndefined();
  expect(await server.store.snag.count()).toBe(before + taken + 1);
  expect(await pragma("integrity_check")).toEqual([{ integrity_check: "ok" }]);
});

test("a change where nothing may be written says so, reading goes on, and the same change is kept afterwards", async () => {
  await makeReadOnly();
  expect((await saveSnag()).errors?.[0]).toMatchObject({
    message: expect.stringContaining("may not write to its data folder"),
    extensions: { code: "READ_ONLY" },
  });
  const read = await server.query<{ part: { name: string } }>("query ($id: ID!) { part(id: $id) { name } }", {
    id: rows.casing,
  });
  expect(read.data!.part.name).toBe("Gearbox casing");
  await pragma("query_only = OFF");
  expect((await saveSnag()).data?.saveSnag.id).toEqual(expect.any(String));
});

test("a photograph is answered 503 or 507 with the same codes, and is added once it can be", async () => {
  await makeReadOnly();
  expect(await sendPhotograph()).toMatchObject({ status: 503, json: { code: "READ_ONLY" } });
  await pragma("query_only = OFF");
  await makeFull();
  await untilRefused();
  let answer = await sendPhotograph();
  while (answer.status === 201) answer = await sendPhotograph();
  expect(answer).toMatchObject({ status: 507, json: { code: "DISK_FULL" } });
  await pragma("max_page_count = 1000000");
  const { status, json } = await sendPhotograph();
  expect(status).toBe(201);
  expect((await fetch(`${server.address}/photographs/${json.id}/full`)).status).toBe(200);
  const files = await readdir(server.photographs, { recursive: true });
  expect(files.filter((name) => /[0-9a-f]{64}\.(?!small$)/.test(name))).toEqual([]);
});

test("over GraphQL the status is the same, so that what waits on a device is sent again later", async () => {
  expect(await statusOfSnag()).toBe(200);
  await makeReadOnly();
  expect(await statusOfSnag()).toBe(503);
  await pragma("query_only = OFF");
  await makeFull();
  await untilRefused();
  expect(await statusOfSnag()).toBe(507);
});

test("a job that could not write fails with the code", async () => {
  await makeReadOnly();
  const owner = { workshopId: "ours" };
  const { id } = jobs.start("import", owner, () =>
    server.store.club.create({ data: { name: "", currency: "GBP" } as never }),
  );
  const views = [];
  for await (const view of jobs.changes(id, owner)) views.push(view);
  expect(views.at(-1)).toMatchObject({ state: "FAILED", problem: { code: "READ_ONLY" } });
});

test("/health answers 200 while changes can be kept, and 503 with the code, the words and nothing else while not", async () => {
  expect(await healthOnce(200)).toEqual([200, { ok: true }]);
  await makeReadOnly();
  expect(await healthOnce(503)).toEqual([
    503,
    { ok: false, code: "READ_ONLY", message: expect.stringContaining("may not write to its data folder") },
  ]);
  await pragma("query_only = OFF");
  expect(await healthOnce(200)).toEqual([200, { ok: true }]);
});

test("/health leaves nothing in the data folder", async () => {
  const before = (await readdir(`${server.photographs}/..`)).sort();
  await health();
  expect((await readdir(`${server.photographs}/..`)).sort()).toEqual(before);
});

test.each([
  ["ENOSPC", "DISK_FULL"],
  ["EDQUOT", "DISK_FULL"],
  ["EROFS", "READ_ONLY"],
  ["EACCES", "READ_ONLY"],
  ["EIO", "DISK_FAILED"],
])("the system's %s is %s, however deep it lies", (code, told) => {
  const deep = new Error("outside", {
    cause: new Error("between", { cause: Object.assign(new Error("write"), { code }) }),
  });
  expect(cannotWriteOf(deep)).toMatchObject({ code: told, cause: deep });
});

test.each([
  [8, "READ_ONLY"],
  [13, "DISK_FULL"],
  // SQLITE_IOERR_WRITE
  [778, "DISK_FAILED"],
  [14, "DISK_FAILED"],
])("SQLite's result %i is %s", (rawCode, told) => {
  expect(cannotWriteOf({ code: "SQLITE", rawCode })).toMatchObject({ code: told });
});

test("what is no fault of the disk is none: a busy file, a broken rule, a row that is not there", () => {
  for (const error of [{ rawCode: 5 }, { rawCode: 2067 }, new NotFound("part"), null, "disk"])
    expect(cannotWriteOf(error)).toBeNull();
});
