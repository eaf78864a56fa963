/** Photographs: read by their content, kept without what the camera noted, stored once, seen by whom they are for, and taken back. */
import { access, mkdir, readdir, rm, writeFile } from "node:fs/promises";
import { type ClientRequest, request } from "node:http";
import path from "node:path";
import sharp from "sharp";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { beginSignIn } from "../../server/access/signIn.ts";
import { BIN_DAYS, tidyPhotographs } from "../../server/io/photographBin.ts";
import { binOf, fileOf, MOST_BYTES, smallFileOf } from "../../server/io/photographFile.ts";
import { startServer, type TestServer } from "../support/server.ts";
import { otherShop, remove, type Shop, saved, shop, undo } from "./shop.ts";

let server: TestServer;
let rows: Shop;
let snag: string;

beforeAll(async () => {
  server = await startServer();
  rows = await shop(server);
  snag = (await saved(server, "Snag", { operation: rows.brake, title: "Cracked lug" })).id;
});
afterAll(() => server.close());

/** Red on the left, blue on the right: 40 by 20 pixels. */
const twoColours = () => {
  const right = { create: { width: 20, height: 20, channels: 3, background: "#0000ff" } } as const;
  return sharp({ create: { width: 40, height: 20, channels: 3, background: "#ff0000" } }).composite([
    { input: right, left: 20, top: 0 },
  ]);
};
let shade = 0;
/** A picture unlike any other of this file. */
const plain = () =>
  sharp({ create: { width: 30, height: 20, channels: 3, background: { r: 9 * ++shade, g: 90, b: 60 } } })
    .jpeg()
    .toBuffer();

interface Told {
  status: number;
  json: { id: string; revision: number; change: { id: string; summary: string } | null; code: string; message: string };
}

async function send(body: Uint8Array | string, query: string, headers: Record<string, string> = {}): Promise<Told> {
  const response = await fetch(`${server.address}/photographs?${query}`, {
    method: "POST",
    body: body as BodyInit,
    headers: { "content-type": "image/jpeg", ...headers },
  });
  return { status: response.status, json: (await response.json()) as Told["json"] };
}
const get = (id: string, size = "full", headers: Record<string, string> = {}) =>
  fetch(`${server.address}/photographs/${id}/${size}`, { headers });
const pixels = async (answer: Response) => Buffer.from(await answer.arrayBuffer());
const stored = async () =>
  (await readdir(server.photographs, { recursive: true })).filter((name) => /[0-9a-f]{64}$/.test(name)).length;

async function listed(kind: string, id: string, cookie?: string) {
  const { data, errors } = await server.query<
    Record<string, { photographs: { totalCount: number; edges: { node: { id: string; caption: string } }[] } }>
  >(
    `query ($id: ID!) { ${kind}(id: $id) { photographs { totalCount edges { node { id caption } } } } }`,
    { id },
    cookie,
  );
  return errors ?? data![kind]!.photographs.edges.map(({ node }) => node.id);
}

