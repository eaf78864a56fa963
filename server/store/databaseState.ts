/** What a database file holds, and whether it is sound. */
import { type DatabaseThread, onThread } from "./databaseThread.ts";
import { APPLIED } from "./migrate.ts";
import { photographNames } from "./photographNames.ts";

export interface DatabaseState {
  /** In words, one a fault; empty where the file is sound. What stands below is then what could still be read. */
  faults: string[];
  /** Names of the migrations that it has had, oldest first. */
  migrations: string[];
  /** Rows of each table. */
  tables: Record<string, number>;
  /** Hashes of the photographs that rows name, sorted. */
  shown: string[];
  /** Hashes of those that the record of changes alone names, sorted. */
  recorded: string[];
}

/** Faults that are named one by one; more than these help nobody. */
const MOST_FAULTS = 100;

/** Reads a whole file in one snapshot, also while it is written to: every page, every reference, every table's count. */
export async function databaseState(file: string, signal?: AbortSignal): Promise<DatabaseState> {
  const state: DatabaseState = { faults: [], migrations: [], tables: {}, shown: [], recorded: [] };
  try {
    await onThread(file, { snapshot: true, signal }, (database) => read(database, state));
  } catch (error) {
    signal?.throwIfAborted();
    state.faults.push(`The database cannot be read: ${error instanceof Error ? error.message : String(error)}`);
  }
  return state;
}

async function read(database: DatabaseThread, state: DatabaseState): Promise<void> {
  const tables = await database.all(
    "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name",
  );
  for (const found of await database.all(`PRAGMA integrity_check(${MOST_FAULTS})`)) {
    const [said] = Object.values(found);
    if (said !== "ok") state.faults.push(`Integrity: ${said}`);
  }
  const loose = await database.all("PRAGMA foreign_key_check");
  for (const { table, rowid, parent } of loose.slice(0, MOST_FAULTS))
    state.faults.push(`Row ${rowid} of ${table} names a row of ${parent} that is not there.`);
  if (loose.length > MOST_FAULTS)
    state.faults.push(`${loose.length - MOST_FAULTS} more rows name rows that are not there.`);
  for (const { name } of tables) {
    const [row] = await database.all(`SELECT count(*) AS count FROM "${String(name).replaceAll('"', '""')}"`);
    state.tables[String(name)] = Number(row!["count"]);
  }
  if (!("_prisma_migrations" in state.tables)) {
    state.faults.push("It does not hold this program's tables.");
    return;
  }
  state.migrations = (await database.all(APPLIED)).map((row) => String(row["migration_name"]));
  const { shown, recorded } = await photographNames((sql, ...values) => database.all(sql, ...values));
  state.shown = [...shown].sort();
  state.recorded = [...recorded].sort();
}

/**
 * The first faults of a file's structure, quickly: every page is looked at, but not whether each index agrees with its
 * table. Empty where it is sound, and where there is no file or an empty one.
 */
export async function quickFaults(file: string): Promise<string[]> {
  try {
    const rows = await onThread(file, {}, (database) => database.all("PRAGMA quick_check(5)"));
    return rows.map((row) => String(Object.values(row)[0])).filter((said) => said !== "ok");
  } catch (error) {
    return [error instanceof Error ? error.message : String(error)];
  }
}

/** Copies a file into a new one, in one snapshot, with what stands in its write-ahead log. @throws DatabaseProblem */
export async function copyDatabase(file: string, copy: string, signal?: AbortSignal): Promise<void> {
  await onThread(file, { signal }, (database) => database.all("VACUUM INTO ?", copy));
}

/** Takes what stands in a write-ahead log beside a file into the file, and the log away. Returns what went wrong, in words. */
export async function foldLog(file: string): Promise<string[]> {
  try {
    await onThread(file, {}, (database) => database.all("PRAGMA journal_mode = DELETE"));
    return [];
  } catch (error) {
    return [`Its write-ahead log cannot be read: ${error instanceof Error ? error.message : String(error)}`];
  }
}
