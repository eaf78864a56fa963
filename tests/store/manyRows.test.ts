/** Rows written many at once are those that Prisma writes one by one, to the last value and its kind. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import type { Tx } from "../../server/store/client.ts";
import { cannotWriteOf, InvalidInput, StaleRow } from "../../server/store/fault.ts";
import { Journal, record } from "../../server/store/journal.ts";
import { insertRows, updateRows } from "../../server/store/manyRows.ts";
import { type AnyRow, delegateOf, NOUNS, type Table } from "../../server/store/tables.ts";
import { type TestStore, testStore } from "../support/store.ts";

const TABLES = Object.keys(NOUNS) as Table[];
const inDatabase = (table: Table): string => `"${table[0]!.toUpperCase()}${table.slice(1)}"`;

let test: TestStore;
const filled: Table[] = [];
beforeAll(async () => {
  test = await testStore();
  await seedDemo(test.store);
  for (const table of TABLES) if ((await delegateOf(test.store, table).count({ where: {} })) > 0) filled.push(table);
});
afterAll(() => test.close());

interface Stated {
  name: string;
  type: string;
  notnull: unknown;
  dflt_value: string | null;
}

const columnsOf = (tx: Tx, table: Table): Promise<Stated[]> =>
  tx.$queryRawUnsafe(`PRAGMA table_info(${inDatabase(table)})`);

/** Every value of a table as SQLite holds it, with the kind of each. */
async function held(tx: Tx, table: Table): Promise<unknown> {
  const columns = await columnsOf(tx, table);
  const each = columns.map(({ name }) => `typeof("${name}") || ' ' || ifnull(quote("${name}"), '') AS "${name}"`);
  return tx.$queryRawUnsafe(`SELECT ${each.join(", ")} FROM ${inDatabase(table)} ORDER BY id`);
}

class TakenBack extends Error {}

/** Does something to the demo and takes it back. */
const meanwhile = (work: (tx: Tx) => Promise<unknown>): Promise<void> =>
  test.store
    .$transaction(async (tx) => {
      await tx.$executeRawUnsafe("PRAGMA defer_foreign_keys = ON");
      await work(tx);
      throw new TakenBack();
    })
    .catch((error: unknown) => {
      if (!(error instanceof TakenBack)) throw error;
    });

describe("rows written many at once", () => {
  it("of every table of the demo are as they were, taken out and written again", async () => {
    expect(filled.length).toBeGreaterThan(25);
    for (const table of filled)
      await meanwhile(async (tx) => {
        const before = await held(tx, table);
        const rows = await delegateOf(tx, table).findMany({ where: {} });
        await tx.$executeRawUnsafe(`DELETE FROM ${inDatabase(table)}`);
        expect(await insertRows(tx, table, rows)).toEqual(rows);
        expect(await held(tx, table)).toEqual(before);
      });
  });

  it("hold what Prisma writes where nothing is said", async () => {
    for (const table of filled)
      await meanwhile(async (tx) => {
        const [row] = await delegateOf(tx, table).findMany({ where: {} });
        const moments: string[] = [];
        const least: Record<string, unknown> = { id: "least" };
        for (const { name, type, notnull, dflt_value } of await columnsOf(tx, table)) {
          if (Number(notnull) === 1 && dflt_value === null && name !== "id") least[name] = row![name];
          if (type === "DATETIME") moments.push(name);
        }
        /** A moment differs from run to run; its kind and the way it is written do not. */
        const without = (rows: unknown) =>
          (rows as Record<string, unknown>[]).map((one) => ({
            ...one,
            ...Object.fromEntries(
              moments.map((name) => [
                name,
                String(one[name])
                  .replace(/\d/g, "0")
                  .replace(/\w{3} \w{3}/, ""),
              ]),
            ),
          }));
        await tx.$executeRawUnsafe(`DELETE FROM ${inDatabase(table)}`);
        const theirs = await delegateOf(tx, table).createManyAndReturn({ data: [least] });
        const stored = await held(tx, table);
        await tx.$executeRawUnsafe(`DELETE FROM ${inDatabase(table)}`);
        const ours = await insertRows(tx, table, [least as AnyRow]);
        expect(without(ours)).toEqual(without(theirs));
        expect(without(await held(tx, table))).toEqual(without(stored));
      });
  });

  it("of which one is there already are refused by name, and none is written", async () => {
    const restoration = await test.store.restoration.findFirstOrThrow();
    const account = await test.store.account.findFirstOrThrow();
    const before = await test.store.part.count();
    const { code } = await test.store.part.findFirstOrThrow();
    const part = (id: string, name: string) => ({ id, restorationId: restoration.id, code: name, name });
    const writing = record(
      test.store,
      { restorationId: restoration.id, accountId: account.id, summary: "Twice" },
      (journal) => journal.createMany("part", [part("new", "NEW"), part("twice", code)]),
    );
    await expect(writing).rejects.toMatchObject({ faults: [{ code: "DUPLICATE", field: "code" }] });
    await expect(writing).rejects.toBeInstanceOf(InvalidInput);
    expect(await test.store.part.count()).toBe(before);
  });
});

