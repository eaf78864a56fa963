/** Files become rows: all of them or none, recorded as one change that can be taken back. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { exportFiles } from "../../server/io/export.ts";
import { applyImport, type Destination, importedInWords, prepareImport } from "../../server/io/import.ts";
import { UNWATCHED, type Watch } from "../../server/io/slices.ts";
import type { Store, Tx } from "../../server/store/client.ts";
import { InvalidInput } from "../../server/store/fault.ts";
import { record } from "../../server/store/journal.ts";
import { undo } from "../../server/store/undo.ts";
import { Stopped } from "../../server/worker/jobs.ts";
import { type TestStore, testStore } from "../support/store.ts";
import { type Files, fileSet, LEAST } from "./fileSet.ts";

let test: TestStore;
let workshop: { workshopId: string; accountId: string };

beforeAll(async () => {
  test = await testStore();
  const { id: workshopId } = await test.store.workshop.create({ data: { name: "Quill Lane Workshop" } });
  const { id: accountId } = await test.store.account.create({ data: { workshopId, name: "Restorer" } });
  workshop = { workshopId, accountId };
});
afterAll(() => test.close());

const prepare = (files: Files, restorationId: string | null = null, watch: Watch = UNWATCHED) =>
  prepareImport(test.store, fileSet(files), { ...workshop, restorationId } satisfies Destination, watch);
const bring = async (files: Files, restorationId: string | null = null) => {
  const ready = await prepare(files, restorationId);
  expect(ready.preview.faults).toEqual([]);
  return applyImport(test.store, ready);
};

const WHOLE: Files = {
  ...LEAST,
  "restoration.json": JSON.stringify({ machine: "Cyclecar", currency: "GBP", cap: 100 }),
  "parts.csv": "part,name\nRIM,Rim\nHUB,Hub\n",
  "needs.csv": "operation,part\nFIT,RIM\n",
  "suppliers.csv": "supplier,name\nFOUNDRY,Brindlewick Foundry\n",
  "quotes.csv":
    "quote,part,supplier,provenance,unit_price,lead_days,chosen\nQ1,RIM,FOUNDRY,remade,10,30,yes\nQ2,RIM,FOUNDRY,original,90,5,no\n",
};

describe("an import as a new restoration", () => {
  it("adds every row and is recorded", async () => {
    const { restorationId, preview } = await bring(WHOLE);
    expect(preview.counts).toContainEqual({ file: "quotes.csv", holds: "", rows: 2, added: 2, changed: 0, same: 0 });
    const stored = await test.store.restoration.findUniqueOrThrow({
      where: { id: restorationId },
      include: { parts: { include: { chosenQuote: true } }, changes: true, workshop: { select: { calendar: true } } },
    });
    expect(stored).toMatchObject({ machine: "Cyclecar", capMinor: 10_000 });
    expect(stored.workshop.calendar).toMatchObject({ monday: 8, sunday: 0 });
    expect(stored.parts.find((part) => part.code === "RIM")?.chosenQuote?.code).toBe("Q1");
    expect(stored.changes).toHaveLength(1);
    expect(stored.changes[0]!.summary).toMatch(/^Imported Cyclecar \(\d+ new rows, in \d+ files\)$/);
  });

  it("with one faulty cell writes nothing", async () => {
    const before = await test.store.restoration.count();
    const ready = await prepare({ ...WHOLE, "needs.csv": "operation,part\nFIT,CHAIN\n" });
    expect(ready.preview).toMatchObject({ applicable: false, faults: [{ code: "UNKNOWN_ROW" }] });
    await expect(applyImport(test.store, ready)).rejects.toBeInstanceOf(InvalidInput);
    expect(await test.store.restoration.count()).toBe(before);
  });

  it("calls for an inspection before a safety-critical part counts as fitted", async () => {
    const files: Files = {
      "operations.csv": "operation,hours_likely,state\nSTEER,8,done\n",
      "links.csv": "before,after\n",
      "parts.csv": "part,safety_critical\nPINION,yes\n",
      "needs.csv": "operation,part\nSTEER,PINION\n",
    };
    expect((await prepare(files)).preview.faults).toMatchObject([
      { code: "REQUIRED", file: "operations.csv", row: "2", field: "state" },
    ]);
    const inspected = {
      ...files,
      "inspections.csv": "part,inspector,inspected_on,what\nPINION,M. Hollinsharp,2026-08-20,Crack test\n",
    };
    expect((await prepare(inspected)).preview.faults).toEqual([]);
  });
});

describe("an order in a file whose total is left blank", () => {
  const ordered = (quotes: string, more: Files = {}): Files => ({
    ...WHOLE,
    "quotes.csv": `quote,part,supplier,provenance,unit_price,lead_days,currency,freight,duty_rate,tax_rate\n${quotes}`,
    "price_breaks.csv": "quote,quantity,unit_price\nQ1,2,80\n",
    "orders.csv": "order,quote,quantity,placed_on,promised_on,total\nO1,Q1,2,2026-11-02,2026-12-02,\n",
    ...more,
  });

  it("comes to what its quote lands for: price break, carriage, duty and tax", async () => {
    const { restorationId } = await bring(ordered("Q1,RIM,FOUNDRY,remade,100,30,EUR,12.50,3.5,20\n"));
    // EUR 2 x 80.00 + 12.50 = 172.50; duty 6.0375; tax 20 % of 178.5375.
    expect(await test.store.order.findMany({ where: { restorationId } })).toMatchObject([
      { totalMinor: 17_250 + 604 + 3_571, currency: "EUR" },
    ]);
  });

  it("gives back as many old parts as the machine has, and not the whole of a set", async () => {
    const { restorationId } = await bring({
      ...ordered("Q1,RIM,FOUNDRY,remade,100,30,EUR,0,0,0\n"),
      "quotes.csv":
        "quote,part,supplier,provenance,unit_price,lead_days,currency,minimum_quantity,core_charge,core_returned\nQ1,RIM,FOUNDRY,remade,100,30,EUR,4,25,yes\n",
      "price_breaks.csv": "quote,quantity,unit_price\n",
      "orders.csv": "order,quote,quantity,placed_on,promised_on,total\nO1,Q1,4,2026-11-02,2026-12-02,\n",
    });
    const { quantity } = await test.store.part.findFirstOrThrow({ where: { restorationId, code: "RIM" } });
    expect(quantity).toBe(1);
    // Four at 100.00 and four charges of 25.00, of which one comes back.
    expect(await test.store.order.findMany({ where: { restorationId } })).toMatchObject([
      { totalMinor: 40_000 + 10_000 - 2_500 },
    ]);
  });

  it("is not asked for where the supplier of its quote is not there: that is a fault of the quote", async () => {
    const { preview } = await prepare(ordered("Q1,RIM,NOBODY,remade,100,30,EUR,0,0,0\n"));
    expect(preview.faults).toMatchObject([{ code: "UNKNOWN_ROW", file: "quotes.csv", row: "2", field: "supplier" }]);
  });

  it("is needed where something that the quote brings has no rate, and the cell is named", async () => {
    const brings = { "knock_ons.csv": "quote,title,price,currency\nQ1,Bush,4,CHF\n" };
    const { preview } = await prepare(ordered("Q1,RIM,FOUNDRY,remade,100,30,EUR,0,0,0\n", brings));
    expect(preview.faults).toMatchObject([{ code: "REQUIRED", file: "orders.csv", row: "2", field: "total" }]);
    expect(preview.faults[0]!.message).toBe(
      "“total” must be given, since it cannot be worked out: No rate from CHF to EUR on or before 2 Nov 2026.",
    );
  });
});

describe("files with the names of before", () => {
  const QUOTES =
    "quote,part,supplier,provenance,unit_price,lead_days,lead_low,lead_likely,lead_high,currency,freight,banned,points_at_risk\nQ1,RIM,FOUNDRY,remade,100,30,20,30,50,EUR,12.50,yes,3\n";

  it("are read as those of today", async () => {
    const { restorationId } = await bring({
      ...WHOLE,
      "operations.csv": "operation,title,hours_likely,hours_low,hours_high\nFIT,Fit,16,12,24\n",
      "links.csv": "before,after\n",
      "needs.csv": "operation,part\nFIT,RIM\n",
      "references.csv": "part,source,number\nRIM,Parts book,T.W. 9\n",
      "parts.csv": "part,name,locked\nRIM,Rim,yes\n",
      "quotes.csv": QUOTES,
      "bans.csv": "part,provenance\nRIM,later substitute\n",
    });
    const where = { restorationId };
    const { store } = test;
    expect(await store.operation.findFirstOrThrow({ where })).toMatchObject({ hoursLeast: 12, hoursMost: 24 });
    expect(await store.part.findFirstOrThrow({ where, include: { ruledOut: true } })).toMatchObject({
      kept: true,
      ruledOut: [{ provenance: "LATER_SUBSTITUTE" }],
    });
    expect(await store.partReference.findFirstOrThrow({ where: { part: where } })).toMatchObject({
      book: "Parts book",
    });
    expect(await store.quote.findFirstOrThrow({ where })).toMatchObject({
      leadLeast: 20,
      leadMost: 50,
      carriageMinor: 1_250,
      ruledOut: true,
      pointsByHand: 3,
    });
  });

  it("have their rows counted by the names that they were given under", async () => {
    const { preview } = await prepare({
      ...WHOLE,
      "parts.csv": "part,name\nRIM,Rim\n",
      "bans.csv": "part,provenance\nRIM,later substitute\n",
    });
    expect(preview.counts).toContainEqual({ file: "bans.csv", holds: "", rows: 1, added: 1, changed: 0, same: 0 });
    expect(preview.counts.map(({ file }) => file)).not.toContain("ruled_out.csv");
  });

  it("have their faults told by the names that stand in them", async () => {
    const { preview } = await prepare({
      ...WHOLE,
      "quotes.csv": QUOTES.replace("20,30,50", "40,30,x"),
      "bans.csv": "part,provenance\nRIM,home made\nNOBODY,remade\n",
      "parts.csv": "part,name,locked\nRIM,Rim,perhaps\n",
      "restoration.json": JSON.stringify({ data_date: "soon" }),
    });
    expect(preview.faults.map(({ file, row, field, code }) => [file, row, field, code])).toEqual(
      expect.arrayContaining([
        ["quotes.csv", "2", "lead_high", "NOT_A_NUMBER"],
        ["bans.csv", "2", "provenance", "NOT_A_CHOICE"],
        ["bans.csv", "3", "part", "UNKNOWN_ROW"],
        ["parts.csv", "2", "locked", "NOT_A_CHOICE"],
        ["restoration.json", "", "dataDate", "NOT_A_DATE"],
      ]),
    );
    expect(preview.faults.find(({ field }) => field === "lead_high")!.message).toMatch(/^“lead_high” must be a number/);
  });

  it("have the faults of broken rules told so too", async () => {
    const { preview } = await prepare({ ...WHOLE, "quotes.csv": QUOTES.replace("20,30,50", "20,30,10") });
    expect(preview.faults).toMatchObject([
      { file: "quotes.csv", row: "2", field: "lead_high", code: "ORDER_OF_VALUES" },
    ]);
    expect(preview.faults[0]!.message).toBe(
      "“lead_high” must not be less than the estimate before it (least, likely, most) (it is 10).",
    );
  });

  it("written a little otherwise are taken for what they are called today", async () => {
    const { preview } = await prepare({ ...WHOLE, "quotes.csv": QUOTES.replace("lead_low", "Lead Low") });
    const notice = preview.notices.find(({ field }) => field === "Lead Low");
    expect(notice!.message).toBe("Column “Lead Low” of quotes.csv is taken for “lead_least”.");
  });
});

describe("the preview", () => {
  it("says what the rows of a file are that holds more than one kind", async () => {
    const { preview } = await prepare({
      ...WHOLE,
      "restoration.json": JSON.stringify({ tradeRates: [{ trade: "ENGINE" }, { trade: "BODY" }] }),
    });
    expect(preview.counts.find(({ file }) => file === "restoration.json")).toMatchObject({
      holds: "1 restoration, 2 trade rates",
      rows: 3,
    });
    expect(preview.counts.find(({ file }) => file === "quotes.csv")).toMatchObject({ holds: "" });
  });
});

describe("an order whose quantity breaks a rule", () => {
  it("is told of that cell once: its total is left to be worked out when that is mended", async () => {
    const { preview } = await prepare({
      ...WHOLE,
      "orders.csv": "order,quote,placed_on,promised_on,quantity\n1,Q2,2026-01-05,2026-02-05,0\n",
    });
    expect(preview.faults).toMatchObject([{ file: "orders.csv", row: "2", field: "quantity" }]);
    expect(preview.faults[0]!.message).toBe("“quantity” must be at least 1 (it is 0).");
  });
});

describe("the day that a file's figures are for", () => {
  it("is checked though it changes nothing here", async () => {
    for (const figuresFor of ["x", "2027-02-30"])
      expect(
        (await prepare({ ...WHOLE, "restoration.json": JSON.stringify({ figuresFor }) })).preview.faults,
      ).toMatchObject([{ code: "NOT_A_DATE", file: "restoration.json", field: "figuresFor", value: figuresFor }]);
    const { preview } = await prepare({ ...WHOLE, "restoration.json": JSON.stringify({ figuresFor: "2027-01-04" }) });
    expect(preview.faults).toEqual([]);
  });

  it("is left alone in a restoration that is there too, which is told unless it is the workshop's", async () => {
    const { restorationId } = await bring(WHOLE);
    const day = { "restoration.json": JSON.stringify({ figures_for: "2027-01-04" }) };
    for (const into of [null, restorationId])
      expect((await prepare({ ...WHOLE, ...day }, into)).preview.notices).toMatchObject([
        {
          code: "UNUSED_COLUMN",
          field: "figuresFor",
          message:
            "The day the figures are for is 2027-01-04 in the files. The workshop's own stays as it is: it is set in the shop calendar on the Restoration sheet.",
        },
      ]);
    await test.store.shopCalendar.updateMany({ data: { figuresFor: "2027-01-04" } });
    expect((await prepare(day, restorationId)).preview.notices).toEqual([]);
  });

  it("is a fault where both ways of writing its name say another", async () => {
    const both = (figures_for: string | null) => ({
      ...WHOLE,
      "restoration.json": JSON.stringify({ figures_for, figuresFor: "2027-01-05" }),
    });
    expect((await prepare(both("2027-01-04"))).preview.faults).toMatchObject([
      {
        code: "DUPLICATE",
        file: "restoration.json",
        field: "figuresFor",
        message:
          "“figuresFor” is another name of “figures_for”, which is “2027-01-04” here: keep one of the two (it is 2027-01-05).",
      },
    ]);
    for (const same of [null, "", "2027-01-05"]) expect((await prepare(both(same))).preview.faults).toEqual([]);
  });
});

describe("an import into a restoration", () => {
  it("changes the rows with the same code, adds others and takes none away", async () => {
    const { restorationId } = await bring(WHOLE);
    const before = await test.store.restoration.findUniqueOrThrow({ where: { id: restorationId } });
    const files: Files = { "operations.csv": "operation,hours_likely,title\nFIT,20,Fit the wheels\nPAINT,30,\n" };
    const { preview } = await prepare(files, restorationId);
    expect(preview).toMatchObject({
      restoration: restorationId,
      machine: "Cyclecar",
      counts: [{ file: "operations.csv", holds: "", rows: 2, added: 1, changed: 1, same: 0 }],
    });
    await bring(files, restorationId);
    const operations = await test.store.operation.findMany({ where: { restorationId }, orderBy: { code: "asc" } });
    expect(operations.map(({ code, title, hoursLikely }) => [code, title, hoursLikely])).toEqual([
      ["FIT", "Fit the wheels", 20],
      ["PAINT", "PAINT", 30],
      ["STRIP", "STRIP", 8],
    ]);
    const after = await test.store.restoration.findUniqueOrThrow({ where: { id: restorationId } });
    expect(after.planRevision).toBeGreaterThan(before.planRevision);
  });

  it("leaves alone what its columns do not say, and a column that is there but blank takes the default", async () => {
    const { restorationId } = await bring({
      ...WHOLE,
      "operations.csv": "operation,hours_likely,trade,notes\nSTRIP,8,general,Careful\nFIT,16,,\n",
    });
    await bring({ "operations.csv": "operation,state,notes\nSTRIP,under way,\n" }, restorationId);
    expect(await test.store.operation.findFirst({ where: { restorationId, code: "STRIP" } })).toMatchObject({
      hoursLikely: 8,
      trade: "general",
      state: "UNDER_WAY",
      notes: "",
    });
  });

  it("moves the choice from one quote to another that the file chooses", async () => {
    const { restorationId } = await bring(WHOLE);
    await bring({ "quotes.csv": "quote,chosen\nQ2,yes\n" }, restorationId);
    const chosen = async () =>
      (await test.store.part.findFirst({ where: { restorationId, code: "RIM" }, include: { chosenQuote: true } }))
        ?.chosenQuote?.code;
    expect(await chosen()).toBe("Q2");
    await bring({ "quotes.csv": "quote,chosen\nQ2,no\n" }, restorationId);
    expect(await chosen()).toBeUndefined();
  });

  it("finds a circle that only the rows held and the file's rows make together", async () => {
    const { restorationId } = await bring(WHOLE);
    expect((await prepare({ "links.csv": "before,after\nFIT,STRIP\n" }, restorationId)).preview.faults).toMatchObject([
      { code: "CYCLE", row: "2" },
    ]);
  });

  it("is taken back whole by undo", async () => {
    const { restorationId } = await bring(WHOLE);
    const { changeId } = await bring(
      { "operations.csv": "operation,hours_likely\nFIT,20\nPAINT,30\n", "quotes.csv": "quote,chosen\nQ2,yes\n" },
      restorationId,
    );
    const change = await test.store.change.findUniqueOrThrow({ where: { id: changeId! } });
    await undo(test.store, change, workshop.accountId);
    const operations = await test.store.operation.findMany({ where: { restorationId }, orderBy: { code: "asc" } });
    expect(operations.map(({ code, hoursLikely }) => [code, hoursLikely])).toEqual([
      ["FIT", 16],
      ["STRIP", 8],
    ]);
    expect(
      (await test.store.part.findFirst({ where: { restorationId, code: "RIM" }, include: { chosenQuote: true } }))
        ?.chosenQuote?.code,
    ).toBe("Q1");
  });

  it("of another workshop's supplier codes knows nothing", async () => {
    const other = await test.store.workshop.create({
      data: { name: "Elsewhere", suppliers: { create: { code: "SECRET", name: "Secret" } } },
    });
    expect(other.id).not.toBe(workshop.workshopId);
    const ready = await prepare({
      ...WHOLE,
      "quotes.csv": "quote,part,supplier,provenance,unit_price,lead_days\nQ1,RIM,SECRET,remade,10,30\n",
    });
    expect(ready.preview.faults).toMatchObject([{ code: "UNKNOWN_ROW", field: "supplier", value: "SECRET" }]);
  });
});

describe("a column that is there by its earlier name too", () => {
  const parts = (...rows: string[]): Files => ({
    ...LEAST,
    "parts.csv": `part,name,section,group\n${rows.join("\n")}\n`,
    "needs.csv": `operation,part\n${rows.map((row) => `FIT,${row.split(",")[0]}`).join("\n")}\n`,
  });

  it("is read where both agree or one says nothing, without a word", async () => {
    const { restorationId, preview } = await bring(
      parts("RIM,Rim,Wheels,Wheels", "HUB,Hub,Wheels,", "FORK,Fork,,Steering", "NUT,Nut,,"),
    );
    expect(preview.notices).toEqual([]);
    const stored = await test.store.part.findMany({ where: { restorationId }, orderBy: { code: "asc" } });
    expect(stored.map(({ code, group }) => [code, group])).toEqual([
      ["FORK", "Steering"],
      ["HUB", "Wheels"],
      ["NUT", ""],
      ["RIM", "Wheels"],
    ]);
  });

  it("is a fault of the row where they differ, by both names", async () => {
    const { preview } = await prepare(parts("RIM,Rim,Wheels,Wheels", "HUB,Hub,Wheels,Hubs"));
    expect(preview.faults).toEqual([
      {
        code: "DUPLICATE",
        file: "parts.csv",
        row: "3",
        field: "section",
        value: "Wheels",
        message: "“section” is another name of “group”, which is “Hubs” here: keep one of the two (it is Wheels).",
      },
    ]);
    const day = { "restoration.json": JSON.stringify({ dataDate: "2026-01-01", figuresFor: "2026-01-02" }) };
    expect((await prepare({ ...WHOLE, ...day })).preview.faults).toMatchObject([
      { code: "DUPLICATE", file: "restoration.json", field: "dataDate" },
    ]);
  });
});

describe("hours in files", () => {
  it("were worked: a day to come is a fault of its cell", async () => {
    const hours = `entry,operation,worked_on,hours\nE1,FIT,2026-01-05,4\nE2,FIT,9999-01-01,4\n`;
    const { preview } = await prepare({ ...WHOLE, "hours.csv": hours }, null);
    expect(preview.faults).toMatchObject([
      { code: "OUT_OF_RANGE", file: "hours.csv", row: "3", field: "worked_on", value: "9999-01-01" },
    ]);
  });
});

describe("work and orders in files", () => {
  it("were begun, done, placed and come: a day to come is a fault of its cell", async () => {
    const { preview } = await prepare({
      ...WHOLE,
      "operations.csv": "operation,hours_likely,state,started_on\nSTRIP,8,under way,9999-01-01\n",
      "links.csv": "before,after\n",
      "needs.csv": "operation,part\n",
      "orders.csv": "order,quote,placed_on,promised_on\n1,Q2,9998-01-01,9999-01-01\n",
    });
    expect(preview.faults).toMatchObject([
      { code: "OUT_OF_RANGE", file: "operations.csv", row: "2", field: "started_on", value: "9999-01-01" },
      { code: "OUT_OF_RANGE", file: "orders.csv", row: "2", field: "placed_on", value: "9998-01-01" },
    ]);
  });
});

describe("payments in files", () => {
  const ORDERED: Files = {
    ...WHOLE,
    "orders.csv": "order,quote,placed_on,promised_on,total\nO1,Q1,2026-01-05,2026-02-05,10\n",
  };
  const paid = (...rows: string[]): Files => ({
    ...ORDERED,
    "payments.csv": `order,kind,paid_on,amount,corrects\n${rows.join("\n")}\n`,
  });
  const faults = async (files: Files, into: string | null = null) =>
    (await prepare(files, into)).preview.faults.map(({ code, file, row, field }) => [code, file, row, field]);

  it("are not after the day that figures are for: today, or the day that is looked at", async () => {
    const late = ["OUT_OF_RANGE", "payments.csv", "3", "paid_on"];
    expect(await faults(paid("O1,deposit,2026-01-05,4", "O1,balance,9999-01-01,6"))).toEqual([late]);
    const { restorationId } = await bring(ORDERED);
    await test.store.shopCalendar.updateMany({ data: { figuresFor: "2026-01-20" } });
    const { preview } = await prepare(paid("O1,deposit,2026-01-20,4", "O1,balance,2026-01-21,6"), restorationId);
    expect(preview.faults).toMatchObject([
      {
        row: "3",
        field: "paid_on",
        message: "“paid_on” must not be after 20 Jan 2026, the day that the figures are for (it is 2026-01-21).",
      },
    ]);
  });

  it("come back up to what was paid for the same, and no further, wherever the lines stand", async () => {
    expect(await faults(paid("O1,refund,2026-01-09,4", "O1,deposit,2026-01-05,4"))).toEqual([]);
    const { preview } = await prepare(
      paid("O1,refund,2026-01-09,3", "O1,core_return,2026-01-10,2", "O1,deposit,2026-01-05,4"),
    );
    expect(preview.faults).toMatchObject([
      {
        code: "OUT_OF_RANGE",
        file: "payments.csv",
        row: "3",
        field: "amount",
        message: "“amount” must not be more than the £1.00 that was paid and has not come back (it is 2).",
      },
    ]);
  });

  it("come back up to what stands paid already, whatever else a file holds", async () => {
    const { restorationId } = await bring(paid("O1,deposit,2026-01-05,4", "O1,refund,2026-01-09,3"));
    expect(await faults(paid("O1,refund,2026-01-10,1"), restorationId)).toEqual([]);
    expect(await faults(paid("O1,refund,2026-01-10,2"), restorationId)).toEqual([
      ["OUT_OF_RANGE", "payments.csv", "2", "amount"],
    ]);
  });

  it("are not taken back below what came back, whether the file holds all of them or adds to what stands", async () => {
    const [deposit, refund] = ["O1,deposit,2026-01-05,4", "O1,refund,2026-01-09,3"];
    const back = "O1,deposit,2026-01-05,-4,2026-01-05";
    expect(await faults(paid(deposit, refund, back))).toEqual([["OUT_OF_RANGE", "payments.csv", "4", "amount"]]);
    const { restorationId } = await bring(paid(deposit, refund));
    const { faults: told } = (await prepare(paid(deposit, refund, back), restorationId)).preview;
    expect(told.map(({ message }) => message)).toEqual([
      "“amount” would leave £3.00 less paid than has come back: correct what came back first (it is -4).",
    ]);
    // Corrected to as much as came back, or with what came back taken back too, it is taken.
    for (const more of ["O1,deposit,2026-01-05,3", "O1,refund,2026-01-09,-3,2026-01-09"])
      expect(await faults(paid(deposit, refund, back, more), restorationId)).toEqual([]);
  });
});

describe("five thousand rows", () => {
  const many = Array.from({ length: 2500 }, (_, i) => i);
  const files: Files = {
    "operations.csv": `operation,hours_likely\n${many.map((i) => `OP-${i},${1 + (i % 9)}`).join("\n")}\n`,
    "links.csv": `before,after\n${many
      .slice(1)
      .map((i) => `OP-${i - 1},OP-${i}`)
      .join("\n")}\n`,
  };

  it("show how far they are, step by step, and reach the end", async () => {
    const ready = await prepare(files);
    const steps: number[] = [];
    await applyImport(test.store, ready, { ...UNWATCHED, progress: (_stage, done) => void steps.push(done) });
    expect(new Set(steps).size).toBeGreaterThan(10);
    expect(steps).toEqual([...steps].sort((a, b) => a - b));
    expect(steps.at(-1)).toBe(5000);
  });

  it("stopped half way leave the database as it was", async () => {
    const ready = await prepare(files);
    const before = [
      await test.store.restoration.count(),
      await test.store.operation.count(),
      await test.store.change.count(),
    ];
    let reached = 0;
    const stop: Watch = {
      ...UNWATCHED,
      progress: (_stage, done) => {
        reached = done;
      },
      breathe: async () => {
        if (reached > 1000) throw new Stopped();
      },
    };
    await expect(applyImport(test.store, ready, stop)).rejects.toBeInstanceOf(Stopped);
    expect(reached).toBeGreaterThan(1000);
    expect([
      await test.store.restoration.count(),
      await test.store.operation.count(),
      await test.store.change.count(),
    ]).toEqual(before);
  });
});

describe("an import that is written", () => {
  /** A store that tells what is asked of it inside transactions, and before the first one lets somebody else write. */
  function watched(before: () => Promise<unknown> = async () => {}): { store: Store; statements: string[] } {
    const statements: string[] = [];
    let first = true;
    const counting = <T extends object>(of: T, name: string): T =>
      new Proxy(of, {
        get(target, key) {
          const value = Reflect.get(target, key);
          if (typeof value === "function")
            return (...given: unknown[]) => {
              statements.push(`${name}${String(key)}`);
              return value.apply(target, given);
            };
          return typeof value === "object" && value !== null ? counting(value, `${name}${String(key)}.`) : value;
        },
      });
    const store = new Proxy(test.store, {
      get(target, key) {
        if (key !== "$transaction") return Reflect.get(target, key);
        return async (work: (tx: Tx) => Promise<unknown>) => {
          if (first) await before();
          first = false;
          return target.$transaction((tx) => work(counting(tx, "")));
        };
      },
    });
    return { store, statements };
  }

  it("asks for few statements while others wait to write: of three thousand rows and a thousand choices under sixty", async () => {
    const some = Array.from({ length: 1_000 }, (_, i) => i);
    const ready = await prepare({
      ...LEAST,
      "parts.csv": `part\n${some.map((i) => `P-${i}`).join("\n")}\n`,
      "suppliers.csv": "supplier\nFOUNDRY\n",
      "needs.csv": `operation,part\n${some.map((i) => `FIT,P-${i}`).join("\n")}\n`,
      "quotes.csv": `quote,part,supplier,provenance,unit_price,lead_days,chosen\n${some.map((i) => `Q-${i},P-${i},FOUNDRY,remade,10,30,yes`).join("\n")}\n`,
    });
    const { store, statements } = watched();
    const { restorationId } = await applyImport(store, ready);
    expect(statements.length).toBeGreaterThan(15);
    expect(statements.length).toBeLessThan(60);
    expect(await test.store.part.count({ where: { restorationId, chosenQuoteId: { not: null } } })).toBe(1_000);
    const changed = await prepare(
      { "parts.csv": `part,name\n${some.map((i) => `P-${i},Part ${i}`).join("\n")}\n` },
      restorationId,
    );
    statements.length = 0;
    await applyImport(store, changed);
    expect(statements.length).toBeLessThan(30);
    expect(await test.store.part.count({ where: { restorationId, name: { startsWith: "Part " }, revision: 3 } })).toBe(
      1_000,
    );
  });

  it("and taken back leaves the restoration as it was, choices and all", async () => {
    const { restorationId } = await bring(WHOLE);
    const before = await exportFiles(test.store, workshop.workshopId, restorationId);
    const { changeId } = await bring(
      {
        "parts.csv": "part,name\nRIM,Wire rim\nAXLE,Axle\n",
        "quotes.csv":
          "quote,part,supplier,provenance,unit_price,lead_days,chosen\nQ2,RIM,FOUNDRY,original,80,5,yes\nQ3,AXLE,FOUNDRY,remade,5,9,yes\n",
      },
      restorationId,
    );
    expect(await exportFiles(test.store, workshop.workshopId, restorationId)).not.toEqual(before);
    const change = await test.store.change.findUniqueOrThrow({ where: { id: changeId! } });
    await undo(test.store, change, workshop.accountId);
    expect(await exportFiles(test.store, workshop.workshopId, restorationId)).toEqual(before);
  });

  it("is laid over what somebody else wrote at the last moment, and nothing of either is lost", async () => {
    const { restorationId } = await bring(WHOLE);
    const part = await test.store.part.findFirstOrThrow({ where: { restorationId, code: "RIM" } });
    const ready = await prepare({ "parts.csv": "part,name\nRIM,Wire rim\n" }, restorationId);
    const { store } = watched(() =>
      record(test.store, { restorationId, accountId: workshop.accountId, summary: "Noted" }, (journal) =>
        journal.update("part", part.id, part.revision, { notes: "Seen at the swap meet" }),
      ),
    );
    await applyImport(store, ready);
    expect(await test.store.part.findUniqueOrThrow({ where: { id: part.id } })).toMatchObject({
      name: "Wire rim",
      notes: "Seen at the swap meet",
      revision: part.revision + 2,
    });
  });

  it("that somebody else gets in before each time is laid inside the transaction, where nobody can", async () => {
    const { restorationId } = await bring(WHOLE);
    const ready = await prepare({ "parts.csv": "part,name\nRIM,Wire rim\n" }, restorationId);
    let others = 0;
    const store = new Proxy(test.store, {
      get(target, key) {
        if (key !== "$transaction") return Reflect.get(target, key);
        return async (work: (tx: Tx) => Promise<unknown>) => {
          const { id, revision } = await target.part.findFirstOrThrow({ where: { restorationId, code: "RIM" } });
          const occasion = { restorationId, accountId: workshop.accountId, summary: "Noted" };
          await record(target, occasion, (journal) =>
            journal.update("part", id, revision, { notes: `Seen ${++others} times` }),
          );
          return target.$transaction(work);
        };
      },
    });
    await applyImport(store, ready);
    expect(others).toBe(4);
    expect(await test.store.part.findFirstOrThrow({ where: { restorationId, code: "RIM" } })).toMatchObject({
      name: "Wire rim",
      notes: "Seen 4 times",
    });
  });
});

