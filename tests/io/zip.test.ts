/** A zip from an unknown hand is refused before it can do harm. */
import { deflateRawSync } from "node:zlib";
import { describe, expect, it } from "vitest";
import { readZip } from "../../server/io/folder.ts";
import { InvalidInput } from "../../server/store/fault.ts";
import { LEAST, zip } from "./fileSet.ts";

const faults = async (bytes: Uint8Array) => {
  const error = await readZip(bytes).then(
    () => undefined,
    (reason: unknown) => reason,
  );
  expect(error).toBeInstanceOf(InvalidInput);
  return (error as InvalidInput).faults;
};

/** Changes the declared unpacked size of the only entry, in both of its headers. */
function declaring(bytes: Uint8Array, size: number): Uint8Array {
  const copy = bytes.slice();
  const view = new DataView(copy.buffer);
  view.setUint32(22, size, true);
  for (let at = 0; at < copy.length - 4; at += 1)
    if (view.getUint32(at, true) === 0x02014b50) view.setUint32(at + 24, size, true);
  return copy;
}

describe("a zip", () => {
  it("holds its files at the top, or all in one folder", async () => {
    const inFolder = Object.fromEntries(
      Object.entries(LEAST).map(([name, text]) => [`cyclecar/files/${name.toUpperCase()}`, text]),
    );
    for (const files of [LEAST, inFolder])
      expect([...(await readZip(zip(files))).files.keys()]).toEqual(["operations.csv", "links.csv"]);
  });

  it("with files to read in two folders is refused", async () => {
    expect(await faults(zip({ "a/operations.csv": "x", "b/links.csv": "y" }))).toMatchObject([{ code: "DUPLICATE" }]);
  });

  it("may hold other files, which are noticed and left alone", async () => {
    const set = await readZip(
      zip({ ...LEAST, "photographs/crate 1.jpg": "…", "__MACOSX/._links.csv": "…", ".DS_Store": "…" }),
    );
    expect(set.notices).toMatchObject([{ code: "UNUSED_COLUMN", file: "photographs/crate 1.jpg" }]);
  });

  it.each(["../operations.csv", "a/../../links.csv", "/etc/passwd", "C:/windows/x", "..\\links.csv"])(
    "with the path %s is refused",
    async (path) => {
      expect(await faults(zip({ ...LEAST, [path]: "x" }))).toMatchObject([{ code: "UNREADABLE", file: path }]);
    },
  );

  it("that is none is refused", async () => {
    for (const bytes of [
      new Uint8Array(0),
      new Uint8Array(10),
      new TextEncoder().encode("operation,hours_likely\n".repeat(20)),
      zip(LEAST).subarray(0, 60),
    ])
      expect(await faults(bytes)).toMatchObject([{ code: "UNREADABLE" }]);
  });

  it("that is damaged inside is refused, by its checksum", async () => {
    const bytes = zip({ "operations.csv": "operation,hours_likely\nSTRIP,8\n" }).slice();
    bytes[50] = bytes[50]! ^ 0xff;
    expect(await faults(bytes)).toMatchObject([{ code: "UNREADABLE", file: "operations.csv" }]);
  });

  it("holding nothing that is read is refused", async () => {
    expect(await faults(zip({ "readme.txt": "…" }))).toMatchObject([{ code: "MISSING_FILE" }]);
  });

  it("with a CSV over 10 MiB is refused by what it declares", async () => {
    expect(await faults(zip({ "operations.csv": new Uint8Array(10 * 1024 * 1024 + 1) }))).toMatchObject([
      { code: "TOO_LARGE", file: "operations.csv" },
    ]);
  });

  it("that unpacks to more than 256 MiB is refused before unpacking", async () => {
    const bomb = declaring(zip({ "photograph.jpg": "x" }), 257 * 1024 * 1024);
    expect(await faults(bomb)).toMatchObject([{ code: "TOO_LARGE" }]);
  });

  it("whose entry unpacks to more than it declares is refused while unpacking", async () => {
    const bomb = declaring(zip({ "operations.csv": new Uint8Array(9_000_000) }), 100);
    expect(bomb.length).toBeLessThan(20_000);
    expect(await faults(bomb)).toMatchObject([{ code: "TOO_LARGE", file: "operations.csv" }]);
  });

  it("of more than 200 files is refused", async () => {
    const many = Object.fromEntries(Array.from({ length: 201 }, (_, i) => [`photographs/${i}.jpg`, ""]));
    expect(await faults(zip(many))).toMatchObject([{ code: "TOO_LARGE" }]);
  });

  it("of which a byte more than 64 MiB arrives is refused unread", async () => {
    expect(await faults(new Uint8Array(64 * 1024 * 1024 + 1))).toMatchObject([{ code: "TOO_LARGE" }]);
  });

  it("packed by another program is read: sizes after the data, as streaming writers leave them", async () => {
    const name = new TextEncoder().encode("operations.csv");
    const text = new TextEncoder().encode("operation,hours_likely\nSTRIP,8\n");
    const packed = deflateRawSync(text);
    const { crc32 } = await import("node:zlib");
    const out = Buffer.alloc(30 + name.length + packed.length + 16 + 46 + name.length + 22);
    out.writeUInt32LE(0x04034b50, 0);
    out.writeUInt16LE(8, 6);
    out.writeUInt16LE(8, 8);
    out.writeUInt16LE(name.length, 26);
    out.set(name, 30);
    out.set(packed, 30 + name.length);
    const central = 30 + name.length + packed.length + 16;
    out.writeUInt32LE(0x08074b50, central - 16);
    out.writeUInt32LE(0x02014b50, central);
    out.writeUInt16LE(8, central + 8);
    out.writeUInt16LE(8, central + 10);
    out.writeUInt32LE(crc32(text), central + 16);
    out.writeUInt32LE(packed.length, central + 20);
    out.writeUInt32LE(text.length, central + 24);
    out.writeUInt16LE(name.length, central + 28);
    out.set(name, central + 46);
    const end = central + 46 + name.length;
    out.writeUInt32LE(0x06054b50, end);
    out.writeUInt16LE(1, end + 10);
    out.writeUInt32LE(central, end + 16);
    expect((await readZip(out)).files.get("operations.csv")).toEqual(Buffer.from(text));
  });
});
