/**
 * Opens a zip from an unknown hand: what its directory declares is checked before anything is unpacked, and what comes
 * out is counted while it comes, so that a small file cannot fill the memory. Unpacking is done by zlib beside the main thread.
 */
import { crc32 } from "node:zlib";
import yauzl, { type Entry, type ZipFile } from "yauzl";
import { type Fault, InvalidInput } from "../store/fault.ts";

const MIB = 1024 * 1024;

/** Bytes of the zip, of all that it declares, of one file that is read and of those together; and its files. */
export const ZIP_LIMITS = {
  packed: 64 * MIB,
  unpacked: 256 * MIB,
  csv: 10 * MIB,
  read: 40 * MIB,
  entries: 200,
} as const;

/** One file inside: its path with forward slashes, and its bytes. */
export interface Packed {
  path: string;
  bytes: Uint8Array;
}

const refuse = (code: Fault["code"], message: string, file?: string): never => {
  throw new InvalidInput([{ code, message, file }]);
};

/**
 * Unpacks the entries that `wanted` asks for; folders and what it does not want are only listed.
 * @throws InvalidInput UNREADABLE for what is no zip or is damaged, TOO_LARGE over {@link ZIP_LIMITS}
 */
export async function openZip(
  bytes: Uint8Array,
  wanted: (path: string) => boolean,
): Promise<{ files: Packed[]; others: string[] }> {
  if (bytes.length > ZIP_LIMITS.packed) refuse("TOO_LARGE", "The zip is larger than 64 MiB. Nothing was read.");
  const damaged = () => refuse("UNREADABLE", "This is not a zip file, or it is damaged. Nothing was read.");
  const buffer = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  // Names are taken as they are, and sizes are counted here.
  const options = { lazyEntries: true, decodeStrings: false, validateEntrySizes: false };
  const zip = await yauzl.fromBufferPromise(buffer, options).catch(damaged);
  if (zip.entryCount > ZIP_LIMITS.entries)
    refuse("TOO_LARGE", `The zip holds ${zip.entryCount} files; at most ${ZIP_LIMITS.entries} are read.`);
  const entries = await directory(zip).catch((error: unknown) => {
    if (error instanceof InvalidInput) throw error;
    return damaged();
  });
  const files = [...entries].filter(([path]) => !path.endsWith("/"));
  const asked = files.filter(([path]) => wanted(path));
  const sum = (of: typeof files): number => of.reduce((total, [, { uncompressedSize }]) => total + uncompressedSize, 0);
  if (sum([...entries]) > ZIP_LIMITS.unpacked)
    refuse("TOO_LARGE", "The zip unpacks to more than 256 MiB. Nothing was read.");
  for (const [path, { uncompressedSize }] of asked)
    if (uncompressedSize > ZIP_LIMITS.csv)
      refuse("TOO_LARGE", `${path} is larger than 10 MiB. Nothing was read.`, path);
  if (sum(asked) > ZIP_LIMITS.read)
    refuse("TOO_LARGE", "The files that are read come to more than 40 MiB together. Nothing was read.");
  const read: Packed[] = [];
  for (const [path, entry] of asked) read.push({ path, bytes: await unpack(zip, path, entry) });
  return { files: read, others: files.map(([path]) => path).filter((path) => !wanted(path)) };
}

/** The entries by their paths, none of which leads out. */
async function directory(zip: ZipFile): Promise<Map<string, Entry>> {
  const entries = new Map<string, Entry>();
  for await (const entry of zip.eachEntry()) {
    // Names not in UTF-8 can only be those of files that are not read.
    const path = new TextDecoder("utf-8").decode(entry.fileNameRaw);
    if (entry.isEncrypted()) refuse("UNREADABLE", `${path} is encrypted. Pack the files without a password.`, path);
    if (entries.has(path)) refuse("DUPLICATE", `The zip holds ${path} twice. Nothing was read.`, path);
    if (
      path.includes("\0") ||
      path.includes("\\") ||
      path.startsWith("/") ||
      /^[a-z]:/i.test(path) ||
      path.split("/").includes("..")
    )
      refuse("UNREADABLE", "The zip holds a path that leads out of its folder. Nothing was read.", path.slice(0, 200));
    entries.set(path, entry);
  }
  return entries;
}

/** The bytes of an entry, of which never more are kept than it declares. */
async function unpack(zip: ZipFile, path: string, entry: Entry): Promise<Uint8Array> {
  if (entry.compressionMethod !== 0 && entry.compressionMethod !== 8)
    refuse("UNREADABLE", `${path} is packed in a way that is not read. Pack the files again as an ordinary zip.`, path);
  const chunks: Buffer[] = [];
  let size = 0;
  let sum = 0;
  try {
    for await (const chunk of await zip.openReadStreamPromise(entry)) {
      size += (chunk as Buffer).length;
      if (size > entry.uncompressedSize)
        refuse("TOO_LARGE", `${path} unpacks to more than it declares. Nothing was read.`, path);
      sum = crc32(chunk as Buffer, sum);
      chunks.push(chunk as Buffer);
    }
  } catch (error) {
    if (error instanceof InvalidInput) throw error;
    sum = -1;
  }
  if (size !== entry.uncompressedSize || sum !== entry.crc32)
    refuse("UNREADABLE", `${path} is damaged in the zip. Nothing was read.`, path);
  return Buffer.concat(chunks, size);
}