describe("a photograph", () => {
  test("loses the place, the time and the camera, and is turned the right way up first", async () => {
    const taken = await twoColours()
      .jpeg({ quality: 100, chromaSubsampling: "4:4:4" })
      .withExif({
        IFD0: { Make: "Bellows", DateTime: "2027:01:04 10:00:00" },
        IFD3: { GPSLatitudeRef: "N", GPSLatitude: "51/1 30/1 12/1", GPSLongitudeRef: "W", GPSLongitude: "0/1 7/1 0/1" },
      })
      .withMetadata({ orientation: 6 })
      .toBuffer();
    const before = await sharp(taken).metadata();
    expect([before.orientation, before.exif?.includes("Bellows")]).toEqual([6, true]);
    // 51 degrees, as the fraction 51/1 of two 32-bit numbers.
    expect(before.exif?.includes(Buffer.from([51, 0, 0, 0, 1, 0, 0, 0]))).toBe(true);

    const { status, json } = await send(taken, `part=${rows.casing}&caption=As%20it%20came`);
    expect(status, json.message).toBe(201);
    expect(json.change!.summary).toBe("Added a photograph to part 1, Gearbox casing");
    const answer = await get(json.id);
    expect(answer.headers.get("content-type")).toBe("image/jpeg");
    expect(answer.headers.get("cache-control")).toBe("private, max-age=31536000, immutable");
    expect(answer.headers.get("x-content-type-options")).toBe("nosniff");
    expect(answer.headers.get("content-security-policy")).toContain("default-src 'none'");
    const full = await pixels(answer);
    const after = await sharp(full).metadata();
    expect([after.exif, after.xmp, after.iptc, after.orientation]).toEqual([
      undefined,
      undefined,
      undefined,
      undefined,
    ]);
    expect(full.includes("Bellows")).toBe(false);
    // Orientation 6 asks for a quarter turn clockwise (EXIF 2.32, tag 0112): what was on the left is on top.
    expect([after.width, after.height]).toEqual([20, 40]);
    const { data, info } = await sharp(full).raw().toBuffer({ resolveWithObject: true });
    const at = (x: number, y: number) => [...data.subarray((y * info.width + x) * 3, (y * info.width + x) * 3 + 3)];
    const [top, bottom] = [at(10, 5), at(10, 35)];
    expect(top[0]! > 200 && top[2]! < 60 && bottom[0]! < 60 && bottom[2]! > 200).toBe(true);
    const row = await server.store.photograph.findUniqueOrThrow({ where: { id: json.id } });
    expect(row).toMatchObject({ width: 20, height: 40, bytes: full.length, caption: "As it came", forOwner: true });
    const small = await sharp(await pixels(await get(json.id, "small"))).metadata();
    expect([small.format, small.width]).toEqual(["webp", 20]);
  });

  test.each(["png", "webp", "avif"] as const)("is taken as %s, whatever its sender calls it", async (format) => {
    const { status, json } = await send(await twoColours()[format]().toBuffer(), `operation=${rows.strip}`, {
      "content-type": "text/plain",
    });
    expect(status, json.message).toBe(201);
    const kept = await sharp(await pixels(await get(json.id))).metadata();
    expect([kept.format, kept.width, kept.height]).toEqual([format === "avif" ? "webp" : format, 40, 20]);
  });

  test("longer than 480 pixels has a small copy of 480", async () => {
    const large = await sharp({ create: { width: 1600, height: 1200, channels: 3, background: "#345" } })
      .jpeg()
      .toBuffer();
    const { json } = await send(large, `part=${rows.drum}`);
    const small = await sharp(await pixels(await get(json.id, "small"))).metadata();
    expect([small.width, small.height]).toEqual([480, 360]);
  });

  test("of the same picture is one file; on the same row it is one photograph, so that one sent twice is added once", async () => {
    const picture = await plain();
    const before = await stored();
    const first = await send(picture, `part=${rows.casing}`);
    const again = await send(picture, `part=${rows.casing}`);
    const elsewhere = await send(picture, `snag=${snag}`);
    expect([first.status, again.status, elsewhere.status]).toEqual([201, 200, 201]);
    expect([again.json.id, again.json.change]).toEqual([first.json.id, null]);
    expect(elsewhere.json.id).not.toBe(first.json.id);
    expect(await stored()).toBe(before + 1);
  });

  test("gets a caption, and its removal is taken back with its file", async () => {
    const { json } = await send(await plain(), `quote=${rows.quote}`);
    const named = await saved(server, "Photograph", { id: json.id, revision: 1, caption: "The foundry's pattern" });
    const asked = "query ($id: ID!) { part(id: $id) { photographs(quotes: true) { edges { node { id } } } } }";
    const { data } = await server.query(asked, { id: rows.casing });
    expect(JSON.stringify(data)).toContain(json.id);
    expect(await listed("part", rows.casing)).not.toContain(json.id);
    const gone = await remove(server, "PHOTOGRAPH", json.id, named.revision);
    expect(gone.change.summary).toBe("Removed photograph The foundry's pattern");
    expect((await get(json.id)).status).toBe(404);
    await tidyPhotographs(server.store, server.photographs);
    expect((await undo(server, gone.change.id)).__typename).toBe("Saved");
    expect((await get(json.id)).status).toBe(200);
    const row = await server.store.photograph.findUniqueOrThrow({ where: { id: json.id } });
    expect([row.caption, row.quoteId]).toEqual(["The foundry's pattern", rows.quote]);
  });

  test("goes with its part, and comes back with it", async () => {
    const part = await saved(server, "Part", { restoration: rows.restoration, name: "Horn" });
    const { json } = await send(await plain(), `part=${part.id}`);
    const gone = await remove(server, "PART", part.id, part.revision);
    expect((await get(json.id)).status).toBe(404);
    await undo(server, gone.change.id);
    expect(await listed("part", part.id)).toEqual([json.id]);
  });

  test("whose file is not there says so", async () => {
    const { json } = await send(await plain(), `part=${rows.drum}`);
    const { hash } = await server.store.photograph.findUniqueOrThrow({ where: { id: json.id } });
    await rm(fileOf(server.photographs, hash));
    const answer = await get(json.id);
    expect([answer.status, ((await answer.json()) as { code: string }).code]).toEqual([404, "MISSING_FILE"]);
    expect((await get(json.id, "small")).status).toBe(200);
  });
});

