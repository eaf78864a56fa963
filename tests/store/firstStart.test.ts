import { cp, mkdtemp, readdir, rm, stat, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { createClient } from "@libsql/client";
import { afterAll, beforeAll, expect, test } from "vitest";
import { fillDemo } from "../../seed/load.ts";
import { migrate } from "../../server/store/migrate.ts";
import { rowsOf } from "../support/faultRuns.ts";
import { serveFolder, startFolder } from "../support/process.ts";

let scratch: string;
/** How many rows each table of the demo has. */
let whole: Record<string, number>;
beforeAll(async () => {
  scratch = await mkdtemp(path.join(tmpdir(), "lastbolt-first-"));
  const data = await folder();
  const file = path.join(data, "lastbolt.db");
  await migrate(file, { fill: (store) => fillDemo(store, path.join(data, "photographs")) });
  whole = await rowsOf(file);
});
afterAll(() => rm(scratch, { recursive: true, force: true }));

const folder = (): Promise<string> => mkdtemp(path.join(scratch, "data-"));

/** Bytes of what stands in a folder. */
async function sizeOf(data: string): Promise<number> {
  const sizes = (await readdir(data)).map((name) => stat(path.join(data, name)).catch(() => ({ size: 0 })));
  return (await Promise.all(sizes)).reduce((sum, { size }) => sum + size, 0);
}

/** Starts a server and kills it once its folder holds so many bytes. */
async function killAt(data: string, bytes: number): Promise<void> {
  const running = startFolder(data);
  while (running.process.exitCode === null && (await sizeOf(data)) < bytes)
    await new Promise((resolve) => setTimeout(resolve, 5));
  await running.end("SIGKILL");
}

test("the demo has its machine, the owner's, and the club's, and its photographs", () => {
  expect(whole).toMatchObject({ Restoration: 8, Club: 1, ClubMember: 40, Batch: 3, Photograph: 9 });
});

test("a first start that is killed, again and again, leaves no half of the demo: the next start makes it whole", async () => {
  const data = await folder();
  for (const bytes of [200_000, 2_000_000, 4_000_000]) await killAt(data, bytes);
  const server = await serveFolder(data);
  expect(server.said()).toContain("Lastbolt is ready");
  await server.end("SIGTERM");
  expect(await rowsOf(path.join(data, "lastbolt.db"))).toEqual(whole);
  expect((await readdir(data)).filter((name) => name.includes("migrat"))).toEqual([]);
}, 240_000);

test("a fill that fails leaves no database, and none of its files", async () => {
  const data = await folder();
  const file = path.join(data, "lastbolt.db");
  const fails = migrate(file, {
    fill: async (store) => {
      await store.workshop.create({ data: { name: "Quill Lane Workshop" } });
      throw new Error("a file of the demo is faulty");
    },
  });
  await expect(fails).rejects.toThrow(/No database was made\.\na file of the demo is faulty/);
  expect(await readdir(data)).toEqual([]);
});

test("what an earlier start left beside the database is removed, and the database stays", async () => {
  const file = path.join(await folder(), "lastbolt.db");
  await migrate(file, { fill: async (store) => void (await store.workshop.create({ data: { name: "Mine" } })) });
  for (const end of [".migrating", ".migrating-wal", ".migrated"]) await writeFile(file + end, "half");
  expect(await migrate(file, { fill: fillDemo })).toEqual({ applied: [] });
  expect(await readdir(path.dirname(file))).toEqual(["lastbolt.db"]);
  expect((await rowsOf(file))["Workshop"]).toBe(1);
});

test("tables without a workshop are filled; a workshop of one's own never is", async () => {
  const file = path.join(await folder(), "lastbolt.db");
  await migrate(file);
  const fill = migrate(file, { fill: async (store) => void (await store.workshop.create({ data: { name: "Mine" } })) });
  expect((await fill).applied).toEqual([]);
  expect((await rowsOf(file))["Workshop"]).toBe(1);
  await migrate(file, { fill: () => Promise.reject(new Error("filled again")) });
});

test("an update fills neither a workshop of one's own nor a demo that has its club", async () => {
  const own = path.join(import.meta.dirname, "../../prisma/migrations");
  for (const demo of [0, 1]) {
    const data = await folder();
    const file = path.join(data, "lastbolt.db");
    const names = (await readdir(own)).filter((name) => /^\d/.test(name)).sort();
    for (const name of names.slice(0, -1))
      await cp(path.join(own, name), path.join(data, "migrations", name), { recursive: true });
    await migrate(file, { migrations: path.join(data, "migrations") });
    const old = createClient({ url: `file:${file}` });
    await old.execute(`INSERT INTO "Workshop" (id, name, demo) VALUES ('w', 'Mine', ${demo})`);
    await old.execute(`INSERT INTO "Club" (id, name, revision) VALUES ('c', 'Register', 1)`);
    old.close();
    const fill = () => Promise.reject(new Error("filled again"));
    expect((await migrate(file, { fill })).applied).toEqual(names.slice(-1));
  }
});

test("a write-ahead log without its database is not written over", async () => {
  const data = await folder();
  await writeFile(path.join(data, "lastbolt.db-wal"), "changes");
  await expect(migrate(path.join(data, "lastbolt.db"))).rejects.toThrow("Put the file back beside it");
  expect(await readdir(data)).toEqual(["lastbolt.db-wal"]);
});

test("a workshop of one's own: a first start that is killed is made good by the next, which prints a link for the one account", async () => {
  const data = await folder();
  const env = { LASTBOLT_SEED: "none" };
  await (await serveFolder(data, env)).end("SIGKILL");
  const server = await serveFolder(data, env);
  await server.end("SIGTERM");
  expect(server.said()).toMatch(/works once, within 14 days:\nhttp:\S+/);
  expect(await rowsOf(path.join(data, "lastbolt.db"))).toMatchObject({ Workshop: 1, Account: 1, Invitation: 2 });
}, 120_000);
