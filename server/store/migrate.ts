/** Brings a database file to the tables this version of the program needs. */
import { copyFile, mkdir, readdir, readFile, rm, stat } from "node:fs/promises";
import path from "node:path";
import type { Client } from "@libsql/client";
import type { MigrationList } from "@prisma/schema-engine-wasm";
import { backUp, connectTo, isThere } from "./backup.ts";
import { openStore, type Store } from "./client.ts";
import { putInPlace } from "./durable.ts";
import { filters, prismaFolder, schemaFiles, withSchemaEngine } from "./schemaEngine.ts";

export interface MigrateOptions {
  /** Folder of the migrations; the program's own when absent. */
  migrations?: string;
  /** Told each step that matters to somebody who may need the backup. */
  log?: (line: string) => void;
  /** Writes the rows with which a database begins; called where migrations were applied, or rows of it are missing. */
  fill?: (store: Store) => Promise<void>;
}

export interface Migrated {
  /** Names of the migrations applied now, oldest first. */
  applied: string[];
  /** The copy made before, when there was a file with tables to copy. */
  backup?: string;
}

/** The database could not be brought up to date. The message says what became of the file. */
export class MigrationFailed extends Error {
  readonly code = "MIGRATION_FAILED";
  override readonly name = "MigrationFailed";
}

const ownMigrations = path.join(prismaFolder, "migrations");

/** The migrations that a file has had, oldest first. */
export const APPLIED =
  "SELECT migration_name FROM _prisma_migrations WHERE finished_at IS NOT NULL AND rolled_back_at IS NULL ORDER BY started_at, migration_name";

/** Of the migrations that a file has had, those that this version of the program does not know: a newer one wrote it. */
export async function unknownMigrations(had: readonly string[], migrations: string = ownMigrations): Promise<string[]> {
  const known = await migrationNames(migrations);
  return had.filter((name) => !known.includes(name));
}

/**
 * Applies the migrations that the file has not had, in order of their names; makes the file when there
 * is none, and fills it while nothing but the demo is in it. A file with tables is backed up first, and all is done to a copy that takes the file's place only when it is
 * whole, so neither a failure, a kill nor a power cut leaves a file half changed or half filled. What an earlier run
 * left unfinished is removed. Whoever calls this has the folder to itself (lock.ts). Throws {@link MigrationFailed}.
 */
export async function migrate(file: string, options: MigrateOptions = {}): Promise<Migrated> {
  const { migrations = ownMigrations, log = () => {}, fill } = options;
  for (const unfinished of [copyOf(file), wholeOf(file)]) await removeDatabase(unfinished);
  const known = await migrationNames(migrations);
  // One connection for all that is done to the old file: libsql lets go of a closed one only some time later.
  const existing = (await holdsSomething(file)) ? connectTo(file) : undefined;
  if (existing === undefined && (await holdsSomething(`${file}-wal`)))
    throw new MigrationFailed(
      `${file} is not there, but its write-ahead log is, and it may hold changes. Put the file back beside it, or move ${file}-wal away to begin with an empty one. Nothing was touched.`,
    );
  try {
    const had = existing === undefined ? [] : await appliedTo(file, existing);
    const unknown = await unknownMigrations(had, migrations);
    if (unknown.length > 0) {
      throw new MigrationFailed(
        `${file} was written by a newer version: it has ${unknown.join(", ")}, which this version does not know. It was not touched.`,
      );
    }
    const pending = known.filter((name) => !had.includes(name));
    if (pending.length === 0 && (fill === undefined || !(await isUnfilled(existing!)))) return { applied: [] };

    let backup: string | undefined;
    if (existing !== undefined) {
      backup = await backUp(file, existing);
      log(`Backup of the database before ${pending.join(", ") || "it is filled"}: ${backup}`);
      await takeAlone(file, existing);
    }
    await applyToCopy(file, backup, await migrationList(migrations), fill);
    log(`Database brought up to date${pending.length === 0 ? "" : `: ${pending.join(", ")}`}`);
    return backup === undefined ? { applied: pending } : { applied: pending, backup };
  } finally {
    existing?.close();
  }
}

const copyOf = (file: string): string => `${file}.migrating`;
const wholeOf = (file: string): string => `${file}.migrated`;

