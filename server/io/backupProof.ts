/** Proves a backup by reading all of it, before anything rests on it. */
import { copyFile } from "node:fs/promises";
import path from "node:path";
import { isThere } from "../store/backup.ts";
import { type DatabaseState, databaseState, foldLog } from "../store/databaseState.ts";
import { unknownMigrations } from "../store/migrate.ts";
import { BackupFault } from "./backupFault.ts";
import { DATABASE, entryOf, type Following, kindOf, type Manifest, readBackup, smallEntryOf } from "./backupFile.ts";

export interface Proof {
  state: DatabaseState;
  /** Null for a database alone, such as one that was kept before a migration. */
  manifest: Manifest | null;
  /** What is not as it must be, in words. */
  faults: string[];
}

/** A database of a newer version, in words; null where this version knows all that it has had. */
export async function newerVersion({ migrations }: DatabaseState): Promise<string | null> {
  const unknown = await unknownMigrations(migrations);
  return unknown.length === 0
    ? null
    : `It was written by a newer version: it has ${unknown.join(", ")}, which this version does not know.`;
}

/**
 * Unpacks a backup's database into a folder, and its photographs too where they are asked for, and compares all with its
 * manifest. Of a database alone it takes what stands in a write-ahead log beside it.
 * Throws {@link BackupFault} (NOT_A_BACKUP) for what is neither.
 */
export async function proveBackup(
  file: string,
  folder: string,
  { photographs, signal, tell }: Following & { photographs: boolean },
): Promise<Proof> {
  const database = path.join(folder, DATABASE);
  const kind = await kindOf(file);
  if (kind === "other") throw new BackupFault("NOT_A_BACKUP", `${file} is neither a backup nor a database.`);
  if (kind === "database") {
    await copyFile(file, database);
    if (await isThere(`${file}-wal`)) await copyFile(`${file}-wal`, `${database}-wal`);
    tell?.("Checking the database", 0, 1);
    const folded = await foldLog(database);
    const state = await databaseState(database, signal);
    return { state, manifest: null, faults: [...folded, ...state.faults] };
  }
  const into = (entry: string) => (photographs || entry === DATABASE ? path.join(folder, entry) : null);
  const { manifest, faults } = await readBackup(file, into, { signal, tell });
  // A damaged database is not read as one: its bytes are known to be wrong already.
  if (faults.length > 0) return { state: NOTHING_READ, manifest, faults };
  tell?.("Checking the database", 0, 1);
  const state = await databaseState(database, signal);
  return { state, manifest, faults: [...state.faults, ...otherThanSaid(state, manifest)] };
}

const NOTHING_READ: DatabaseState = { faults: [], migrations: [], tables: {}, shown: [], recorded: [] };

/** How a database differs from what its backup says of it, in words. */
function otherThanSaid(state: DatabaseState, manifest: Manifest): string[] {
  const faults: string[] = [];
  for (const table of new Set([...Object.keys(state.tables), ...Object.keys(manifest.tables)])) {
    const [found, said] = [state.tables[table], manifest.tables[table]];
    if (found !== said) faults.push(`${table} has ${found ?? "no"} rows, and ${said ?? "none"} were backed up.`);
  }
  if (state.migrations.join() !== manifest.migrations.join())
    faults.push("Its migrations are not those that it names.");
  const known = new Set([...Object.keys(manifest.files), ...manifest.missing]);
  for (const hash of [...state.shown, ...state.recorded])
    for (const entry of [entryOf(hash), smallEntryOf(hash)])
      if (!known.has(entry)) faults.push(`${entry} is named by its database and missing in it.`);
  return faults;
}
