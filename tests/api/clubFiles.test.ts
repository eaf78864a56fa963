/** The club's files: what a member takes out, and what comes in, all of it or nothing. */
import { strFromU8, strToU8, unzipSync, zipSync } from "fflate";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { seedClub } from "../../seed/club.ts";
import { seedDemo } from "../../seed/load.ts";
import { type Member, memberOf } from "../../server/access/club.ts";
import { viewerOf } from "../../server/access/viewer.ts";
import { type ClubImported, importClub } from "../../server/api/club/clubImport.ts";
import { clubZip, heldClub } from "../../server/io/clubHeld.ts";
import type { Store, Tx } from "../../server/store/client.ts";
import { undoClub } from "../../server/store/clubJournal.ts";
import type { Fault } from "../../server/store/fault.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let store: Store;
let steward: Member;
let pell: Member;

const readerOf = ({ id, steward: all, club }: Member) => ({ clubId: club.id, memberId: id, all });
const zipOf = (member: Member) => clubZip(store, readerOf(member), member.club.currency);
const filesOf = async (member: Member) => new Map(Object.entries(unzipSync(await zipOf(member))));
const bring = (member: Member, files: Record<string, string>): Promise<ClubImported> =>
  importClub(store, member, new Map(Object.entries(files).map(([name, text]) => [name, strToU8(text)])));
const faultsOf = async (member: Member, files: Record<string, string>) => {
  const error = await bring(member, files).then(
    () => null,
    (problem: { faults?: Fault[] }) => problem,
  );
  return error!.faults!.map(({ file, row, field, code }) => `${file} ${row} ${field ?? "-"} ${code}`);
};
const rowsOf = async (member: Member, table: string) =>
  (await heldClub(store, readerOf(member))).get(table)!.map(({ values }) => {
    const { id: _, revision: __, ...columns } = values;
    return columns;
  });
const counted = async () => [
  await store.clubSource.count(),
  await store.want.count(),
  await store.spare.count(),
  await store.clubChange.count(),
];
const post = (zip: Uint8Array, headers: Record<string, string> = {}) =>
  fetch(`${server.address}/club-import`, {
    method: "POST",
    headers: { "content-type": "application/zip", ...headers },
    body: Buffer.from(zip),
  });

beforeAll(async () => {
  server = await startServer({
    fill: async (filled) => {
      await seedDemo(filled);
      await seedClub(filled);
    },
  });
  store = server.store;
  steward = await memberOf(await viewerOf(store), store);
  const account = await store.account.findFirstOrThrow({ where: { name: "Ambrose Pell" } });
  const viewer = {
    accountId: account.id,
    workshopId: account.workshopId,
    role: account.role,
    admin: false,
    everyJob: false,
  };
  pell = await memberOf(viewer, store);
});
afterAll(() => server.close());

describe("the files that a member takes out", () => {
  test("hold every row that the member reads, and nothing is changed by bringing them in again", async () => {
    for (const member of [steward, pell]) {
      const files = await filesOf(member);
      expect([...files.keys()].sort()).toEqual([
        "batch_prices.csv",
        "batch_stages.csv",
        "batches.csv",
        "names_down.csv",
        "sources.csv",
        "spares.csv",
        "wants.csv",
      ]);
      const before = await counted();
      const { change, counts } = await importClub(store, member, files);
      expect(change).toBeNull();
      expect(counts.map(({ file, rows, same }) => [file, rows, same])).toEqual([
        ["sources.csv", 150, 150],
        ["wants.csv", 85, 85],
        ["spares.csv", 65, 65],
        ["batches.csv", 3, 3],
      ]);
      expect(await counted()).toEqual(before);
    }
  });

  test("name orders and parts of the member alone, and withheld rows only where they are the member's own", async () => {
    const told = (await rowsOf(pell, "clubSource")).filter(({ order }) => order !== null);
    expect(told).toEqual([]);
    const mine = await rowsOf(steward, "clubSource");
    expect(new Set(mine.filter(({ order }) => order !== null).map(({ member }) => member))).toEqual(
      new Set(["Quill Lane Workshop"]),
    );
    const { id, code } = await store.spare.findFirstOrThrow({ where: { memberId: { notIn: [steward.id, pell.id] } } });
    await store.spare.update({ where: { id }, data: { withheldReason: "Sold" } });
    const codes = async (member: Member) => (await rowsOf(member, "spare")).map((row) => row["code"]);
    expect(await codes(pell)).not.toContain(code);
    expect(await codes(steward)).toContain(code);
    await store.spare.update({ where: { id }, data: { withheldReason: null } });
  });
});

