/** Puts a backup back: proved first, then all of it or nothing. */
import { copyFile, link, mkdir, open, realpath, rm, stat } from "node:fs/promises";
import path from "node:path";
import { stampOf } from "../store/backup.ts";
import type { DatabaseState } from "../store/databaseState.ts";
import { lockData } from "../store/lock.ts";
import { asBackupFault, BackupFault } from "./backupFault.ts";
import { DATABASE, entryOf, type Following, hashed, kindOf, smallEntryOf } from "./backupFile.ts";
import { newerVersion, proveBackup } from "./backupProof.ts";
import { holds, manifestHolds, wrongBefore } from "./backupWords.ts";
import { finishRestore, stagingOf, swapIn } from "./restoreSwap.ts";

export interface Restored {
  /** What was put back, in words. */
  holds: string;
  /** Folder of what was there before; null where there was nothing. */
  aside: string | null;
  /** What was wrong with the backup already when it was made, and photographs that a database alone left nowhere to be found. */
  notes: string[];
}

const UNTOUCHED = "The data was not touched.";

/**
 * Restores a backup, or a database alone, into a data folder that no server uses. What was there is moved into
 * `before-restore-…` within it. A database alone brings no photographs: those that it names are taken from beside it,
 * and from the data folder.
 * Throws {@link BackupFault}, and DataInUse while a server runs; the data is then as it was.
 */
export async function restoreBackup(
  file: string,
  data: string,
  { signal, tell, now = new Date() }: Following & { now?: Date } = {},
): Promise<Restored> {
  const stamp = stampOf(now);
  const staging = stagingOf(data, stamp);
  await kindOf(file).catch((error: unknown) => {
    throw asBackupFault(error, file, UNTOUCHED);
  });
  try {
    const lock = await lockData(data);
    try {
      await finishRestore(data);
      const own = await realpath(path.join(data, DATABASE)).catch(() => null);
      if (own !== null && own === (await realpath(file)))
        throw new BackupFault("SAME_FILE", `${file} is the database of ${data} itself. ${UNTOUCHED}`);
      await mkdir(staging, { recursive: true });
      const restored = await staged(file, data, staging, { signal, tell });
      signal?.throwIfAborted();
      let step = 0;
      const aside = await swapIn(data, stamp, () => tell?.("Putting it in place", step++, 9));
      return { ...restored, aside };
    } finally {
      await rm(staging, { recursive: true, force: true }).catch(() => {});
      await lock.release();
    }
  } catch (error) {
    throw asBackupFault(error, data, UNTOUCHED);
  }
}

async function staged(file: string, data: string, staging: string, { signal, tell }: Following) {
  const { state, manifest, faults } = await proveBackup(file, staging, { photographs: true, signal, tell });
  if (faults.length > 0)
    throw new BackupFault("DAMAGED", `${file} is damaged, so it is not restored. ${UNTOUCHED}`, faults);
  const newer = await newerVersion(state);
  if (newer !== null) throw new BackupFault("NEWER_VERSION", `${file}: ${newer} ${UNTOUCHED}`);
  if (manifest !== null) return { holds: manifestHolds(manifest), notes: wrongBefore(manifest) };
  const { notes, bytes } = await gathered(state, [path.dirname(file), data], staging, { signal, tell });
  const { size } = await stat(path.join(staging, DATABASE));
  return { holds: holds(state.tables, state.shown.length, size + bytes), notes };
}

/** Brings the photographs that a database names into the staging folder, from wherever they lie whole. */
async function gathered(
  state: DatabaseState,
  folders: readonly string[],
  staging: string,
  { signal, tell }: Following,
) {
  const notes: string[] = [];
  const all = [...state.shown, ...state.recorded];
  let bytes = 0;
  let done = 0;
  const places = folders.flatMap((folder) => [folder, path.join(folder, "photographs", "bin")]);
  for (const hash of all) {
    tell?.("Gathering photographs", done++, all.length);
    for (const entry of [entryOf(hash), smallEntryOf(hash)]) {
      const from = await wholeAt(entry, entry === entryOf(hash) ? hash : null, places, signal);
      if (from === null) {
        notes.push(`${entry} is nowhere to be found whole.`);
        continue;
      }
      bytes += from.bytes;
      const to = path.join(staging, entry);
      await mkdir(path.dirname(to), { recursive: true });
      // A stored picture is never written again, so one file may stand in both folders.
      await link(from.file, to).catch(() => copyFile(from.file, to));
    }
  }
  tell?.("Gathering photographs", done, all.length);
  return { notes, bytes };
}

async function wholeAt(entry: string, hash: string | null, places: readonly string[], signal: AbortSignal | undefined) {
  for (const place of places) {
    const file = path.join(place, place.endsWith("bin") ? path.relative("photographs", entry) : entry);
    const handle = await open(file).catch(() => null);
    if (handle === null) continue;
    const { bytes, sha256 } = await hashed(handle.createReadStream(), null, signal);
    if (bytes > 0 && (hash === null || hash === sha256)) return { file, bytes };
  }
  return null;
}