describe("rows changed many at once", () => {
  it("are as if each were changed alone, and recorded so", async () => {
    await meanwhile(async (tx) => {
      const rows = await delegateOf(tx, "part").findMany({ where: {}, take: 20 });
      const data = (i: number) => (i % 2 === 0 ? { name: `Part ${i}`, safetyCritical: true } : { estimateMinor: null });
      const many = new Journal(tx);
      const ours = await many.updateMany(
        "part",
        rows.map((before, i) => ({ before, data: data(i) })),
      );
      const together = await held(tx, "part");
      expect(await delegateOf(tx, "part").findMany({ where: { id: { in: rows.map(({ id }) => id) } } })).toEqual(ours);
      for (const row of rows) await tx.part.update({ where: { id: row.id }, data: { ...row, id: undefined } as never });
      const single = new Journal(tx);
      for (const [i, row] of rows.entries()) await single.update("part", row.id, row.revision, data(i) as never);
      expect(await held(tx, "part")).toEqual(together);
      expect(JSON.parse(many.rows)).toEqual(JSON.parse(single.rows));
      expect(JSON.parse(many.rows)).toEqual(JSON.parse(JSON.stringify(many.entries)));
    });
  });

  it("of which somebody else has changed one meanwhile are refused, with both values", async () => {
    await meanwhile(async (tx) => {
      const rows = await delegateOf(tx, "part").findMany({ where: {}, take: 3 });
      await new Journal(tx).update("part", rows[1]!.id, rows[1]!.revision, { name: "Theirs" });
      const changes = rows.map((before) => ({ before, data: { name: "Ours" } }));
      const writing = new Journal(tx).updateMany("part", changes);
      await expect(writing).rejects.toBeInstanceOf(StaleRow);
      await expect(writing).rejects.toMatchObject({
        differences: [{ field: "name", theirs: "Theirs", yours: "Ours" }],
      });
    });
  });
});

describe("where the disk runs full, many rows", () => {
  /** Lets the file grow by two pages, does something in a transaction, and gives what it throws. */
  async function onFullDisk(work: (tx: Tx) => Promise<unknown>): Promise<unknown> {
    const pages = async (sql: string) =>
      Object.values((await test.store.$transaction((tx) => tx.$queryRawUnsafe<object[]>(sql)))[0]!);
    const [now] = await pages("PRAGMA page_count");
    await pages(`PRAGMA max_page_count = ${Number(now) + 2}`);
    try {
      return await test.store.$transaction(work).then(
        () => null,
        (error: unknown) => error,
      );
    } finally {
      await pages("PRAGMA max_page_count = 4294967294");
    }
  }

  it("are refused by the disk's code, and not one stands afterwards", async () => {
    const { id: restorationId } = await test.store.restoration.findFirstOrThrow();
    const before = await test.store.operation.count();
    const rows = Array.from({ length: 400 }, (_, i) => ({
      id: `full-${i}`,
      restorationId,
      code: `FULL${i}`,
      title: "x".repeat(i === 399 ? 10 : 2_000),
      hoursLikely: 1,
    }));
    const thrown = await onFullDisk((tx) => insertRows(tx, "operation", rows));
    expect(cannotWriteOf(thrown)?.code).toBe("DISK_FULL");
    expect(await test.store.operation.count()).toBe(before);
  });

  it("keep what they were, without exception", async () => {
    const operations = (await delegateOf(test.store, "operation").findMany({ where: {} })) as AnyRow[];
    const changes = operations.map((before) => ({ before, data: { notes: "y".repeat(20_000) } }));
    const thrown = await onFullDisk((tx) => updateRows(tx, "operation", changes));
    expect(cannotWriteOf(thrown)?.code).toBe("DISK_FULL");
    expect(await delegateOf(test.store, "operation").findMany({ where: {} })).toEqual(operations);
  });
});
