/**
 * The last step of a restore: what was put back and proved takes the place of what lies in the data folder. Only one
 * rename decides; what follows it is finished by whoever comes next, so that a kill at any moment leaves the old data
 * or the new, and never some of both.
 */
import { mkdir, open, readdir, rename, rm } from "node:fs/promises";
import path from "node:path";
import { isThere } from "../store/backup.ts";
import { BackupFault } from "./backupFault.ts";
import { DATABASE } from "./backupFile.ts";

/** Folders within the data folder, by the moment of the restore: not proved yet, proved, and what was there before. */
export const stagingOf = (data: string, stamp: string): string => path.join(data, `restoring-${stamp}`);
const provedOf = (data: string, stamp: string): string => path.join(data, `restored-${stamp}`);
export const asideOf = (data: string, stamp: string): string => path.join(data, `before-restore-${stamp}`);

const PHOTOGRAPHS = "photographs";

async function stampsOf(data: string, kind: "restoring" | "restored"): Promise<string[]> {
  const names = await readdir(data).catch(() => []);
  return names.filter((name) => name.startsWith(`${kind}-`)).map((name) => name.slice(kind.length + 1));
}

/** The stamp of a restore that decided and was not finished; null where there is none. */
export const pendingRestore = async (data: string): Promise<string | null> =>
  (await stampsOf(data, "restored"))[0] ?? null;

/** What was written is on the disk before what rests on it is. */
async function settle(folder: string): Promise<void> {
  // Some systems open no folders; there the rename alone has to do.
  const handle = await open(folder).catch(() => null);
  await handle?.sync().catch(() => {});
  await handle?.close();
}

async function moveIfThere(from: string, to: string): Promise<boolean> {
  if (!(await isThere(from))) return false;
  await mkdir(path.dirname(to), { recursive: true });
  await rename(from, to);
  return true;
}

/** Decides for what stands proved in the staging folder, and puts it in place. Returns the folder of what was there before. */
export async function swapIn(data: string, stamp: string, tell: () => void): Promise<string | null> {
  await mkdir(path.join(stagingOf(data, stamp), PHOTOGRAPHS), { recursive: true });
  await settle(stagingOf(data, stamp));
  tell();
  await rename(stagingOf(data, stamp), provedOf(data, stamp));
  await settle(data);
  tell();
  try {
    return await finish(data, stamp, tell);
  } catch (error) {
    throw new BackupFault(
      "NOT_WRITABLE",
      `The backup is whole and decided for, but could not be put in place (${(error as Error).message}). The next start of the server, or the next restore, does that.`,
    );
  }
}

/** Each step can be done again: whatever still lies with the proved data has not taken its place, so what stands there is old. */
async function finish(data: string, stamp: string, tell: () => void): Promise<string | null> {
  const proved = provedOf(data, stamp);
  const aside = asideOf(data, stamp);
  const [newDatabase, newPhotographs] = [DATABASE, PHOTOGRAPHS].map((name) => path.join(proved, name)) as [
    string,
    string,
  ];
  if (await isThere(newDatabase)) {
    // The log goes with the database it belongs to: beside another one it would be read into that.
    for (const end of ["", "-wal", "-shm", "-journal"]) {
      await moveIfThere(path.join(data, DATABASE + end), path.join(aside, DATABASE + end));
      tell();
    }
    if (await isThere(newPhotographs)) {
      await moveIfThere(path.join(data, PHOTOGRAPHS), path.join(aside, PHOTOGRAPHS));
      tell();
      await rename(newPhotographs, path.join(data, PHOTOGRAPHS));
      tell();
    }
    await rename(newDatabase, path.join(data, DATABASE));
    await settle(data);
    tell();
  }
  await rm(proved, { recursive: true, force: true });
  return (await isThere(aside)) ? aside : null;
}

/**
 * At start, and before a restore: finishes one that had decided, and takes away what one left that had not. Only while
 * this process has the data folder. Returns what to tell, or null.
 */
export async function finishRestore(data: string): Promise<string | null> {
  for (const stamp of await stampsOf(data, "restoring"))
    await rm(stagingOf(data, stamp), { recursive: true, force: true });
  const stamp = await pendingRestore(data);
  if (stamp === null) return null;
  const aside = await finish(data, stamp, () => {});
  return `A restore that was stopped at its last step is finished.${aside === null ? "" : ` What was there before is in ${aside}.`}`;
}
