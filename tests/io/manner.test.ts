/** Files as spreadsheets of several countries write them are read, and the preview says for what each was taken. */
import { describe, expect, it } from "vitest";
import { readFiles } from "../../server/io/read.ts";
import type { Table } from "../../server/store/tables.ts";
import { readNew } from "./fileSet.ts";

const bytes = (text: string) => new TextEncoder().encode(text);
const OPERATIONS = "operation,title,trade,hours_likely\nENG-1,Strip,engine,8\n";
const BASE = { "operations.csv": OPERATIONS, "links.csv": "before,after,lag\n" };

async function readSet(files: Record<string, string>) {
  const set = new Map(Object.entries({ ...BASE, ...files }).map(([name, text]) => [name, bytes(text)]));
  const given = await readFiles({ files: set, notices: [] }, true);
  return {
    rows: given.rows,
    faults: given.faults.list.map(({ message }) => message),
    taken: given.notices.filter(({ code }) => code === "READ_AS").map(({ message }) => message),
  };
}
const hoursOf = async (head: string, ...cells: string[]) => {
  const mark = head.includes(";") ? ";" : ",";
  const quoted = (cell: string) => (cell.includes(mark) ? `"${cell}"` : cell);
  const lines = cells.map((cell, i) => [`E-${i}`, "Strip", "engine", quoted(cell)].join(mark));
  const { rows, taken, faults } = await readSet({ "operations.csv": [head, ...lines, ""].join("\n") });
  return { hours: (rows.get("operation") ?? []).map(({ given }) => given["hoursLikely"]), taken, faults };
};
const SEMICOLONS = "operation;title;trade;hours_likely";
const COMMAS = "operation,title,trade,hours_likely";

describe("numbers", () => {
  it("with decimal commas, and points between the thousands, where one number can be nothing else", async () => {
    expect(await hoursOf(SEMICOLONS, "12,5", "1.250", "1.250,75", "8")).toEqual({
      hours: [12.5, 1250, 1250.75, 8],
      taken: ["In operations.csv “12,5” is taken for 12.5: commas stand before the decimals."],
      faults: [],
    });
  });
  it("with commas, spaces or apostrophes between the thousands", async () => {
    expect((await hoursOf(COMMAS, "1,250.5", "1,250", "7")).hours).toEqual([1250.5, 1250, 7]);
    expect((await hoursOf(COMMAS, "1 250.5", "1\u00a0250", "1’250")).hours).toEqual([1250.5, 1250, 1250]);
  });
  it("as this program writes them stay as they are, without a word", async () => {
    expect(await hoursOf(COMMAS, "1.125", "0.5", "1250")).toEqual({ hours: [1.125, 0.5, 1250], taken: [], faults: [] });
  });
  it("that may be either are told, and so are both ways in one file", async () => {
    expect((await hoursOf(COMMAS, "1,250")).faults).toHaveLength(1);
    expect((await hoursOf(SEMICOLONS, "12,5", "3.25")).faults).toHaveLength(1);
    const told = "may be 1234 or 1.234, and nothing says which: write 1234 or 1.2340";
    for (const written of ["1.234", "1,234"])
      expect((await hoursOf(SEMICOLONS, written, "8")).faults).toEqual([`“hours_likely” ${told} (it is ${written}).`]);
    expect((await hoursOf(COMMAS, "1,234")).faults[0]).toContain(told);
    expect(await hoursOf(SEMICOLONS, "1.2340", "1.234")).toMatchObject({ hours: [1.234, 1.234], faults: [] });
    expect((await hoursOf(SEMICOLONS, "0,125", "1.234")).hours).toEqual([0.125, 1234]);
    expect((await hoursOf(SEMICOLONS, "0.125", "1.234")).hours).toEqual([0.125, 1.234]);
  });
  it("of a column of whole numbers say what the marks of their file are", async () => {
    const grams = async (head: string, ...lines: string[]) => {
      const { rows, faults } = await quotes(head, ...lines);
      return faults.length > 0 ? faults : rows.get("quote")!.map(({ given }) => given["weightGrams"]);
    };
    const head = `${QUOTE},unit_price,weight_grams`;
    expect(await grams(head, `${SAID},8,"1,200"`)).toEqual([1200]);
    const wide = (price: string, weight: string) =>
      grams(head.replaceAll(",", ";"), [...SAID.split(","), price, weight].join(";"));
    expect(await wide("8", "1.200")).toEqual([1200]);
    expect(await wide("8,50", "1.000")).toEqual([1000]);
    expect(await wide("8", "1.000")).toHaveLength(1);
  });
  it("have a per cent sign only where they are in per cent, and nothing is told of it", async () => {
    expect((await hoursOf(COMMAS, "5%", "5 %")).faults).toEqual([
      "“hours_likely” must be a number, in digits only (it is 5%).",
      "“hours_likely” must be a number, in digits only (it is 5 %).",
    ]);
    const duties = await quotes(
      `${QUOTE},unit_price,duty_rate`,
      `${SAID},8,5%`,
      "Q-2,P-1,FOUND,remade,10,8,2.5\u00a0%",
    );
    expect(duties.rows.get("quote")!.map(({ given }) => given["dutyRate"])).toEqual([0.05, 0.025]);
    expect([...duties.taken, ...duties.faults]).toEqual([]);
    expect((await hoursOf(COMMAS, "−5")).taken).toEqual([]);
  });
});

