/** hands.csv and absences.csv: who works in the shop, out and in again, and every fault of them. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { exportFiles } from "../../server/io/export.ts";
import { applyImport, prepareImport } from "../../server/io/import.ts";
import { planRows } from "../../server/io/planRows.ts";
import { loadRows } from "../../server/plan/rows/load.ts";
import { textsOf } from "../../server/store/texts.ts";
import { undo } from "../../server/store/undo.ts";
import { type TestStore, testStore } from "../support/store.ts";
import { type Files, faultsOf, fileSet, LEAST, readNew } from "./fileSet.ts";

const HANDS = "hand,people,trades,monday,saturday,joins_on,leaves_on\n";
const WAT = `${HANDS}Wat,,engine,7.5,4,,\n`;

describe("hands.csv", () => {
  const trades = async (cell: string) => {
    const { held, faults } = await readNew({ "hands.csv": `hand,trades\nNed,${cell}\n` });
    expect(faults.list).toEqual([]);
    return textsOf(String(held.get("hand")![0]!.values["trades"]));
  };

  it.each([
    ["chassis", ["chassis"]],
    ["chassis;electrical", ["chassis", "electrical"]],
    ["  chassis ;  electrical ; ", ["chassis", "electrical"]],
    ['"""paint; lining"";trim"', ["paint; lining", "trim"]],
    ['"""6"" wheels"', ['"6" wheels']],
  ])("takes %s as trades", async (cell, list) => {
    expect(await trades(cell)).toEqual(list);
  });

  it("are found by their names in capitals too", async () => {
    const { held } = await readNew({
      "hands.csv": "hand,trades\nWat,engine\n",
      "absences.csv": "hand,from,to\nWAT,2027-01-04,2027-01-05\n",
    });
    expect(held.get("absence")!.map(({ values }) => values["hand"])).toEqual(["Wat"]);
  });

  it("fills in one person of eight hours, Monday to Friday", async () => {
    const { held } = await readNew({ "hands.csv": "hand,trades\nWat,engine\n" });
    expect(held.get("hand")![0]!.values).toMatchObject({
      name: "Wat",
      people: 1,
      monday: 8,
      friday: 8,
      saturday: 0,
      joinsOn: null,
      leavesOn: null,
      askSame: false,
    });
  });

  it.each([
    ["Ned,,,8,0,,", "trades", "REQUIRED"],
    ["Ned,,;;,8,0,,", "trades", "REQUIRED"],
    ["Ned,,body;body,8,0,,", "trades", "DUPLICATE"],
    ["Ned,0,body,8,0,,", "people", "OUT_OF_RANGE"],
    ["Ned,two,body,8,0,,", "people", "NOT_A_NUMBER"],
    ["Ned,,body,24.5,0,,", "monday", "OUT_OF_RANGE"],
    ["Ned,,body,8,-1,,", "saturday", "NEGATIVE"],
    ["Ned,,body,8,0,2027-02-30,", "joins_on", "NOT_A_DATE"],
    ["Ned,,body,8,0,2027-02-01,2027-01-01", "leaves_on", "ORDER_OF_VALUES"],
    ["Wat,,body,8,0,,", "hand", "DUPLICATE"],
    [" WAT ,,body,8,0,,", "hand", "DUPLICATE"],
    ["Ned,,body;BODY,8,0,,", "trades", "DUPLICATE"],
    [" ,,body,8,0,,", "hand", "REQUIRED"],
  ])("names the line and the column at fault: %s", async (row, field, code) => {
    const faults = await faultsOf({ "hands.csv": `${WAT}${row}\n` });
    expect(faults).toMatchObject([{ file: "hands.csv", row: "3", field, code }]);
  });
});

describe("absences.csv", () => {
  it.each([
    ["Wat,2027-01-08,2027-01-04", "to", "ORDER_OF_VALUES"],
    ["Wat,2027-01-04,", "to", "REQUIRED"],
    ["Wat,4 Jan,2027-01-08", "from", "NOT_A_DATE"],
    ["Nell,2027-01-04,2027-01-08", "hand", "UNKNOWN_ROW"],
    [",2027-01-04,2027-01-08", "hand", "REQUIRED"],
    ["Wat,2026-12-24,2026-12-31", "hand and from and to", "DUPLICATE"],
  ])("names the line and the column at fault: %s", async (row, field, code) => {
    const absences = `hand,from,to\nWat,2026-12-24,2026-12-31\n${row}\n`;
    expect(await faultsOf({ "hands.csv": WAT, "absences.csv": absences })).toMatchObject([
      { file: "absences.csv", row: "3", field, code },
    ]);
  });
});

describe("operations.csv", () => {
  it("says how many hands an operation takes, of which trades, what comes first, and what waits for a day", async () => {
    const { held, faults } = await readNew({
      "operations.csv":
        "operation,hours_likely,trade,hands,also_trades,first,not_before,may_be_put_down\nSTRIP,8,body,,,,,\nFIT,16,body,2,paint; paint;trim,yes,2027-03-01,yes\n",
    });
    expect(faults.list).toEqual([]);
    expect(planRows(held).operations).toMatchObject([
      { handsNeeded: [{ trade: "body", hands: 1 }], first: false, mayBePutDown: false, notBefore: null },
      {
        handsNeeded: [
          { trade: "body", hands: 2 },
          { trade: "paint", hands: 2 },
          { trade: "trim", hands: 1 },
        ],
        first: true,
        mayBePutDown: true,
        notBefore: "2027-03-01",
      },
    ]);
  });
});

describe("hands of the workshop", () => {
  let test: TestStore;
  let workshop: { workshopId: string; accountId: string };
  beforeAll(async () => {
    test = await testStore();
    const { id: workshopId } = await test.store.workshop.create({ data: { name: "Quill Lane Workshop" } });
    const { id: accountId } = await test.store.account.create({ data: { workshopId, name: "Restorer" } });
    workshop = { workshopId, accountId };
  });
  afterAll(() => test.close());

  const bring = async (files: Files, restorationId: string | null = null) => {
    const ready = await prepareImport(test.store, fileSet(files), { ...workshop, restorationId });
    expect(ready.preview.faults).toEqual([]);
    return applyImport(test.store, ready);
  };
  const names = async (restorationId: string) =>
    (await loadRows(test.store, restorationId)).hands.map(({ name, trades }) => `${name}: ${trades.join(", ")}`);

  it("serve all its restorations, are told once by each and taken back in one step", async () => {
    const first = await bring({ ...LEAST, "hands.csv": WAT });
    const second = await bring({
      ...LEAST,
      "hands.csv": "hand,trades\nIvy,paint;trim\n",
      "absences.csv": "hand,from,to\nWat,2027-01-04,2027-01-08\nIvy,2027-01-04,2027-01-04\n",
    });
    expect(await names(first.restorationId)).toEqual(["Ivy: paint, trim", "Wat: engine"]);
    const { hands } = await loadRows(test.store, first.restorationId);
    expect(hands[1]).toMatchObject({
      weekdayHours: [7.5, 8, 8, 8, 8, 4, 0],
      absences: [{ from: "2027-01-04", to: "2027-01-08" }],
    });
    const ranks = await test.store.restoration.findMany({ orderBy: { rank: "asc" } });
    expect(ranks.map(({ id, rank }) => [id, rank])).toEqual([
      [first.restorationId, 1],
      [second.restorationId, 2],
    ]);
    const again = await exportFiles(test.store, workshop.workshopId, first.restorationId);
    expect(again.get("absences.csv")).toBe(
      "hand,from,to\r\nIvy,2027-01-04,2027-01-04\r\nWat,2027-01-04,2027-01-08\r\n",
    );
    const more = {
      "hands.csv": "hand,trades\nNed,chassis\nWat,machining\n",
      "absences.csv": "hand,from,to\nNed,2027-01-04,2027-01-05\n",
    };
    const { changeId } = await bring({ ...LEAST, ...more }, first.restorationId);
    expect(await names(second.restorationId)).toEqual(["Ivy: paint, trim", "Ned: chassis", "Wat: machining"]);
    await undo(test.store, await test.store.change.findUniqueOrThrow({ where: { id: changeId! } }), workshop.accountId);
    expect(await names(second.restorationId)).toEqual(["Ivy: paint, trim", "Wat: engine"]);
    expect(await test.store.absence.count()).toBe(2);
  });

  it("come from the list of an earlier version only where the workshop has none", async () => {
    const list = JSON.stringify({ hands: [{ trade: "body", people: 2, hoursPerDay: 6, rate: 34 }] });
    const { restorationId } = await bring({ ...LEAST, "restoration.json": list });
    expect(await names(restorationId)).toEqual(["Ivy: paint, trim", "Wat: engine"]);
    expect(await test.store.tradeRate.findMany({ where: { restorationId } })).toMatchObject([
      { trade: "body", rateMinor: 3_400 },
    ]);
    await test.store.hand.deleteMany();
    const next = await bring({ ...LEAST, "restoration.json": list });
    expect(await names(next.restorationId)).toEqual(["body hands: body"]);
    expect(next.preview.counts).toContainEqual({
      file: "hands.csv",
      holds: "",
      rows: 1,
      added: 1,
      changed: 0,
      same: 0,
    });
    expect(await test.store.hand.findMany()).toMatchObject([{ people: 2, monday: 6, saturday: 0, askSame: true }]);
  });
});
