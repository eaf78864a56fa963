/**
 * A backup as one file: a zip with the database, all photographs that it names, stored as they are, and at its end a
 * manifest with the SHA-256 of each. Nothing in it leads out of the folder it is unpacked into.
 */
import { createHash, type Hash } from "node:crypto";
import { createWriteStream } from "node:fs";
import { mkdir, open } from "node:fs/promises";
import path from "node:path";
import { type Readable, Transform, Writable } from "node:stream";
import { buffer } from "node:stream/consumers";
import { pipeline } from "node:stream/promises";
import yauzl from "yauzl";
import { z } from "zod";
import { BackupFault } from "./backupFault.ts";

export const DATABASE = "lastbolt.db";
export const MANIFEST = "manifest.json";

/** Says how far long work is: what is done, and how many of how many. */
export type Tell = (what: string, done: number, total: number) => void;

export interface Following {
  signal?: AbortSignal | undefined;
  tell?: Tell | undefined;
}

const manifestOf = z.object({
  program: z.literal("lastbolt"),
  /** Rises when an older program could no longer read the file. */
  format: z.literal(1),
  /** The program's. */
  version: z.string(),
  /** Moment and day, on the clock of the machine that made it. */
  madeAt: z.iso.datetime(),
  day: z.iso.date(),
  migrations: z.array(z.string()),
  /** Rows of each table. */
  tables: z.record(z.string(), z.int().nonnegative()),
  files: z.record(z.string(), z.object({ bytes: z.int().nonnegative(), sha256: z.string() })),
  /** Files that the database names and that were not there when it was made. */
  missing: z.array(z.string()),
  /** Photographs whose bytes were not what their name says when it was made; they are in it all the same. */
  altered: z.array(z.string()),
});
export type Manifest = z.infer<typeof manifestOf>;

/** A photograph's place in a backup, and that of its small copy. */
export const entryOf = (hash: string): string => `photographs/${hash.slice(0, 2)}/${hash}`;
export const smallEntryOf = (hash: string): string => `${entryOf(hash)}.small`;

const PHOTOGRAPH = /^photographs\/([0-9a-f]{2})\/(\1[0-9a-f]{62})(\.small)?$/;

/** The hash that the name of an entry promises; null where it promises none. */
export const hashPromised = (entry: string): string | null => {
  const [, , hash, small] = PHOTOGRAPH.exec(entry) ?? [];
  return hash === undefined || small !== undefined ? null : hash;
};

/** How many photographs a backup holds. */
export const photographsIn = ({ files }: Manifest): number =>
  Object.keys(files).filter((entry) => hashPromised(entry) !== null).length;

/** A stream that lets bytes through and counts and hashes them. */
export function hashing(): { through: Transform; result(): { bytes: number; sha256: string } } {
  const hash: Hash = createHash("sha256");
  let bytes = 0;
  const through = new Transform({
    transform(chunk: Buffer, _encoding, done) {
      hash.update(chunk);
      bytes += chunk.length;
      done(null, chunk);
    },
  });
  return { through, result: () => ({ bytes, sha256: hash.digest("hex") }) };
}

const nowhere = () => new Writable({ write: (_chunk, _encoding, done) => done() });

/** Bytes and SHA-256 of a stream, which is written to a new file where one is named, and is on the disk then. */
export async function hashed(from: Readable, into: string | null, signal?: AbortSignal) {
  const { through, result } = hashing();
  const to = into === null ? nowhere() : createWriteStream(into, { flags: "wx", flush: true });
  await pipeline(from, through, to, { signal });
  return result();
}

const SQLITE = Buffer.from("SQLite format 3\0");

/** What a file is by its first bytes: a backup, a database alone, or neither. @throws ENOENT */
export async function kindOf(file: string): Promise<"zip" | "database" | "other"> {
  const handle = await open(file);
  try {
    const { buffer: head, bytesRead } = await handle.read(Buffer.alloc(SQLITE.length), 0, SQLITE.length, 0);
    if (head.equals(SQLITE)) return "database";
    return bytesRead >= 4 && head.toString("latin1", 0, 4) === "PK\x03\x04" ? "zip" : "other";
  } finally {
    await handle.close();
  }
}

const noBackup = (file: string, why: string): BackupFault =>
  new BackupFault("NOT_A_BACKUP", `${file} is no whole backup of this program: ${why}.`);

