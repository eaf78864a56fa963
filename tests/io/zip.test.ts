/** A zip from an unknown hand is refused before it can do harm. */
import { deflateRawSync } from "node:zlib";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { readZip } from "../../server/io/folder.ts";
import { InvalidInput } from "../../server/store/fault.ts";
import { LEAST, zip } from "./fileSet.ts";
import { zipBy } from "./zipBy.ts";

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
    const out = zipBy([{ path: "operations.csv", text: "operation,hours_likely\nSTRIP,8\n", sizesAfter: true }]);
    expect((await readZip(out)).files.get("operations.csv")).toEqual(Buffer.from("operation,hours_likely\nSTRIP,8\n"));
  });

  it("in the format for very large archives is read where it is a small one", async () => {
    const out = zipBy([{ path: "operations.csv", text: "operation,hours_likely\n" }], { large: true });
    expect((await readZip(out)).files.get("operations.csv")).toEqual(Buffer.from("operation,hours_likely\n"));
  });
});

describe("a zip made to do harm", () => {
  const path = "operations.csv";
  const zeros = (mib: number) => deflateRawSync(new Uint8Array(mib * 1024 * 1024));

  it.each<[string, () => Uint8Array, object]>([
    [
      "a deflate bomb that declares a small file",
      () => zipBy([{ path, packed: zeros(64), size: 1_000 }]),
      { code: "TOO_LARGE", file: path },
    ],
    [
      "a deflate bomb that declares itself",
      () => zipBy([{ path, packed: zeros(64), size: 2 ** 26 }]),
      { code: "TOO_LARGE" },
    ],
    [
      "files that are read of more than 40 MiB together",
      () => {
        const packed = zeros(9);
        const names = ["operations.csv", "links.csv", "parts.csv", "needs.csv", "quotes.csv"];
        return zipBy(names.map((name) => ({ path: name, packed, size: 9 * 1024 * 1024 })));
      },
      { code: "TOO_LARGE" },
    ],
    ["65,535 entries declared", () => zipBy([{ path, text: "x" }], { count: 65_535 }), { code: "TOO_LARGE" }],
    [
      "2^60 entries declared",
      () => zipBy([{ path, text: "x" }], { large: true, count: 2 ** 60 }),
      { code: "TOO_LARGE" },
    ],
    ["more entries declared than there are", () => zipBy([{ path, text: "x" }], { count: 2 }), { code: "UNREADABLE" }],
    [
      "a directory outside the file",
      () => zipBy([{ path, text: "x" }], { at: 2 ** 40, large: true }),
      { code: "UNREADABLE" },
    ],
    ["data outside the file", () => zipBy([{ path, text: "x", offset: 2 ** 31 }]), { code: "UNREADABLE", file: path }],
    [
      "two entries of one name",
      () =>
        zipBy([
          { path, text: "x" },
          { path, text: "y" },
        ]),
      { code: "DUPLICATE", file: path },
    ],
    ["an encrypted entry", () => zipBy([{ path, text: "x", flags: 1 }]), { code: "UNREADABLE", file: path }],
    ["a sum that is not the data's", () => zipBy([{ path, text: "x", crc: 1 }]), { code: "UNREADABLE", file: path }],
    [
      "a way of packing that is not read",
      () => zipBy([{ path, text: "x", method: 12 }]),
      { code: "UNREADABLE", file: path },
    ],
    ["less than it declares", () => zipBy([{ path, text: "x", size: 2 }]), { code: "UNREADABLE", file: path }],
    [
      "data cut short",
      () => zipBy([{ path, packed: zeros(1).subarray(0, 500), size: 2 ** 20 }]),
      { code: "UNREADABLE" },
    ],
    ["stored data of another size", () => zipBy([{ path, text: "x", method: 0, size: 9 }]), { code: "UNREADABLE" }],
    [
      "folders in folders without end",
      () => zipBy([{ path: `${"a/".repeat(30_000)}../${path}`, text: "x" }]),
      { code: "UNREADABLE" },
    ],
  ])("with %s is refused", async (_, bytes, fault) => {
    expect(await faults(bytes())).toMatchObject([fault]);
  });

  it("of any bytes changed is read, or refused as a zip, and nothing else happens", async () => {
    const sound = zipBy([
      { path, text: "operation,hours_likely\nSTRIP,8\n".repeat(20) },
      { path: "links.csv", text: "before,after\n", sizesAfter: true },
      { path: "notes.txt", text: "x", method: 0 },
    ]);
    const change = fc.tuple(fc.nat(sound.length - 1), fc.integer({ min: 0, max: 255 }));
    await fc.assert(
      fc.asyncProperty(fc.array(change, { minLength: 1, maxLength: 4 }), async (changes) => {
        const bytes = sound.slice();
        for (const [at, value] of changes) bytes[at] = value;
        const refusal = await readZip(bytes).then(
          () => null,
          (error: unknown) => error,
        );
        if (refusal !== null) expect(refusal).toBeInstanceOf(InvalidInput);
      }),
      { numRuns: 500, seed: 7 },
    );
  });
});