/** Applies the migrations to a copy of the backup (to a new file when there is none), fills it where it is unfilled, and puts it in the file's place. */
async function applyToCopy(
  file: string,
  backup: string | undefined,
  migrationsList: MigrationList,
  fill: MigrateOptions["fill"],
): Promise<void> {
  const work = copyOf(file);
  const whole = wholeOf(file);
  await mkdir(path.dirname(path.resolve(file)), { recursive: true });
  try {
    if (backup !== undefined) await copyFile(backup, work);
    await withSchemaEngine(work, (engine) => engine.applyMigrations({ migrationsList, filters }));
    if (fill !== undefined && (await isUnfilledFile(work))) await filled(work, fill);
    // Closed connections let go of a file only some time later; the one that takes the place was never opened by any.
    const connection = connectTo(work);
    await connection.execute({ sql: "VACUUM INTO ?", args: [whole] }).finally(() => connection.close());
    await putInPlace(whole, file);
  } catch (error) {
    const kept =
      backup === undefined ? "No database was made." : `The database is as it was before; its backup is ${backup}.`;
    throw new MigrationFailed(`The database could not be brought up to date. ${kept}\n${messageOf(error)}`, {
      cause: error,
    });
  } finally {
    for (const unfinished of [work, whole]) await removeDatabase(unfinished);
  }
}

async function filled(file: string, fill: (store: Store) => Promise<void>): Promise<void> {
  const store = await openStore(file);
  await fill(store).finally(() => store.$disconnect());
}

async function isUnfilledFile(file: string): Promise<boolean> {
  const connection = connectTo(file);
  return isUnfilled(connection).finally(() => connection.close());
}

/** True where there is no workshop yet, or only a demo whose club has yet to come. */
async function isUnfilled(connection: Client): Promise<boolean> {
  const { rows } = await connection.execute(
    'SELECT 1 FROM "Workshop" WHERE NOT "demo" OR EXISTS (SELECT 1 FROM "Club") LIMIT 1',
  );
  return rows.length === 0;
}

/**
 * The SQL that leads from the migrations' tables to those of schema.prisma; null when they agree.
 * `scratch` is a file that may be written and is removed afterwards.
 */
export async function schemaDrift(scratch: string, migrations: string = ownMigrations): Promise<string | null> {
  const list = await migrationList(migrations);
  const files = await schemaFiles();
  await removeDatabase(scratch);
  try {
    const { stdout } = await withSchemaEngine(scratch, async (engine) => {
      await engine.applyMigrations({ migrationsList: list, filters });
      return engine.diff({
        from: { tag: "schemaDatasource", configDir: prismaFolder, files },
        to: { tag: "schemaDatamodel", files },
        script: true,
        exitCode: null,
        filters,
      });
    });
    return stdout === null || stdout.trim() === "" || stdout.includes("This is an empty migration") ? null : stdout;
  } finally {
    await removeDatabase(scratch);
  }
}

async function migrationNames(folder: string): Promise<string[]> {
  if (!(await isThere(folder))) return [];
  const entries = await readdir(folder, { withFileTypes: true });
  return entries
    .filter((e) => e.isDirectory())
    .map((e) => e.name)
    .sort();
}

async function migrationList(folder: string): Promise<MigrationList> {
  const lock = path.join(folder, "migration_lock.toml");
  const content = (await isThere(lock)) ? await readFile(lock, "utf8") : null;
  const migrationDirectories = [];
  for (const name of await migrationNames(folder)) {
    const value = await readFile(path.join(folder, name, "migration.sql"), "utf8");
    migrationDirectories.push({
      path: name,
      migrationFile: { path: "migration.sql", content: { tag: "ok" as const, value } },
    });
  }
  return {
    baseDir: folder,
    lockfile: { path: "migration_lock.toml", content },
    shadowDbInitScript: "",
    migrationDirectories,
  };
}

async function holdsSomething(file: string): Promise<boolean> {
  return (await isThere(file)) && (await stat(file)).size > 0;
}

/** Names of the migrations a file has had. */
async function appliedTo(file: string, connection: Client): Promise<string[]> {
  try {
    const tables = await connection.execute("SELECT name FROM sqlite_schema WHERE type = 'table'");
    if (tables.rows.length === 0) return [];
    if (!tables.rows.some((row) => row["name"] === "_prisma_migrations"))
      throw new Error("it holds the tables of another program");
    const { rows } = await connection.execute(APPLIED);
    return rows.map((row) => String(row["migration_name"]));
  } catch (error) {
    throw new MigrationFailed(`${file} cannot be used as the database: ${messageOf(error)}. It was not touched.`, {
      cause: error,
    });
  }
}

/** Moves the log into the file and takes it away, which works only while no other process has the database open. */
async function takeAlone(file: string, connection: Client): Promise<void> {
  try {
    await connection.execute("PRAGMA journal_mode = DELETE");
  } catch (error) {
    throw new MigrationFailed(
      `${file} must be brought up to date, but it is open in another process. Stop that and start again. It was not touched.`,
      { cause: error },
    );
  }
}

async function removeDatabase(file: string): Promise<void> {
  for (const end of ["", "-wal", "-shm", "-journal"]) await rm(file + end, { force: true });
}

const messageOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));
