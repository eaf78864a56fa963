/** Calendars, closed dates and days of the figures that were kept by restoration become one of the workshop; changes of before are still taken back. */
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

const entries = (...rows: object[]) => JSON.stringify(rows).replaceAll("'", "''");
const fair = { id: "d5", restorationId: "r1", date: "2027-03-01", reason: "Fair", revision: 1 };
const week = { monday: 6, tuesday: 8, wednesday: 8, thursday: 8, friday: 8, saturday: 4, sunday: 0 };
const car = {
  id: "r1",
  workshopId: "w",
  machine: "Cyclecar",
  owner: "",
  figuresFor: null,
  planRevision: 3,
  revision: 1,
};
const lathe = { id: "r9", workshopId: "w", machine: "Lathe", currency: "GBP", figuresFor: "2026-11-23", revision: 1 };
/** Changes that were removed with it. */
const OF_LATHE: [string, ...object[]][] = [
  ["c6", { table: "closedDate", id: "d9", before: { ...fair, id: "d9", restorationId: "r9" }, after: null }],
  ["c7", { table: "restoration", id: "r9", before: { ...lathe, figuresFor: null }, after: lathe }],
];

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), "lastbolt-calendar-"));
  const file = path.join(folder, "lastbolt.db");
  for (const name of await readdir(MIGRATIONS))
    if (/^\d/.test(name) && name < "20261130103827")
      await cp(path.join(MIGRATIONS, name), path.join(folder, "migrations", name), { recursive: true });
  await migrate(file, { migrations: path.join(folder, "migrations") });
  const old = createClient({ url: `file:${file}` });
  await old.executeMultiple(`
    INSERT INTO "Workshop" (id, name) VALUES ('w', 'Quill Lane Workshop'), ('v', 'Another'), ('u', 'Empty');
    INSERT INTO "Account" (id, workshopId, name) VALUES ('a', 'w', 'Quill Lane');
    INSERT INTO "Restoration" (id, workshopId, machine, rank, figuresFor) VALUES
      ('r2', 'w', 'Stationary engine', 2, '2027-01-04'), ('r1', 'w', 'Cyclecar', 1, '2026-11-23'), ('s', 'v', 'Roller', 1, NULL);
    INSERT INTO "ShopCalendar" (id, restorationId, monday, saturday, friday, revision) VALUES
      ('k1', 'r1', 6, 4, 8, 2), ('k2', 'r2', 8, 0, 8.5, 5);
    INSERT INTO "ClosedDate" (id, restorationId, date, reason) VALUES
      ('d1', 'r2', '2026-12-25', 'Christmas'), ('d2', 'r1', '2026-12-25', 'Christmas Day'), ('d3', 'r1', '2026-12-28', 'Closing'),
      ('d4', 'r2', '2026-12-28', 'Closing'), ('d5', 'r1', '2027-03-01', 'Fair'), ('d6', 'r2', '2027-04-01', ''), ('d7', 's', '2026-12-25', '');
    INSERT INTO "Change" (id, restorationId, accountId, summary, rows) VALUES
      ('c1', 'r1', 'a', 'Changed shop calendar', '${entries(
        {
          table: "shopCalendar",
          id: "k1",
          before: { id: "k1", restorationId: "r1", ...week, saturday: 0, revision: 1 },
          after: { id: "k1", restorationId: "r1", ...week, revision: 2 },
        },
        { table: "closedDate", id: "d5", before: null, after: fair },
      )}'),
      ('c2', 'r1', 'a', 'Changed restoration Cyclecar', '${entries({ table: "restoration", id: "r1", before: car, after: { ...car, figuresFor: "2026-11-23", revision: 2 } })}'),
      ('c3', 'r1', 'a', 'Changed restoration Cyclecar', '${entries({ table: "restoration", id: "r1", before: { ...car, owner: "Odo" }, after: { ...car, figuresFor: "2026-11-23", revision: 2 } })}'),
      ('c4', 'r2', 'a', 'Removed closed date 2027-05-03', '${entries({ table: "closedDate", id: "d8", before: { ...fair, id: "d8", restorationId: "r2", date: "2027-05-03", reason: "May Day" }, after: null })}'),
      ('c5', 'r1', 'a', 'Removed restoration Lathe', '${entries(
        {
          table: "shopCalendar",
          id: "k9",
          before: { id: "k9", restorationId: "r9", ...week, revision: 1 },
          after: null,
        },
        { table: "closedDate", id: "d9", before: { ...fair, id: "d9", restorationId: "r9" }, after: null },
        ...OF_LATHE.map(([id, ...rows]) => ({
          table: "change",
          id,
          before: {
            id,
            restorationId: "r9",
            accountId: "a",
            at: "2026-11-02T09:00:00.000Z",
            summary: "Changed it",
            rows: JSON.stringify(rows),
            undoOfId: null,
          },
          after: null,
        })),
        { table: "restoration", id: "r9", before: lathe, after: null },
      )}');
  `);
  old.close();
  expect((await migrate(file)).applied[0]).toMatch(/calendar_of_the_workshop$/);
  store = await openStore(file);
});
afterAll(async () => {
  await store.$disconnect();
  await rm(folder, { recursive: true, force: true });
});

