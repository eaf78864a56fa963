/** Comma-separated values after RFC 4180, sections 2.1 to 2.7, and what spreadsheets make of it. */
import fc from "fast-check";
import Papa from "papaparse";
import { describe, expect, it } from "vitest";
import { CSV_LIMITS, csvSteps, guarded, readCsv, unguarded, writeCsv } from "../../server/io/csv.ts";

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
const read = (text: string) => readCsv("parts.csv", bytes(text), ["part", "name", "notes"]);
const cells = (text: string) => read(text).records.map((record) => record.cells);

/** Any text that UTF-8 can carry: control characters, quotes, line breaks and byte order marks among it. */
const anyText = fc.oneof(
  fc.string({ unit: "binary" }),
  fc.string({
    unit: fc.constantFrom('"', "'", ",", ";", "\t", "\r", "\n", "\0", "\uFEFF", "=", "+", "-", "@", " ", "1", "é"),
  }),
);

describe("a file of comma-separated values", () => {
  it("has records on lines that end in CRLF or LF, also within one file, and the last need not end (RFC 4180 2.1, 2.2)", () => {
    expect(cells("part,name\r\nA,Rim\nB,Hub\r\nC,Spoke")).toEqual([
      ["A", "Rim"],
      ["B", "Hub"],
      ["C", "Spoke"],
    ]);
  });

  it("keeps commas, doubled quotes and line breaks inside double quotes (RFC 4180 2.6, 2.7)", () => {
    expect(cells('part,name\r\nA,"5/8"" pitch, chain\r\nprimary"\r\n')).toEqual([
      ["A", '5/8" pitch, chain\r\nprimary'],
    ]);
  });

  it("keeps spaces as part of a cell (RFC 4180 2.4)", () => {
    expect(cells("part,name\nA, Rim ")).toEqual([["A", " Rim "]]);
  });

  it("takes an inch mark in the middle of a cell as it stands", () => {
    expect(cells('part,name\nA,1/2" BSF bolt')).toEqual([["A", '1/2" BSF bolt']]);
  });

  it("knows the line of each record, with line breaks in quotes and blank lines counted", () => {
    const table = read('part,name\n\nA,"two\nlines"\n\r\nB,Hub\n,\nC,Pin\n');
    expect(table.records.map(({ line, cells: [part] }) => [line, part])).toEqual([
      [3, "A"],
      [6, "B"],
      [8, "C"],
    ]);
  });

  it.each([",", ";", "\t"])("finds the delimiter %j from the header", (delimiter) => {
    expect(cells(`${["part", "name"].join(delimiter)}\n${["A", "Rim"].join(delimiter)}`)).toEqual([["A", "Rim"]]);
  });

  it("chooses the delimiter that yields known columns, not the one that stands most often", () => {
    expect(read("part;name;a,b,c,d,e\n").header).toEqual(["part", "name", "a,b,c,d,e"]);
  });

  it("reads names of columns in capitals, with spaces around and after a byte order mark", () => {
    expect(read("\uFEFF PART , Name \nA,Rim").header).toEqual(["part", "name"]);
  });

  it("refuses two columns of one name", () => {
    expect(read("part,name,PART\nA,Rim,B").faults).toMatchObject([
      { code: "DUPLICATE", file: "parts.csv", field: "part", row: "1" },
    ]);
  });

  it("refuses a row with more cells than the header, by its line", () => {
    expect(read("part,name\nA,Rim\nB,Hub,front\n").faults).toMatchObject([
      { code: "OUT_OF_RANGE", row: "3", value: "front" },
    ]);
  });

  it("takes empty cells past the header, as spreadsheets write them", () => {
    expect(read("part,name,,\nA,Rim,,\n").faults).toEqual([]);
  });

  it("says on which line a quote opens that never closes", () => {
    expect(read('part,name\nA,Rim\nB,"Hub\nC,Pin\n').faults).toMatchObject([{ code: "UNREADABLE", row: "3" }]);
  });

  it("refuses text after a closing quote", () => {
    expect(read('part,name\nA,"Rim" front\n').faults).toMatchObject([{ code: "UNREADABLE", row: "2" }]);
  });

  it("is taken for Windows-1252 where it is not UTF-8, and shows a word to look at", () => {
    const table = readCsv("parts.csv", Uint8Array.from([...bytes("part,name\nA,Rim\nB,Caf"), 0xe9, 10]));
    expect(table.faults).toEqual([]);
    expect(table.records.map(({ cells }) => cells)).toEqual([
      ["A", "Rim"],
      ["B", "Café"],
    ]);
    expect(table.taken).toEqual([
      "the text is taken for Windows-1252, as it is not UTF-8: look whether “Café” is right",
    ]);
    expect(readCsv("parts.csv", bytes("part,name\nB,Café\n")).taken).toEqual([]);
  });

  it("in Windows-1252 keeps the euro, dashes and curly quotes, and the word shown has something to see", () => {
    const table = readCsv(
      "parts.csv",
      Uint8Array.from([...bytes("part,name\nA,Rim"), 0xa0, 10, ...bytes("B,"), 0x93, 0x80, 53, 0x94, 0x96, 0x9f, 10]),
    );
    expect(table.faults).toEqual([]);
    expect(table.records.map(({ cells }) => cells[1])).toEqual(["Rim\u00a0", "“€5”–Ÿ"]);
    expect(table.taken[0]).toContain("look whether ““€5”–Ÿ” is right");
    const unseen = readCsv("parts.csv", Uint8Array.from([...bytes("part,name\nA,Rim"), 0xa0, 10]));
    expect(unseen.taken).toEqual(["the text is taken for Windows-1252, as it is not UTF-8"]);
  });

  it("in UTF-8 with single bytes that are not is a fault of their cells, and not taken for Windows-1252", () => {
    const file = Uint8Array.from([...bytes("part,name,notes\nA,Café,Größe\nB,Hub,r"), 0xe9, ...bytes("p\n")]);
    const table = readCsv("parts.csv", file);
    expect(table.taken).toEqual([]);
    expect(table.records).toHaveLength(2);
    expect(table.faults).toMatchObject([{ code: "UNREADABLE", file: "parts.csv", row: "3", field: "notes" }]);
    // A pair of letters that is UTF-8 by chance, among many that are not.
    const german = Uint8Array.from([...bytes("part,name\nA,"), 0xd6, 0x96, ...Array<number>(40).fill(0xfc), 10]);
    expect(readCsv("parts.csv", german)).toMatchObject({ faults: [], taken: [expect.stringContaining("1252")] });
  });

  it("has records on lines that end in CR alone, also beside CRLF and LF", () => {
    expect(cells("part,name\rA,Rim\rB,Hub\r")).toEqual([
      ["A", "Rim"],
      ["B", "Hub"],
    ]);
    const table = read('part,name\r\nA,"two\rlines"\rB,Hub\n\rC,"Pin"\r');
    expect(table.records.map(({ line, cells: [, name] }) => [line, name])).toEqual([
      [2, "two\rlines"],
      [4, "Hub"],
      [6, "Pin"],
    ]);
  });

  it.each([";", ",", "\t"])("says by a first line sep=%j what stands between its cells", (mark) => {
    const table = read(`\uFEFFsep=${mark}\r\npart${mark}name\r\nA${mark}"Rim"\r\n`);
    expect(table).toMatchObject({ header: ["part", "name"], headerLine: 2, faults: [] });
    expect(table.records).toEqual([{ line: 3, cells: ["A", "Rim"] }]);
  });

  it.each(["utf16le", "utf16be"])("is read as %s, with or without a mark", (encoding) => {
    const little = Buffer.from("part,name\nA,Rím\n", "utf16le");
    const body = encoding === "utf16le" ? little : Buffer.from(little).swap16();
    const mark = encoding === "utf16le" ? [0xff, 0xfe] : [0xfe, 0xff];
    for (const file of [body, Buffer.concat([Buffer.from(mark), body])])
      expect(readCsv("parts.csv", file)).toMatchObject({
        header: ["part", "name"],
        records: [{ cells: ["A", "Rím"] }],
        faults: [],
        taken: ["the text is taken for UTF-16"],
      });
  });

  it("that is no text at all is refused", () => {
    const file = Uint8Array.from([...bytes("PK part,name\n"), 0x81, 0xe9, 0, 3, 4]);
    expect(readCsv("parts.csv", file)).toMatchObject({ unread: true, faults: [{ code: "UNREADABLE", row: "1" }] });
  });

  it("is nothing at all when it is empty", () => {
    expect(read("")).toMatchObject({ header: [], records: [], faults: [] });
  });
});

