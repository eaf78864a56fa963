import { appendFile, copyFile, cp, mkdir, mkdtemp, readdir, readFile, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterAll, beforeAll, expect, test } from "vitest";
import { backUp, backupFolder, connectTo, isThere, KEPT } from "../../server/store/backup.ts";
import { openStore } from "../../server/store/client.ts";
import { type Migrated, MigrationFailed, migrate, schemaDrift } from "../../server/store/migrate.ts";
import { prismaFolder } from "../../server/store/schemaEngine.ts";

let folder: string;
let count = 0;
beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), "lastbolt-migrate-"));
});
afterAll(() => rm(folder, { recursive: true, force: true }));

const own = path.join(prismaFolder, "migrations");
const newFile = (): string => path.join(folder, String(++count), "lastbolt.db");

/** The program's migrations and one more, as a later version would have them. */
async function laterVersion(sql: string): Promise<string> {
  const migrations = path.join(folder, `migrations-${++count}`);
  await cp(own, migrations, { recursive: true });
  await mkdir(path.join(migrations, "99990101000000_later"));
  await writeFile(path.join(migrations, "99990101000000_later", "migration.sql"), sql);
  return migrations;
}

/** A database with one workshop in it. */
async function withOneWorkshop(): Promise<string> {
  const file = newFile();
  await migrate(file);
  const store = await openStore(file);
  await store.workshop.create({ data: { name: "Quill Lane Workshop" } });
  await store.$disconnect();
  // A closed connection lets go of its file only when memory is next cleared: the copy is surely free.
  const free = newFile();
  await mkdir(path.dirname(free), { recursive: true });
  await copyFile(file, free);
  return free;
}

async function workshopsIn(file: string): Promise<string[]> {
  const store = await openStore(file);
  try {
    return (await store.workshop.findMany()).map((w) => w.name);
  } finally {
    await store.$disconnect();
  }
}

test("a new file gets every table, and a second run applies nothing and makes no backup", async () => {
  const file = newFile();
  const first = await migrate(file);
  expect(first.applied.length).toBeGreaterThan(0);
  expect(first.backup).toBeUndefined();
  expect(await workshopsIn(file)).toEqual([]);
  expect(await migrate(file)).toEqual({ applied: [] } satisfies Migrated);
  expect(await isThere(backupFolder(file))).toBe(false);
});

test("the migrations lead to the tables of schema.prisma", async () => {
  expect(await schemaDrift(path.join(folder, "history.db"))).toBeNull();
});

test("a difference between migrations and schema.prisma is found", async () => {
  const migrations = await laterVersion('DROP TABLE "AwardFloor";');
  expect(await schemaDrift(path.join(folder, "history.db"), migrations)).toContain('CREATE TABLE "AwardFloor"');
});

test("a file with rows is backed up, the backup is named in the log, and the rows are kept", async () => {
  const file = await withOneWorkshop();
  const lines: string[] = [];
  const migrations = await laterVersion('CREATE TABLE "Later" ("id" TEXT NOT NULL PRIMARY KEY);');
  const { applied, backup } = await migrate(file, { migrations, log: (line) => lines.push(line) });
  expect(applied).toEqual(["99990101000000_later"]);
  expect(lines.some((line) => line.includes(String(backup)))).toBe(true);
  expect(await workshopsIn(file)).toEqual(["Quill Lane Workshop"]);
  expect(await workshopsIn(String(backup))).toEqual(["Quill Lane Workshop"]);
});

test("a migration that fails midway leaves the file as it was and names the backup", async () => {
  const file = await withOneWorkshop();
  const before = await readFile(file);
  const migrations = await laterVersion('DELETE FROM "Workshop"; INSERT INTO "NoSuchTable" VALUES (1);');
  const failure = await migrate(file, { migrations }).catch((error: unknown) => error);
  expect(failure).toBeInstanceOf(MigrationFailed);
  const { message } = failure as MigrationFailed;
  expect(message).toContain("is as it was before");
  const [backup] = await readdir(backupFolder(file));
  expect(message).toContain(String(backup));
  expect(message).toContain("NoSuchTable");
  expect(await workshopsIn(file)).toEqual(["Quill Lane Workshop"]);
  expect((await readFile(file)).length).toBe(before.length);
  expect((await readdir(path.dirname(file))).filter((name) => name.includes("migrating"))).toEqual([]);
  expect(await migrate(file)).toEqual({ applied: [] });
});

