/** Past what it can answer in time, the server lets requests wait a moment, and then says no before anything is done. */
import { once } from "node:events";
import { createServer, type Server } from "node:http";
import type { AddressInfo } from "node:net";
import express, { type RequestHandler, type Response } from "express";
import { afterEach, describe, expect, test, vi } from "vitest";
import { atMost, inFlight, leavePlace } from "../../server/api/core/inFlight.ts";

let server: Server;
let address: string;
/** Answers that are being worked on. */
let working: Response[] = [];
let done = 0;

async function serve(...limits: RequestHandler[]): Promise<void> {
  working = [];
  done = 0;
  const app = express();
  app.use(...limits, (_request, response) => {
    done++;
    working.push(response);
  });
  server = createServer(app).listen(0, "127.0.0.1");
  await once(server, "listening");
  address = `http://127.0.0.1:${(server.address() as AddressInfo).port}/`;
}

afterEach(() => {
  server.closeAllConnections();
  server.close();
});

const both = (options?: Parameters<typeof inFlight>[0]): RequestHandler[] => {
  const { hold, admit } = inFlight(options);
  return [hold, admit];
};

/** So many at once that some must wait: eight are worked on to begin with. */
const EIGHT = 8;
const ask = (signal?: AbortSignal) => fetch(address, { signal: signal ?? null });
const atWork = (many: number) => vi.waitFor(() => expect(working).toHaveLength(many), { timeout: 10_000 });
const finish = (many = working.length): void => {
  for (const response of working.splice(0, many)) response.send("done");
};

/** Those too that are taken up as others leave. */
async function finishAll(answers: readonly Promise<unknown>[]): Promise<void> {
  const finishing = setInterval(() => finish(), 5);
  await Promise.all(answers).finally(() => clearInterval(finishing));
}

describe("requests past what is worked on at once", () => {
  test("wait a moment and are refused in both shapes, with when to come back, and nothing is done of them", async () => {
    await serve(...both());
    const first = Array.from({ length: EIGHT }, () => ask());
    await atWork(EIGHT);
    const refused = await ask();
    expect(refused.status).toBe(503);
    expect(Number(refused.headers.get("retry-after"))).toBeGreaterThan(0);
    expect(await refused.json()).toEqual({
      code: "TOO_BUSY",
      message: expect.stringContaining("Nothing of this was done"),
      errors: [{ message: expect.any(String), extensions: { code: "TOO_BUSY" } }],
    });
    expect(done).toBe(EIGHT);
    finish();
    for (const answer of first) expect((await answer).status).toBe(200);
  });

  test("are worked on in their order once there is room, and whoever has gone is passed over", async () => {
    await serve(...both({ wait: 60_000 }));
    const first = Array.from({ length: EIGHT }, () => ask());
    await atWork(EIGHT);
    const leaving = new AbortController();
    const gone = ask(leaving.signal).catch((error: unknown) => error);
    leaving.abort();
    expect(await gone).toMatchObject({ name: "AbortError" });
    const waits = ask();
    for (const answer of first) {
      finish(1);
      expect((await answer).status).toBe(200);
    }
    await atWork(1);
    finish();
    expect((await waits).status).toBe(200);
    expect(done).toBe(EIGHT + 1);
  });

  test("are let in where they only ask how a job is, or stop one, and nothing beside", async () => {
    await serve(express.json(), ...both());
    const first = Array.from({ length: EIGHT }, () => ask());
    await atWork(EIGHT);
    const post = (query: string) =>
      fetch(address, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ query }),
      });
    const followed = [
      post("query ($id: ID!) { job(id: $id) { state } }"),
      post('mutation { stopJob(id: "1") { id } }'),
    ];
    await atWork(EIGHT + 2);
    for (const query of [
      '{ job(id: "1") { state } restorations { edges { node { id } } } }',
      'mutation { stopJob(id: "1") { id } ...Rest } fragment Rest on Mutation { startOdds(restoration: "1") { id } }',
      '{ restorations(search: "job") { totalCount } }',
    ])
      expect((await post(query)).status).toBe(503);
    finish();
    for (const answer of [...first, ...followed]) expect((await answer).status).toBe(200);
  });

  test("are let in where what is worked on waits for a thread", async () => {
    await serve(...both());
    const first = Array.from({ length: EIGHT }, () => ask());
    await atWork(EIGHT);
    for (const response of working) leavePlace(response);
    const more = ask();
    await atWork(EIGHT + 1);
    finish();
    for (const answer of [...first, more]) expect((await answer).status).toBe(200);
  });

  test("are fewer at once where each takes long: the limit is time", async () => {
    let clock = 0;
    await serve(...both({ now: () => clock }));
    for (let i = 0; i < 80; i++) {
      const slow = ask();
      await atWork(1);
      clock += 1_000;
      finish();
      await slow;
    }
    const answers = Array.from({ length: EIGHT }, () => ask());
    const refused = (await Promise.race(answers)) as globalThis.Response;
    expect(refused.status).toBe(503);
    expect(working.length).toBe(4);
    await finishAll(answers);
  });
});

test("what cannot be taken up in time is held a moment and refused, and nothing is done of it", async () => {
  let clock = 0;
  await serve(...both({ now: () => clock, wait: 20 }));
  const slow = Array.from({ length: EIGHT }, () => ask());
  await atWork(EIGHT);
  clock += 60_000;
  finish();
  await Promise.all(slow);
  // What is worked on takes so long now that nobody's wait would be short enough.
  const first = Array.from({ length: EIGHT }, () => ask());
  const refused = await Promise.race(first);
  expect(refused.status).toBe(503);
  await finishAll(first);
  expect(done).toBeLessThan(2 * EIGHT);
});

describe("what stays long", () => {
  test("is counted apart, so many and no more", async () => {
    await serve(atMost(2));
    const streams = [ask(), ask()];
    await atWork(2);
    expect((await ask()).status).toBe(503);
    finish();
    for (const stream of streams) expect((await stream).status).toBe(200);
  });

  test("is ended after its time, and leaves its place to the next", async () => {
    await serve(atMost(1, 50));
    for (let i = 0; i < 2; i++) await expect(ask()).rejects.toThrow();
    expect(done).toBe(2);
  });
});
