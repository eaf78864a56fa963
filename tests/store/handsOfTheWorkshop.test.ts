/** Hands that were kept by trade and restoration become lines of the workshop; their rates stay, and changes of before are still taken back. */
import { cp, mkdtemp, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { createClient } from "@libsql/client";
import { afterAll, beforeAll, expect, it } from "vitest";
import { openStore, type Store } from "../../server/store/client.ts";
import { migrate } from "../../server/store/migrate.ts";
import { undo } from "../../server/store/undo.ts";

const MIGRATIONS = path.join(import.meta.dirname, "../../prisma/migrations");
let folder: string;
let store: Store;

const entry = (before: object, after: object | null, id: string) =>
  JSON.stringify([{ table: "hands", id, before, after }]);
const trim = {
  id: "h3",
  restorationId: "r1",
  trade: "trim",
  people: 2,
  hoursPerDay: 3.5,
  rateMinor: 3400,
  revision: 2,
};
const paint = {
  id: "h9",
  restorationId: "r1",
  trade: "paint",
  people: 1,
  hoursPerDay: 4,
  rateMinor: 2900,
  revision: 1,
};

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), "lastbolt-hands-"));
  const file = path.join(folder, "lastbolt.db");
  for (const name of await readdir(MIGRATIONS))
    if (/^\d/.test(name) && name < "20261129194524")
      await cp(path.join(MIGRATIONS, name), path.join(folder, "migrations", name), { recursive: true });
  await migrate(file, { migrations: path.join(folder, "migrations") });
  const old = createClient({ url: `file:${file}` });
  await old.executeMultiple(`
    INSERT INTO "Workshop" (id, name) VALUES ('w', 'Quill Lane Workshop'), ('v', 'Another');
    INSERT INTO "Account" (id, workshopId, name) VALUES ('a', 'w', 'Quill Lane');
    INSERT INTO "Restoration" (id, workshopId, machine) VALUES ('r2', 'w', 'Stationary engine'), ('r1', 'w', 'Cyclecar'), ('s', 'v', 'Roller');
    INSERT INTO "ShopCalendar" (id, restorationId, monday, saturday) VALUES ('k1', 'r1', 6, 4), ('k2', 'r2', 8, 0);
    INSERT INTO "Operation" (id, restorationId, code, title, hoursLikely) VALUES ('o', 'r1', 'STRIP', 'Strip', 8);
    INSERT INTO "Hands" (id, restorationId, trade, people, hoursPerDay, rateMinor, revision) VALUES
      ('h1', 'r1', 'engine', 1, 7.5, NULL, 1), ('h2', 'r2', 'engine', 2, 5, 4000, 1),
      ('h3', 'r1', 'trim', 2, 3.5, 3400, 2), ('h4', 'r2', 'trim', 2, 3, NULL, 1),
      ('h5', 'r1', 'general', 0, 8, NULL, 1), ('h6', 'r1', 'plating', 1, 0, 5000, 1),
      ('h7', 's', 'engine', 1, 8, NULL, 1);
    INSERT INTO "Change" (id, restorationId, accountId, summary, rows) VALUES
      ('c1', 'r1', 'a', 'Changed trade trim', '${entry({ ...trim, people: 1, rateMinor: 3000, revision: 1 }, trim, "h3")}'),
      ('c2', 'r1', 'a', 'Removed trade paint', '${entry(paint, null, "h9")}'),
      ('c3', 'r1', 'a', 'Changed trade trim', '${entry({ ...trim, people: 1, revision: 1 }, trim, "h3")}');
  `);
  old.close();
  expect((await migrate(file)).applied[0]).toMatch(/hands_of_the_workshop$/);
  store = await openStore(file);
});
afterAll(async () => {
  await store.$disconnect();
  await rm(folder, { recursive: true, force: true });
});

it("makes one line of each trade of a workshop, the largest, with the hours that its own calendar has", async () => {
  const hands = await store.hand.findMany({ orderBy: [{ workshopId: "desc" }, { name: "asc" }] });
  const lines = hands.map(({ name, people, trades, monday, tuesday, saturday, askSame }) =>
    [name, people, trades, monday, tuesday, saturday, askSame].join(" "),
  );
  expect(lines).toEqual([
    'engine hands 2 ["engine"] 5 5 0 true',
    'trim hands 2 ["trim"] 3.5 3.5 3.5 true',
    'engine hand 1 ["engine"] 8 8 0 true',
  ]);
});

it("keeps what an hour of each trade is charged at, and ranks restorations as they came", async () => {
  const rates = await store.tradeRate.findMany({ where: { restorationId: "r1" }, orderBy: { id: "asc" } });
  expect(rates.map(({ trade, rateMinor }) => [trade, rateMinor])).toEqual([
    ["engine", null],
    ["trim", 3400],
    ["general", null],
    ["plating", 5000],
  ]);
  const restorations = await store.restoration.findMany({ orderBy: [{ workshopId: "desc" }, { rank: "asc" }] });
  expect(restorations.map(({ id, rank }) => [id, rank])).toEqual([
    ["r2", 1],
    ["r1", 2],
    ["s", 1],
  ]);
  expect(await store.operation.findMany()).toMatchObject([
    { hands: 1, alsoTrades: "[]", first: false, notBefore: null },
  ]);
});

it("says of each such change no more than taking it back does", async () => {
  const changes = await store.change.findMany({ orderBy: { id: "asc" } });
  expect(changes.map(({ summary }) => summary)).toEqual([
    "Changed trade rate trim",
    "Removed trade rate paint",
    "Changed hands of trim, which are the workshop's now: nothing is left to take back",
  ]);
});

it("takes back what was changed of hands before", async () => {
  const change = (id: string) => store.change.findUniqueOrThrow({ where: { id } });
  const [{ after }] = JSON.parse((await change("c1")).rows);
  expect(after).toEqual({ id: "h3", restorationId: "r1", trade: "trim", rateMinor: 3400, revision: 2 });
  await undo(store, await change("c1"), "a");
  expect(await store.tradeRate.findUnique({ where: { id: "h3" } })).toMatchObject({ rateMinor: 3000 });
  await undo(store, await change("c2"), "a");
  expect(await store.tradeRate.findUnique({ where: { id: "h9" } })).toMatchObject({ trade: "paint", rateMinor: 2900 });
});
