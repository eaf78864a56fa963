/** Files as spreadsheets of several countries write them are read, and the preview says for what each was taken. */
import { describe, expect, it } from "vitest";
import { readFiles } from "../../server/io/read.ts";

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
  });
});

const PARTS = "part,name\nP-1,Rim\n";
const SUPPLIERS = "supplier,name\nFOUND,Lower Mill Foundry\n";
const quotes = (head: string, ...lines: string[]) =>
  readSet({ "parts.csv": PARTS, "suppliers.csv": SUPPLIERS, "quotes.csv": [head, ...lines, ""].join("\n") });
const QUOTE = "quote,part,supplier,provenance,lead_days";
const SAID = "Q-1,P-1,FOUND,remade,10";

describe("amounts", () => {
  it("lose a sign that is the row's currency, and give it where the row says none", async () => {
    const { rows, taken, faults } = await quotes(
      `${QUOTE},unit_price,currency`,
      `${SAID},£38.50,GBP`,
      "Q-2,P-1,FOUND,remade,10,€ 12.00,",
      'Q-3,P-1,FOUND,remade,10,"1,200.00 CHF",',
    );
    expect(faults).toEqual([]);
    expect(rows.get("quote")!.map(({ given }) => [given["unitPriceMinor"], given["currency"]])).toEqual([
      ["38.50", "GBP"],
      ["12.00", "EUR"],
      ["1200.00", "CHF"],
    ]);
    expect(taken[0]).toBe("In quotes.csv amounts with a sign are taken for CHF, EUR, GBP.");
  });
  it("with the sign of another currency than the row's, or one of several countries, are faults", async () => {
    expect((await quotes(`${QUOTE},unit_price,currency`, `${SAID},€38.50,GBP`)).faults).toHaveLength(1);
    expect((await quotes(`${QUOTE},unit_price,currency`, `${SAID},$38.50,`)).faults).toHaveLength(1);
  });
  it("each with a sign need no column for it; where only some have one nothing is guessed", async () => {
    const every = await quotes(`${QUOTE},unit_price`, `${SAID},€38.50`);
    expect(every.rows.get("quote")![0]!.given).toMatchObject({ unitPriceMinor: "38.50", currency: "EUR" });
    expect((await quotes(`${QUOTE},unit_price`, `${SAID},€38.50`, "Q-2,P-1,FOUND,remade,10,12")).faults).toHaveLength(
      1,
    );
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