it("keeps of each weekday the longest hours, and the day of the figures of the first restoration", async () => {
  const calendars = await store.shopCalendar.findMany({ orderBy: { workshopId: "desc" } });
  expect(calendars).toEqual([
    { id: "k1", workshopId: "w", ...week, monday: 8, friday: 8.5, figuresFor: "2026-11-23", revision: 6 },
    {
      ...{ id: "calendar of s", workshopId: "v", ...week, monday: 8, saturday: 0, figuresFor: null, revision: 1 },
    },
  ]);
});

it("keeps every closed date once, with each reason that was given", async () => {
  const closed = await store.closedDate.findMany({ orderBy: [{ workshopId: "desc" }, { date: "asc" }] });
  expect(closed.map(({ id, workshopId, date, reason }) => [id, workshopId, date, reason])).toEqual([
    ["d2", "w", "2026-12-25", "Christmas Day; Christmas"],
    ["d3", "w", "2026-12-28", "Closing"],
    ["d5", "w", "2027-03-01", "Fair"],
    ["d6", "w", "2027-04-01", ""],
    ["d7", "v", "2026-12-25", ""],
  ]);
});

it("makes the plans anew where several machines had calendars of their own", async () => {
  const restorations = await store.restoration.findMany({ orderBy: { id: "asc" } });
  expect(restorations.map(({ id, planRevision }) => [id, planRevision])).toEqual([
    ["r1", 2],
    ["r2", 2],
    ["s", 1],
  ]);
});

it("says of each change of before no more than taking it back does, and takes it back", async () => {
  const change = (id: string) => store.change.findUniqueOrThrow({ where: { id } });
  expect((await change("c2")).summary).toBe(
    "Changed restoration Cyclecar, whose figures are for the workshop's day now: nothing is left to take back",
  );
  expect((await change("c3")).summary).toBe("Changed restoration Cyclecar");
  await undo(store, await change("c4"), "a");
  expect(await store.closedDate.findUnique({ where: { id: "d8" } })).toMatchObject({ workshopId: "w" });
  await store.restoration.update({ where: { id: "r1" }, data: { revision: 2 } });
  await undo(store, await change("c3"), "a");
  expect(await store.restoration.findUnique({ where: { id: "r1" } })).toMatchObject({ owner: "Odo" });
});

it("refuses to take back what was changed of a calendar that is the whole shop's now with other hours", async () => {
  await expect(undo(store, await store.change.findUniqueOrThrow({ where: { id: "c1" } }), "a")).rejects.toMatchObject({
    code: "STALE_ROW",
  });
});

it("brings a removed restoration back without a calendar of its own", async () => {
  await undo(store, await store.change.findUniqueOrThrow({ where: { id: "c5" } }), "a");
  expect(await store.restoration.findUnique({ where: { id: "r9" } })).toMatchObject({ machine: "Lathe" });
  expect(await store.shopCalendar.count({ where: { workshopId: "w" } })).toBe(1);
  expect(await store.closedDate.count({ where: { workshopId: "w" } })).toBe(5);
});

it("refuses to take back what was changed of it before, where that is kept otherwise now", async () => {
  for (const [id] of OF_LATHE)
    await expect(undo(store, await store.change.findUniqueOrThrow({ where: { id } }), "a")).rejects.toMatchObject({
      name: "Refused",
      code: "NOT_ALLOWED",
    });
});