const PARTS = "part,name\nP-1,Rim\n";
const SUPPLIERS = "supplier,name\nFOUND,Lower Mill Foundry\n";
const quotes = (head: string, ...lines: string[]) =>
  readSet({ "parts.csv": PARTS, "suppliers.csv": SUPPLIERS, "quotes.csv": [head, ...lines, ""].join("\n") });
const QUOTE = "quote,part,supplier,provenance,lead_days";
const SAID = "Q-1,P-1,FOUND,remade,10";

const amountsOf = async (files: Record<string, string>, currency = "GBP") => {
  const { held, faults, notices } = await readNew({
    ...BASE,
    "suppliers.csv": SUPPLIERS,
    "parts.csv": PARTS,
    "restoration.json": JSON.stringify({ currency }),
    ...files,
  });
  const of = (table: Table, field: string) => held.get(table)!.map(({ values }) => [values[field], values["currency"]]);
  return {
    of,
    faults: faults.list.map(({ message }) => message),
    taken: notices.filter(({ code }) => code === "READ_AS").map(({ message }) => message),
  };
};
const priced = (head: string, ...lines: string[]) =>
  amountsOf({ "quotes.csv": [head, ...lines, ""].join("\n") }).then(({ of, ...rest }) => ({
    prices: of("quote", "unitPriceMinor"),
    ...rest,
  }));

