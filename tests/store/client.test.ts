import { copyFile, mkdtemp, rm, stat } from "node:fs/promises";
import { tmpdir } from "node:os";
import path from "node:path";
import Database from "libsql";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { openStore } from "../../server/store/client.ts";
import { migrate } from "../../server/store/migrate.ts";
import { type TestStore, testStore } from "../support/store.ts";

let opened: TestStore;
beforeAll(async () => {
  opened = await testStore();
});
afterAll(() => opened.close());

const pragma = async (of: Pick<TestStore["store"], "$queryRawUnsafe">, name: string): Promise<unknown> => {
  const [row] = await of.$queryRawUnsafe<Record<string, unknown>[]>(`PRAGMA ${name}`);
  const value = Object.values(row ?? {})[0];
  return typeof value === "bigint" ? Number(value) : value;
};

describe("the connection to the database", () => {
  test("keeps a write-ahead log, also inside a transaction", async () => {
    const { store } = opened;
    expect(await pragma(store, "journal_mode")).toBe("wal");
    expect(await store.$transaction((tx) => pragma(tx, "journal_mode"))).toBe("wal");
    await store.workshop.create({ data: { name: "Quill Lane Workshop" } });
    expect((await stat(`${opened.file}-wal`)).size).toBeGreaterThan(0);
    await store.workshop.deleteMany();
  });

  test("enforces foreign keys, outside and inside transactions and after one was rolled back", async () => {
    const { store } = opened;
    expect(await pragma(store, "foreign_keys")).toBe(1);
    expect(await store.$transaction((tx) => pragma(tx, "foreign_keys"))).toBe(1);
    const orphan = { workshopId: "no such workshop", name: "Nobody" };
    await expect(store.account.create({ data: orphan })).rejects.toMatchObject({ code: "P2003" });
    await expect(store.$transaction((tx) => tx.account.create({ data: orphan }))).rejects.toMatchObject({
      code: "P2003",
    });
    expect(await pragma(store, "foreign_keys")).toBe(1);
    expect(await store.account.count()).toBe(0);
  });

  test("rows that belong to a removed row go with it", async () => {
    const { store } = opened;
    const workshop = await store.workshop.create({
      data: { name: "Quill Lane Workshop", accounts: { create: { name: "Restorer" } } },
    });
    await store.workshop.delete({ where: { id: workshop.id } });
    expect(await store.account.count()).toBe(0);
  });
});

describe("a transaction", () => {
  test("that is rolled back takes nothing of an outside write with it", async () => {
    const { store } = opened;
    let outside: Promise<unknown> | undefined;
    const inside = store.$transaction(async (tx) => {
      await tx.workshop.create({ data: { name: "inside" } });
      outside = store.workshop.create({ data: { name: "outside" } }).then((row) => row.id);
      await new Promise((resolve) => setTimeout(resolve, 50));
      throw new Error("rolled back on purpose");
    });
    await expect(inside).rejects.toThrow("rolled back on purpose");
    await outside;
    const names = (await store.workshop.findMany()).map((w) => w.name);
    expect(names).toEqual(["outside"]);
    await store.workshop.deleteMany();
  });

  test("shows an outside reader nothing before it is committed", async () => {
    const { store } = opened;
    const other = await openStore(opened.file);
    await store.$transaction(async (tx) => {
      await tx.workshop.create({ data: { name: "half done" } });
      expect(await other.workshop.count()).toBe(0);
    });
    expect(await other.workshop.count()).toBe(1);
    await other.$disconnect();
    await store.workshop.deleteMany();
  });

  test("keeps nobody waiting who only reads", async () => {
    const { store } = opened;
    await store.$transaction(async (tx) => {
      await tx.workshop.create({ data: { name: "half done" } });
      expect(await store.workshop.count()).toBe(0);
      expect(await tx.workshop.count()).toBe(1);
    });
    expect(await store.workshop.count()).toBe(1);
    await store.workshop.deleteMany();
  });

  test("many at once each take their turn, and every one is kept", async () => {
    const { store } = opened;
    await Promise.all(
      Array.from({ length: 20 }, (_, i) =>
        store.$transaction(async (tx) => {
          const before = await tx.workshop.count();
          await tx.workshop.create({ data: { name: `${i}: ${before} before` } });
        }),
      ),
    );
    expect(await store.workshop.count()).toBe(20);
    const turns = (await store.workshop.findMany()).map((w) => w.name.replace(/^\d+: /, ""));
    expect(new Set(turns).size).toBe(20);
    await store.workshop.deleteMany();
  });
});

