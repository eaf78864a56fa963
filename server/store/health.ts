/** Whether what is sent now could be kept: asked of the disk itself, so that it is true again as soon as the disk is. */
import { rm, writeFile } from "node:fs/promises";
import path from "node:path";
import { setTimeout as pause } from "node:timers/promises";
import type { Store } from "./client.ts";
import { CannotWrite, cannotWriteOf } from "./fault.ts";

/** What must find room: about as much as one change of a plan writes. */
const ROOM = Buffer.alloc(64 * 1024);

/** Milliseconds after which a database that does not answer is busy with somebody's writing, and so can be written. */
const BUSY_MS = 1_000;

/** Writes a file into a folder and takes it away again. Null where that works. */
export async function folderFault(folder: string): Promise<CannotWrite | null> {
  const trial = path.join(folder, `trial-${process.pid}.tmp`);
  try {
    await writeFile(trial, ROOM);
    return null;
  } catch (error) {
    return cannotWriteOf(error) ?? new CannotWrite("DISK_FAILED", error);
  } finally {
    await rm(trial, { force: true }).catch(() => {});
  }
}

/** Writes into the data folder, and begins a change of the database in which nothing is changed. Null where both work. */
export async function writeFault(store: Store, folder: string): Promise<CannotWrite | null> {
  const fault = await folderFault(folder);
  if (fault !== null) return fault;
  const begun = store
    .$transaction(async () => null)
    .catch((error: unknown) => cannotWriteOf(error) ?? new CannotWrite("DISK_FAILED", error));
  return Promise.race([begun, pause(BUSY_MS, null, { ref: false })]);
}
