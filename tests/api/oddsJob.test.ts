/** The odds as a job: followed over the stream of events, stopped, and read where they are kept. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { threads } from "../../server/worker/threads.ts";
import { largeRestoration } from "../support/largeRestoration.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { otherShop } from "./shop.ts";

let server: TestServer;
let restoration: string;

beforeAll(async () => {
  server = await startServer();
  // So much work of unsure length that all runs are needed, and that a stop comes long before the last.
  ({ id: restoration } = await largeRestoration(server.store, { parts: 40, operations: 2_000 }));
  await server.store.operation.updateMany({
    where: { restorationId: restoration },
    data: { hoursLeast: 1, hoursMost: 90 },
  });
});
afterAll(() => server.close());

interface Told {
  id: string;
  state: string;
  stage: string;
  done: number;
  total: number;
  oddsSoFar: { runs: number; standardError: number | null; fourInFive: string | null } | null;
}

const JOB = "id state stage done total oddsSoFar { runs standardError fourInFive }";

async function ask<T>(document: string, variables: Record<string, unknown>): Promise<T> {
  const { data, errors } = await server.query<T>(document, variables);
  if (!data || errors) throw new Error(JSON.stringify(errors));
  return data;
}

const START = `mutation ($restoration: ID!, $figuresFor: Date) { startOdds(restoration: $restoration, figuresFor: $figuresFor) { ${JOB} } }`;
const start = async (figuresFor: string): Promise<Told> =>
  (await ask<{ startOdds: Told }>(START, { restoration, figuresFor })).startOdds;

const oddsOn = async (figuresFor: string) =>
  (
    await ask<{ odds: { runs: number; fourInFive: string; standardError: number } }>(
      "query ($restoration: ID!, $figuresFor: Date) { odds(restoration: $restoration, figuresFor: $figuresFor) { runs fourInFive standardError } }",
      { restoration, figuresFor },
    )
  ).odds;

/** The job's events as they come, until the stream ends. */
async function* eventsOf(id: string): AsyncGenerator<Told> {
  const response = await fetch(`${server.address}/graphql/stream`, {
    method: "POST",
    headers: { "content-type": "application/json", accept: "text/event-stream" },
    body: JSON.stringify({ query: `subscription ($id: ID!) { job(id: $id) { ${JOB} } }`, variables: { id } }),
  });
  let text = "";
  for await (const piece of response.body!.pipeThrough(new TextDecoderStream())) {
    text += piece;
    for (let end = text.indexOf("\n\n"); end >= 0; end = text.indexOf("\n\n")) {
      const event = text.slice(0, end);
      text = text.slice(end + 2);
      const data = /^data: (\{.*\})$/m.exec(event)?.[1];
      if (data) yield (JSON.parse(data) as { data: { job: Told } }).data.job;
    }
  }
}

async function followed(id: string, each: (told: Told) => Promise<unknown> = async () => {}): Promise<Told[]> {
  const all: Told[] = [];
  for await (const told of eventsOf(id)) {
    all.push(told);
    await each(told);
  }
  return all;
}

const stopJob = (id: string) => ask("mutation ($id: ID!) { stopJob(job: $id) { state } }", { id });

describe("the odds as a job", () => {
  test("tell the runs done and their standard error while they are drawn, and are then read from odds", async () => {
    const { id } = await start("2026-11-23");
    const all = await followed(id);
    expect(all.at(-1)).toMatchObject({ state: "DONE", done: 20_480, total: 20_480 });
    const done = all.map(({ oddsSoFar }) => oddsSoFar?.runs ?? 0);
    expect(done).toEqual(done.toSorted((a, b) => a - b));
    const last = all.at(-1)!.oddsSoFar!;
    expect(last.standardError).toBeGreaterThan(0.5);
    expect(last.fourInFive! > "2027-01-01").toBe(true);
    const odds = await oddsOn("2026-11-23");
    expect(odds.runs).toBe(20_480);
    expect(odds.standardError).toBeLessThan(last.standardError!);
    // It is kept: the same job, which is done.
    expect(await start("2026-11-23")).toMatchObject({ id, state: "DONE" });
  });

  test("that are stopped end their threads and leave nothing to read; asked again they go on from where they stood", async () => {
    const { id } = await start("2026-12-01");
    const all = await followed(id, ({ state }) => (state === "CHECKING" ? stopJob(id) : Promise.resolve()));
    expect(all.at(-1)).toMatchObject({ state: "STOPPED" });
    expect(threads.busy).toBe(0);
    const again = await start("2026-12-01");
    expect(again.id).not.toBe(id);
    expect(again.state).not.toBe("DONE");
    expect((await followed(again.id)).at(-1)).toMatchObject({ state: "DONE" });
  });

  test("stopped midway go on from the runs that were drawn, and say what unbroken ones say", async () => {
    const { id } = await start("2027-01-12");
    const all = await followed(id, ({ oddsSoFar }) => ((oddsSoFar?.runs ?? 0) > 0 ? stopJob(id) : Promise.resolve()));
    expect(all.at(-1)).toMatchObject({ state: "STOPPED" });
    const stood = Math.max(...all.map(({ oddsSoFar }) => oddsSoFar?.runs ?? 0));
    expect(stood).toBeGreaterThan(0);
    const again = await start("2027-01-12");
    const told = await followed(again.id);
    expect(told.at(-1)).toMatchObject({ state: "DONE", done: 20_480 });
    for (const { oddsSoFar } of told) if (oddsSoFar !== null) expect(oddsSoFar.runs).toBeGreaterThanOrEqual(stood);
    const broken = await oddsOn("2027-01-12");
    await server.store.restoration.update({ where: { id: restoration }, data: { planRevision: { increment: 1 } } });
    expect(await oddsOn("2027-01-12")).toEqual(broken);
  });

  test("go on for whoever else waits for them when a job is stopped", async () => {
    const { id } = await start("2026-12-08");
    const waiting = oddsOn("2026-12-08");
    const all = await followed(id, ({ state, oddsSoFar }) =>
      state === "CHECKING" && oddsSoFar !== null ? stopJob(id) : Promise.resolve(),
    );
    expect(all.at(-1)).toMatchObject({ state: "STOPPED" });
    expect((await waiting).runs).toBe(20_480);
  });

  test("of what the restoration was are stopped once it has changed and is asked for again", async () => {
    const { id } = await start("2026-12-15");
    await server.store.restoration.update({ where: { id: restoration }, data: { planRevision: { increment: 1 } } });
    const { id: newer } = await start("2026-12-15");
    expect(newer).not.toBe(id);
    expect((await followed(id)).at(-1)).toMatchObject({ state: "STOPPED" });
    await stopJob(newer);
    expect((await followed(newer)).at(-1)).toMatchObject({ state: "STOPPED" });
  });

  test("of another workshop's restoration are not found", async () => {
    const other = await otherShop(server.store);
    expect(await server.query(START, { restoration: other.restoration })).toMatchObject({
      errors: [{ extensions: { code: "NOT_FOUND" } }],
    });
  });
});
