/**
 * Opens a zip from an unknown hand (APPNOTE 6.3, stored and deflated entries): sizes are checked as declared
 * before anything is unpacked, and again while unpacking, so that a small file cannot fill the memory.
 */
import { promisify } from "node:util";
import { crc32, inflateRaw } from "node:zlib";
import { type Fault, InvalidInput } from "../store/fault.ts";

const MIB = 1024 * 1024;

export const ZIP_LIMITS = { packed: 64 * MIB, unpacked: 256 * MIB, csv: 10 * MIB, entries: 200 } as const;

/** One file inside: its path with forward slashes, and its bytes. */
export interface Packed {
  path: string;
  bytes: Uint8Array;
}

interface Entry {
  path: string;
  method: number;
  crc: number;
  packedSize: number;
  size: number;
  offset: number;
}

const inflate = promisify<Uint8Array, { maxOutputLength: number }, Buffer>(inflateRaw);

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
  const entries = directory(bytes);
  for (const { path } of entries) {
    if (
      path.includes("\0") ||
      path.includes("\\") ||
      path.startsWith("/") ||
      /^[a-z]:/i.test(path) ||
      path.split("/").includes("..")
    )
      refuse("UNREADABLE", "The zip holds a path that leads out of its folder. Nothing was read.", path.slice(0, 200));
  }
  const asked = entries.filter((entry) => !entry.path.endsWith("/") && wanted(entry.path));
  const sum = entries.reduce((total, entry) => total + entry.size, 0);
  if (sum > ZIP_LIMITS.unpacked) refuse("TOO_LARGE", "The zip unpacks to more than 256 MiB. Nothing was read.");
  for (const { path, size } of asked)
    if (size > ZIP_LIMITS.csv) refuse("TOO_LARGE", `${path} is larger than 10 MiB. Nothing was read.`, path);
  const files: Packed[] = [];
  for (const entry of asked) files.push({ path: entry.path, bytes: await unpack(bytes, entry) });
  return {
    files,
    others: entries.filter((entry) => !entry.path.endsWith("/") && !wanted(entry.path)).map((entry) => entry.path),
  };
}

/** The central directory at the end of the file. */
function directory(bytes: Uint8Array): Entry[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const damaged = () => refuse("UNREADABLE", "This is not a zip file, or it is damaged. Nothing was read.");
  let end = bytes.length - 22;
  const earliest = Math.max(0, end - 65_535);
  while (end >= earliest && view.getUint32(end, true) !== 0x06054b50) end -= 1;
  if (end < earliest || end < 0) damaged();
  const count = view.getUint16(end + 10, true);
  let at = view.getUint32(end + 16, true);
  if (count === 0xffff || at === 0xffffffff)
    refuse("UNREADABLE", "This zip is in the format for very large archives. Pack the files again as an ordinary zip.");
  if (count > ZIP_LIMITS.entries)
    refuse("TOO_LARGE", `The zip holds ${count} files; at most ${ZIP_LIMITS.entries} are read.`);
  const entries: Entry[] = [];
  const seen = new Set<string>();
  for (let i = 0; i < count; i += 1) {
    if (at + 46 > end || view.getUint32(at, true) !== 0x02014b50) damaged();
    const flags = view.getUint16(at + 8, true);
    const nameLength = view.getUint16(at + 28, true);
    const nameEnd = at + 46 + nameLength;
    if (nameEnd > end) damaged();
    // Names not in UTF-8 can only be those of files that are not read.
    const path = new TextDecoder("utf-8").decode(bytes.subarray(at + 46, nameEnd));
    if ((flags & 1) !== 0) refuse("UNREADABLE", `${path} is encrypted. Pack the files without a password.`, path);
    if (seen.has(path)) refuse("DUPLICATE", `The zip holds ${path} twice. Nothing was read.`, path);
    seen.add(path);
    entries.push({
      path,
      method: view.getUint16(at + 10, true),
      crc: view.getUint32(at + 16, true),
      packedSize: view.getUint32(at + 20, true),
      size: view.getUint32(at + 24, true),
      offset: view.getUint32(at + 42, true),
    });
    at = nameEnd + view.getUint16(at + 30, true) + view.getUint16(at + 32, true);
  }
  return entries;
}

async function unpack(bytes: Uint8Array, entry: Entry): Promise<Uint8Array> {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const damaged = (): never =>
    refuse("UNREADABLE", `${entry.path} is damaged in the zip. Nothing was read.`, entry.path);
  if (entry.offset + 30 > bytes.length || view.getUint32(entry.offset, true) !== 0x04034b50) damaged();
  const from = entry.offset + 30 + view.getUint16(entry.offset + 26, true) + view.getUint16(entry.offset + 28, true);
  if (from + entry.packedSize > bytes.length) damaged();
  const packed = bytes.subarray(from, from + entry.packedSize);
  let plain: Uint8Array = packed;
  if (entry.method === 8) {
    try {
      plain = await inflate(packed, { maxOutputLength: Math.max(1, entry.size) });
    } catch (error) {
      if ((error as { code?: string }).code === "ERR_BUFFER_TOO_LARGE")
        refuse("TOO_LARGE", `${entry.path} unpacks to more than it declares. Nothing was read.`, entry.path);
      damaged();
    }
  } else if (entry.method !== 0)
    refuse(
      "UNREADABLE",
      `${entry.path} is packed in a way that is not read. Pack the files again as an ordinary zip.`,
      entry.path,
    );
  if (plain.length !== entry.size || crc32(plain) !== entry.crc) damaged();
  return plain;
}