describe("a round trip", () => {
  test("brings a member's own rows back as they were, with their orders and parts", async () => {
    const files = await filesOf(steward);
    const before = [await rowsOf(steward, "clubSource"), await rowsOf(steward, "spare")];
    const { count: sources } = await store.clubSource.deleteMany({ where: { memberId: steward.id } });
    const { count: spares } = await store.spare.deleteMany({ where: { memberId: steward.id } });
    const { counts, change } = await importClub(store, steward, files);
    expect(counts.map(({ added }) => added)).toEqual([sources, 0, spares, 0]);
    const strip = (rows: Record<string, unknown>[]) =>
      rows.map(({ orderId: _, clubId: __, memberId: ___, ...row }) => row);
    expect(strip(await rowsOf(steward, "clubSource"))).toEqual(strip(before[0]!));
    expect(strip(await rowsOf(steward, "spare"))).toEqual(strip(before[1]!));
    expect((await store.clubChange.findUniqueOrThrow({ where: { id: change! } })).summary).toBe(
      `Imported sources: ${sources} new; spares: ${spares} new`,
    );
  });

  test("by a steward fills an empty club with the rows of every member, their days and the batches' terms", async () => {
    const { "sources.csv": _, ...files } = Object.fromEntries(await filesOf(steward));
    const tables = ["want", "spare", "batch", "batchPrice", "batchStage"] as const;
    const before = await Promise.all(tables.map((table) => rowsOf(steward, table)));
    await store.matchMessage.deleteMany();
    await store.correspondence.deleteMany();
    await store.nameDown.deleteMany();
    for (const table of ["want", "spare", "batch"] as const) await (store[table] as typeof store.want).deleteMany();
    await importClub(store, steward, new Map(Object.entries(files)));
    for (const [i, table] of tables.entries()) {
      const columns = (rows: Record<string, unknown>[]) =>
        rows.map(({ partId: __, putDown: ___, settledOn: ____, state: _____, ...row }) => row);
      expect(columns(await rowsOf(steward, table))).toEqual(columns(before[i]!));
    }
  });
});

describe("files with the names of before", () => {
  const BATCH =
    "batch,part,maker,smallest,opened_on,closes_on,lead_days\nB-90,Hub,Brindlewick Foundry,4,2026-02-01,2027-03-01,30\n";

  test("are read as those of today", async () => {
    const { notices, change } = await bring(steward, {
      "wants.csv": "want,part,posted_on\nW-90,Horn,2020-03-04\n",
      "batches.csv": BATCH,
      "pledges.csv": "batch,member,quantity,pledged_on\nB-90,Ambrose Pell,1,2026-03-01\n",
    });
    const columns = ["posted_on", "opened_on", "pledged_on"].map((field) => ({ code: "READ_AS", field }));
    const leftAlone = { file: "pledges.csv", message: expect.stringContaining("left alone") };
    expect(notices).toMatchObject([...columns, leftAlone]);
    const want = await store.want.findFirstOrThrow({ where: { code: "W-90" } });
    expect(want.enteredAt.toISOString().slice(0, 10)).toBe("2020-03-04");
    expect(await store.batch.findFirstOrThrow({ where: { code: "B-90" } })).toMatchObject({ begunOn: "2026-02-01" });
    const taken = await store.clubChange.findUniqueOrThrow({ where: { id: change! } });
    await undoClub(store, taken, steward.accountId, async () => {});
  });

  test("have their faults told by the names that stand in them", async () => {
    expect(
      await faultsOf(steward, {
        "batches.csv": BATCH.replace("2026-02-01", "soon"),
        "pledges.csv": "batch,member,quantity,pledged_on\nB-90,Ambrose Pell,many,2026-03-01\n",
      }),
    ).toEqual(expect.arrayContaining(["batches.csv 2 opened_on NOT_A_DATE", "pledges.csv 2 quantity NOT_A_NUMBER"]));
  });

  test("stand beside those of today in no import", async () => {
    const names = "batch,member,quantity\nB-90,Ambrose Pell,1\n";
    expect(await faultsOf(steward, { "names_down.csv": names, "pledges.csv": names })).toEqual([
      "pledges.csv undefined - DUPLICATE",
    ]);
  });
});