test("a first migration that fails leaves no file", async () => {
  const file = newFile();
  const migrations = await laterVersion("INSERT INTO NoSuchTable VALUES (1);");
  await expect(migrate(file, { migrations })).rejects.toThrow("No database was made");
  expect(await isThere(file)).toBe(false);
});

test("a file of a newer version is refused and not touched", async () => {
  const file = newFile();
  const migrations = await laterVersion('CREATE TABLE "Later" ("id" TEXT NOT NULL PRIMARY KEY);');
  await migrate(file, { migrations });
  const before = await readFile(file);
  await expect(migrate(file)).rejects.toThrow("newer version");
  expect(await readFile(file)).toEqual(before);
});

test("a file that is no database, or another program's, is refused and not touched", async () => {
  const text = path.join(folder, "notes.db");
  await appendFile(text, "Crate 4: gearbox casing, cracked. ".repeat(100));
  const before = await readFile(text);
  await expect(migrate(text)).rejects.toThrow(MigrationFailed);
  expect(await readFile(text)).toEqual(before);

  const other = path.join(folder, "other.db");
  const connection = connectTo(other);
  await connection.execute("CREATE TABLE letters (id INTEGER)");
  connection.close();
  await expect(migrate(other)).rejects.toThrow("tables of another program");
});

test("a file that is open elsewhere is refused before anything is applied", { timeout: 60_000 }, async () => {
  const file = await withOneWorkshop();
  const migrations = await laterVersion('CREATE TABLE "Later" ("id" TEXT NOT NULL PRIMARY KEY);');
  const store = await openStore(file);
  await store.workshop.create({ data: { name: "another" } });
  await expect(migrate(file, { migrations })).rejects.toThrow("open in another process");
  await store.$disconnect();
  expect(await workshopsIn(file)).toEqual(["Quill Lane Workshop", "another"]);
});

test(`the last ${KEPT} backups are kept, each with what was in the write-ahead log`, async () => {
  const file = newFile();
  await migrate(file);
  const store = await openStore(file);
  const connection = connectTo(file);
  const copies: string[] = [];
  for (let i = 0; i < KEPT + 2; i++) {
    await store.workshop.create({ data: { name: `workshop ${i}` } });
    copies.push(await backUp(file, connection, new Date(Date.UTC(2027, 0, 1 + i))));
  }
  connection.close();
  await store.$disconnect();
  expect((await readdir(backupFolder(file))).sort()).toEqual(copies.slice(2).map((copy) => path.basename(copy)));
  expect(await workshopsIn(String(copies.at(-1)))).toHaveLength(KEPT + 2);
});

test("a backup that was cut short never stands under a backup's name, and goes when the next is made", async () => {
  const file = newFile();
  await migrate(file);
  const connection = connectTo(file);
  const seen: string[][] = [];
  const watched = {
    execute: async (statement: Parameters<typeof connection.execute>[0]) => {
      const done = await connection.execute(statement);
      seen.push(await readdir(backupFolder(file)));
      return done;
    },
  } as typeof connection;
  const before = path.join(backupFolder(file), "lastbolt-20270101T000000000Z.db.unfinished");
  await mkdir(path.dirname(before), { recursive: true });
  await writeFile(before, "SQLite format 3, and no more");
  const copy = await backUp(file, watched, new Date(Date.UTC(2027, 0, 2)));
  connection.close();
  expect(seen).toEqual([[`${path.basename(copy)}.unfinished`]]);
  expect(await readdir(backupFolder(file))).toEqual([path.basename(copy)]);
});