describe("another that writes", () => {
  /** A connection of another process, as far as the file can tell. */
  const holding = async (work: () => Promise<void>): Promise<void> => {
    const other = new Database(opened.file);
    other.exec("BEGIN IMMEDIATE");
    await work().finally(() => {
      other.exec("ROLLBACK");
      other.close();
    });
  };

  test("refuses a write after a while, and the next one is stored as if nothing had been", async () => {
    const store = await openStore(opened.file, { patience: 50 });
    const add = (name: string) => store.workshop.create({ data: { name } });
    await holding(async () => {
      await expect(add("alone")).rejects.toThrow();
      await expect(store.$transaction((tx) => tx.workshop.create({ data: { name: "inside" } }))).rejects.toThrow();
    });
    await add("after it");
    await store.$transaction((tx) => tx.workshop.create({ data: { name: "in a transaction after it" } }));
    const names = (await opened.store.workshop.findMany({ orderBy: { name: "asc" } })).map(({ name }) => name);
    expect(names).toEqual(["after it", "in a transaction after it"]);
    await store.$disconnect();
    await opened.store.workshop.deleteMany();
  });

  test("is waited for while everything else goes on", async () => {
    const { store } = opened;
    let saved: Promise<unknown> = Promise.resolve();
    let turns = 0;
    await holding(async () => {
      saved = store.$transaction((tx) => tx.workshop.create({ data: { name: "waited" } }));
      for (; turns < 20; turns++) {
        expect(await store.workshop.count()).toBe(0);
        await new Promise((resolve) => setTimeout(resolve, 1));
      }
    });
    await saved;
    expect(await store.workshop.count()).toBe(1);
    await store.workshop.deleteMany();
  });
});

describe("a database that may grow no further", () => {
  test("refuses a transaction whole, keeps what it has, and goes on when there is room", async () => {
    const { store } = opened;
    const pages = Number(await pragma(store, "page_count"));
    await store.$executeRawUnsafe(`PRAGMA max_page_count = ${pages}`).catch(() => {});
    const notes = "x".repeat(1_000_000);
    await expect(store.$transaction((tx) => tx.workshop.create({ data: { name: notes } }))).rejects.toThrow(/full/);
    await expect(store.workshop.create({ data: { name: notes } })).rejects.toThrow(/full/);
    expect(await store.workshop.count()).toBe(0);
    await store.$executeRawUnsafe("PRAGMA max_page_count = 1073741823").catch(() => {});
    await store.$transaction((tx) => tx.workshop.create({ data: { name: notes } }));
    expect(await store.workshop.count()).toBe(1);
    await store.workshop.deleteMany();
  });
});

describe("closing the store", () => {
  test("leaves one file with everything in it, in a folder with spaces and signs in its name too", async () => {
    const folder = await mkdtemp(path.join(tmpdir(), "lastbolt 100% of #1 & é? "));
    const file = path.join(folder, "lastbolt.db");
    try {
      await migrate(file);
      const store = await openStore(file);
      await store.workshop.create({ data: { name: "Quill Lane Workshop" } });
      await store.$transaction((tx) => tx.workshop.create({ data: { name: "another" } }));
      await store.$disconnect();
      const alone = path.join(folder, "copy of the file alone.db");
      await copyFile(file, alone);
      const again = await openStore(alone);
      expect(await again.workshop.count()).toBe(2);
      await again.$disconnect();
    } finally {
      await rm(folder, { recursive: true, force: true });
    }
  });
});