describe("what comes in", () => {
  test("is told by file, line and column where it is wrong, and then nothing is written", async () => {
    const before = await counted();
    const faults = await faultsOf(pell, {
      "spares.csv": [
        "spare,part,price,currency,condition,quantity,entered_on",
        ",Horn,12.345,GBP,serviceable,1,",
        ",Horn,1,XXQ,serviceable,1,",
        ",,1,GBP,rusty,one,",
        ",Hub,1,GBP,serviceable,0,",
        "X90001,Hub,1,GBP,serviceable,1,",
        "X90001,Hub,1,GBP,serviceable,1,",
        "1,Something else,1,GBP,serviceable,1,",
        ",Good as it is,1,GBP,serviceable,1,",
      ].join("\r\n"),
      "sources.csv":
        "source,supplier,part,provenance,failed,order\n,Mosslick,Horn,original,yes,\n,Mosslick,Hub,original,no,QL-101\n",
      "wants.csv": "want,machine\n,Pellifer\n",
      "batch_prices.csv": "batch,size,unit_price\nB77777,5,10.00\n",
    });
    expect(faults.sort()).toEqual([
      "batch_prices.csv 2 batch UNKNOWN_ROW",
      "sources.csv 2 - REFUSED",
      "sources.csv 3 order UNKNOWN_ROW",
      "spares.csv 2 price OUT_OF_RANGE",
      "spares.csv 3 currency UNKNOWN_CURRENCY",
      "spares.csv 4 condition NOT_A_CHOICE",
      "spares.csv 4 part REQUIRED",
      "spares.csv 4 quantity NOT_A_NUMBER",
      "spares.csv 5 quantity OUT_OF_RANGE",
      "spares.csv 7 spare DUPLICATE",
      "spares.csv 8 member NOT_A_CHOICE",
      "wants.csv 1 part MISSING_COLUMN",
    ]);
    expect(await counted()).toEqual(before);
  });

  test("is the member's own: added and changed, of today, and taken back by one undo", async () => {
    const first = await bring(pell, {
      "spares.csv":
        "spare,member,part,machine,price,entered_on\n,,Starting handle,Tarnbeck,14.50,2020-01-01\n,Ambrose Pell,Hub caps,Tarnbeck,,\n",
    });
    expect(first.counts).toEqual([{ file: "spares.csv", rows: 2, added: 2, changed: 0, same: 0 }]);
    const [handle] = await store.spare.findMany({ where: { memberId: pell.id, part: "Starting handle" } });
    expect(handle).toMatchObject({ priceMinor: 1_450, currency: "GBP" });
    expect(handle!.enteredAt.getFullYear()).toBeGreaterThan(2020);
    const second = await bring(pell, { "spares.csv": `spare,part,gone\n${handle!.code},Starting handle,yes\n` });
    expect(second.counts).toMatchObject([{ changed: 1 }]);
    expect(await store.spare.findUniqueOrThrow({ where: { id: handle!.id } })).toMatchObject({
      gone: true,
      machine: "Tarnbeck",
      priceMinor: 1_450,
    });
    expect(await faultsOf(pell, { "wants.csv": 'want,member,part\n,"T. Oddlestoke, member 88",Horn\n' })).toEqual([
      "wants.csv 2 member NOT_A_CHOICE",
    ]);
  });

  test("counts as entries, and more than one may make is refused whole; a steward's does not", async () => {
    const lines = Array.from({ length: pell.club.entriesPerDay + 1 }, (_, i) => `,Bolt ${i}`).join("\n");
    const before = await counted();
    await expect(bring(pell, { "spares.csv": `spare,part\n${lines}\n` })).rejects.toMatchObject({
      code: "TOO_MANY_ENTRIES",
    });
    expect(await counted()).toEqual(before);
    const { counts } = await bring(steward, {
      "spares.csv": `spare,part,member\n${lines.replace(/$/gm, ",Ambrose Pell")}\n`,
    });
    expect(counts[0]!.added).toBe(pell.club.entriesPerDay + 1);
  });

  test("does not move terms for which members are down, nor a row to another member", async () => {
    const batch = await store.batch.findFirstOrThrow({ where: { code: "1" } });
    await store.nameDown.create({ data: { batchId: batch.id, memberId: pell.id, quantity: 1, depositMinor: 100 } });
    await store.batch.update({ where: { id: batch.id }, data: { putDown: 1 } });
    const head = "batch,part,maker,smallest,closes_on,lead_days,unit\n";
    const line = `1,"Carburettor, barrel type",Glimmerhulme Brass,8,2027-01-31,168,`;
    expect(await faultsOf(steward, { "batches.csv": `${head}${line}99.00\n` })).toEqual(["batches.csv 2 - REFUSED"]);
    expect((await bring(steward, { "batches.csv": `${head}${line}126.60\n` })).change).toBeNull();
    const { code, part } = await store.spare.findFirstOrThrow({ where: { memberId: pell.id } });
    expect(
      await faultsOf(steward, { "spares.csv": `spare,part,member\n${code},"${part}",Quill Lane Workshop\n` }),
    ).toEqual(["spares.csv 2 member NOT_A_CHOICE"]);
  });
});

