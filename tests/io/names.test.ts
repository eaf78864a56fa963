/** Files as people have them: rows called by their names, and without codes. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { applyImport, prepareImport } from "../../server/io/import.ts";
import { InvalidInput } from "../../server/store/fault.ts";
import { type TestStore, testStore } from "../support/store.ts";
import { type Files, fileSet, LEAST } from "./fileSet.ts";

let test: TestStore;
let workshop: { workshopId: string; accountId: string };
let restorationId: string;

beforeAll(async () => {
  test = await testStore();
  const { id: workshopId } = await test.store.workshop.create({ data: { name: "Quill Lane Workshop" } });
  const { id: accountId } = await test.store.account.create({ data: { workshopId, name: "Restorer" } });
  workshop = { workshopId, accountId };
  const ready = await prepare({
    ...LEAST,
    "operations.csv":
      "operation,title,hours_likely,group\nENG-1,Strip the engine,8,Engine\nENG-2,Line bore,16,Engine\n",
    "links.csv": "before,after\nstrip the engine,Line bore\n",
    "parts.csv": "part,name\n4,Cutless bearing\n5,Oil pump\n6,Lamp\n7,Lamp\n",
    "suppliers.csv": "supplier,name\n3,Thorne Castings\n",
  });
  ({ restorationId } = await applyImport(test.store, ready));
});
afterAll(() => test.close());

const prepare = (files: Files, to: string | null = null) =>
  prepareImport(test.store, fileSet(files), { ...workshop, restorationId: to });
const previewOf = async (files: Files) => (await prepare(files, restorationId)).preview;
const bring = async (files: Files) => {
  const ready = await prepare(files, restorationId);
  expect(ready.preview.faults).toEqual([]);
  await applyImport(test.store, ready);
  return ready.preview;
};
const quotes = () =>
  test.store.quote.findMany({
    where: { restorationId },
    orderBy: { codeOrder: "asc" },
    select: { code: true, part: { select: { code: true } }, supplier: { select: { code: true, name: true } } },
  });

const QUOTES = `Part,Supplier,Price,Lead time,Provenance
Cutless bearing,Thorne Castings,84.50,42,remade
oil pump ,thorne castings,120,30,original
`;

describe("a file of quotes as people have it", () => {
  it("names parts and suppliers, and has no codes: each quote is a new one under the next code", async () => {
    const preview = await bring({ "quotes.csv": QUOTES });
    expect(preview.counts).toMatchObject([{ file: "quotes.csv", added: 2 }]);
    expect(preview.notices.map(({ message }) => message)).toContain(
      "In quotes.csv 2 rows have no code in “quote”: each is a new one, under the next code. The same file brought in again adds them once more.",
    );
    expect(await quotes()).toEqual([
      { code: "1", part: { code: "4" }, supplier: { code: "3", name: "Thorne Castings" } },
      { code: "2", part: { code: "5" }, supplier: { code: "3", name: "Thorne Castings" } },
    ]);
    expect((await bring({ "quotes.csv": QUOTES })).counts).toMatchObject([{ added: 2, changed: 0 }]);
    expect((await quotes()).map(({ code }) => code)).toEqual(["1", "2", "3", "4"]);
  });

  it("keeps the codes that it has, beside rows that have none", async () => {
    await bring({ "quotes.csv": `Quote,${QUOTES}`.replace("\nCutless", "\n9,Cutless").replace("\noil", "\n,oil") });
    expect((await quotes()).slice(-2)).toMatchObject([
      { code: "9", part: { code: "4" } },
      { code: "10", part: { code: "5" } },
    ]);
  });

  it("adds a supplier that nobody knows, and says so; one that is nearly known is a fault", async () => {
    const ask = (supplier: string) => previewOf({ "quotes.csv": QUOTES.replace("Thorne Castings", supplier) });
    const added = await ask("Harbour Foundry");
    expect(added.faults).toEqual([]);
    expect(added.counts).toMatchObject([
      { file: "suppliers.csv", added: 1 },
      { file: "quotes.csv", added: 2 },
    ]);
    expect(added.notices.map(({ message }) => message)).toContain(
      "In quotes.csv 1 supplier is not known yet and is added: Harbour Foundry.",
    );
    expect((await ask("Thorn Castings")).faults.map(({ message }) => message)).toEqual([
      "“supplier” is not in suppliers.csv: is it “Thorne Castings”? (it is Thorn Castings).",
    ]);
    expect((await ask("S9")).faults).toMatchObject([{ code: "UNKNOWN_ROW", row: "2", field: "supplier", value: "S9" }]);
  });

  it("tells a name that several parts have, and one that none has, with what is near", async () => {
    const { faults } = await previewOf({
      "quotes.csv": QUOTES.replace("Cutless bearing", "Lamp").replace("oil pump", "Oil pumpe"),
    });
    expect(faults.map(({ row, field, code, message }) => [row, field, code, message])).toEqual([
      ["2", "part", "NOT_A_CHOICE", "“part” is the name of several: write part 6 and part 7 (it is Lamp)."],
      ["3", "part", "UNKNOWN_ROW", "“part” is not in parts.csv: is it “Oil pump”? (it is Oil pumpe )."],
    ]);
  });

  it("says once that a column is missing which every new row needs", async () => {
    expect((await previewOf({ "quotes.csv": "Part,Supplier,Price,Lead time\nLamp,x,1,3\n" })).faults).toMatchObject([
      { code: "MISSING_COLUMN", file: "quotes.csv", field: "provenance" },
    ]);
  });
});

describe("other files", () => {
  it("name by name in every column, rows of the same import before those that were there", async () => {
    const preview = await bring({
      "operations.csv": "title,hours_likely,group\nWhite metal,6,Engine\n",
      "links.csv": "before,after\nLine bore,White metal\n",
      "parts.csv": "name,quantity\nMain bearing,2\n",
      "needs.csv": "operation,part\nwhite metal,main bearing\n",
      "references.csv": "part,number\nMain bearing,QL/1\n",
      "snags.csv": "snag,operation,title\nS1,Line bore,Cracked web\n",
      "remedies.csv": "remedy,snag,supplier\nR1,cracked web,Thorne Castings\n",
      "hunts.csv": "part,begun_on,chance_per_week\nMain bearing,2026-01-05,4\n",
      "hunt_events.csv": "part,date,title,chance\nMain bearing,2026-03-01,Meet,20\n",
    });
    expect(preview.counts.every(({ added, rows }) => added === rows)).toBe(true);
    const where = { restorationId };
    const operation = await test.store.operation.findFirstOrThrow({
      where: { ...where, title: "White metal" },
      include: { needs: { include: { part: true } } },
    });
    expect(operation).toMatchObject({ code: "ENG-3", needs: [{ part: { code: "8", name: "Main bearing" } }] });
    expect(await test.store.huntEvent.count({ where: { hunt: { part: { code: "8" } } } })).toBe(1);
    expect(await test.store.link.count({ where: { ...where, afterId: operation.id } })).toBe(1);
  });

  it("a row with neither code nor name is a fault", async () => {
    const ready = await prepare({ "parts.csv": "name,quantity\n,2\n" }, restorationId);
    expect(ready.preview.faults).toMatchObject([{ code: "REQUIRED", file: "parts.csv", row: "2", field: "name" }]);
    await expect(applyImport(test.store, ready)).rejects.toBeInstanceOf(InvalidInput);
  });
});

describe("what others change after a preview", () => {
  const stale = async (files: Files, meanwhile: () => Promise<unknown>) => {
    const ready = await prepare(files, restorationId);
    expect(ready.preview.applicable).toBe(true);
    await meanwhile();
    return applyImport(test.store, ready).then(
      () => "written",
      (error: unknown) => (error as InvalidInput).faults,
    );
  };
  const change = (code: string, patch: object) =>
    test.store.part.updateMany({ where: { restorationId, code }, data: { ...patch, revision: { increment: 1 } } });
  const add = (code: string, name: string) =>
    test.store.part.create({ data: { restorationId, code, codeOrder: code, name } });

  it("is not written over: a row renamed, and one added under the same code", async () => {
    const files = { "parts.csv": "part,name\n4,Cutlass bearing\n40,Horn\n5,Oil pump\n" };
    const faults = await stale(files, async () => {
      await change("4", { name: "Stern bearing" });
      await add("40", "Bulb horn");
    });
    expect(faults).toMatchObject([{ code: "STALE", rows: ["part 4, Stern bearing", "part 40, Bulb horn"] }]);
    const names = await test.store.part.findMany({ where: { restorationId, code: { in: ["4", "40"] } } });
    expect(names.map(({ name }) => name).sort()).toEqual(["Bulb horn", "Stern bearing"]);
    expect((await bring(files)).counts).toMatchObject([{ added: 0, changed: 2, same: 1 }]);
  });

  it("is not turned back where the files said the same, nor added again where it was removed", async () => {
    const files = { "parts.csv": "part,name\n5,Oil pump\n" };
    expect(await stale(files, () => change("5", { name: "Scavenge pump" }))).toMatchObject([{ code: "STALE" }]);
    await add("41", "Dip stick");
    const removed = () => test.store.part.deleteMany({ where: { restorationId, code: "41" } });
    expect(await stale({ "parts.csv": "part,name\n41,Oil dip stick\n" }, removed)).toMatchObject([
      { code: "STALE", rows: ["part 41, Oil dip stick"] },
    ]);
  });

  it("elsewhere stands in no import's way", async () => {
    const files = { "parts.csv": "part,name\n6,Head lamp\n5,Scavenge pump\n" };
    expect(await stale(files, () => change("7", { name: "Tail lamp" }))).toBe("written");
  });

  it("of two new restorations of one name the second is refused", async () => {
    const same = { ...LEAST, "restoration.json": JSON.stringify({ machine: "Same" }) };
    const [first, second] = [await prepare(same), await prepare(same)];
    await applyImport(test.store, first);
    await expect(applyImport(test.store, second)).rejects.toMatchObject({
      faults: [{ code: "DUPLICATE", field: "machine", value: "Same" }],
    });
    expect(await test.store.restoration.count({ where: { machine: "Same" } })).toBe(1);
  });
});
