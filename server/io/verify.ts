/** Looks whether a data folder, or a backup, is whole. Nothing of either is changed. */
import { mkdtemp, open, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { isThere } from "../store/backup.ts";
import { type DatabaseState, databaseState } from "../store/databaseState.ts";
import { asBackupFault, BackupFault } from "./backupFault.ts";
import { DATABASE, entryOf, type Following, hashed, smallEntryOf } from "./backupFile.ts";
import { newerVersion, proveBackup } from "./backupProof.ts";
import { holds, manifestHolds, wrongBefore } from "./backupWords.ts";
import { pendingRestore } from "./restoreSwap.ts";

export interface Verified {
  /** What it holds, in words. */
  holds: string;
  /** Each fault, in words; empty where all is well. */
  faults: string[];
}

const UNCHANGED = "Nothing was changed.";

/** Checks a data folder in one snapshot, also while the server runs. @throws BackupFault where there is nothing to check */
export async function verifyData(data: string, { signal, tell }: Following = {}): Promise<Verified> {
  const file = path.join(data, DATABASE);
  if ((await pendingRestore(data)) !== null)
    throw new BackupFault(
      "MISSING",
      `A restore of ${data} was stopped at its last step. Start the server, or restore again: either finishes it.`,
    );
  if (!(await isThere(file))) throw new BackupFault("MISSING", `There is no database in ${data}.`);
  try {
    tell?.("Checking the database", 0, 1);
    const state = await databaseState(file, signal);
    const newer = await newerVersion(state);
    const photographs = await photographFaults(state, data, { signal, tell });
    return {
      holds: holds(state.tables, state.shown.length, (await stat(file)).size + photographs.bytes),
      faults: [...state.faults, ...(newer === null ? [] : [newer]), ...photographs.faults],
    };
  } catch (error) {
    throw asBackupFault(error, data, UNCHANGED);
  }
}

/** Looks at every photograph that the database names, by its bytes. `bytes` is how many lie there. */
async function photographFaults({ shown, recorded }: DatabaseState, data: string, { signal, tell }: Following) {
  const faults: string[] = [];
  let bytes = 0;
  let done = 0;
  const total = shown.length + recorded.length;
  const look = async (hash: string, why: string): Promise<void> => {
    tell?.("Checking photographs", done++, total);
    for (const entry of [entryOf(hash), smallEntryOf(hash)]) {
      const handle = await open(path.join(data, entry)).catch(noFile);
      if (handle === null) {
        const binned = await isThere(path.join(data, entry.replace(/^photographs/, "photographs/bin")));
        faults.push(`${entry}${why} ${binned ? "is in the bin: starting the server brings it back" : "is missing"}.`);
        continue;
      }
      const found = await hashed(handle.createReadStream(), null, signal);
      bytes += found.bytes;
      if (entry === entryOf(hash) && found.sha256 !== hash) faults.push(`${entry}${why} is not the picture it was.`);
      else if (found.bytes === 0) faults.push(`${entry}${why} is empty.`);
    }
  };
  for (const hash of shown) await look(hash, "");
  for (const hash of recorded) await look(hash, ", which undo may bring back,");
  tell?.("Checking photographs", done, total);
  return { faults, bytes };
}

const noFile = (error: NodeJS.ErrnoException): null => {
  if (error.code === "ENOENT") return null;
  throw error;
};

/** Checks a backup, or a database alone, by reading all of it. @throws BackupFault where it is neither */
export async function verifyFile(file: string, { signal, tell }: Following = {}): Promise<Verified> {
  const scratch = await mkdtemp(path.join(tmpdir(), "lastbolt-verify-"));
  try {
    const { state, manifest, faults } = await proveBackup(file, scratch, { photographs: false, signal, tell });
    const newer = await newerVersion(state);
    return {
      holds:
        manifest === null
          ? `${holds(state.tables, 0, (await stat(file)).size)}; only a database, without photographs`
          : `${manifestHolds(manifest)}, made ${manifest.madeAt}`,
      faults: [...faults, ...(newer === null ? [] : [newer]), ...(manifest === null ? [] : wrongBefore(manifest))],
    };
  } catch (error) {
    throw asBackupFault(error, file, UNCHANGED);
  } finally {
    await rm(scratch, { recursive: true, force: true });
  }
}
