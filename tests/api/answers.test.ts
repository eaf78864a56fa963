/** Answers kept: worked out once while nothing has changed, and never one that is out of date or somebody else's. */
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import express from "express";
import Database from "libsql";
import { afterAll, beforeAll, beforeEach, expect, test } from "vitest";
import type { Viewer } from "../../server/access/viewer.ts";
import { Answers } from "../../server/api/core/answers.ts";
import { type TestStore, testStore } from "../support/store.ts";

let opened: TestStore;
let server: Server;
let asked = 0;
let work: () => Promise<{ status?: number; text: string }>;

beforeAll(async () => {
  opened = await testStore();
  const app = express();
  app.use(express.json());
  const viewerOf = async (request: express.Request): Promise<Viewer> => ({
    accountId: request.get("who") ?? "",
    workshopId: "",
    role: "RESTORER",
    admin: false,
    everyJob: true,
  });
  app.use(new Answers(opened.store).handler(viewerOf));
  app.post("/", async (_request, response) => {
    asked++;
    const { status = 200, text } = await work();
    response.status(status).type("json").send(text);
  });
  server = createServer(app);
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
});
afterAll(async () => {
  server.close();
  server.closeAllConnections();
  await opened.close();
});
beforeEach(async () => {
  // Whatever was kept before is gone with this.
  await opened.store.workshop.create({ data: { name: "Quill Lane Workshop" } });
  asked = 0;
  work = async () => ({ text: JSON.stringify({ data: { asked } }) });
});

async function ask(query: string, who = "wat", variables: object = {}): Promise<string> {
  const { port } = server.address() as AddressInfo;
  const answer = await fetch(`http://127.0.0.1:${port}/`, {
    method: "POST",
    headers: { "content-type": "application/json", who },
    body: JSON.stringify({ query, variables }),
  });
  expect(answer.headers.get("content-type")).toMatch(/^application\/json/);
  return answer.text();
}

const HOLD_UPS = 'query A { holdUps(restoration: "1") { figuresFor } }';

test("the same question of the same viewer is worked out once", async () => {
  expect(await ask(HOLD_UPS)).toBe('{"data":{"asked":1}}');
  expect(await ask(HOLD_UPS)).toBe('{"data":{"asked":1}}');
  expect(asked).toBe(1);
});

test("another viewer, other variables and another document are questions of their own", async () => {
  await ask(HOLD_UPS);
  await ask(HOLD_UPS, "odile");
  await ask(HOLD_UPS, "wat", { day: "2027-01-11" });
  await ask(`${HOLD_UPS} `);
  expect(asked).toBe(4);
});

test("a change through the store or by another process is seen at once", async () => {
  await ask(HOLD_UPS);
  await opened.store.workshop.updateMany({ data: { name: "renamed" } });
  expect(await ask(HOLD_UPS)).toBe('{"data":{"asked":2}}');
  await opened.store.$transaction((tx) => tx.workshop.updateMany({ data: { name: "renamed again" } }));
  expect(await ask(HOLD_UPS)).toBe('{"data":{"asked":3}}');
  const other = new Database(opened.file);
  other.exec("UPDATE Workshop SET name = 'by another process'");
  other.close();
  expect(await ask(HOLD_UPS)).toBe('{"data":{"asked":4}}');
});

test("many who ask the same at once wait for one answer; after a change meanwhile nobody is given it any more", async () => {
  let finish = (): void => {};
  const held = new Promise<void>((resolve) => {
    finish = resolve;
  });
  work = async () => {
    const mine = asked;
    if (mine === 1) await held;
    return { text: JSON.stringify({ data: { asked: mine } }) };
  };
  const early = Array.from({ length: 10 }, () => ask(HOLD_UPS));
  await expect.poll(() => asked).toBe(1);
  await opened.store.workshop.updateMany({ data: { name: "changed meanwhile" } });
  expect(await ask(HOLD_UPS)).toBe('{"data":{"asked":2}}');
  finish();
  expect(new Set(await Promise.all(early)).size).toBeLessThanOrEqual(2);
  expect(await ask(HOLD_UPS)).toBe('{"data":{"asked":2}}');
  expect(asked).toBe(2);
});

test("an error is not kept, and those who waited for it are answered themselves", async () => {
  work = async () => ({ text: '{"errors":[{"message":"busy"}]}' });
  await Promise.all([ask(HOLD_UPS), ask(HOLD_UPS)]);
  work = async () => ({ text: '{"data":{"asked":"well"}}' });
  expect(await ask(HOLD_UPS)).toBe('{"data":{"asked":"well"}}');
  work = async () => ({ status: 500, text: '{"data":{}}' });
  await ask('query B { part(id: "1") { id } }');
  work = async () => ({ text: '{"data":{"part":"there"}}' });
  expect(await ask('query B { part(id: "1") { id } }')).toBe('{"data":{"part":"there"}}');
});

test.each([
  ["a change", "mutation { undo(change: 1) { __typename } }"],
  ["a job, which goes on", 'query { job(id: "1") { state } }'],
  ["a part beside something that is not kept", '{ part(id: "1") { id } visitor { name } }'],
  ["a fragment at the root, where fields hide", "{ ...F } fragment F on Query { visitor { name } }"],
  ["one of two operations", '{ part(id: "1") { id } } mutation M { undo(change: 1) { __typename } }'],
  ["what cannot be read", "{ part(id: "],
])("%s is worked out each time", async (_what, query) => {
  await ask(query);
  await ask(query);
  expect(asked).toBe(2);
});

test("what lies too deep to be compared is answered, and not kept", async () => {
  const deep = JSON.parse(`${"[".repeat(20_000)}${"]".repeat(20_000)}`) as object;
  const { port } = server.address() as AddressInfo;
  const send = async () => {
    const body = `{"query":${JSON.stringify(HOLD_UPS)},"variables":{"a":${"[".repeat(20_000)}${"]".repeat(20_000)}}}`;
    const headers = { "content-type": "application/json", who: "wat" };
    return (await fetch(`http://127.0.0.1:${port}/`, { method: "POST", headers, body })).text();
  };
  expect(() => JSON.stringify(deep)).toThrow(RangeError);
  expect(await send()).toBe('{"data":{"asked":1}}');
  expect(await send()).toBe('{"data":{"asked":2}}');
});

test("what differs between two browsers of one account is kept for neither", async () => {
  const query =
    'query A { restoration(id: "1") { calendarFeeds { account { signIns { edges { node { current } } } } } } }';
  expect(await ask(query)).toBe('{"data":{"asked":1}}');
  expect(await ask(query)).toBe('{"data":{"asked":2}}');
});