describe("refused with a code and words, and nothing stored", () => {
  const refusals: [string, () => Promise<[Uint8Array | string, string]>, number, string][] = [
    ["a text under a picture's name", async () => ["not a picture", `part=${rows.casing}`], 422, "UNREADABLE"],
    ["nothing", async () => ["", `part=${rows.casing}`], 422, "UNREADABLE"],
    [
      "a drawing with a script in it",
      async () => ['<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>', `part=${rows.casing}`],
      422,
      "UNREADABLE",
    ],
    ["a GIF", async () => [await twoColours().gif().toBuffer(), `part=${rows.casing}`], 422, "UNREADABLE"],
    [
      "a JPEG cut short",
      async () => {
        const whole = await sharp({ create: { width: 400, height: 400, channels: 3, background: "#a33" } })
          .jpeg()
          .toBuffer();
        return [whole.subarray(0, whole.length / 2), `part=${rows.casing}`];
      },
      422,
      "UNREADABLE",
    ],
    ["a file that is too large", async () => [new Uint8Array(MOST_BYTES + 1), `part=${rows.casing}`], 413, "TOO_LARGE"],
    [
      "a small file that unfolds to too many pixels",
      async () => [
        await sharp({ create: { width: 12_000, height: 12_000, channels: 3, background: "#fff" } })
          .png({ compressionLevel: 9 })
          .toBuffer(),
        `part=${rows.casing}`,
      ],
      413,
      "TOO_LARGE",
    ],
    ["a picture of no row", async () => [await plain(), ""], 422, "REQUIRED"],
    ["a picture of two rows", async () => [await plain(), `part=${rows.casing}&snag=${snag}`], 422, "REQUIRED"],
    [
      "a caption too long",
      async () => [await plain(), `part=${rows.casing}&caption=${"x".repeat(501)}`],
      422,
      "TOO_LONG",
    ],
  ];
  test.each(refusals)("%s", async (_what, request, status, code) => {
    const before = [await stored(), await server.store.photograph.count()];
    const answer = await send(...(await request()));
    expect([answer.status, answer.json.code]).toEqual([status, code]);
    expect(answer.json.message).toMatch(/\.$/);
    expect([await stored(), await server.store.photograph.count()]).toEqual(before);
  });

  test("a page of another site", async () => {
    const answer = await send(await plain(), `part=${rows.casing}`, { "sec-fetch-site": "cross-site" });
    expect([answer.status, answer.json.code]).toEqual([403, "CROSS_SITE"]);
  });
});

