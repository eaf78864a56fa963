/** What files have given so far: rows, faults and notices, and how one cell becomes a value of a row. */
import type { Fault } from "../store/fault.ts";
import type { Table } from "../store/tables.ts";
import { readCell } from "./cell.ts";
import type { Column, FileTable, Values } from "./columns.ts";
import type { ColumnRead } from "./nearColumns.ts";

/** Characters of one cell. */
const MOST_CELL = 32_767;

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
  /** What the columns are read as that are not under their own names. */
  columns: ColumnRead[];
  /** Tables whose file is there but could not be read; nothing is said of rows that would name theirs. */
  unread: Set<Table>;
  /** Tables whose file or columns stand under earlier names, with those names: what is said of them is said in the file's own words. */
  written: Map<Table, FileTable>;
  /** The day that the files are for, by the name that it has there; null: today. */
  figuresFor: { name: string; day: string } | null;
  /** The rows were typed into a table on the screen: each is a new one. */
  typed: boolean;
  /** Lines of the list `hands` of an earlier restoration.json: trade, people, hours a day. */
  byTrade: Values[];
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

/** Things left alone that are told one by one. */
export const MOST_NOTICES = 1_000;

/** Adds a notice, unless there are many already. */
export function notice(notices: Fault[], one: Fault): void {
  if (notices.length < MOST_NOTICES) notices.push(one);
}

/** Names of columns as they stand in the file: “before” and “after”. */
export const inQuotes = (names: readonly string[]): string => names.map((name) => `“${name}”`).join(" and ");

/** What a fault says of one cell, or of several that belong together: column, complaint, and the cell as written. */
export function cellFault(
  file: string,
  at: string,
  column: string | readonly string[],
  raw: string,
  code: Fault["code"],
  complaint: string,
): Fault {
  const names = typeof column === "string" ? [column] : column;
  const value = raw === "" ? undefined : raw.slice(0, 80);
  return {
    code,
    file,
    row: at,
    field: names.join(" and "),
    value,
    message: `${inQuotes(names)} ${complaint}${value === undefined ? "" : ` (it is ${value})`}${value === undefined && complaint.endsWith("?") ? "" : "."}`,
  };
}

/** What is wrong with a value under an earlier name of a column, beside that under the name of today; null where they agree or one says nothing. */
export const agreed = (today: string, said: string, says: string): string | null =>
  said.trim() === "" || says.trim() === "" || said.trim() === says.trim()
    ? null
    : `is another name of “${today}”, which is “${says.trim().slice(0, 80)}” here: keep one of the two`;

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
  if (text.length > MOST_CELL) {
    faulty.add(column.field);
    faults.add(
      cellFault(table.file, at, column.name, text, "TOO_LONG", `must be at most ${MOST_CELL} characters long`),
    );
    return;
  }
  // Sections and lines of the judging sheet are named by their titles, texts like any other.
  const titled = column.field === "name" || column.field === "title";
  const names = (column.field === table.named && !titled) || column.kind.is === "row";
  const blank = column.kind.is === "text" && !names ? text === "" : text.trim() === "";
  if (blank) {
    if (column.required) {
      faulty.add(column.field);
      faults.add(cellFault(table.file, at, column.name, "", "REQUIRED", "must be given"));
    } else given[column.field] = column.blank;
    return;
  }
  const read = readCell(column, names ? text.trim() : text);
  if ("fault" in read) {
    faulty.add(column.field);
    faults.add(cellFault(table.file, at, column.name, text, read.fault.code, read.fault.complaint));
  } else given[column.field] = read.value;
}
