/** Copies of the database file, made before anything changes its tables. */
import { access, readdir, rm } from "node:fs/promises";
import path from "node:path";
import { type Client, createClient } from "@libsql/client";
import { fileUrl } from "./client.ts";
import { makeFolder, putInPlace } from "./durable.ts";

/** How many backups of a file are kept; older ones are removed. */
export const KEPT = 10;

/** A moment as it stands in the names of files: UTC, to the millisecond. */
export const stampOf = (now: Date): string => now.toISOString().replace(/[-:.]/g, "");

const UNFINISHED = ".unfinished";

const STAMP = /-\d{8}T\d{9}Z\.db$/;

/** Folder of a database file's backups. */
export const backupFolder = (file: string): string => path.join(path.dirname(path.resolve(file)), "backups");

/** True when there is such a file. */
export const isThere = (file: string): Promise<boolean> =>
  access(file).then(
    () => true,
    () => false,
  );

/** A connection to a database file outside the store, for work on the file as a whole; it waits so many milliseconds for another. */
export const connectTo = (file: string, waitMs = 5_000): Client =>
  createClient({ url: fileUrl(file), timeout: waitMs });

/**
 * Writes a consistent copy of the database beside it, in `backups/`, named by the moment it was made (UTC, to the
 * millisecond). What stands in the write-ahead log is in the copy too. Returns the path of the copy.
 */
export async function backUp(file: string, connection: Client, now: Date = new Date()): Promise<string> {
  const folder = backupFolder(file);
  const name = path.basename(file, path.extname(file));
  const copy = path.join(folder, `${name}-${stampOf(now)}.db`);
  await makeFolder(folder);
  // It has its name only once it is whole and on the disk: a copy cut short is never taken for one.
  const unfinished = `${copy}${UNFINISHED}`;
  await removeUnfinished(folder, name);
  await connection.execute({ sql: "VACUUM INTO ?", args: [unfinished] });
  await putInPlace(unfinished, copy);
  await removeOld(folder, name);
  return copy;
}

/** What a copy begun before was cut short at. */
async function removeUnfinished(folder: string, name: string): Promise<void> {
  for (const file of await readdir(folder))
    if (file.startsWith(`${name}-`) && file.includes(`.db${UNFINISHED}`))
      await rm(path.join(folder, file), { force: true });
}

async function removeOld(folder: string, name: string): Promise<void> {
  const copies = (await readdir(folder)).filter((f) => f.startsWith(`${name}-`) && STAMP.test(f)).sort();
  for (const old of copies.slice(0, -KEPT)) await rm(path.join(folder, old), { force: true });
}
