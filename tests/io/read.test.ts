/** Every fault of the files is found, with its file, line, column, value and reason. */
import { describe, expect, it } from "vitest";
import { readFiles } from "../../server/io/read.ts";
import { type Files, faultsOf, fileSet, LEAST, readNew } from "./fileSet.ts";

const PART = { "parts.csv": "part\nRIM\nHUB\n" };
const QUOTES = "quote,part,supplier,provenance,unit_price,lead_days";
const readThem = (files: Files) => readFiles(fileSet({ ...LEAST, ...files }), true);
const SUPPLIERS = { "suppliers.csv": "supplier\nFOUNDRY\n" };

describe("the least that makes a plan", () => {
  it("is operations with their hours, and links", async () => {
    const { held, faults, notices } = await readNew({});
    expect(faults.list).toEqual([]);
    expect(notices).toEqual([]);
    expect(held.get("operation")!.map((row) => row.values)).toMatchObject([
      { code: "STRIP", title: "STRIP", hoursLikely: 8, state: "NOT_STARTED", hoursLeast: null, trade: "" },
      { code: "FIT", title: "FIT", hoursLikely: 16 },
    ]);
    expect(held.get("shopCalendar")![0]!.values).toMatchObject({ monday: 8, friday: 8, saturday: 0 });
  });

  it("without links is no plan", async () => {
    const { "links.csv": _, ...rest } = LEAST;
    expect((await readFiles(fileSet(rest), true)).faults.list).toMatchObject([
      { code: "MISSING_FILE", file: "links.csv" },
    ]);
  });
});

describe("a faulty cell is named by file, line, column and value", () => {
  const operations = (rows: string) =>
    faultsOf({
      "operations.csv": `operation,hours_likely,hours_most,state,started_on\n${rows}`,
      "links.csv": "before,after\n",
    });

  it.each([
    ['A,"1,500",,,', "hours_likely", "NOT_A_NUMBER", "1,500"],
    ["A,12 h,,,", "hours_likely", "NOT_A_NUMBER", "12 h"],
    ["A,a day,,,", "hours_likely", "NOT_A_NUMBER", "a day"],
    ["A,1e3,,,", "hours_likely", "NOT_A_NUMBER", "1e3"],
    ["A,,,,", "hours_likely", "REQUIRED", undefined],
    ["A,-1,,,", "hours_likely", "NEGATIVE", "-1"],
    ["A,8,4,,", "hours_most", "ORDER_OF_VALUES", "4"],
    ["A,8,,finished,", "state", "NOT_A_CHOICE", "finished"],
    ["A,8,,,2027-02-30", "started_on", "NOT_A_DATE", "2027-02-30"],
    ["A,8,,,09/06/2027", "started_on", "NOT_A_DATE", "09/06/2027"],
    [",8,,,", "operation", "REQUIRED", undefined],
  ])("%s", async (row, field, code, value) => {
    const faults = await operations(`FIRST,1,,,\n${row}\n`);
    expect(faults).toHaveLength(1);
    expect(faults[0]).toMatchObject({ file: "operations.csv", row: "3", field, code });
    expect(faults[0]!.value).toBe(value);
    expect(faults[0]!.message).toContain(`“${field}” `);
  });

  it("and all of them are told at once", async () => {
    expect(await operations("A,x,y,z,w\nB,1,,,\nB,2,,,\n")).toMatchObject([
      { row: "2", field: "hours_likely" },
      { row: "2", field: "hours_most" },
      { row: "2", field: "state" },
      { row: "2", field: "started_on", code: "NOT_A_DATE" },
      { row: "4", field: "operation", code: "DUPLICATE", value: "B" },
    ]);
  });

  it("a NUL character is refused, since the store would end the text there", async () => {
    expect(await operations("A\0B,8,,,\n")).toMatchObject([
      { code: "UNREADABLE", row: "2", field: "operation", value: "A␀B" },
    ]);
  });

  it("a number too long to be one is out of bounds, not infinite", async () => {
    expect(await operations(`A,${"9".repeat(400)},,,\n`)).toMatchObject([{ field: "hours_likely" }]);
  });
});

