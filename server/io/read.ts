/** Files → the rows they give, cell by cell. What the rows mean together is for merge.ts. */
import type { Fault } from "../store/fault.ts";
import type { Table } from "../store/tables.ts";
import { readCell } from "./cell.ts";
import { type Column, CSV_TABLES, type FileTable, REQUIRED_FILES, RESTORATION_FILE, type Values } from "./columns.ts";
import { readCsv, unguarded } from "./csv.ts";
import type { FileSet } from "./folder.ts";
import { readRestorationFile } from "./restorationFile.ts";

/** One row as a file gives it: only the fields whose columns are there. */
export interface GivenRow {
  /** Line of the file, or the place in restoration.json. */
  at: string;
  given: Values;
  /** The cells as written, by field, for messages. */
  raw: Record<string, string>;
  /** Fields whose cells could not be read; their faults are noted already. */
  faulty: ReadonlySet<string>;
}

export interface Given {
  rows: Map<Table, GivenRow[]>;
  faults: Faults;
  notices: Fault[];
  /** Tables whose file is there but could not be read; nothing is said of rows that would name theirs. */
  unread: Set<Table>;
}

/** All faults of an import, in the order found; the list is bounded, the count is not. */
export class Faults {
  static readonly MOST = 5_000;
  readonly list: Fault[] = [];
  count = 0;

  constructor(before?: Faults) {
    if (before) {
      this.list.push(...before.list);
      this.count = before.count;
    }
  }

  add(fault: Fault): void {
    this.count += 1;
    if (this.list.length < Faults.MOST) this.list.push(fault);
  }
}

/** How far a reader is; may throw to stop it. Called every thousand rows or so. */
export type Step = (done: number) => Promise<void>;

export const words = (column: string): string =>
  column.replaceAll("_", " ").replace(/([A-Z])/g, (c) => ` ${c.toLowerCase()}`);

/** What a fault says of one cell: column, complaint, and the cell as written. */
export function cellFault(
  file: string,
  at: string,
  column: string,
  raw: string,
  code: Fault["code"],
  complaint: string,
): Fault {
  const value = raw === "" ? undefined : raw.slice(0, 80);
  return {
    code,
    file,
    row: at,
    field: column,
    value,
    message: `${words(column)} ${complaint}${value === undefined ? "" : ` (it is ${value})`}.`,
  };
}

/**
 * Reads every file of a set.
 * @param whole true for a new restoration: operations and links must be there, and every column without which there is no row
 */
export async function readFiles(set: FileSet, whole: boolean, step: Step = async () => {}): Promise<Given> {
  const given: Given = { rows: new Map(), faults: new Faults(), notices: [...set.notices], unread: new Set() };
  if (whole)
    for (const file of REQUIRED_FILES)
      if (!set.files.has(file)) {
        given.faults.add({
          code: "MISSING_FILE",
          file,
          message: `${file} is missing. A plan needs ${REQUIRED_FILES.join(" and ")}.`,
        });
        given.unread.add(CSV_TABLES.find((table) => table.file === file)!.table);
      }
  const json = set.files.get(RESTORATION_FILE);
  if (json) readRestorationFile(json, given);
  let done = 0;
  for (const table of CSV_TABLES) {
    const bytes = set.files.get(table.file);
    if (bytes) done = await readTable(table, bytes, whole, given, step, done);
  }
  return given;
}

async function readTable(
  table: FileTable,
  bytes: Uint8Array,
  whole: boolean,
  given: Given,
  step: Step,
  before: number,
): Promise<number> {
  const { file } = table;
  const csv = readCsv(
    file,
    bytes,
    table.columns.map((column) => column.name),
  );
  for (const fault of csv.faults) given.faults.add(fault);
  if (csv.faults.some((fault) => fault.code === "UNREADABLE")) {
    given.unread.add(table.table);
    return before;
  }
  const columns: (Column | undefined)[] = csv.header.map((name) =>
    table.columns.find((column) => column.name === name),
  );
  csv.header.forEach((name, i) => {
    if (columns[i] === undefined && name !== "")
      given.notices.push({
        code: "UNUSED_COLUMN",
        file,
        row: String(csv.headerLine),
        field: name.slice(0, 80),
        message: `${file} has a column ${name.slice(0, 80)} that is not read. It was left alone.`,
      });
  });
  const absent = table.columns.filter(
    (column) => column.required && (whole || table.key.includes(column.field)) && !columns.includes(column),
  );
  for (const { name } of absent)
    given.faults.add({
      code: "MISSING_COLUMN",
      file,
      row: String(csv.headerLine),
      field: name,
      message: `${file} needs the column ${name}.`,
    });
  if (absent.length > 0) {
    given.unread.add(table.table);
    return before;
  }

  const rows: GivenRow[] = [];
  given.rows.set(table.table, rows);
  let done = before;
  for (const { line, cells } of csv.records) {
    rows.push(readRow(table, String(line), columns, cells, given.faults));
    done += 1;
    if (done % 1000 === 0) await step(done);
  }
  return done;
}

function readRow(
  table: FileTable,
  at: string,
  columns: readonly (Column | undefined)[],
  cells: readonly string[],
  faults: Faults,
): GivenRow {
  const given: Values = {};
  const raw: Record<string, string> = {};
  const faulty = new Set<string>();
  columns.forEach((column, i) => {
    if (column === undefined) return;
    const text = unguarded(cells[i] ?? "");
    raw[column.field] = text;
    readInto(table, at, column, text, given, faulty, faults);
  });
  return { at, given, raw, faulty };
}

/** Reads one cell's text into a row, or notes its fault. A blank cell takes what blank means in its column. */
export function readInto(
  table: Pick<FileTable, "file" | "named">,
  at: string,
  column: Column,
  text: string,
  given: Values,
  faulty: Set<string>,
  faults: Faults,
): void {
  if (text.includes("\0")) {
    // The store ends a text at a NUL, so what stands after it would be lost without a word.
    faulty.add(column.field);
    faults.add(
      cellFault(table.file, at, column.name, text.replaceAll("\0", "␀"), "UNREADABLE", "must not hold a NUL character"),
    );
    return;
  }
  // A section of the judging sheet is named by its title, a text like any other.
  const names = (column.field === table.named && column.field !== "name") || column.kind.is === "row";
  const blank = column.kind.is === "text" && !names ? text === "" : text.trim() === "";
  if (blank) {
    if (column.required) {
      faulty.add(column.field);
      faults.add(cellFault(table.file, at, column.name, "", "REQUIRED", "is needed"));
    } else given[column.field] = column.blank;
    return;
  }
  const read = readCell(column, names ? text.trim() : text);
  if ("fault" in read) {
    faulty.add(column.field);
    faults.add(cellFault(table.file, at, column.name, text, read.fault.code, read.fault.complaint));
  } else given[column.field] = read.value;
}