describe("a file made to hang the reader", () => {
  const { columns, rows } = CSV_LIMITS;
  /** Steps in which others are let in, and what came of the file. */
  const steps = (text: string) => {
    const reading = csvSteps("parts.csv", bytes(text), ["part", "name", "notes"]);
    for (let count = 0; ; count += 1) {
      const { done, value } = reading.next();
      if (done) return { count, table: value };
    }
  };
  const line = (n: number, cell: (i: number) => string): string =>
    Array.from({ length: n }, (_, i) => cell(i)).join(",");

  it.each([
    ["80,000 named columns", () => `part,${line(80_000, (i) => `c${i}`)}\nA\n`],
    ["900,000 columns of one name", () => `part,${line(900_000, () => "c")}\nA\n`],
    ["10 MB of commas", () => ",".repeat(10_000_000)],
    ["a column too many", () => `part,${line(columns, () => "")}\nA\n`],
    ["a column too many in quotes", () => `part,${line(columns, () => '""')}\nA\n`],
  ])("of %s is one fault, which names the limit", (_, text) => {
    expect(read(text())).toMatchObject({
      unread: true,
      records: [],
      faults: [{ code: "TOO_LARGE", file: "parts.csv", row: "1", message: expect.stringContaining("at most 500") }],
    });
  });

  it("of a row with more cells than columns are read is refused by its line", () => {
    expect(read(`part,name\nA,Rim\n${",".repeat(columns)}\n`).faults).toMatchObject([{ code: "TOO_LARGE", row: "3" }]);
  });

  it("of 500 columns is read", () => {
    expect(read(`part,${line(columns - 1, (i) => `c${i}`)}\nA\n`)).toMatchObject({ unread: false, faults: [] });
  });

  it("of 1.5 million short rows is refused at the first that is too many", () => {
    const { count, table } = steps(`part\n${"A\n".repeat(1_500_000)}`);
    expect(table).toMatchObject({
      unread: true,
      faults: [{ code: "TOO_LARGE", row: String(rows + 2), message: expect.stringContaining("50000 rows") }],
    });
    expect(count).toBeLessThan(100);
  });

  it("of as many rows as are read is read", () => {
    expect(read(`part\n${"A\n".repeat(rows)}`)).toMatchObject({ unread: false, faults: [] });
  });

  it("of more cells than are read is refused", () => {
    const cells = `${",".repeat(columns - 1)}\n`;
    expect(read(cells.repeat(CSV_LIMITS.cells / columns + 1)).faults).toMatchObject([
      { code: "TOO_LARGE", message: expect.stringContaining("2000000 cells") },
    ]);
  });

  it.each([
    ["quotes written twice", (n: number) => `part\n"${'""'.repeat(n / 2)}"\n`],
    ["blank lines", (n: number) => `part\n${"\n".repeat(n)}`],
    ["line breaks in quotes", (n: number) => `part\n${`"${"\n".repeat(999)}"\n`.repeat(n / 1000)}`],
  ])("of %s is read in steps, in proportion to its length", (_, text) => {
    const [small, large] = [steps(text(800_000)), steps(text(1_600_000))];
    expect(small.table.unread || large.table.unread).toBe(false);
    expect(large.count / small.count).toBeGreaterThan(1.5);
    expect(large.count / small.count).toBeLessThan(2.5);
  });

  it("whose last of five million lines is not UTF-8 is read as Windows-1252 all the same", () => {
    const file = new Uint8Array(5_000_000).fill(10);
    file[file.length - 1] = 0xff;
    expect(readCsv("parts.csv", file).taken).toHaveLength(1);
  });
});

