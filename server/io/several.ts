/**
 * Rows that were typed or pasted into a table on the screen, read and checked as those of files are. They are new ones: a
 * code that is left blank is given, and a row names others by their titles as well as by their codes.
 */
import { listed } from "../plan/odds/oddsWords.ts";
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
  const { set, placeOf, beyond } = filesOf(typed);
  /** Of columns that are not read: a file may hold some of its owner's, but what is typed is all meant to be added. */
  let unknown: readonly Fault[] = [];
  try {
    const ready = await prepareImport(store, set, destination, undefined, NEW_ROWS);
    unknown = ready.preview.notices.flatMap((notice) => unknownColumn(notice, typed));
    if (beyond.length + unknown.length > 0) throw new InvalidInput(ready.preview.faults);
    const imported = await applyImport(store, ready);
    const { changeId } = imported;
    if (changeId !== null) return { ...imported, changeId };
  } catch (error) {
    if (error instanceof InvalidInput) throw new InvalidInput([...beyond, ...unknown, ...error.faults.map(placeOf)]);
    throw error;
  }
  throw new InvalidInput([{ code: "REQUIRED", message: "There is nothing to add: type a row first." }]);
}

/** A column that was typed and is not read, as a fault of the first row that has something in it. */
function unknownColumn({ code, file, field }: Fault, typed: readonly TypedRows[]): Fault[] {
  if (code !== "UNUSED_COLUMN" || file === undefined || field === undefined) return [];
  const { columns, rows } = typed.find((one) => one.file === file)!;
  const at = columns.findIndex((name) => name.trim().slice(0, 80) === field);
  const row = rows.findIndex((cells) => (cells[at] ?? "").trim() !== "");
  const where = row < 0 ? {} : { row: String(row + 1), value: rows[row]![at]!.slice(0, 80) };
  return [{ code, file, field, ...where, message: `${file} has no column “${field}”: nothing of it can be added.` }];
}

/** Typed rows as files, where in what was typed a fault of those files lies, and cells that stand in no column. */
function filesOf(typed: readonly TypedRows[]): {
  set: FileSet;
  placeOf: (fault: Fault) => Fault;
  beyond: readonly Fault[];
} {
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
  const beyond: Fault[] = [];
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
      const strays = cells.filter((cell, at) => cell.trim() !== "" && (columns[at] ?? "").trim() === "");
      if (strays.length > 0)
        beyond.push({
          code: "OUT_OF_RANGE",
          file,
          row: String(i + 1),
          field: "cells",
          value: strays[0]!.slice(0, 80),
          message: `${file} row ${i + 1} has ${counted(strays.length, "cell")} in no column (${counted(columns.filter((name) => name.trim() !== "").length, "column")}).`,
        });
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
  return { set: { files, notices: [] }, placeOf, beyond };
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
 * first line has some, else from one column on. What stands under another heading, or under one that was there before,
 * is left out and told, and so are cells past the last column.
 * @throws InvalidInput UNREADABLE, TOO_LARGE
 */
export function pastedCells(
  file: string,
  text: string,
  columns: readonly ScreenColumn[],
  from: number,
): { rows: string[][]; count: number; unread: string[]; beyond: number } {
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
  const meant = ofFile ? csv.headings.map((one) => byName.get(headed(one)) ?? byLabel.get(headed(one))) : seen;
  const places = meant.map((at, i) => (meant.indexOf(at) === i ? at : undefined));
  const known = meant.filter((at) => at !== undefined).length;
  const hasHeadings = known > 0 && known * 2 >= csv.headings.filter((one) => one !== "").length;
  const records = csv.records.map(({ cells }) => cells);
  const lines = hasHeadings ? records : [csv.headings, ...records];
  let beyond = 0;
  const rows = lines.map((cells) => {
    const row = columns.map(() => "");
    for (const [i, cell] of cells.entries()) {
      const at = hasHeadings ? places[i] : from + i;
      if (at !== undefined && at < row.length) row[at] = cell.trim();
      else if (cell.trim() !== "" && (!hasHeadings || (csv.headings[i] ?? "") === "")) beyond += 1;
    }
    return row;
  });
  const unread = csv.headings.flatMap((one, i) =>
    !hasHeadings || one === "" || places[i] !== undefined ? [] : [meant[i] === undefined ? one : `the second “${one}”`],
  );
  return { rows: rows.slice(0, MOST_TYPED), count: rows.length, unread, beyond };
}

/** How a heading is compared: "Lead days" is lead_days. */
const headed = (text: string): string =>
  text
    .trim()
    .toLowerCase()
    .replace(/[\s_-]+/g, " ");
