/** The set of files to be read: from a folder on this machine, or from a zip. */
import { readdir, readFile, stat } from "node:fs/promises";
import path from "node:path";
import { type Fault, InvalidInput } from "../store/fault.ts";
import { EARLIER_FILES, FILE_NAMES } from "./columns.ts";
import { openZip, ZIP_LIMITS } from "./zip.ts";

export interface FileSet {
  /** Bytes by file name in lower case; only names of {@link FILE_NAMES}. */
  files: Map<string, Uint8Array>;
  /** Files that were left alone. */
  notices: Fault[];
  /** By file and heading, the column that somebody says it is; "" where it is to be left alone. */
  columns?: Readonly<Record<string, Readonly<Record<string, string>>>>;
}

const fileName = (name: string): string => name.slice(name.lastIndexOf("/") + 1).toLowerCase();
const folderOf = (name: string): string => name.slice(0, name.lastIndexOf("/") + 1);
const READ: ReadonlySet<string> = new Set([...FILE_NAMES, ...Object.values(EARLIER_FILES)]);
const isKnown = (name: string): boolean => READ.has(fileName(name)) && !name.startsWith("__MACOSX/");
/** What operating systems leave in folders of their own accord. */
const isLitter = (name: string): boolean =>
  name.startsWith("__MACOSX/") ||
  fileName(name).startsWith(".") ||
  ["thumbs.db", "desktop.ini"].includes(fileName(name));

const leftAlone = (name: string): Fault => ({
  code: "UNUSED_COLUMN",
  file: name.slice(0, 200),
  message: `${name.slice(0, 200)} is not one of the files that are read. It was left alone.`,
});

/** Reads a folder. @throws InvalidInput MISSING_FILE where there is no such folder, TOO_LARGE over 10 MiB a file */
export async function readFolder(folder: string): Promise<FileSet> {
  let names: string[];
  try {
    names = (await readdir(folder)).sort();
  } catch {
    throw new InvalidInput([
      { code: "MISSING_FILE", file: folder, message: "There is no such folder, or it cannot be read." },
    ]);
  }
  const set: FileSet = { files: new Map(), notices: [] };
  for (const name of names) {
    const file = path.join(folder, name);
    const found = await stat(file).catch(() => null);
    if (!found?.isFile() || isLitter(name)) continue;
    if (!isKnown(name)) {
      set.notices.push(leftAlone(name));
      continue;
    }
    if (found.size > ZIP_LIMITS.csv)
      throw new InvalidInput([
        { code: "TOO_LARGE", file: name, message: `${name} is larger than 10 MiB. Nothing was read.` },
      ]);
    add(set, name, await readFile(file));
  }
  return set;
}

/** Reads a zip whose files stand at its top or all in one folder. @throws InvalidInput as {@link openZip} */
export async function readZip(bytes: Uint8Array): Promise<FileSet> {
  const { files, others } = await openZip(bytes, isKnown);
  const folders = new Set(files.map((file) => folderOf(file.path)));
  if (folders.size > 1)
    throw new InvalidInput([
      {
        code: "DUPLICATE",
        message: `The zip holds files to read in more than one folder (${[...folders]
          .map((f) => f || "its top")
          .join(", ")
          .slice(0, 200)}). Put them in one.`,
      },
    ]);
  if (files.length === 0)
    throw new InvalidInput([
      { code: "MISSING_FILE", message: `The zip holds none of the files that are read: ${FILE_NAMES.join(", ")}.` },
    ]);
  const set: FileSet = { files: new Map(), notices: others.filter((name) => !isLitter(name)).map(leftAlone) };
  for (const file of files) add(set, file.path, file.bytes);
  return set;
}

function add(set: FileSet, name: string, bytes: Uint8Array): void {
  const known = fileName(name);
  if (set.files.has(known))
    throw new InvalidInput([
      {
        code: "DUPLICATE",
        file: name,
        message: `${known} is there twice, in capitals and in small letters. Keep one of them.`,
      },
    ]);
  set.files.set(known, bytes);
}
