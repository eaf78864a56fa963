/** Long work of many at once: no more threads than cores, in line for each account, and a plain refusal past that. */
import { request } from "node:http";
import { availableParallelism } from "node:os";
import type { Worker } from "node:worker_threads";
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from "vitest";
import { actAs } from "../../server/access/signIn.ts";
import { threads } from "../../server/worker/threads.ts";
import { largeRestoration } from "../support/largeRestoration.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let restoration: string;
/** Cookies of two restorers of the workshop. */
let owner: string;
let other: string;

/** Threads that there are, and the most that there were at once. */
const workers: Worker[] = [];
let most = 0;
const count = (worker: Worker): void => {
  workers.push(worker);
  most = Math.max(most, workers.filter(({ threadId }) => threadId >= 0).length);
};

beforeAll(async () => {
  process.on("worker", count);
  server = await startServer();
  ({ id: restoration } = await largeRestoration(server.store, { parts: 10, operations: 60 }));
  await server.store.operation.updateMany({
    where: { restorationId: restoration },
    data: { hoursLeast: 1, hoursMost: 90 },
  });
  const { id, workshopId } = await server.store.account.findFirstOrThrow();
  const { id: otherId } = await server.store.account.create({
    data: { workshopId, name: "Second hand", role: "RESTORER" },
  });
  owner = `lastbolt=${await actAs(server.store, id, "")}`;
  other = `lastbolt=${await actAs(server.store, otherId, "")}`;
});
afterAll(async () => {
  process.off("worker", count);
  await server.close();
});

interface Told {
  id: string;
  state: string;
  stage: string;
  problem: { code: string; message: string } | null;
}

const JOB = "id state stage problem { code message }";

/** Starts for a day each, as many in one request as it may begin. */
async function startOdds(days: readonly string[], cookie: string): Promise<Told[]> {
  const MOST = 4;
  if (days.length > MOST)
    return [...(await startOdds(days.slice(0, MOST), cookie)), ...(await startOdds(days.slice(MOST), cookie))];
  const aliases = days.map((day, i) => `a${i}: startOdds(restoration: $id, figuresFor: "${day}") { ${JOB} }`);
  const { data, errors } = await server.query<Record<string, Told>>(
    `mutation ($id: ID!) { ${aliases.join("\n")} }`,
    { id: restoration },
    cookie,
  );
  if (!data || errors) throw new Error(JSON.stringify(errors));
  return Object.values(data);
}

const jobNow = async (id: string): Promise<Told> =>
  (await server.query<{ job: Told }>(`query ($id: ID!) { job(id: $id) { ${JOB} } }`, { id }, owner)).data!.job;

const ended = (id: string) =>
  vi.waitFor(
    async () => {
      const job = await jobNow(id);
      expect(["DONE", "FAILED", "STOPPED"]).toContain(job.state);
      return job;
    },
    { timeout: 25_000, interval: 50 },
  );

const days = (month: number, many: number): string[] =>
  Array.from({ length: many }, (_, i) => `2027-${String(month).padStart(2, "0")}-${String(i + 1).padStart(2, "0")}`);

/** Every thread at work for somebody else until `open`. */
let open = (): void => {};
function close(): void {
  const opened = new Promise<void>((resolve) => {
    open = resolve;
  });
  for (let i = 0; i < threads.most; i++) void threads.turn({ account: "somebody" }, () => opened);
}
const idle = () => vi.waitFor(() => expect(threads.busy).toBe(0), { timeout: 25_000, interval: 20 });
afterEach(async () => {
  open();
  await idle();
});

describe("long work of many at once", () => {
  test("makes no more threads than there are cores, and all that was begun comes to an end", async () => {
    const started = await Promise.all([1, 2, 3].map((month) => startOdds(days(month, 10), owner)));
    const begun = started.flat().filter(({ state }) => state !== "FAILED");
    expect(begun.length).toBeGreaterThanOrEqual(8);
    for (const { id } of begun) expect(await ended(id)).toMatchObject({ state: "DONE" });
    expect(most).toBeGreaterThan(0);
    expect(most).toBeLessThanOrEqual(availableParallelism());
  });

  test("waits in line, says so, and past the limit of an account is told in words; nobody else is refused", async () => {
    close();
    const started = (await Promise.all([4, 5, 6].map((month) => startOdds(days(month, 10), owner)))).flat();
    const waiting = started.filter(({ state }) => state !== "FAILED");
    expect(waiting).toHaveLength(8);
    for (const { id } of waiting)
      expect(await jobNow(id)).toMatchObject({ stage: "Waiting for its turn: other work is done first" });
    for (const { state, problem } of started)
      if (state === "FAILED")
        expect(problem).toEqual({
          code: "TOO_BUSY",
          message: expect.stringMatching(
            /^You have asked for 8 things already that wait for their turn\. Nothing was begun/,
          ),
        });
    // A question is told the same as an error.
    const asked = await server.query(
      'query ($id: ID!) { odds(restoration: $id, figuresFor: "2027-07-01") { runs } }',
      { id: restoration },
      owner,
    );
    expect(asked.errors?.[0]).toMatchObject({ extensions: { code: "TOO_BUSY" } });
    const [theirs] = await startOdds(["2027-08-01"], other);
    expect(theirs!.state).not.toBe("FAILED");
    open();
    for (const { id } of [...waiting, theirs!]) expect(await ended(id)).toMatchObject({ state: "DONE" });
    expect((await startOdds(["2027-06-10"], owner))[0]!.state).not.toBe("FAILED");
  });

  test("is stopped while it waits, and makes room for what is asked next", async () => {
    close();
    const started = await startOdds(days(9, 9), owner);
    expect(started.map(({ state }) => state === "FAILED")).toEqual([...Array(8).fill(false), true]);
    // The same asked again is the job that waits.
    expect((await startOdds(["2027-09-08"], owner))[0]!.id).toBe(started[7]!.id);
    const stopped = await server.query("mutation ($id: ID!) { stopJob(job: $id) { state } }", { id: started[3]!.id });
    expect(stopped.errors).toBeUndefined();
    expect(await ended(started[3]!.id)).toMatchObject({ state: "STOPPED" });
    const [next] = await startOdds(["2027-09-20"], owner);
    open();
    expect(await ended(next!.id)).toMatchObject({ state: "DONE" });
    for (const { id } of started.slice(4, 8)) expect(await ended(id)).toMatchObject({ state: "DONE" });
  });

  test("leaves the line with the one who asked and has gone away", async () => {
    close();
    const before = threads.inLine;
    const body = JSON.stringify({
      query: 'query ($id: ID!) { odds(restoration: $id, figuresFor: "2027-10-01") { runs } }',
      variables: { id: restoration },
    });
    const asking = request(`${server.address}/graphql`, {
      method: "POST",
      headers: { "content-type": "application/json", cookie: owner },
    });
    asking.on("error", () => {});
    asking.end(body);
    await vi.waitFor(() => expect(threads.inLine).toBe(before + 1), { timeout: 10_000 });
    asking.destroy();
    await vi.waitFor(() => expect(threads.inLine).toBe(before), { timeout: 10_000 });
  });
});
