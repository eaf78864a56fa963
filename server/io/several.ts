/**
 * Rows that were typed or pasted into a table on the screen, read and checked as those of files are. They are new ones: a
 * code that is left blank is given, and a row names others by their titles as well as by their codes.
 */
import { listed } from "../plan/oddsWords.ts";
import type { Store } from "../store/client.ts";
import { type Fault, InvalidInput } from "../store/fault.ts";
import { NOUNS, type Table } from "../store/tables.ts";
import { counted } from "./backupWords.ts";
import { isRegister, REGISTERS } from "./codesGiven.ts";
import { CSV_TABLES, type FileTable } from "./columns.ts";
import { readCsv, writeCsv } from "./csv.ts";
import type { FileSet } from "./folder.ts";
import { applyImport, type Destination, type Imported, prepareImport, type Typed } from "./import.ts";

/** Rows for one of the files: the columns that are typed, and a row's cells in their order. */
export interface TypedRows {
  file: string;
  columns: readonly string[];
  rows: readonly (readonly string[])[];
}

/** Rows that are taken at once, in all. */
export const MOST_TYPED = 2_000;

/** What can be typed: the registers, and what ties their rows to one another. */
const TYPED: ReadonlySet<Table> = new Set<Table>(["link", "need", "partReference", ...REGISTERS]);

const tableOfFile = (file: string): FileTable => {
  const found = CSV_TABLES.find((table) => table.file === file && TYPED.has(table.table));
  if (found !== undefined) return found;
  const files = CSV_TABLES.filter(({ table }) => TYPED.has(table)).map((table) => table.file);
  throw new InvalidInput([
    {
      code: "MISSING_FILE",
      file: file.slice(0, 80),
      message: `${file.slice(0, 80)} takes no typed rows. These do: ${files.join(", ")}.`,
    },
  ]);
};

/**
 * Adds rows in one recorded change, by the reader and the checks of an import.
 * @throws InvalidInput with every fault: file, row (from 1) and column; nothing is written then
 */
export async function addSeveral(
  store: Store,
  typed: readonly TypedRows[],
  destination: Destination,
): Promise<Imported & { changeId: string }> {
  const { set, placeOf } = filesOf(typed);
  try {
    const ready = await prepareImport(store, set, destination, undefined, NEW_ROWS);
    const imported = await applyImport(store, ready);
    const { changeId } = imported;
    if (changeId !== null) return { ...imported, changeId };
  } catch (error) {
    if (error instanceof InvalidInput) throw new InvalidInput(error.faults.map(placeOf));
    throw error;
  }
  throw new InvalidInput([{ code: "REQUIRED", message: "There is nothing to add: type a row first." }]);
}

/** Typed rows as files, and where in what was typed a fault of those files lies. */
function filesOf(typed: readonly TypedRows[]): { set: FileSet; placeOf: (fault: Fault) => Fault } {
  const count = typed.reduce((sum, { rows }) => sum + rows.length, 0);
  if (count > MOST_TYPED)
    throw new InvalidInput([
      {
        code: "TOO_LARGE",
        message: `These are ${count} rows; ${MOST_TYPED} are taken at once. Bring more in as files.`,
      },
    ]);
  const files = new Map<string, Uint8Array>();
  const rowAt = new Map<string, ReadonlyMap<string, number>>();
  for (const { file, columns, rows } of typed) {
    const table = tableOfFile(file);
    if (files.has(file))
      throw new InvalidInput([{ code: "DUPLICATE", file, message: `${file} is there twice: put its rows together.` }]);
    const code = isRegister(table.table) ? table.columns.find(({ field }) => field === "code")!.name : null;
    const given = code === null ? -1 : columns.indexOf(code);
    const header = code === null || given >= 0 ? columns : [...columns, code];
    const lines = new Map<string, number>();
    let line = 2;
    const records = rows.map((cells, i) => {
      const record = columns.map((_, at) => (cells[at] ?? "").replace(/\r\n?/g, "\n"));
      const at = given >= 0 ? given : record.length;
      if (code !== null && (record[at] ?? "").trim() === "") record[at] = `+${i + 1}`;
      lines.set(String(line), i + 1);
      line += 1 + record.join("").split("\n").length - 1;
      return record;
    });
    files.set(file, new TextEncoder().encode(writeCsv(header, records)));
    rowAt.set(file, lines);
  }
  const placeOf = (fault: Fault): Fault => {
    const { field = "" } = fault;
    const message = fault.message.replace(`“${field}” `, `${field} `);
    // A supplier that a quote brings stands in no row of its own.
    if (fault.file === "suppliers.csv" && !files.has("suppliers.csv"))
      return { ...fault, message, file: "quotes.csv", field: "supplier", row: row("quotes.csv", fault.row) };
    return { ...fault, message, row: row(fault.file ?? "", fault.row) };
  };
  const row = (file: string, at = ""): string | undefined => rowAt.get(file)?.get(at)?.toString();
  return { set: { files, notices: [] }, placeOf };
}