describe("who sees it", () => {
  test("nobody of another workshop sees or adds one", async () => {
    const theirs = await otherShop(server.store);
    expect((await get(theirs.photograph!)).status).toBe(404);
    expect((await send(await plain(), `part=${theirs.part}`)).status).toBe(404);
  });

  test("the owner sees what is meant for him, of parts, work and snags, never a quote's, and adds none", async () => {
    const { workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id: rows.restoration } });
    const owner = await server.store.account.create({ data: { workshopId, name: "Odile Farrant", role: "OWNER" } });
    const other = await server.store.account.create({ data: { workshopId, name: "Another owner", role: "OWNER" } });
    await server.store.restoration.update({ where: { id: rows.restoration }, data: { ownerAccountId: owner.id } });
    const [mine, strangers] = await Promise.all(
      [owner, other].map(async (account) => ({
        cookie: `lastbolt=${await beginSignIn(server.store, account, "", "Signed in")}`,
      })),
    );
    const seen = (await send(await plain(), `snag=${snag}`)).json;
    const kept = (await send(await plain(), `operation=${rows.brake}`)).json;
    await saved(server, "Photograph", { id: kept.id, revision: 1, forOwner: false });
    const quoted = (await send(await plain(), `quote=${rows.quote}`)).json;
    await saved(server, "Photograph", { id: quoted.id, revision: 1, forOwner: true });

    const told = await listed("restoration", rows.restoration, mine!.cookie);
    expect(told).toContain(seen.id);
    expect(told).not.toContain(kept.id);
    expect(told).not.toContain(quoted.id);
    const status = async (id: string, headers = mine!) => (await get(id, "small", headers)).status;
    expect([await status(seen.id), await status(kept.id), await status(quoted.id)]).toEqual([200, 404, 404]);
    expect(await status(seen.id, strangers!)).toBe(404);
    const refused = await send(await plain(), `part=${rows.casing}`, mine!);
    expect([refused.status, refused.json.code]).toEqual([403, "NOT_ALLOWED"]);
    const nobody = await get(seen.id, "small", { cookie: "lastbolt=signed-out" });
    expect([nobody.status, ((await nobody.json()) as { code: string }).code]).toEqual([401, "NOT_SIGNED_IN"]);
  });

  test("while as many files come in as are taken at once, whoever is signed out is still asked who it is, and takes no place", async () => {
    const places = [`photographs?part=${rows.casing}`, "import", "club-import"];
    const type = "application/zip";
    const soon = { timeout: 20_000 };
    const slow = new Set<ClientRequest>();
    /** Four files that never come to their end; one that found no place, since a short one had it, is sent again. */
    const hold = () => {
      while (slow.size < 4) {
        const sending = request(`${server.address}/import`, {
          method: "POST",
          headers: { "content-type": type, "content-length": 1_000 },
        });
        for (const end of ["error", "response"]) sending.on(end, () => slow.delete(sending));
        sending.write("P");
        slow.add(sending);
      }
    };
    const statuses = (headers: Record<string, string>) =>
      Promise.all(
        places.map(async (place) => {
          const answer = await fetch(`${server.address}/${place}`, { method: "POST", headers, body: "PK" });
          return answer.status;
        }),
      );
    try {
      const whileHeld = () => {
        hold();
        return statuses({ "content-type": type });
      };
      await expect.poll(whileHeld, soon).toEqual([503, 503, 503]);
      expect(await statuses({ "content-type": type, cookie: "lastbolt=signed-out" })).toEqual([401, 401, 401]);
    } finally {
      for (const sending of slow) sending.destroy();
    }
    await expect.poll(() => statuses({ "content-type": type }), soon).toEqual([422, 422, expect.any(Number)]);
  });
});

