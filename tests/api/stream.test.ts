/** What is followed over the stream of events ends for whoever may no longer follow it. */
import { afterAll, beforeAll, expect, test } from "vitest";
import { beginSignIn, endSignIns } from "../../server/access/signIn.ts";
import { viewerOf } from "../../server/access/viewer.ts";
import { jobs } from "../../server/worker/jobs.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let workshopId: string;

beforeAll(async () => {
  server = await startServer({
    fill: async (store) => {
      ({ id: workshopId } = await store.workshop.create({ data: { name: "Quill Lane Workshop" } }));
    },
  });
});
afterAll(() => server.close());

/** The stages that a stream tells, as they come. */
async function* stagesOf(id: string, cookie: string): AsyncGenerator<string> {
  const response = await fetch(`${server.address}/graphql/stream`, {
    method: "POST",
    headers: { "content-type": "application/json", accept: "text/event-stream", cookie },
    body: JSON.stringify({ query: "subscription ($id: ID!) { job(id: $id) { stage } }", variables: { id } }),
  });
  for await (const piece of response.body!.pipeThrough(new TextDecoderStream()))
    for (const [, stage] of piece.matchAll(/"stage":"([^"]*)"/g)) yield stage!;
}

test.each([
  ["signed out", (id: string) => endSignIns(server.store, id)],
  ["closed", (id: string) => server.store.account.update({ where: { id }, data: { closed: true } })],
  ["an owner by now", (id: string) => server.store.account.update({ where: { id }, data: { role: "OWNER" } })],
])("an account that is %s is told nothing more of the work that it followed", async (_how, lose) => {
  const account = await server.store.account.create({ data: { workshopId, name: "Odile", role: "RESTORER" } });
  const secret = await beginSignIn(server.store, account, "", "Signed in");
  let go: () => void = () => {};
  const job = jobs.start("odds", await viewerOf(server.store, secret), async (running) => {
    running.progress("First", 0, 2);
    await new Promise<void>((resolve) => {
      go = resolve;
    });
    running.progress("Second", 1, 2);
    return null;
  });
  const told: string[] = [];
  for await (const stage of stagesOf(job.id, `lastbolt=${secret}`)) {
    told.push(stage);
    if (stage !== "First") continue;
    await lose(account.id);
    go();
  }
  expect(told).not.toContain("Second");
  expect(told.at(-1)).toBe("First");
});
