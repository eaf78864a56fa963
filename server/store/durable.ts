/** Files that outlast a power cut: their content is on the disk, and their name too, before anybody is told that they are there. */
import { mkdir, open, rename } from "node:fs/promises";
import path from "node:path";

/** Waits until the content of a file is on the disk. */
export async function syncFile(file: string): Promise<void> {
  // Windows lets only a writer do this.
  const handle = await open(file, "r+");
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** Waits until the names in a folder are on the disk. Windows keeps them in a journal of its own and has no such wait. */
export async function syncFolder(folder: string): Promise<void> {
  if (process.platform === "win32") return;
  const handle = await open(folder, "r");
  try {
    await handle.sync();
  } finally {
    await handle.close();
  }
}

/** Gives a whole file its name, in place of what has the name now: whoever looks finds the old or the new one, after a power cut too. */
export async function putInPlace(whole: string, file: string): Promise<void> {
  await syncFile(whole);
  await rename(whole, file);
  await syncFolder(path.dirname(path.resolve(file)));
}

/** Makes a folder and those above it where they are not there, and waits until their names are on the disk. */
export async function makeFolder(folder: string): Promise<void> {
  const whole = path.resolve(folder);
  const first = await mkdir(whole, { recursive: true });
  if (first === undefined) return;
  for (let at = whole; at.length >= first.length; at = path.dirname(at)) await syncFolder(path.dirname(at));
}