it("the demo is there once, through the same import", async () => {
  const fresh = await testStore();
  await seedDemo(fresh.store);
  await seedDemo(fresh.store);
  expect(await fresh.store.workshop.findMany()).toMatchObject([{ name: "Quill Lane Workshop" }]);
  const [restoration] = await fresh.store.restoration.findMany({
    include: { _count: { select: { operations: true, parts: true, quotes: true } } },
  });
  expect(restoration).toMatchObject({ owner: "Odile Farrant", targetDate: "2027-06-19" });
  expect(Math.min(...Object.values(restoration!._count))).toBeGreaterThan(20);
  await fresh.close();
});

it("of several files it says how many rows are new and how many changed", () => {
  const files = (...counts: [added: number, changed: number][]) =>
    importedInWords(counts.map(([added, changed], i) => ({ file: `file_${i}.csv`, added, changed })));
  expect(files([2, 0], [0, 1])).toBe("file 0: 2 new; file 1: 1 changed");
  expect(files([5, 1], [4, 0], [2, 0], [0, 2])).toBe("11 new rows and changed 3, in 4 files");
  expect(files([1, 0], [1, 0], [1, 0])).toBe("3 new rows, in 3 files");
  expect(files([0, 1], [0, 1], [0, 1])).toBe("3 changed rows, in 3 files");
});