describe("at start", () => {
  const day = (n: number) => new Date(Date.UTC(2027, 0, 1 + n));
  const tidy = (now: Date) => tidyPhotographs(server.store, server.photographs, now);
  const isThere = (file: string) =>
    access(file).then(
      () => true,
      () => false,
    );
  /** Whether the picture and its small copy lie in their place, and in the bin. */
  const lies = (hash: string) =>
    Promise.all(
      [server.photographs, binOf(server.photographs)]
        .flatMap((folder) => [fileOf(folder, hash), smallFileOf(folder, hash)])
        .map(isThere),
    );
  const IN_PLACE = [true, true, false, false];
  const IN_BIN = [false, false, true, true];
  const GONE = [false, false, false, false];

  async function added() {
    const { json } = await send(await plain(), `part=${rows.casing}`);
    return server.store.photograph.findUniqueOrThrow({ where: { id: json.id } });
  }

  test("files that nothing names go to the bin, those that undo may need stay, and what was never finished goes", async () => {
    const { id, hash, revision } = await added();
    const stray = "f".repeat(64);
    const beside = path.dirname(fileOf(server.photographs, stray));
    await mkdir(beside, { recursive: true });
    for (const end of ["", ".small", ".unfinished"]) await writeFile(path.join(beside, stray + end), "x");
    await remove(server, "PHOTOGRAPH", id, revision);
    expect(await tidy(day(0))).toEqual({ binned: 2, back: 0, deleted: 1 });
    expect(await lies(hash)).toEqual(IN_PLACE);
    expect(await lies(stray)).toEqual(IN_BIN);
    expect(await tidy(day(BIN_DAYS))).toEqual({ binned: 0, back: 0, deleted: 0 });
    expect(await lies(stray)).toEqual(IN_BIN);
    expect(await tidy(day(BIN_DAYS + 1))).toEqual({ binned: 0, back: 0, deleted: 2 });
    expect(await lies(stray)).toEqual(GONE);
  });

  test("an older database takes no newer photograph for ever: with the newer one back, it is back", async () => {
    const row = await added();
    const { id, hash } = row;
    const changes = await server.store.change.findMany({ where: { rows: { contains: hash } } });
    // As in a copy of the database from before it was added.
    await server.store.photograph.delete({ where: { id } });
    await server.store.change.deleteMany({ where: { id: { in: changes.map((change) => change.id) } } });
    // Long after the picture was stored: the days count from when it was moved.
    await tidy(day(400));
    expect(await lies(hash)).toEqual(IN_BIN);
    await tidy(day(410));
    await server.store.photograph.create({ data: row });
    await tidy(day(420));
    expect(await lies(hash)).toEqual(IN_PLACE);
    expect((await get(id)).status).toBe(200);
  });

  test("a photograph that only a removed change of a removed restoration names stays for undo", async () => {
    const { id, hash } = await added();
    await server.store.photograph.delete({ where: { id } });
    const [change] = await server.store.change.findMany({ where: { rows: { contains: hash } } });
    await server.store.change.update({
      where: { id: change!.id },
      data: { rows: JSON.stringify([{ before: change }]) },
    });
    await tidy(day(500));
    expect(await lies(hash)).toEqual(IN_PLACE);
  });

  test("the same picture stored again takes its place, and none is left in the bin", async () => {
    const picture = await plain();
    const { json } = await send(picture, `part=${rows.casing}`);
    const { hash } = await server.store.photograph.delete({ where: { id: json.id } });
    await server.store.change.deleteMany({ where: { rows: { contains: hash } } });
    await tidy(day(600));
    expect(await lies(hash)).toEqual(IN_BIN);
    expect((await send(picture, `part=${rows.casing}`)).status).toBe(201);
    expect(await lies(hash)).toEqual(IN_PLACE);
  });
});