describe("written and read again", () => {
  it("every text comes back exactly as it was", () => {
    const record = fc.tuple(fc.constant("key"), anyText, anyText);
    fc.assert(
      fc.property(fc.array(record, { maxLength: 5 }), (records) => {
        const table = read(writeCsv(["part", "name", "notes"], records));
        expect(table.faults).toEqual([]);
        expect(table.records.map((one) => one.cells.map(unguarded))).toEqual(records);
      }),
      { numRuns: 500 },
    );
  });

  it("another reader of RFC 4180 finds the same cells", () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.constant("key"), anyText), { maxLength: 5 }), (records) => {
        const written = writeCsv(["part", "name"], records);
        const theirs = Papa.parse<string[]>(written, { delimiter: ",", newline: "\r\n" }).data.slice(1, -1);
        expect(theirs).toEqual(read(written).records.map((one) => one.cells));
      }),
      { numRuns: 300 },
    );
  });

  it("ends every record with CRLF (RFC 4180 2.1)", () => {
    expect(writeCsv(["part"], [["A"], ["B,C"]])).toBe('part\r\nA\r\n"B,C"\r\n');
  });
});

describe("a cell that a spreadsheet would run", () => {
  it.each(["=1+1", "+SUM(A1)", "-2+3", "@now", "\tx", "\rx", '=HYPERLINK("http://x")'])(
    "%j is written with an apostrophe before it",
    (text) => {
      expect(guarded(text)).toBe(`'${text}`);
      expect(unguarded(guarded(text))).toBe(text);
    },
  );

  it.each(["-5", "+5", "-0.25", "12"])("%s is a plain number and stays", (text) => {
    expect(guarded(text)).toBe(text);
  });

  it("of a text's own apostrophes none is taken away", () => {
    for (const text of ["'tis", "''", "'=1", "'"]) expect(unguarded(guarded(text))).toBe(text);
    expect(unguarded("'tis")).toBe("'tis");
  });
});
