/** Codes: how they are said, and the one order of them in the database and in the program. */
import { readFile } from "node:fs/promises";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import {
  BY_CODE,
  codeInWords,
  codeOrder,
  compareCodes,
  leadOf,
  nextCode,
  numberAsked,
} from "../../server/store/codes.ts";
import { Journal } from "../../server/store/journal.ts";
import { insertRows, updateRows } from "../../server/store/manyRows.ts";
import { type TestStore, testStore } from "../support/store.ts";

const MIGRATION = new URL("../../prisma/migrations/20261129171500_codes_in_order/migration.sql", import.meta.url);

/** As lists have them. */
const IN_ORDER = [
  ...["0", "1", "2", "10", "070", "70", "100", "1913-A"],
  ...["BODY-2", "ENG-1", "ENG-010", "ENG-100", "ENG-STRIP", "Q9", "Q070", "Q71", "QL/113/2", "QL/113/10", "é 3 b 20"],
];

describe("a code", () => {
  it("that is a number is said with its noun, and one that was typed as it stands", () => {
    expect(codeInWords("quote", "70")).toBe("quote 70");
    expect(["ENG-010", "Q070", "1-A", ""].map((code) => codeInWords("quote", code))).toEqual([
      "ENG-010",
      "Q070",
      "1-A",
      "",
    ]);
  });

  it("is asked for by its noun in capitals or not, and never by another's", () => {
    expect([numberAsked("quote", " Quote 70 "), numberAsked("quote", "order 70"), numberAsked("quote", "70")]).toEqual([
      "70",
      undefined,
      undefined,
    ]);
  });

  it("of work begins with what its group is called for short", () => {
    expect(["Engine", "body", "Springs and axles", "Électrique", "2nd fix", "", "12"].map(leadOf)).toEqual([
      "ENG-",
      "BODY-",
      "SPR-",
      "ÉLE-",
      "ND-",
      "",
      "",
    ]);
  });
});

describe("the next number of a register", () => {
  /** A register in memory, which counts the rows that are read of it. */
  const register = (codes: readonly string[]) => {
    const rows = codes.map((code) => ({ code, codeOrder: codeOrder(code) }));
    rows.sort((a, b) => (a.codeOrder < b.codeOrder ? 1 : -1));
    const read = { rows: 0 };
    return {
      read,
      findMany: async ({ where, take }: { where: object; take?: number }) => {
        const { code, codeOrder: between } = where as { code?: string; codeOrder?: { gte: string; lt: string } };
        const found = rows.filter(
          (row) =>
            (code === undefined || row.code === code) &&
            (between === undefined || (row.codeOrder >= between.gte && row.codeOrder < between.lt)),
        );
        read.rows += Math.min(found.length, take ?? found.length);
        return found.slice(0, take);
      },
    };
  };

  it("is not that of a longer code that somebody typed, and never one that is taken", async () => {
    expect(await nextCode(register(["7", "999999999999999", "99999999999999999999"]), {})).toBe("8");
    expect(await nextCode(register(["999999999"]), {})).toBe("1000000000");
    expect(await nextCode(register(["999999999", "1000000000", "1000000001"]), {})).toBe("1000000002");
    expect(await nextCode(register(["ENG-999999999", "ENG-1000000000"]), {}, { lead: "ENG-" })).toBe("ENG-1000000001");
  });

  it("reads each code that only begins with a number once", async () => {
    const typed = register(["3", ...Array.from({ length: 5_000 }, (_, i) => `${(i % 90) + 10}-${i}`)]);
    expect(await nextCode(typed, {})).toBe("4");
    expect(typed.read.rows).toBeLessThanOrEqual(5_001);
  });
});

describe("codes in order", () => {
  let test: TestStore;
  let restorationId: string;
  beforeAll(async () => {
    test = await testStore();
    const workshop = await test.store.workshop.create({ data: { name: "Quill Lane Workshop" } });
    const restoration = await test.store.restoration.create({ data: { workshopId: workshop.id, machine: "Cyclecar" } });
    restorationId = restoration.id;
    for (const code of IN_ORDER.toReversed())
      await test.store.part.create({ data: { id: `part ${code}`, restorationId, code, name: "Casting" } });
  });
  afterAll(() => test.close());

  const listed = async (): Promise<string[]> =>
    (await test.store.part.findMany({ where: { restorationId }, orderBy: BY_CODE })).map(({ code }) => code);

  it("count the numbers in them as numbers, the same in the database and in the program", async () => {
    expect(IN_ORDER.toReversed().sort(compareCodes)).toEqual(IN_ORDER);
    expect(await listed()).toEqual(IN_ORDER);
  });

  it("that stood in a database before are brought into that order", async () => {
    const sql = await readFile(MIGRATION, "utf8");
    const [update] = /UPDATE "Part"[^;]*;/.exec(sql)!;
    await test.store.$executeRawUnsafe(`UPDATE "Part" SET "codeOrder" = ''`);
    await test.store.$executeRawUnsafe(update);
    const rows = await test.store.part.findMany();
    expect(rows.map((row) => row.codeOrder)).toEqual(rows.map(({ code }) => codeOrder(code)));
    expect(await listed()).toEqual(IN_ORDER);
  });

  it("stay in it whoever writes them: a row changed, many at once, or brought back from before the order was kept", async () => {
    const [first, second] = [
      { id: "x1", restorationId, code: "ENG-20", name: "Casting" },
      { id: "x2", restorationId, code: "ENG-3", name: "Casting" },
    ];
    await test.store.$transaction(async (tx) => {
      const [added] = await insertRows(tx, "part", [first]);
      expect(added).toMatchObject({ codeOrder: codeOrder("ENG-20") });
      const journal = new Journal(tx);
      await journal.create("part", { ...second, codeOrder: "" });
      const [moved] = await updateRows(tx, "part", [{ before: added!, data: { code: "ENG-2" } }]);
      expect(moved).toMatchObject({ codeOrder: codeOrder("ENG-2") });
      await journal.update("part", "x2", 1, { code: "ENG-5" });
    });
    const codes = await listed();
    expect(codes.slice(codes.indexOf("ENG-1"), codes.indexOf("ENG-010") + 1)).toEqual([
      "ENG-1",
      "ENG-2",
      "ENG-5",
      "ENG-010",
    ]);
  });
});
