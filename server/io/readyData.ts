/** What is looked after in the data folder before the database is opened: a restore that was stopped, and whether the database is sound. */
import { readdir, stat } from "node:fs/promises";
import path from "node:path";
import { backupFolder } from "../store/backup.ts";
import { quickFaults } from "../store/databaseState.ts";
import { BackupFault } from "./backupFault.ts";
import { DATABASE } from "./backupFile.ts";
import { counted } from "./backupWords.ts";
import { backupsIn } from "./nightlyBackups.ts";
import { finishRestore } from "./restoreSwap.ts";

/** Milliseconds past which the log says how long the check took. */
const LONG_MS = 500;

/**
 * Finishes a restore that was stopped, and checks the structure of the database. Only while this process has the folder.
 * Throws {@link BackupFault} (DAMAGED) that names the way back.
 */
export async function readyData(data: string, log: (line: string) => void): Promise<void> {
  const finished = await finishRestore(data);
  if (finished !== null) log(finished);
  const file = path.join(data, DATABASE);
  const size = await stat(file).then(
    (found) => found.size,
    () => 0,
  );
  if (size === 0) return;
  const begun = performance.now();
  const faults = await quickFaults(file);
  const took = performance.now() - begun;
  if (faults.length > 0) {
    const [first = "", ...more] = faults;
    const said = `${first}${more.length > 0 ? " (and more)" : ""}`;
    throw new BackupFault(
      "DAMAGED",
      `The database ${file} is damaged: ${said}\nIt was not touched. ${await wayBack(data)}`,
      faults,
    );
  }
  if (took > LONG_MS) log(`The database was checked in ${(took / 1000).toFixed(1)} seconds.`);
}

/** Which backup is the newest, and the command that brings it back. */
async function wayBack(data: string): Promise<string> {
  const folder = backupFolder(path.join(data, DATABASE));
  const restore = (name: string) => `npm run -s restore -- ${path.join(folder, name)}`;
  const [newest] = await backupsIn(data);
  if (newest !== undefined)
    return `The newest backup is of ${newest.madeAt.toLocaleString("en-GB")}, with ${counted(newest.photographs, "photograph")}. This puts it back, and moves what is there aside:\n${restore(newest.name)}`;
  const kept = (await readdir(folder).catch(() => [])).filter((name) => name.endsWith(".db")).sort();
  const last = kept.at(-1);
  if (last !== undefined)
    return `There is no nightly backup, but the database as it was kept before it was last brought up to date. This puts that back, and moves what is there aside:\n${restore(last)}`;
  return `There is no backup in ${folder}. Where you have one elsewhere, npm run -s restore -- FILE puts it back; npm run -s verify names every fault.`;
}