/** What the library says of a zip that it cannot read is for programmers. */
const CUT_SHORT = "it is cut short, or is no zip file";

const MOST_MANIFEST = 256 * 1024 * 1024;

interface Opened {
  zip: yauzl.ZipFile;
  entries: Map<string, yauzl.Entry>;
  manifest: Manifest;
}

async function withBackup<T>(file: string, use: (opened: Opened) => Promise<T>): Promise<T> {
  const zip = await yauzl.openPromise(file, { lazyEntries: true, autoClose: false }).catch((error: Error) => {
    throw "code" in error ? error : noBackup(file, CUT_SHORT);
  });
  try {
    const entries = new Map<string, yauzl.Entry>();
    try {
      for await (const entry of zip.eachEntry()) entries.set(entry.fileName, entry);
    } catch {
      throw noBackup(file, CUT_SHORT);
    }
    const last = entries.get(MANIFEST);
    if (last === undefined) throw noBackup(file, `it has no ${MANIFEST}`);
    if (last.uncompressedSize > MOST_MANIFEST) throw noBackup(file, `its ${MANIFEST} is too large`);
    return await use({ zip, entries, manifest: await manifestIn(file, zip, last) });
  } finally {
    zip.close();
  }
}

async function manifestIn(file: string, zip: yauzl.ZipFile, entry: yauzl.Entry): Promise<Manifest> {
  try {
    const text = (await buffer(await zip.openReadStreamPromise(entry))).toString("utf8");
    return manifestOf.parse(JSON.parse(text));
  } catch (error) {
    if (error instanceof z.ZodError || error instanceof SyntaxError)
      throw noBackup(file, `its ${MANIFEST} cannot be understood`);
    throw noBackup(file, `its ${MANIFEST} is damaged`);
  }
}

/** What a backup says of itself. @throws BackupFault */
export const manifestIs = (file: string): Promise<Manifest> => withBackup(file, async ({ manifest }) => manifest);

/**
 * Reads every byte of a backup against its manifest. Entries for which `into` names a file are unpacked there.
 * @returns the manifest and what is not as it says, in words; throws BackupFault for what is no backup
 */
export function readBackup(
  file: string,
  into: (entry: string) => string | null,
  { signal, tell }: Following = {},
): Promise<{ manifest: Manifest; faults: string[] }> {
  return withBackup(file, async ({ zip, entries, manifest }) => {
    const faults: string[] = [];
    const promised = Object.keys(manifest.files);
    for (const entry of entries.keys())
      if (entry !== MANIFEST && !(entry in manifest.files)) faults.push(`${entry} is not in its ${MANIFEST}.`);
    let done = 0;
    for (const entry of promised) {
      tell?.("Reading the backup", done++, promised.length);
      const packed = entries.get(entry);
      if (entry !== DATABASE && !PHOTOGRAPH.test(entry)) faults.push(`${entry} does not belong in a backup.`);
      else if (packed === undefined) faults.push(`${entry} is missing in it.`);
      else faults.push(...(await readEntry(zip, packed, manifest, into(entry), signal)));
    }
    tell?.("Reading the backup", done, promised.length);
    if (!(DATABASE in manifest.files)) faults.push(`${DATABASE} is missing in it.`);
    return { manifest, faults };
  });
}

async function readEntry(
  zip: yauzl.ZipFile,
  packed: yauzl.Entry,
  manifest: Manifest,
  into: string | null,
  signal: AbortSignal | undefined,
): Promise<string[]> {
  const name = packed.fileName;
  if (into !== null) await mkdir(path.dirname(into), { recursive: true });
  let found: { bytes: number; sha256: string };
  try {
    found = await hashed(await zip.openReadStreamPromise(packed), into, signal);
  } catch (error) {
    // What the file system or whoever stops it says goes on; what is left is the zip's own.
    if ("code" in (error as Error) && !/^Z_/.test(String((error as { code: unknown }).code))) throw error;
    return [`${name} is damaged in it.`];
  }
  const { bytes, sha256 } = manifest.files[name]!;
  if (found.bytes !== bytes || found.sha256 !== sha256) return [`${name} is not what was backed up.`];
  const hash = hashPromised(name);
  if (hash !== null && hash !== sha256 && !manifest.altered.includes(name)) return [`${name} is another picture.`];
  return [];
}
