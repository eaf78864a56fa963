/** Writes a backup, also while the server runs and writes. */
import { createWriteStream, type ReadStream } from "node:fs";
import { access, type FileHandle, open, readFile, rename, rm } from "node:fs/promises";
import path from "node:path";
import { pipeline } from "node:stream/promises";
import yazl from "yazl";
import { today } from "../plan/days/today.ts";
import { isThere } from "../store/backup.ts";
import { copyDatabase, databaseState } from "../store/databaseState.ts";
import { asBackupFault, BackupFault } from "./backupFault.ts";
import {
  DATABASE,
  entryOf,
  type Following,
  hashing,
  hashPromised,
  MANIFEST,
  type Manifest,
  readBackup,
  smallEntryOf,
} from "./backupFile.ts";
import { binOf } from "./photographFile.ts";

export interface WriteOptions extends Following {
  /** Whether a file that stands there is replaced, once the new one is whole. */
  overwrite?: boolean;
  now?: Date;
}

const NOTHING = "Nothing was left behind.";

/** What is written before the backup is whole; a process that was killed leaves it, and the next one removes it. */
export const unfinishedOf = (file: string): string[] => [
  `${file}.part`,
  ...["", "-journal", "-wal", "-shm"].map((end) => `${file}.part.db${end}`),
];

/**
 * Backs a data folder up into one file. The database is copied first, in one snapshot; a photograph that it names was
 * stored before its row, and leaves its place for the bin at most, so it is found afterwards. The file is read back
 * and proved before it takes its name.
 * Throws {@link BackupFault}; then there is no file, or the one that stood there.
 */
export async function writeBackup(data: string, file: string, options: WriteOptions = {}): Promise<Manifest> {
  const { overwrite = false, signal, tell } = options;
  const source = path.join(data, DATABASE);
  if (!(await isThere(source)))
    throw new BackupFault("MISSING", `There is no database in ${data}: nothing to back up.`);
  if (!overwrite && (await isThere(file)))
    throw new BackupFault("EXISTS", `${file} is there already. Name another file, or add --overwrite to replace it.`);
  const [part = "", copy = ""] = unfinishedOf(file);
  const remove = () => Promise.all(unfinishedOf(file).map((left) => rm(left, { force: true })));
  try {
    await access(path.dirname(path.resolve(file)));
    await remove();
    tell?.("Copying the database", 0, 1);
    await copyDatabase(source, copy, signal);
    signal?.throwIfAborted();
    tell?.("Checking the copy", 0, 1);
    const manifest = await packed(data, copy, part, options);
    const { faults } = await readBackup(part, () => null, { signal, tell });
    if (faults.length > 0) throw new BackupFault("DAMAGED", `What was written to ${file} cannot be read back.`, faults);
    await rename(part, file);
    return manifest;
  } catch (error) {
    await remove().catch(() => {});
    throw asBackupFault(error, file, NOTHING);
  } finally {
    await remove().catch(() => {});
  }
}

async function packed(data: string, copy: string, part: string, { signal, tell, now = new Date() }: WriteOptions) {
  const { faults, migrations, tables, shown, recorded } = await databaseState(copy, signal);
  if (faults.length > 0)
    throw new BackupFault("DAMAGED", "The database is damaged, so that no backup of it can be made.", faults);
  const manifest: Manifest = {
    program: "lastbolt",
    format: 1,
    version: await ownVersion(),
    madeAt: now.toISOString(),
    day: today(null, now),
    migrations,
    tables,
    files: {},
    missing: [],
    altered: [],
  };
  const zip = new yazl.ZipFile();
  const written = pipeline(zip.outputStream, createWriteStream(part, { flags: "wx", flush: true }), { signal });
  const broken = new Promise<never>((_resolve, reject) => zip.on("error", reject));
  const failed = Promise.race([written.then(() => new Promise<never>(() => {})), broken]);
  // Both are waited for below; until then a failure is nobody's.
  for (const one of [written, broken, failed]) one.catch(() => {});
  const add = async (from: ReadStream, entry: string, compress: boolean): Promise<void> => {
    const { through, result } = hashing();
    const read = pipeline(from, through, { signal, end: true });
    zip.addReadStream(through, entry, { compress, mtime: now, mode: 0o100644 });
    await Promise.race([read, failed]);
    manifest.files[entry] = result();
  };
  try {
    const database = await open(copy);
    await add(database.createReadStream(), DATABASE, true);
    const photographs = [...shown, ...recorded];
    let done = 0;
    for (const hash of photographs) {
      tell?.("Adding photographs", done++, photographs.length);
      for (const entry of [entryOf(hash), smallEntryOf(hash)]) {
        const found = await photographAt(data, entry);
        if (found === null) {
          manifest.missing.push(entry);
          continue;
        }
        await add(found.createReadStream(), entry, false);
        if (hashPromised(entry) !== null && manifest.files[entry]!.sha256 !== hash) manifest.altered.push(entry);
      }
    }
    tell?.("Adding photographs", done, photographs.length);
    zip.addBuffer(Buffer.from(`${JSON.stringify(manifest, null, 1)}\n`), MANIFEST, { mtime: now, mode: 0o100644 });
    zip.end();
    await Promise.race([written, broken]);
    return manifest;
  } catch (error) {
    // The output is closed before the file is removed.
    (zip.outputStream as unknown as ReadStream).destroy();
    await written.catch(() => {});
    throw error;
  }
}

/** A photograph's file, in its place or in the bin: it may be on its way from one to the other. */
export async function photographAt(data: string, entry: string): Promise<FileHandle | null> {
  const place = path.join(data, entry);
  const bin = path.join(binOf(path.join(data, "photographs")), path.relative("photographs", entry));
  for (const file of [place, bin, place]) {
    const handle = await open(file).catch((error: NodeJS.ErrnoException) => {
      if (error.code === "ENOENT") return null;
      throw error;
    });
    if (handle !== null) return handle;
  }
  return null;
}

async function ownVersion(): Promise<string> {
  const { version } = JSON.parse(await readFile(new URL("../../package.json", import.meta.url), "utf8")) as {
    version: string;
  };
  return version;
}