describe("choices", () => {
  it("are read in capitals, with spaces, underscores or hyphens alike", async () => {
    for (const state of ["under way", "UNDER_WAY", "Under-Way", " under  way "]) {
      const { held } = await readNew({ "operations.csv": `operation,hours_likely,state\nSTRIP,1,${state}\nFIT,1,\n` });
      expect(held.get("operation")![0]!.values["state"]).toBe("UNDER_WAY");
    }
  });
});

describe("rows that name others", () => {
  it("must name rows that are there", async () => {
    expect(
      await faultsOf({
        ...PART,
        ...SUPPLIERS,
        "links.csv": "before,after\nSTRIP,FIT\nSTRIP,PAINT\n",
        "needs.csv": "operation,part\nFIT,CHAIN\n",
        "quotes.csv": `${QUOTES}\nQ1,RIM,NOBODY,remade,10,30\n`,
        "snags.csv": "snag,operation\nS1,WELD\n",
      }),
    ).toMatchObject([
      { code: "UNKNOWN_ROW", file: "links.csv", row: "3", field: "after", value: "PAINT" },
      { code: "UNKNOWN_ROW", file: "needs.csv", row: "2", field: "part", value: "CHAIN" },
      { code: "UNKNOWN_ROW", file: "quotes.csv", row: "2", field: "supplier", value: "NOBODY" },
      { code: "UNKNOWN_ROW", file: "snags.csv", row: "2", field: "operation", value: "WELD" },
    ]);
  });

  it("are not blamed for a file that could not be read", async () => {
    const faults = await faultsOf({ "snags.csv": "operation\nFIT\n", "remedies.csv": "remedy,snag\nR1,S1\n" });
    expect(faults).toMatchObject([{ code: "MISSING_COLUMN", file: "snags.csv", field: "snag" }]);
  });

  it("must not wait for one another in a circle, and the whole circle is told", async () => {
    const [fault, ...rest] = await faultsOf({
      "operations.csv": "operation,hours_likely\nA,1\nB,1\nC,1\nD,1\n",
      "links.csv": "before,after\nA,B\nB,C\nC,D\nD,B\n",
    });
    expect(rest).toEqual([]);
    expect(fault).toMatchObject({ code: "CYCLE", file: "links.csv", field: "after" });
    const path = fault!.rows!;
    expect(path[0]).toBe(path.at(-1));
    expect([...path].sort()).toEqual([path[0], "B", "C", "D"].sort());
    expect(Number(fault!.row)).toBeGreaterThan(2);
  });

  it("an operation does not wait for itself", async () => {
    expect(await faultsOf({ "links.csv": "before,after\nFIT,FIT\n" })).toMatchObject([
      { code: "CYCLE", rows: ["FIT", "FIT"], row: "2" },
    ]);
  });

  it("stand once for each pair", async () => {
    expect(await faultsOf({ "links.csv": "before,after\nSTRIP,FIT\nSTRIP, FIT \n" })).toMatchObject([
      { code: "DUPLICATE", file: "links.csv", row: "3", field: "before and after" },
    ]);
  });

  it("choose one quote of a part", async () => {
    const quotes = `${QUOTES},chosen\nQ1,RIM,FOUNDRY,remade,10,30,yes\nQ2,RIM,FOUNDRY,original,90,5,yes\nQ3,HUB,FOUNDRY,remade,10,30,yes\n`;
    expect(await faultsOf({ ...PART, ...SUPPLIERS, "quotes.csv": quotes })).toMatchObject([
      { code: "DUPLICATE", file: "quotes.csv", row: "3", field: "chosen", value: "yes" },
    ]);
  });
});

