/** Zips as another program, or somebody with intent, may write them (APPNOTE 6.3): every figure can be said otherwise than it is. */
import { crc32, deflateRawSync } from "node:zlib";

export interface EntryBy {
  path: string;
  text?: string;
  /** The data as it stands in the zip, in place of a text. */
  packed?: Uint8Array;
  flags?: number;
  method?: number;
  crc?: number;
  size?: number;
  offset?: number;
  /** Sizes stand behind the data alone, as streaming writers leave them. */
  sizesAfter?: boolean;
}

interface Whole {
  /** Entries that it declares. */
  count?: number;
  /** In the format for very large archives (zip64). */
  large?: boolean;
  /** Where it says that the directory stands. */
  at?: number;
}

const bytes = (...fields: readonly [bits: 16 | 32 | 64, value: number][]): Buffer =>
  Buffer.concat(
    fields.map(([bits, value]) => {
      const out = Buffer.alloc(bits / 8);
      if (bits === 16) out.writeUInt16LE(value);
      else if (bits === 32) out.writeUInt32LE(value);
      else out.writeBigUInt64LE(BigInt(value));
      return out;
    }),
  );

export function zipBy(
  entries: readonly EntryBy[],
  { count = entries.length, large = false, at }: Whole = {},
): Uint8Array {
  const local: Buffer[] = [];
  const central: Buffer[] = [];
  let place = 0;
  for (const entry of entries) {
    const plain = Buffer.from(entry.text ?? "");
    const { method = 8, crc = crc32(plain), size = plain.length, sizesAfter = false, offset = place } = entry;
    const packed = Buffer.from(entry.packed ?? (method === 8 ? deflateRawSync(plain) : plain));
    const flags = (entry.flags ?? 0) | (sizesAfter ? 8 : 0);
    const name = Buffer.from(entry.path);
    const sizes = bytes([32, crc], [32, packed.length], [32, size]);
    const begins = bytes([16, 20], [16, flags], [16, method], [32, 0]);
    const parts = [
      bytes([32, 0x04034b50]),
      begins,
      sizesAfter ? Buffer.alloc(12) : sizes,
      bytes([16, name.length], [16, 0]),
      name,
      packed,
      sizesAfter ? Buffer.concat([bytes([32, 0x08074b50]), sizes]) : Buffer.alloc(0),
    ];
    local.push(...parts);
    place += parts.reduce((sum, part) => sum + part.length, 0);
    const rest = bytes([16, name.length], [16, 0], [16, 0], [16, 0], [16, 0], [32, 0], [32, offset]);
    central.push(bytes([32, 0x02014b50], [16, 20]), begins, sizes, rest, name);
  }
  const directory = Buffer.concat(central);
  const end = place + directory.length;
  const begin = at ?? place;
  const largeEnd = [
    bytes([32, 0x06064b50], [64, 44], [16, 45], [16, 45], [32, 0], [32, 0], [64, count], [64, count]),
    bytes([64, directory.length], [64, begin], [32, 0x07064b50], [32, 0], [64, end], [32, 1]),
  ];
  const short = (value: number, most: number): number => (large ? most : Math.min(value, most));
  return Buffer.concat([
    ...local,
    directory,
    ...(large ? largeEnd : []),
    bytes([32, 0x06054b50], [32, 0], [16, short(count, 0xffff)], [16, short(count, 0xffff)]),
    bytes([32, directory.length], [32, short(begin, 0xffffffff)], [16, 0]),
  ]);
}