describe("over HTTP", () => {
  test("a zip goes out and in; faults come back as JSON, and another site's page is refused", async () => {
    const out = await fetch(`${server.address}/club-export.zip`);
    expect(out.headers.get("content-disposition")).toContain("Hedgerow Light Car Register.zip");
    const zip = new Uint8Array(await out.arrayBuffer());
    expect(strFromU8(unzipSync(zip)["wants.csv"]!)).toMatch(/^want,member,own_part,part,/);
    const again = await post(zip);
    expect(again.status).toBe(200);
    expect(await again.json()).toMatchObject({ change: null });
    const bad = await post(zipSync({ "wants.csv": strToU8("want,part,quantity\n,Horn,many\n") }));
    expect(bad.status).toBe(422);
    expect(await bad.json()).toMatchObject({
      faults: [{ file: "wants.csv", row: "2", field: "quantity", code: "NOT_A_NUMBER" }],
    });
    expect((await post(zip, { origin: "https://elsewhere.example" })).status).toBe(403);
    expect((await post(zipSync({ "other.txt": strToU8("x") }))).status).toBe(422);
  });

  test("nothing goes to somebody who is not signed in, nor to an owner", async () => {
    const cookie = "lastbolt=signed-out";
    expect((await fetch(`${server.address}/club-export.zip`, { headers: { cookie } })).status).toBe(401);
    expect((await post(await zipOf(steward), { cookie })).status).toBe(401);
    const owner = await store.account.findFirstOrThrow({ where: { role: "OWNER" } });
    const answer = await fetch(`${server.address}/graphql`, {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({ query: `mutation { actAs(account: "${owner.id}") { __typename } }` }),
    });
    const asOwner = { cookie: answer.headers.get("set-cookie")!.split(";")[0]! };
    expect((await fetch(`${server.address}/club-export.zip`, { headers: asOwner })).status).toBe(403);
    expect((await post(await zipOf(steward), asOwner)).status).toBe(403);
  });
});

test("an import that is stopped on its way keeps nothing of what it had written", async () => {
  const before = await counted();
  const text = ["supplier,part,provenance", ...Array(10).fill("Brindlewick Foundry,Hub cap,remade")].join("\n");
  let asked = 0;
  const stopped = importClub(store, steward, new Map([["sources.csv", strToU8(text)]]), () => ++asked > 5);
  await expect(stopped).rejects.toThrow("The import was stopped. Nothing was changed.");
  expect(await counted()).toEqual(before);
});

test("a steward's two hundred spares are written in few statements, codes made up among them, and taken back", async () => {
  const rows = Array.from({ length: 200 }, (_, i) => `${i % 50 === 0 ? "" : `LOT-${i}`},Rim ${i},Cyclecar\n`);
  const before = await rowsOf(steward, "spare");
  const statements: string[] = [];
  const counting = <T extends object>(of: T): T =>
    new Proxy(of, {
      get(target, key) {
        const value = Reflect.get(target, key);
        if (typeof value === "object" && value !== null) return counting(value);
        if (typeof value !== "function") return value;
        return (...given: unknown[]) => {
          statements.push(String(key));
          return value.apply(target, given);
        };
      },
    });
  const watched = new Proxy(store, {
    get: (target, key) =>
      key === "$transaction"
        ? (work: (tx: Tx) => Promise<unknown>) => target.$transaction((tx) => work(counting(tx)))
        : Reflect.get(target, key),
  });
  const files = new Map([["spares.csv", strToU8(`spare,part,machine\n${rows.join("")}`)]]);
  const { change, counts } = await importClub(watched, steward, files);
  expect(counts).toEqual([{ file: "spares.csv", rows: 200, added: 200, changed: 0, same: 0 }]);
  expect(statements.length).toBeLessThan(60);
  const after = await rowsOf(steward, "spare");
  expect(after).toHaveLength(before.length + 200);
  expect(new Set(after.map((row) => row["code"])).size).toBe(after.length);
  const stored = await store.clubChange.findUniqueOrThrow({ where: { id: change! } });
  expect(JSON.parse(stored.rows)).toHaveLength(200);
  await undoClub(store, stored, steward.accountId, async () => {});
  expect(await rowsOf(steward, "spare")).toEqual(before);
});
