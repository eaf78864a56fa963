/** The club's files → the rows they give, cell by cell, with money in minor units. Who may bring them in is not asked here. */
import type { Fault } from "../store/fault.ts";
import { amountOf, decimalsOf } from "./cell.ts";
import type { ClubFile } from "./clubColumns.ts";
import { CLUB_FILES } from "./clubColumns.ts";
import { type Column, EARLIER_CLUB_FILES, type Values } from "./columns.ts";
import { unguarded } from "./csv.ts";
import { cellFault, Faults, readInto } from "./given.ts";
import { bytesOf, MOST_ROWS, tableOfFile } from "./read.ts";
import type { Steps } from "./slices.ts";

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
  /** The files that are there, they and their columns by the names that they were given under. */
  written: Map<string, ClubFile>;
  faults: readonly Fault[];
  notices: readonly Fault[];
  /** Every fault, those past the end of the list among them. */
  faultCount: number;
}

/**
 * Reads every file of the club that is there, up to {@link MOST_ROWS}, in steps that yield the rows read.
 * @param files bytes by file name
 * @param currency of the club: what a blank currency means
 * @param batchCurrency currency of a batch that is stored, by its code; prices of the maker stand in it
 */
export function* clubFileSteps(
  files: ReadonlyMap<string, Uint8Array>,
  currency: string,
  batchCurrency: (code: string) => string | undefined = () => undefined,
): Steps<ClubGiven> {
  const faults = new Faults();
  const notices: Fault[] = [];
  const rows = new Map<string, ClubRow[]>();
  const written = new Map<string, ClubFile>();
  const currencies = new Map<string, string>();
  const currencyOf = (table: ClubFile, { currency: own, batch }: Values): string => {
    if (table.table === "batchPrice") return currencies.get(String(batch)) ?? batchCurrency(String(batch)) ?? currency;
    return typeof own === "string" ? own : currency;
  };
  let done = 0;
  for (const table of CLUB_FILES) {
    const bytes = bytesOf(files, table.file, EARLIER_CLUB_FILES[table.file], faults);
    if (bytes === undefined || done > MOST_ROWS) continue;
    const file = files.has(table.file) ? table.file : EARLIER_CLUB_FILES[table.file]!;
    const read = yield* tableOfFile(table, bytes, () => true, faults, notices, file);
    const names = new Map(read?.columns.map((column) => [column?.field, column]));
    const named = { ...table, file, columns: table.columns.map((column) => names.get(column.field) ?? column) };
    written.set(table.table, named);
    const given: ClubRow[] = [];
    if (read?.lacking !== true) rows.set(table.table, given);
    for (const { line, cells } of read?.csv.records ?? []) {
      given.push(readRow(named, String(line), read!.columns, cells, (values) => currencyOf(table, values), faults));
      done += 1;
      if (done % 20 === 0) yield done;
    }
    if (table.table === "batch")
      for (const { values } of given) currencies.set(String(values["code"]), currencyOf(table, values));
  }
  return { rows, written, faults: faults.list, notices, faultCount: faults.count };
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