describe("money", () => {
  const quote = (price: string, currency: string) =>
    faultsOf({
      ...PART,
      ...SUPPLIERS,
      "quotes.csv": `${QUOTES},currency\nQ1,RIM,FOUNDRY,remade,${price},30,${currency}\n`,
    });

  it("is exact in the currency's own decimals", async () => {
    const read = async (price: string, currency: string) =>
      (
        await readNew({
          ...PART,
          ...SUPPLIERS,
          "quotes.csv": `${QUOTES},currency\nQ1,RIM,FOUNDRY,remade,${price},30,${currency}\n`,
        })
      ).held.get("quote")![0]!.values;
    expect(await read("1.15", "GBP")).toMatchObject({ unitPriceMinor: 115, currency: "GBP" });
    expect(await read("1150", "jpy")).toMatchObject({ unitPriceMinor: 1150, currency: "JPY" });
    expect(await read("1.155", "KWD")).toMatchObject({ unitPriceMinor: 1155, currency: "KWD" });
    expect(await read("1.1", "")).toMatchObject({ unitPriceMinor: 110, currency: "GBP" });
  });

  it.each([
    ["1.005", "GBP", "unit_price", "OUT_OF_RANGE"],
    ["1.5", "JPY", "unit_price", "OUT_OF_RANGE"],
    ["-5", "GBP", "unit_price", "NEGATIVE"],
    ["£5", "EUR", "unit_price", "NOT_A_CHOICE"],
    ["99999999999", "GBP", "unit_price", "OUT_OF_RANGE"],
    ["5", "QQQ", "currency", "UNKNOWN_CURRENCY"],
  ])("%s %s is refused", async (price, currency, field, code) => {
    expect(await quote(price, currency)).toMatchObject([
      { file: "quotes.csv", row: "2", field, code, value: field === "currency" ? currency : price },
    ]);
  });

  it("of a duty of 2.5 is 2.5 %", async () => {
    const { held } = await readNew({
      ...PART,
      ...SUPPLIERS,
      "quotes.csv": `${QUOTES},duty_rate,tax_rate\nQ1,RIM,FOUNDRY,remade,1,30,2.5,7\n`,
    });
    expect(held.get("quote")![0]!.values).toMatchObject({ dutyRate: 0.025, taxRate: 0.07 });
  });
});

