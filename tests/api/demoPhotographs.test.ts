/** The demo's photographs: each is there whole and small, of a row that the demo has, and the owner sees those that are marked. */
import { readdir, stat } from "node:fs/promises";
import path from "node:path";
import { fileURLToPath } from "node:url";
import sharp from "sharp";
import { afterAll, beforeAll, expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { actAs } from "../../server/access/signIn.ts";
import { tidyPhotographs } from "../../server/io/photographBin.ts";
import { dayFor } from "../../server/plan/days/day.ts";
import { startServer, type TestServer } from "../support/server.ts";

const DRAWN = fileURLToPath(new URL("../../seed/cyclecar/photographs/", import.meta.url));

let server: TestServer;
let id: string;
let owner: string;
beforeAll(async () => {
  server = await startServer({ fill: seedDemo });
  ({ id } = await server.store.restoration.findFirstOrThrow());
  const account = await server.store.account.findFirstOrThrow({ where: { role: "OWNER" } });
  owner = `lastbolt=${await actAs(server.store, account.id, "")}`;
});
afterAll(() => server.close());

interface Listed {
  id: string;
  caption: string;
  path: string;
  smallPath: string;
}
async function listed(cookie?: string, forOwner?: boolean): Promise<Listed[]> {
  const { data, errors } = await server.query<{ restoration: { photographs: { edges: { node: Listed }[] } } }>(
    `query ($id: ID!, $forOwner: Boolean) {
      restoration(id: $id) { photographs(forOwner: $forOwner) { edges { node { id caption path smallPath } } } }
    }`,
    { id, forOwner },
    cookie,
  );
  expect(errors).toBeUndefined();
  return data!.restoration.photographs.edges.map(({ node }) => node);
}
const get = (at: string, cookie?: string) =>
  fetch(server.address + at, cookie === undefined ? {} : { headers: { cookie } });
const measured = async (answer: Response) => {
  const { format, width, height } = await sharp(Buffer.from(await answer.arrayBuffer())).metadata();
  return { format, width, height };
};

it("every drawn file is one of them, small enough to be kept in the repository", async () => {
  const files = await readdir(DRAWN);
  expect(files.length).toBeLessThanOrEqual(10);
  expect(await server.store.photograph.count()).toBe(files.length);
  for (const file of files) expect((await stat(path.join(DRAWN, file))).size, file).toBeLessThan(60_000);
});

it("each comes back whole and small, and its files are those that the database names", async () => {
  const rows = await server.store.photograph.findMany();
  const shown = await listed();
  expect(shown.map((one) => one.id).sort()).toEqual(rows.map((row) => row.id).sort());
  for (const one of shown) {
    const { width, height } = rows.find((row) => row.id === one.id)!;
    expect(await measured(await get(one.path))).toEqual({ format: "jpeg", width, height });
    const small = await measured(await get(one.smallPath));
    expect([small.format, Math.max(small.width, small.height)], one.caption).toEqual(["webp", 480]);
  }
  expect(await tidyPhotographs(server.store, server.photographs)).toEqual({ binned: 0, back: 0, deleted: 0 });
});

it("each is of one row, has a caption, and was added by the day of the figures; one is of the quote that the owner is asked about", async () => {
  const rows = await server.store.photograph.findMany();
  const today = await dayFor(server.store, id);
  for (const row of rows) {
    expect([row.partId, row.quoteId, row.operationId, row.snagId].filter((of) => of !== null)).toHaveLength(1);
    expect(row.caption).toMatch(/^[A-Z].*\.$/);
    expect(row.addedAt.toISOString().slice(0, 10) <= today).toBe(true);
  }
  const asked = await server.store.decision.findFirstOrThrow({ where: { state: "WAITING" } });
  expect(rows.map(({ quoteId }) => quoteId)).toContain(asked.quoteId);
});

it("the owner sees those that are marked, the newest first, and no other by its address", async () => {
  const rows = await server.store.photograph.findMany({ orderBy: { addedAt: "desc" } });
  const marked = rows.filter(({ forOwner }) => forOwner);
  expect(marked.length).toBeGreaterThan(2);
  expect(marked.length).toBeLessThan(rows.length);
  for (const seen of [await listed(owner), await listed(owner, true), await listed(undefined, true)])
    expect(seen.map(({ caption }) => caption)).toEqual(marked.map(({ caption }) => caption));
  for (const { id, forOwner } of rows)
    for (const size of ["full", "small"])
      expect((await get(`/photographs/${id}/${size}`, owner)).status).toBe(forOwner ? 200 : 404);
});

it("no caption names a hand", async () => {
  const hands = (await server.store.hand.findMany()).map(({ name }) => new RegExp(`\\b${name}\\b`));
  expect(hands.length).toBeGreaterThan(3);
  for (const { caption } of await listed(owner)) for (const name of hands) expect(caption).not.toMatch(name);
});
