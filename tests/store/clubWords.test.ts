/** A database from before the club's words of today: its rows and its record of changes are kept under them. */
import { cp, mkdtemp, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { connectTo } from "../../server/store/backup.ts";
import { openStore, type Store } from "../../server/store/client.ts";
import { undoClub } from "../../server/store/clubJournal.ts";
import { migrate } from "../../server/store/migrate.ts";
import { prismaFolder } from "../../server/store/schemaEngine.ts";
import { undo } from "../../server/store/undo.ts";

const FIRST_OF_TODAY = "20261129162500_names_down";
const own = path.join(prismaFolder, "migrations");

let folder: string;
let store: Store;

/** The row of a name before and after it was taken off, as the record of changes held it. */
const withdrawn = (pledge: object): string =>
  JSON.stringify([
    {
      table: "pledge",
      id: "p1",
      before: { ...pledge, withdrawn: false, depositState: "HELD", revision: 1 },
      after: { ...pledge, withdrawn: true, depositState: "RETURNED", revision: 2 },
    },
  ]);

const PLEDGE = { id: "p1", batchId: "b-open", memberId: "m", quantity: 2, depositMinor: 800, pledgedAt: "2026-11-02" };

const hidden = (reason: string | null, revision: number): object => ({
  ...{ id: "s", clubId: "c", memberId: "m", code: "X1", part: "Horn", postedAt: "2026-11-01T12:00:00.000Z" },
  hiddenReason: reason,
  revision,
});

const ROWS: readonly string[] = [
  `INSERT INTO "Workshop" ("id", "name") VALUES ('w', 'Quill Lane Workshop')`,
  `INSERT INTO "Account" ("id", "workshopId", "name") VALUES ('a', 'w', 'Hesper Quill')`,
  `INSERT INTO "Club" ("id", "name", "postsPerDay") VALUES ('c', 'Hedgerow Light Car Register', 40)`,
  `INSERT INTO "ClubMember" ("id", "clubId", "accountId", "name", "joinedOn", "admin")
     VALUES ('m', 'c', 'a', 'Hesper Quill', '2024-05-01', true)`,
  `INSERT INTO "Want" ("id", "clubId", "memberId", "code", "part") VALUES ('wt', 'c', 'm', 'W1', 'Horn')`,
  `INSERT INTO "Spare" ("id", "clubId", "memberId", "code", "part", "currency", "hiddenReason", "postedAt", "revision")
     VALUES ('s', 'c', 'm', 'X1', 'Horn', 'GBP', 'Sold', '2026-11-01T12:00:00.000Z', 2)`,
  `INSERT INTO "MatchThread" ("id", "wantId", "spareId") VALUES ('t', 'wt', 's')`,
  `INSERT INTO "MatchMessage" ("id", "threadId", "memberId", "text") VALUES ('mm', 't', 'm', 'Is it whole?')`,
  `INSERT INTO "ClubReport" ("id", "clubId", "memberId", "kind", "rowId", "row", "reason", "settled", "outcome")
     VALUES ('r', 'c', 'm', 'SPARE', 's', 'X1 Horn', 'Sold already', true, 'So it is')`,
  `INSERT INTO "ClubReport" ("id", "clubId", "memberId", "kind", "rowId", "row", "reason", "settled", "outcome")
     VALUES ('r2', 'c', 'm', 'SPARE', 's', 'X1 Horn', 'Still there', true, 'Hidden: Sold')`,
  ...[
    ["b-open", "OPEN"],
    ["b-closed", "CLOSED"],
    ["b-failed", "FAILED"],
  ].map(
    ([id, state]) =>
      `INSERT INTO "Batch" ("id", "clubId", "memberId", "code", "part", "maker", "currency", "smallest", "openedOn", "closesOn", "leadDays", "state", "pledged")
         VALUES ('${id}', 'c', 'm', '${id}', 'Casing', 'Brindlewick Foundry', 'GBP', 6, '2026-09-01', '2027-03-01', 56, '${state}', 2)`,
  ),
  `INSERT INTO "Pledge" ("id", "batchId", "memberId", "quantity", "depositMinor", "depositState", "withdrawn", "revision")
     VALUES ('p1', 'b-open', 'm', 2, 800, 'RETURNED', true, 2)`,
  `INSERT INTO "ClubChange" ("id", "clubId", "accountId", "summary", "rows")
     VALUES ('k1', 'c', 'a', 'Withdrew', '${withdrawn(PLEDGE)}')`,
  `INSERT INTO "ClubChange" ("id", "clubId", "accountId", "summary", "rows")
     VALUES ('k2', 'c', 'a', 'Hid spare X1 Horn', '${JSON.stringify([{ table: "spare", id: "s", before: hidden(null, 1), after: hidden("Sold", 2) }])}')`,
  `INSERT INTO "Restoration" ("id", "workshopId", "machine") VALUES ('rest', 'w', 'Cyclecar')`,
  `INSERT INTO "Part" ("id", "restorationId", "code", "name") VALUES ('part', 'rest', 'P1', 'Horn')`,
  `INSERT INTO "PartReference" ("id", "partId", "source", "number") VALUES ('ref', 'part', 'Parts book', '117')`,
  `INSERT INTO "Change" ("id", "restorationId", "accountId", "summary", "rows") VALUES ('ch', 'rest', 'a', 'Took a number away',
     '${JSON.stringify([{ table: "partReference", id: "gone", before: { id: "gone", partId: "part", source: "Drawing", number: "9", revision: 1 }, after: null }])}')`,
];

beforeAll(async () => {
  folder = await mkdtemp(path.join(tmpdir(), "lastbolt-words-"));
  const before = path.join(folder, "before");
  await cp(own, before, { recursive: true });
  for (const name of await readdir(before))
    if (/^\d/.test(name) && name >= FIRST_OF_TODAY) await rm(path.join(before, name), { recursive: true });
  const file = path.join(folder, "data", "lastbolt.db");
  await migrate(file, { migrations: before });
  const connection = connectTo(file);
  for (const sql of ROWS) await connection.execute(sql);
  connection.close();
  await migrate(file);
  store = await openStore(file);
});
afterAll(async () => {
  await store?.$disconnect();
  await rm(folder, { recursive: true, force: true });
});

describe("rows of before", () => {
  it("of batches are in the states of today, with the pieces put down for", async () => {
    const batches = await store.batch.findMany({ orderBy: { code: "desc" } });
    expect(batches.map(({ code, state, putDown, begunOn }) => [code, state, putDown, begunOn])).toEqual([
      ["b-open", "TAKING_NAMES", 2, "2026-09-01"],
      ["b-failed", "NOT_FILLED", 2, "2026-09-01"],
      ["b-closed", "GOES_AHEAD", 2, "2026-09-01"],
    ]);
    const made = { clubId: "c", memberId: "m", code: "b-new", part: "Cover", maker: "Brindlewick Foundry" };
    const terms = { currency: "GBP", smallest: 2, begunOn: "2026-11-01", closesOn: "2027-03-01", leadDays: 10 };
    expect((await store.batch.create({ data: { ...made, ...terms } })).state).toBe("TAKING_NAMES");
  });

  it("of the club keep who sees to it, what was said to be wrong, and what is withheld", async () => {
    expect(await store.club.findFirst()).toMatchObject({ entriesPerDay: 40 });
    expect(await store.clubMember.findFirst()).toMatchObject({ steward: true });
    const answers = await store.clubComplaint.findMany({ orderBy: { id: "asc" } });
    expect(answers.map(({ answer }) => answer)).toEqual(["So it is", "Withheld: Sold"]);
    expect(await store.clubChange.findUnique({ where: { id: "k2" } })).toMatchObject({
      summary: "Withheld spare X1 Horn",
    });
    expect(await store.spare.findFirst()).toMatchObject({ withheldReason: "Sold" });
    const [message] = await store.matchMessage.findMany({ include: { correspondence: true } });
    expect(message).toMatchObject({ text: "Is it whole?", correspondence: { wantId: "wt", spareId: "s" } });
  });

  it("of a part keep the book in which a number stands", async () => {
    expect(await store.partReference.findUnique({ where: { id: "ref" } })).toMatchObject({ book: "Parts book" });
  });
});

describe("a change of before is taken back", () => {
  const change = (id: string) => store.clubChange.findUniqueOrThrow({ where: { id } });

  it("where a name was taken off", async () => {
    await undoClub(store, await change("k1"), "a", async () => {});
    expect(await store.nameDown.findFirst()).toMatchObject({ takenOff: false, depositState: "HELD", quantity: 2 });
  });

  it("where a row was withheld", async () => {
    await undoClub(store, await change("k2"), "a", async () => {});
    expect(await store.spare.findFirst()).toMatchObject({ withheldReason: null });
  });

  it("where a number of a book was taken away", async () => {
    await undo(store, await store.change.findUniqueOrThrow({ where: { id: "ch" } }), "a");
    expect(await store.partReference.findUnique({ where: { id: "gone" } })).toMatchObject({ book: "Drawing" });
  });
});