const NEW_ROWS: Typed = {
  summary: ({ counts }) =>
    `Added ${listed(
      counts.flatMap(({ file, added }) => {
        const { table } = CSV_TABLES.find((one) => one.file === file)!;
        return added > 0 ? [counted(added, NOUNS[table])] : [];
      }),
    )}`,
};

/** A column of a table on the screen: its name in the file, and what it is called there. */
export interface ScreenColumn {
  name: string;
  label: string;
}

/**
 * Cells that were copied from a spreadsheet, put into the columns of a table on the screen: by their headings where the
 * first line has some, else from one column on. What stands under another heading is left out, and told.
 * @throws InvalidInput UNREADABLE, TOO_LARGE
 */
export function pastedCells(
  file: string,
  text: string,
  columns: readonly ScreenColumn[],
  from: number,
): { rows: string[][]; unread: string[] } {
  const names = columns.map(({ name }) => name);
  const byLabel = new Map(columns.map(({ label }, at) => [headed(label), at]));
  const byName = new Map(names.map((name, at) => [headed(name), at]));
  const place = (heading: string): number | undefined => byLabel.get(headed(heading)) ?? byName.get(headed(heading));
  const [first = ""] = text.split(/\r\n?|\n/, 1);
  // A line from a text, with commas in it, is one cell; a table in which headings stand between them is several.
  const isTable = !first.includes("\t") && first.split(/[,;]/).filter((one) => place(one) !== undefined).length > 1;
  const csv = readCsv(file, new TextEncoder().encode(text), names, isTable ? undefined : "\t");
  if (csv.unread) throw new InvalidInput(csv.faults.map((fault) => ({ ...fault, file: undefined })));
  const seen = csv.headings.map(place);
  const told = seen.filter((at) => at !== undefined);
  // A file's own heading may be what another column is called on the screen: "part" is the code there.
  const ofFile = new Set(told).size < told.length;
  const places = ofFile ? csv.headings.map((one) => byName.get(headed(one)) ?? byLabel.get(headed(one))) : seen;
  const known = places.filter((at) => at !== undefined).length;
  const hasHeadings = known > 0 && known * 2 >= csv.headings.filter((one) => one !== "").length;
  const records = csv.records.map(({ cells }) => cells);
  const lines = hasHeadings ? records : [csv.headings, ...records];
  const rows = lines.map((cells) => {
    const row = columns.map(() => "");
    for (const [i, cell] of cells.entries()) {
      const at = hasHeadings ? places[i] : from + i;
      if (at !== undefined && at < row.length) row[at] = cell.trim();
    }
    return row;
  });
  const unread = hasHeadings ? csv.headings.filter((one, i) => one !== "" && places[i] === undefined) : [];
  return { rows, unread };
}

/** How a heading is compared: "Lead days" is lead_days. */
const headed = (text: string): string =>
  text
    .trim()
    .toLowerCase()
    .replace(/[\s_-]+/g, " ");