describe("amounts", () => {
  it("may have a sign that fits the row's currency, and give it where the row says none", async () => {
    const { prices, taken, faults } = await priced(
      `${QUOTE},unit_price,currency`,
      `${SAID},£38.50,GBP`,
      "Q-2,P-1,FOUND,remade,10,€ 12.00,",
      'Q-3,P-1,FOUND,remade,10,"1,200.00 CHF",',
      "Q-4,P-1,FOUND,remade,10,$75,USD",
      "Q-5,P-1,FOUND,remade,10,$75.50,CAD",
      "Q-6,P-1,FOUND,remade,10,US$80,",
    );
    expect(faults).toEqual([]);
    expect(prices).toEqual([
      [3850, "GBP"],
      [1200, "EUR"],
      [120000, "CHF"],
      [7500, "USD"],
      [7550, "CAD"],
      [8000, "USD"],
    ]);
    expect(taken[0]).toBe("In quotes.csv amounts with a sign are taken for CAD, CHF, EUR, GBP, USD.");
  });
  it("with the sign of another currency than the row's are faults that say so", async () => {
    const other = (sign: string, currency: string) =>
      `“unit_price” has the sign of another currency (${sign}): it must be in ${currency} (it is ${sign}38.50).`;
    const head = `${QUOTE},unit_price,currency`;
    expect((await priced(head, `${SAID},€38.50,GBP`)).faults).toEqual([other("€", "GBP")]);
    expect((await priced(head, `${SAID},$38.50,`)).faults).toEqual([other("$", "GBP")]);
    expect((await priced(head, `${SAID},US$38.50,CAD`)).faults).toEqual([other("US$", "CAD")]);
  });
  it("each with a sign need no column for it; where only some have one the row is in the restoration's", async () => {
    const head = `${QUOTE},unit_price`;
    expect((await priced(head, `${SAID},€38.50`)).prices).toEqual([[3850, "EUR"]]);
    expect((await priced(head, `${SAID},€38.50`, "Q-2,P-1,FOUND,remade,10,12")).faults).toHaveLength(1);
    expect((await priced(head, `${SAID},£38.50`, "Q-2,P-1,FOUND,remade,10,12")).prices).toEqual([
      [3850, "GBP"],
      [1200, "GBP"],
    ]);
  });
  it("of a part's estimate and of restoration.json may have the sign of the restoration's currency", async () => {
    const estimated = async (estimate: string, currency: string) => {
      const parts = `part;name;estimate\nP-1;Rim;${estimate}\n`;
      const json = JSON.stringify({ currency, cap: estimate.replace(",", ".") });
      const { of, faults } = await amountsOf({ "parts.csv": parts, "restoration.json": json });
      return faults.length > 0 ? faults : [of("part", "estimateMinor")[0]![0], of("restoration", "capMinor")[0]![0]];
    };
    expect(await estimated("£5", "GBP")).toEqual([500, 500]);
    expect(await estimated("5,50 €", "EUR")).toEqual([550, 550]);
    expect(await estimated("$5", "AUD")).toEqual([500, 500]);
    expect(await estimated("€5", "GBP")).toHaveLength(2);
  });
});

const days = (...cells: string[]) =>
  quotes(`${QUOTE},unit_price,valid_until`, ...cells.map((cell, i) => `Q-${i},P-1,FOUND,remade,10,12,${cell}`)).then(
    ({ rows, taken, faults }) => ({
      dates: (rows.get("quote") ?? []).map(({ given }) => given["validUntil"]),
      taken,
      faults,
    }),
  );

describe("dates", () => {
  it("of which one can only begin with the day are all read so; likewise the month, and the year", async () => {
    expect(await days("03/04/2027", "23/11/2026")).toEqual({
      dates: ["2027-04-03", "2026-11-23"],
      taken: ["In quotes.csv “03/04/2027” of “valid_until” is taken for 2027-04-03: day, month, year."],
      faults: [],
    });
    expect((await days("03/04/2027", "11/23/2026")).dates).toEqual(["2027-03-04", "2026-11-23"]);
    expect((await days("2027/3/4", "2027-05-06")).dates).toEqual(["2027-03-04", "2027-05-06"]);
    expect((await days("3.4.2027")).dates).toEqual(["2027-04-03"]);
    expect((await days("05/05/2027")).dates).toEqual(["2027-05-05"]);
  });
  it("that leave a doubt, or agree in no order, stay as they are and say so", async () => {
    const { dates, taken } = await days("03/04/2027", "05/06/2027");
    expect(dates).toEqual(["03/04/2027", "05/06/2027"]);
    expect(taken).toEqual([
      "In quotes.csv “03/04/2027” of “valid_until” may begin with the day or with the month. Write 2027-04-03 or 2027-03-04.",
    ]);
    expect((await days("23/11/2026", "11/23/2026")).dates).toEqual(["23/11/2026", "11/23/2026"]);
  });
});

describe("a missing column", () => {
  it("hides no other fault of its file", async () => {
    const { faults } = await readSet({
      "operations.csv": "operation,title,trade,hours_likely\nENG-1,Strip,engine,many\n",
      "quotes.csv": "quote,supplier,provenance,unit_price,lead_days\nQ-1,FOUND,no such,12x,10\n",
      "suppliers.csv": SUPPLIERS,
      "parts.csv": PARTS,
    });
    expect(faults).toContain("quotes.csv needs the column “part”.");
    expect(faults.some((fault) => fault.startsWith("“hours_likely”"))).toBe(true);
    expect(faults.some((fault) => fault.startsWith("“provenance”"))).toBe(true);
    expect(faults.some((fault) => fault.startsWith("“unit_price”"))).toBe(true);
  });
});
