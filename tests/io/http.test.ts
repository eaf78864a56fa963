/** Files over HTTP: typed refusals, limits, and nothing of another workshop. */
import { once } from "node:events";
import { request, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import express from "express";
import { unzipSync } from "fflate";
import { afterAll, beforeAll, expect, it } from "vitest";
import { viewerOf } from "../../server/access/viewer.ts";
import { fileName, fileRoutes } from "../../server/api/http/files.ts";
import { CSV_TABLES } from "../../server/io/columns.ts";
import { applyImport, type ReadyImport } from "../../server/io/import.ts";
import { jobs } from "../../server/worker/jobs.ts";
import { type TestStore, testStore } from "../support/store.ts";
import { LEAST, zip } from "./fileSet.ts";

let test: TestStore;
let server: Server;
let base: string;
beforeAll(async () => {
  test = await testStore();
  await test.store.workshop.create({ data: { name: "Ours", demo: true, accounts: { create: { name: "Restorer" } } } });
  server = express()
    .use(fileRoutes(test.store, (_request, _response, next) => next()))
    .listen(0, "127.0.0.1");
  await once(server, "listening");
  base = `http://127.0.0.1:${(server.address() as AddressInfo).port}`;
});
afterAll(async () => {
  server.closeAllConnections();
  server.close();
  await test.close();
});

const send = async (body: Uint8Array | string, query = "", type = "application/zip") => {
  const response = await fetch(`${base}/import${query}`, {
    method: "POST",
    body: body as BodyInit,
    headers: { "content-type": type },
  });
  return { status: response.status, json: (await response.json()) as { job: string; code: string; message: string } };
};

it("a zip becomes a job, whose preview can be applied, and the restoration comes out under its own name", async () => {
  const { status, json } = await send(
    zip({ ...LEAST, "restoration.json": '{"machine":"1913 Tallow & Wren: the cyclecar"}' }),
  );
  expect(status).toBe(202);
  const viewer = await viewerOf(test.store);
  let last = jobs.get(json.job, viewer);
  for await (const view of jobs.changes(json.job, viewer)) {
    last = view;
    if (view.state === "READY") break;
  }
  expect(last.state).toBe("READY");
  const { restorationId } = await applyImport(test.store, last.result as ReadyImport);
  const response = await fetch(`${base}/export/${restorationId}.zip`);
  expect(response.headers.get("content-type")).toBe("application/zip");
  expect(response.headers.get("content-disposition")).toContain('filename="1913 Tallow & Wren the cyclecar.zip"');
  const files = unzipSync(new Uint8Array(await response.arrayBuffer()));
  expect(Object.keys(files).sort()).toEqual([...CSV_TABLES.map((table) => table.file), "restoration.json"].sort());
});

it("the templates explain every column of every file", async () => {
  const files = unzipSync(new Uint8Array(await (await fetch(`${base}/templates.zip`)).arrayBuffer()));
  const text = (name: string) => new TextDecoder().decode(files[name]);
  for (const table of CSV_TABLES) {
    expect(text(table.file)).toBe(`${table.columns.map((column) => column.name).join(",")}\r\n`);
    expect(text("README.txt")).toContain(table.file);
    for (const column of table.columns) expect(text("README.txt")).toContain(`  ${column.name} `);
  }
  expect(JSON.parse(text("restoration.json"))).toHaveProperty("judgingSheet.sections");
});

it.each<[string, () => [Uint8Array | string, string?, string?], number, string]>([
  ["no zip", () => ["operation,hours_likely"], 422, "UNREADABLE"],
  ["nothing", () => [""], 422, "UNREADABLE"],
  ["text", () => ["{}", "", "application/json"], 415, "UNREADABLE"],
  ["a path that leads out", () => [zip({ ...LEAST, "../x": "y" })], 422, "UNREADABLE"],
  ["a file over 10 MiB", () => [zip({ "operations.csv": new Uint8Array(11 * 1024 * 1024) })], 413, "TOO_LARGE"],
  ["more than 64 MiB", () => [new Uint8Array(64 * 1024 * 1024 + 1)], 413, "TOO_LARGE"],
  ["a restoration that is not there", () => [zip(LEAST), "?restoration=none"], 404, "NOT_FOUND"],
  ["two restorations", () => [zip(LEAST), "?restoration=a&restoration=b"], 404, "NOT_FOUND"],
])("%s is refused with a code and words", async (_what, request, status, code) => {
  const answer = await send(...request());
  expect([answer.status, answer.json.code]).toEqual([status, code]);
  expect(answer.json.message).toMatch(/\.$/);
});

it("a restoration of another workshop is neither exported nor imported into", async () => {
  const theirs = await test.store.restoration.create({
    data: { machine: "Theirs", workshop: { create: { name: "Elsewhere" } } },
  });
  expect((await fetch(`${base}/export/${theirs.id}.zip`)).status).toBe(404);
  expect((await send(zip(LEAST), `?restoration=${theirs.id}`)).status).toBe(404);
});

it.each(["..%2f..%2fetc%2fpasswd", "x", "%00.zip", "..zip"])("the path export/%s leads nowhere", async (name) => {
  expect((await fetch(`${base}/export/${name}`)).status).toBe(404);
});

it("file names hold nothing that a system takes for more than a name", () => {
  expect(fileName('../../a\\b:c*?"<>|\r\nd\u202E')).toBe("a b c d.zip");
  expect(fileName("…/")).toBe("….zip");
  expect(fileName(" . ")).toBe("restoration.zip");
});

it("whoever is signed out is told so before the file has come", async () => {
  const headers = { "content-type": "application/zip", "content-length": 60_000_000, cookie: "lastbolt=signed-out" };
  const slow = request(`${base}/import`, { method: "POST", headers });
  slow.on("error", () => {});
  slow.write("P");
  const [{ statusCode }] = await once(slow, "response");
  slow.destroy();
  expect(statusCode).toBe(401);
});
