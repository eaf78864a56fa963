/** Files for an import, written out in a test. */
import { strToU8, zipSync } from "fflate";
import type { FileSet } from "../../server/io/folder.ts";
import { nothingHeld } from "../../server/io/held.ts";
import { type Merged, merge } from "../../server/io/merge.ts";
import { readFiles } from "../../server/io/read.ts";

export type Files = Record<string, string | Uint8Array>;

/** The least there is a plan of: two operations, one after the other. */
export const LEAST: Files = {
  "operations.csv": "operation,hours_likely\nSTRIP,8\nFIT,16\n",
  "links.csv": "before,after\nSTRIP,FIT\n",
};

export const fileSet = (files: Files): FileSet => ({
  files: new Map(
    Object.entries(files).map(([name, content]) => [name, typeof content === "string" ? strToU8(content) : content]),
  ),
  notices: [],
});

export const zip = (files: Files): Uint8Array =>
  zipSync(
    Object.fromEntries(
      Object.entries(files).map(([name, content]) => [name, typeof content === "string" ? strToU8(content) : content]),
    ),
  );

/** What files give when they are read as a new restoration, without a store. */
export const readNew = async (files: Files): Promise<Merged> =>
  merge(await readFiles(fileSet({ ...LEAST, ...files }), true), nothingHeld());

/** The faults of such files. */
export const faultsOf = async (files: Files) => (await readNew(files)).faults.list;
