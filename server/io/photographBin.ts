/**
 * Photographs that nothing names any more. The database may be an older one, put back for an hour: so their files go to a
 * bin, come back when a row names them again, and are deleted only after they have lain there for long.
 */
import { mkdir, readdir, rename, rm, stat, utimes } from "node:fs/promises";
import path from "node:path";
import type { Store } from "../store/client.ts";
import { photographNames } from "../store/photographNames.ts";
import { binOf, fileOf } from "./photographFile.ts";

/** Days that a file lies in the bin, counted from the moment when it was moved there. */
export const BIN_DAYS = 30;
const DAY = 86_400_000;

export interface Tidied {
  /** Files moved to the bin now. */
  binned: number;
  /** Files that came back, as the database names them again. */
  back: number;
  /** Files deleted: never finished, or in the bin for longer than {@link BIN_DAYS}. */
  deleted: number;
}

interface Found {
  file: string;
  /** Null for a file that was never finished. */
  hash: string | null;
  /** Name in its folder. */
  name: string;
}

/** The files of photographs in a folder or its bin, and nothing else that lies there. */
async function* filesIn(folder: string): AsyncGenerator<Found> {
  for (const below of await readdir(folder).catch(() => [])) {
    if (!/^[0-9a-f]{2}$/.test(below)) continue;
    for (const name of await readdir(path.join(folder, below))) {
      const hash = /^([0-9a-f]{64})(\.small)?$/.exec(name)?.[1] ?? null;
      if (hash === null && !/^[0-9a-f]{64}\./.test(name)) continue;
      yield { file: path.join(folder, below, name), hash, name };
    }
  }
}

/**
 * Brings back from the bin what a row or the record of changes names, moves there what neither names, and deletes what has
 * lain there too long and files that were never finished. Only while nothing is being stored: at start.
 */
export async function tidyPhotographs(store: Store, folder: string, now: Date = new Date()): Promise<Tidied> {
  const { shown, recorded } = await photographNames((sql, ...values) => store.$queryRawUnsafe(sql, ...values));
  const isNamed = (hash: string): boolean => shown.has(hash) || recorded.has(hash);
  const bin = binOf(folder);
  const tidied: Tidied = { binned: 0, back: 0, deleted: 0 };
  const move = async ({ file, hash, name }: Found, to: string): Promise<void> => {
    const place = path.join(path.dirname(fileOf(to, hash!)), name);
    await mkdir(path.dirname(place), { recursive: true });
    await rename(file, place);
  };
  for await (const found of filesIn(bin)) {
    if (found.hash !== null && isNamed(found.hash)) {
      await move(found, folder);
      tidied.back++;
    } else if (now.getTime() - (await stat(found.file)).mtimeMs > BIN_DAYS * DAY) {
      await rm(found.file);
      tidied.deleted++;
    }
  }
  for await (const found of filesIn(folder)) {
    if (found.hash === null) {
      await rm(found.file);
      tidied.deleted++;
    } else if (!isNamed(found.hash)) {
      // Marked first: moved without its mark, it could be deleted at the next start.
      await utimes(found.file, now, now);
      await move(found, bin);
      tidied.binned++;
    }
  }
  return tidied;
}
