/** The club's files → the rows they give, cell by cell, with money in minor units. Who may bring them in is not asked here. */
import type { Fault } from "../store/fault.ts";
import { amountOf, decimalsOf } from "./cell.ts";
import type { ClubFile } from "./clubColumns.ts";
import { CLUB_FILES } from "./clubColumns.ts";
import type { Column, Values } from "./columns.ts";
import { readCsv, unguarded } from "./csv.ts";
import { cellFault, Faults, readInto } from "./read.ts";

/** One row as a file gives it: only the fields whose columns are there. */
export interface ClubRow {
  /** Line of the file. */
  at: string;
  values: Values;
  /** Some of its cells could not be read; their faults are noted already. */
  faulty: boolean;
}

export interface ClubGiven {
  rows: Map<string, ClubRow[]>;
  faults: readonly Fault[];
  notices: readonly Fault[];
  /** Every fault, those past the end of the list among them. */
  faultCount: number;
}

/**
 * Reads every file of the club that is there.
 * @param files bytes by file name
 * @param currency of the club: what a blank currency means
 * @param batchCurrency currency of a batch that is stored, by its code; prices of the maker stand in it
 */
export function readClubFiles(
  files: ReadonlyMap<string, Uint8Array>,
  currency: string,
  batchCurrency: (code: string) => string | undefined = () => undefined,
): ClubGiven {
  const faults = new Faults();
  const notices: Fault[] = [];
  const rows = new Map<string, ClubRow[]>();
  const currencies = new Map<string, string>();
  const currencyOf = (table: ClubFile, { currency: own, batch }: Values): string => {
    if (table.table === "batchPrice") return currencies.get(String(batch)) ?? batchCurrency(String(batch)) ?? currency;
    return typeof own === "string" ? own : currency;
  };
  for (const table of CLUB_FILES) {
    const bytes = files.get(table.file);
    if (bytes === undefined) continue;
    const read = readTable(table, bytes, (values) => currencyOf(table, values), faults, notices);
    rows.set(table.table, read);
    if (table.table === "batch")
      for (const { values } of read) currencies.set(String(values["code"]), currencyOf(table, values));
  }
  return { rows, faults: faults.list, notices, faultCount: faults.count };
}

function readTable(
  table: ClubFile,
  bytes: Uint8Array,
  currencyOf: (values: Values) => string,
  faults: Faults,
  notices: Fault[],
): ClubRow[] {
  const { file } = table;
  const csv = readCsv(
    file,
    bytes,
    table.columns.map(({ name }) => name),
  );
  for (const fault of csv.faults) faults.add(fault);
  if (csv.faults.some(({ code }) => code === "UNREADABLE")) return [];
  const columns = csv.header.map((name) => table.columns.find((column) => column.name === name));
  csv.header.forEach((name, i) => {
    if (columns[i] === undefined && name !== "")
      notices.push({
        code: "UNUSED_COLUMN",
        file,
        row: String(csv.headerLine),
        field: name.slice(0, 80),
        message: `${file} has a column ${name.slice(0, 80)} that is not read. It was left alone.`,
      });
  });
  const absent = table.columns.filter((column) => column.required && !columns.includes(column));
  for (const { name } of absent)
    faults.add({
      code: "MISSING_COLUMN",
      file,
      row: String(csv.headerLine),
      field: name,
      message: `${file} needs the column ${name}.`,
    });
  return absent.length > 0
    ? []
    : csv.records.map(({ line, cells }) => readRow(table, String(line), columns, cells, currencyOf, faults));
}

function readRow(
  table: ClubFile,
  at: string,
  columns: readonly (Column | undefined)[],
  cells: readonly string[],
  currencyOf: (values: Values) => string,
  faults: Faults,
): ClubRow {
  const { file } = table;
  const values: Values = {};
  const faulty = new Set<string>();
  const known = columns.flatMap((column, i) => (column === undefined ? [] : [{ column, cell: cells[i] ?? "" }]));
  for (const { column, cell } of known)
    readInto({ file, named: "code" }, at, column, unguarded(cell), values, faulty, faults);
  for (const { column, cell } of known) {
    const amount = values[column.field];
    if (column.kind.is !== "money" || typeof amount !== "string" || faulty.has(column.field)) continue;
    const unit = currencyOf(values);
    const places = decimalsOf(unit);
    // An unknown currency is a fault of its own column.
    const read = places === undefined ? { value: 0 } : amountOf(amount, unit, places);
    if ("fault" in read) {
      faulty.add(column.field);
      faults.add(cellFault(file, at, column.name, unguarded(cell), read.fault.code, read.fault.complaint));
    } else values[column.field] = read.value;
  }
  return { at, values, faulty: faulty.size > 0 };
}

/** The faults of a row, named by the columns of its file. */
export const inColumns = (table: ClubFile, at: string, faults: readonly Fault[]): Fault[] =>
  faults.map((fault) => ({
    ...fault,
    file: table.file,
    row: at,
    field: table.columns.find(({ field }) => field === fault.field)?.name ?? fault.field,
  }));
