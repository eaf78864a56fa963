/** Empty files to fill in, with an explanation in plain words, from the same statement that reading goes by. */
import {
  type Column,
  CSV_TABLES,
  FIGURES_FOR,
  type FileTable,
  REQUIRED_FILES,
  RESTORATION_FILE,
  tableOf,
  titleOf,
} from "./columns.ts";
import { writeCsv } from "./csv.ts";
import { packed } from "./export.ts";

/** templates.zip: a header a file, a sample of restoration.json, and README.txt. */
export function templatesZip(): Promise<Uint8Array> {
  const files = new Map<string, string>([["README.txt", readme()]]);
  for (const table of CSV_TABLES)
    files.set(
      table.file,
      writeCsv(
        table.columns.map((column) => column.name),
        [],
      ),
    );
  files.set(RESTORATION_FILE, `${JSON.stringify(SAMPLE, null, 2)}\n`);
  return packed(files);
}

const SAMPLE = {
  machine: "1913 Tallow & Wren cyclecar",
  owner: "Odile Farrant",
  description: "",
  targetName: "Midsummer Concours",
  targetDate: "2027-06-19",
  figuresFor: null,
  currency: "GBP",
  cap: "24000.00",
  confidence: 0.8,
  pricePerDay: "25.00",
  pricePerPoint: "60.00",
  customsBasis: "CIF",
  carriageTaxed: true,
  calendar: {
    hours: { monday: 8, tuesday: 8, wednesday: 8, thursday: 8, friday: 7.5, saturday: 0, sunday: 0 },
    closed: [{ date: "2026-12-25", reason: "Christmas Day" }],
  },
  tradeRates: [{ trade: "engine", rate: "34.00" }],
  judgingSheet: {
    sections: [
      {
        name: "Engine",
        maximum: 100,
        cap: 40,
        lines: [{ title: "Carburettor of the period", maximum: 8, mandatory: false }],
        deductions: [{ provenance: "later substitute", points: 4 }],
      },
    ],
    floors: [{ award: "First", points: 85 }],
  },
};

function meaning(column: Column): string {
  const { kind } = column;
  switch (kind.is) {
    case "choice":
      return `One of: ${kind.of.map((one) => (kind.capitals ? one : one.toLowerCase().replaceAll("_", " "))).join(", ")}.`;
    case "yesNo":
      return "yes or no.";
    case "date":
      return "A date such as 2027-06-19.";
    case "number":
    case "decimal":
    case "percent":
      return "A number, with a point for decimals.";
    case "whole":
      return "A whole number.";
    case "texts":
      return "Such as machining; general.";
    case "money":
      return "An amount such as 12.50.";
    case "row":
      return `A code from ${tableOf(kind.of).file}${titleOf(tableOf(kind.of)) === null ? "" : ", or a name that no other has there"}.`;
    default:
      return "";
  }
}

function blank(column: Column): string {
  if (column.required) return "Needed.";
  if (column.blankIsCode || column.blank === null || column.blank === "" || column.field === "currency") return "";
  const value =
    column.kind.is === "choice" && !column.kind.capitals
      ? String(column.blank).toLowerCase().replaceAll("_", " ")
      : column.blank;
  if (Array.isArray(value)) return value.length === 0 ? "Blank is none." : `Blank is ${value.join("; ")}.`;
  return `Blank is ${value === false ? "no" : value === true ? "yes" : value}.`;
}

/** A column in plain words: what it says, how it is written, and what a blank cell is. */
export const columnWords = (column: Column): string =>
  [column.says, meaning(column), blank(column)].filter(Boolean).join(" ");

/** A file in plain words: what it holds, and each of its columns. */
export const explained = (table: Pick<FileTable, "file" | "says" | "columns">, needed = false): string =>
  [
    table.file + (needed ? " (needed)" : ""),
    `  ${table.says}`,
    ...table.columns.map((column) => `  ${column.name.padEnd(18)} ${columnWords(column)}`),
  ].join("\r\n");

/** What the columns mean. */
export function readme(): string {
  return [
    "Files for Lastbolt",
    "",
    "Fill in what you have, put the files in one zip, and import it. Only operations.csv and links.csv are needed.",
    "The first line of each file names the columns; leave out those that you do not need. Commas, semicolons or tabs",
    "between the cells are all read, and UTF-8 text. Dates are written year-month-day. Numbers are digits with a point",
    "for decimals and no unit beside them. A code means the same thing in every file. Yes and no may also be written true",
    "and false, or 1 and 0, and yes as x.",
    "When you import into a restoration that is there already, rows with the same code are changed, others are added,",
    "and none are taken away.",
    "An apostrophe before a cell that begins with = + - @ keeps a spreadsheet from running it; import takes it away.",
    "",
    ...CSV_TABLES.flatMap((table) => [explained(table, REQUIRED_FILES.includes(table.file)), ""]),
    "restoration.json",
    "  The machine, the calendar, the rates of trades and the judging sheet; see the sample. Leave out what you do not need.",
    "  The calendar is the shop's, for all its machines: what it says here changes it for the others too.",
    "  calendar may give workingDays (a list of weekdays) and hoursPerDay in place of hours.",
    ...[...tableOf("restoration").columns, FIGURES_FOR].map((column) => `  ${column.name.padEnd(18)} ${column.says}`),
    "",
  ].join("\r\n");
}