describe("columns", () => {
  it("that nobody reads are noticed and left alone", async () => {
    const { faults, notices } = await readNew({
      "operations.csv": "operation,hours_likely,colour\nSTRIP,1,red\nFIT,1,\n",
    });
    expect(faults.list).toEqual([]);
    expect(notices).toMatchObject([{ code: "UNUSED_COLUMN", file: "operations.csv", field: "colour" }]);
  });

  it("without a heading are left alone, and told where something stands in them", async () => {
    const { faults, notices } = await readNew({
      "operations.csv": "operation,,hours_likely,\nSTRIP,,1,\nFIT,red,1,\n",
    });
    expect(faults.list).toEqual([]);
    expect(notices).toMatchObject([
      {
        code: "UNUSED_COLUMN",
        file: "operations.csv",
        row: "3",
        message: "Column 2 of operations.csv has no heading: its cells, such as “red” in line 3, were left alone.",
      },
    ]);
  });

  it("of days take days and weeks in words, and no months", async () => {
    const quotes = (lead: string) =>
      readNew({
        ...PART,
        ...SUPPLIERS,
        "quotes.csv": `${QUOTES}\nQ1,RIM,FOUNDRY,remade,1,${lead}\nQ2,RIM,FOUNDRY,remade,1,12 days\n`,
      });
    const { held, notices } = await quotes("6 weeks");
    expect(held.get("quote")!.map(({ values }) => values["leadDays"])).toEqual([42, 12]);
    expect(notices).toMatchObject([
      { code: "READ_AS", file: "quotes.csv", message: "In quotes.csv “6 weeks” is taken for 42 days." },
    ]);
    const { faults } = await quotes("2 months");
    expect(faults.list).toMatchObject([{ code: "NOT_A_NUMBER", row: "2", field: "lead_days", value: "2 months" }]);
  });

  it("without which there is no row are missed", async () => {
    expect(await faultsOf({ "operations.csv": "operation,title\nSTRIP,Strip\n" })).toMatchObject([
      { code: "MISSING_COLUMN", file: "operations.csv", field: "hours_likely" },
    ]);
  });

  it("that are a needed one misspelt are taken for it, and told", async () => {
    const { faults, notices } = await readNew({
      "operations.csv": "Operation,Hours_Likley,Colour,Tradee\nSTRIP,1,red,fitting\nFIT,1,red,fitting\n",
    });
    expect(faults.list).toEqual([]);
    expect(notices.map(({ field, message }) => [field, message])).toEqual([
      ["Hours_Likley", "Column “Hours_Likley” of operations.csv is taken for “hours_likely”."],
      ["Tradee", "Column “Tradee” of operations.csv is taken for “trade”."],
      ["Colour", "Column “Colour” of operations.csv is not read, and was left alone."],
    ]);
  });

  it("that are written like a needed one, but not near enough, are told together with it, once", async () => {
    const { faults, notices } = await readNew({
      "operations.csv": "Operation,Hurs_lkly_x,Colour\nSTRIP,1,red\n",
    });
    expect(faults.list).toMatchObject([
      {
        code: "MISSING_COLUMN",
        field: "hours_likely",
        value: "Hurs_lkly_x",
        message:
          "Column “Hurs_lkly_x” of operations.csv is not read, and “hours_likely” is missing, which is needed: is it that?",
      },
    ]);
    expect(notices.map(({ field }) => field)).toEqual(["Colour"]);
    const kept = await readFiles(fileSet({ "operations.csv": "operation,Hurs_lkly_x\nSTRIP,1\n" }), false);
    expect(kept.faults.list).toEqual([]);
    expect(kept.notices.map(({ message }) => message)).toEqual([
      "Column “Hurs_lkly_x” of operations.csv is not read, and “hours_likely” is missing, which a new row needs: is it that?",
    ]);
  });

  it("go by common words too, and what they hold is read as a spreadsheet wrote it", async () => {
    const { faults, notices, rows, columns } = await readThem({
      "parts.csv": "Part no.;Description;Qty;Remarks\nP1;Gasket;2;thin\n",
      "quotes.csv":
        "Quote #;Item;Vendor;Provenance;Unit price;Lead time (days);Constructor\nQ1;P1;MAKER;remade;€ 1.234,50;14;x\n",
    });
    expect(faults.list).toEqual([]);
    expect(rows.get("part")![0]!.given).toMatchObject({ code: "P1", name: "Gasket", quantity: 2, notes: "thin" });
    expect(rows.get("quote")![0]!.given).toMatchObject({ code: "Q1", part: "P1", supplier: "MAKER", leadDays: 14 });
    expect(rows.get("quote")![0]!.given["currency"]).toBe("EUR");
    expect(notices.filter(({ message }) => /^Column .* is taken for/.test(message)).map(({ field }) => field)).toEqual([
      "Part no.",
      "Description",
      "Qty",
      "Remarks",
      "Quote #",
      "Item",
      "Vendor",
      "Unit price",
      "Lead time (days)",
    ]);
    expect(columns.find(({ heading }) => heading === "Constructor")).toMatchObject({
      file: "quotes.csv",
      readAs: null,
    });
  });

  it("are never two for one, nor one for two, nor in another unit, and each doubt is told", async () => {
    const { rows, notices, faults } = await readThem({
      "parts.csv": "part,Qty,Pieces,Part number\nP1,2,3,x\n",
      "references.csv": "Part number\nA 1\n",
      "quotes.csv": "quote,part,supplier,provenance,unit_price,Lead time (weeks)\nQ1,P1,M,remade,1,2\n",
    });
    expect(rows.get("part")![0]!.given["quantity"]).toBeUndefined();
    expect(notices.map(({ field, message }) => [field, message.replace(/^Column “[^”]*” of \S+ /, "")])).toEqual([
      ["Part number", "is not read: it reads like “part”, which is there already."],
      ["Qty", "may be “quantity”, as may “Pieces”: it is not read until you say which."],
      ["Pieces", "may be “quantity”, as may “Qty”: it is not read until you say which."],
      ["Part number", "may be “part” or “number”, and is not read until you say which."],
      ["Lead time (weeks)", "reads like “lead_days”, but in another unit, and is not read."],
    ]);
    expect(faults.list.map(({ file, field }) => [file, field])).toEqual([
      ["references.csv", "part"],
      ["references.csv", "number"],
      ["quotes.csv", "lead_days"],
    ]);
  });

  it("are what somebody says they are", async () => {
    const files = { ...LEAST, "parts.csv": "Teil,Qty,Menge\nP1,2,3\n" };
    const asked = (parts: Record<string, string>) =>
      readFiles({ ...fileSet(files), columns: { "parts.csv": parts } }, true);
    const said = await asked({ Teil: "part", Menge: "quantity", Qty: "" });
    expect(said.faults.list).toEqual([]);
    expect(said.notices).toEqual([]);
    expect(said.rows.get("part")![0]!.given).toEqual({ code: "P1", quantity: 3 });
    expect(said.columns.map(({ heading, readAs }) => [heading, readAs])).toEqual([
      ["Teil", "part"],
      ["Qty", null],
      ["Menge", "quantity"],
    ]);
    const both = await asked({ Teil: "part", Menge: "quantity", Qty: "quantity" });
    expect(both.faults.list).toMatchObject([{ code: "DUPLICATE", file: "parts.csv", field: "Menge" }]);
    const none = await asked({ Teil: "part", Menge: "nosuch", Anzahl: "quantity" });
    expect(none.faults.list).toMatchObject([
      {
        code: "NOT_A_CHOICE",
        field: "Menge",
        message: "Column “Menge” of parts.csv is to be read as “nosuch”, and parts.csv has no such column.",
      },
    ]);
    expect(none.notices.map(({ message }) => message)).toContain(
      "parts.csv has no column “Anzahl”, which is to be read as “quantity”.",
    );
  });

  it("under an earlier name are told like others, may be said otherwise, and keep their name as it is typed", async () => {
    const files = { ...LEAST, "parts.csv": "part,Section,Locked\nP1,Wheels,perhaps\n" };
    const told = await readFiles(fileSet(files), true);
    expect(told.notices.map(({ message }) => message)).toEqual([
      "Column “Section” of parts.csv is taken for “group”.",
      "Column “Locked” of parts.csv is taken for “kept”.",
    ]);
    expect(told.columns.map(({ heading, readAs }) => [heading, readAs])).toEqual([
      ["Section", "group"],
      ["Locked", "kept"],
    ]);
    expect(told.faults.list.map(({ message }) => message)).toEqual(["“Locked” must be yes or no (it is perhaps)."]);
    const said = { "parts.csv": { Section: "notes", Locked: "" } };
    const { rows, faults } = await readFiles({ ...fileSet(files), columns: said }, true);
    expect([rows.get("part")![0]!.given, faults.list]).toEqual([{ code: "P1", notes: "Wheels" }, []]);
    expect(await faultsOf({ "parts.csv": "Part,PART\nRIM,x\n" })).toMatchObject([
      { code: "DUPLICATE", message: "parts.csv has the column Part twice. Keep one of them." },
    ]);
  });

  it("of yes and no take the words that people write", async () => {
    const words = ["yes", "TRUE", "1", "x", "X", "no", "False", "0", ""];
    const parts = words.map((word, i) => `P${i},${word}`).join("\n");
    const { rows, faults } = await readThem({ "parts.csv": `part,kept\n${parts}\n` });
    expect(faults.list).toEqual([]);
    expect(rows.get("part")!.map(({ given }) => given["kept"])).toEqual(words.map((_, i) => i < 5));
  });
});

