/** What a server left when it was killed, looked at in a copy: whether it is whole, and whether all that it acknowledged is there. */
import { createHash } from "node:crypto";
import { copyFile, mkdtemp, readFile, rm, truncate } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import type { Client } from "@libsql/client";
import { fileOf, smallFileOf } from "../../server/io/photographFile.ts";
import { connectTo, isThere } from "../../server/store/backup.ts";
import { type Acknowledged, WRITTEN } from "./faultWriters.ts";

export interface Found {
  /** What was acknowledged and is not there. */
  lost: string[];
  /** What is not whole. */
  broken: string[];
  /** Ids of the journal's entries, the restorations' and the club's, each in the order in which they were written. */
  journal: [string[], string[]];
}

/** A copy of the database as it lies there, with its write-ahead log, up to `logBytes` of that; it is gone after `use`. */
export async function inCopy<T>(data: string, use: (file: string) => Promise<T>, logBytes?: number): Promise<T> {
  const folder = await mkdtemp(path.join(tmpdir(), "lastbolt-copy-"));
  const file = path.join(folder, "lastbolt.db");
  const from = path.join(data, "lastbolt.db");
  try {
    await copyFile(from, file);
    if (await isThere(`${from}-wal`)) await copyFile(`${from}-wal`, `${file}-wal`);
    if (logBytes !== undefined) await truncate(`${file}-wal`, logBytes);
    return await use(file);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

/** Where SQLite keeps, in the index of the log, up to which frame the log has been moved into the file (WalCkptInfo). */
const MOVED_AT = 128;
const LOG_HEAD = 32;
const FRAME_HEAD = 24;

/**
 * The part of the log, in bytes, that a power cut could take: what has been moved into the file was on the disk before it
 * moved (SQLite syncs the log first), so a log cut before there is a damaged disk and no cut.
 */
export async function looseLog(data: string): Promise<{ from: number; to: number }> {
  const database = path.join(data, "lastbolt.db");
  const [log, index] = await Promise.all([readFile(`${database}-wal`), readFile(`${database}-shm`)]).catch(() => []);
  if (!log || !index || log.length < LOG_HEAD) return { from: 0, to: 0 };
  const page = log.readUInt32BE(8);
  const moved = index.length > MOVED_AT + 4 ? index.readUInt32LE(MOVED_AT) : 0;
  return { from: Math.min(log.length, LOG_HEAD + moved * (FRAME_HEAD + page)), to: log.length };
}

/** Looks at a copy of a database whose photographs lie in `data`. Only what one of `acknowledged` says must be there. */
export async function lookAt(file: string, data: string, acknowledged: Iterable<Acknowledged>): Promise<Found> {
  const connection = connectTo(file);
  try {
    const broken = await faultsOf(connection);
    const [changes, clubChanges] = [await journalOf(connection, "Change"), await journalOf(connection, "ClubChange")];
    const recorded = new Map([...changes, ...clubChanges]);
    const rows = new Map<string, { table: string; notes: unknown }>();
    for (const table of WRITTEN) {
      const columns = table === "Photograph" ? `"id", NULL AS "notes"` : `"id", "notes"`;
      for (const row of (await connection.execute(`SELECT ${columns} FROM "${table}"`)).rows)
        rows.set(String(row["id"]), { table, notes: row["notes"] });
    }
    const named = new Set([...recorded.values()].flatMap((entry) => entry.match(/[a-z0-9]{25}/g) ?? []));
    for (const [id, { table, notes }] of rows)
      if (/^written |^null$/.test(String(notes)) && !named.has(id))
        broken.push(`${table} ${id} has no entry in the journal`);
    const lost: string[] = [];
    for (const { table, id, change, notes, sent } of acknowledged) {
      const row = rows.get(id);
      if (row === undefined) lost.push(`${table} ${id}`);
      else if (row.notes !== notes && row.notes !== sent) lost.push(`${table} ${id}: ${notes}`);
      else if (!recorded.get(change)?.includes(id)) broken.push(`${table} ${id} has no entry in the journal`);
    }
    broken.push(...(await brokenPictures(connection, path.join(data, "photographs"))));
    return { lost, broken, journal: [[...changes.keys()], [...clubChanges.keys()]] };
  } finally {
    connection.close();
  }
}

async function faultsOf(connection: Client): Promise<string[]> {
  const { rows: integrity } = await connection.execute("PRAGMA integrity_check");
  const { rows: keys } = await connection.execute("PRAGMA foreign_key_check");
  return [
    ...integrity.map((row) => String(row["integrity_check"])).filter((said) => said !== "ok"),
    ...keys.map((row) => `${row["table"]} ${row["rowid"]} names a ${row["parent"]} that is not there`),
  ];
}

/** What each entry says, by its id, in the order in which they were written. */
async function journalOf(connection: Client, table: string): Promise<Map<string, string>> {
  const { rows } = await connection.execute(`SELECT "id", "rows" FROM "${table}" ORDER BY rowid`);
  return new Map(rows.map((row) => [String(row["id"]), String(row["rows"])]));
}

async function brokenPictures(connection: Client, folder: string): Promise<string[]> {
  const broken: string[] = [];
  for (const { hash } of (await connection.execute('SELECT DISTINCT "hash" FROM "Photograph"')).rows) {
    const name = String(hash);
    const full = await readFile(fileOf(folder, name)).catch(() => Buffer.alloc(0));
    const small = await readFile(smallFileOf(folder, name)).catch(() => Buffer.alloc(0));
    if (createHash("sha256").update(full).digest("hex") !== name || small.length === 0)
      broken.push(`the file of photograph ${name} is not whole`);
  }
  return broken;
}