describe("restoration.json", () => {
  const json = (value: unknown) => ({ "restoration.json": JSON.stringify(value) });

  it("is read with its keys in camelCase or snake_case", async () => {
    const camel = {
      machine: "Cyclecar",
      targetDate: "2027-06-19",
      cap: "20000.50",
      calendar: {
        workingDays: ["Mon", "tuesday"],
        hoursPerDay: 7.5,
        closed: ["2027-01-01", { date: "2026-12-25", reason: "Christmas" }],
      },
      hands: [{ trade: "body", people: 2, hoursPerDay: 6 }],
      judgingSheet: {
        sections: [{ name: "Body", maximum: 20, lines: [{ title: "Wings", maximum: 4, mandatory: true }] }],
        floors: [{ award: "First", points: 85 }],
      },
    };
    const snake = {
      machine: "Cyclecar",
      target_date: "2027-06-19",
      cap: 20000.5,
      calendar: { working_days: ["Mon", "tuesday"], hours_per_day: 7.5, closed: camel.calendar.closed },
      hands: [{ trade: "body", people: 2, hours_per_day: 6 }],
      judging_sheet: camel.judgingSheet,
    };
    for (const form of [camel, snake]) {
      const { held, faults, notices } = await readNew(json(form));
      expect([faults.list, notices]).toEqual([[], []]);
      expect(held.get("restoration")![0]!.values).toMatchObject({
        machine: "Cyclecar",
        targetDate: "2027-06-19",
        capMinor: 2_000_050,
      });
      expect(held.get("shopCalendar")![0]!.values).toMatchObject({ monday: 7.5, tuesday: 7.5, wednesday: 0 });
      expect(held.get("closedDate")!.map((row) => row.values)).toEqual([
        { date: "2027-01-01", reason: "" },
        { date: "2026-12-25", reason: "Christmas" },
      ]);
      expect(held.get("tradeRate")![0]!.values).toEqual({ trade: "body", rateMinor: null });
      expect(held.get("hand")!.map((row) => row.values)).toMatchObject([
        {
          name: "body hands",
          people: 2,
          trades: '["body"]',
          monday: 6,
          tuesday: 6,
          wednesday: 0,
          sunday: 0,
          askSame: true,
        },
      ]);
      expect(held.get("judgingLine")![0]!.values).toMatchObject({
        section: "Body",
        title: "Wings",
        maximum: 4,
        mandatory: true,
      });
      expect(held.get("awardFloor")![0]!.values).toEqual({ award: "First", points: 85 });
    }
  });

  it.each([
    [{ machine: 5 }, []],
    [{ targetDate: "2027-02-30" }, [{ code: "NOT_A_DATE", field: "targetDate", value: "2027-02-30" }]],
    [{ cap: -1 }, [{ code: "NEGATIVE", field: "cap" }]],
    [{ cap: true }, [{ code: "NOT_A_NUMBER", field: "cap" }]],
    [{ cap: "1.005" }, [{ code: "OUT_OF_RANGE", field: "cap" }]],
    [{ confidence: 1 }, [{ code: "OUT_OF_RANGE", field: "confidence" }]],
    [{ currency: "XXQ" }, [{ code: "UNKNOWN_CURRENCY", field: "currency" }]],
    [{ calendar: { hours: { monday: 25 } } }, [{ code: "OUT_OF_RANGE", row: "calendar.hours", field: "monday" }]],
    [{ calendar: { workingDays: ["noday"] } }, [{ code: "UNREADABLE", row: "calendar.workingDays" }]],
    [{ calendar: { closed: ["2027-13-01"] } }, [{ code: "NOT_A_DATE", row: "calendar.closed[0]", field: "date" }]],
    [{ hands: [{ people: 1 }] }, [{ code: "REQUIRED", row: "hands[0]", field: "trade" }]],
    [{ hands: "many" }, [{ code: "UNREADABLE", row: "hands" }]],
    [[], [{ code: "UNREADABLE" }]],
  ])("%j", async (value, faults) => {
    expect(await faultsOf(json(value))).toMatchObject(faults.map((fault) => ({ file: "restoration.json", ...fault })));
  });

  it("that is no JSON is told so", async () => {
    expect(await faultsOf({ "restoration.json": "{" })).toMatchObject([
      { code: "UNREADABLE", file: "restoration.json" },
    ]);
  });

  it("a week without a working hour is refused", async () => {
    expect(await faultsOf(json({ calendar: { workingDays: [] } }))).toMatchObject([
      { file: "restoration.json", row: "calendar.hours" },
    ]);
  });

  it("a value that nobody reads is noticed", async () => {
    expect((await readNew(json({ colour: "red", calendar: { moon: 1 } }))).notices).toMatchObject([
      { code: "UNUSED_COLUMN", field: "colour" },
      { code: "UNUSED_COLUMN", field: "moon", row: "calendar" },
    ]);
  });
});
