/** Files → the rows they give, cell by cell. What the rows mean together is for merge.ts. */
// The measure by which GraphQL asks whether another name was meant.
import { suggestionList } from "graphql/jsutils/suggestionList.js";
import type { Fault } from "../store/fault.ts";
import {
  type Column,
  CSV_TABLES,
  EARLIER_COLUMNS,
  EARLIER_FILES,
  type FileTable,
  REQUIRED_FILES,
  RESTORATION_FILE,
  type Values,
} from "./columns.ts";
import { type CsvTable, csvSteps, unguarded } from "./csv.ts";
import type { FileSet } from "./folder.ts";
import { agreed, cellFault, Faults, type Given, type GivenRow, MOST_NOTICES, notice, readInto } from "./given.ts";
import { rewriteCells } from "./manner.ts";
import { type ColumnRead, nearColumns } from "./nearColumns.ts";
import { readRestorationFile } from "./restorationFile.ts";
import { inSlices, type Steps } from "./slices.ts";

/** How far a reader is; may throw to stop it. Called after each slice of work. */
export type Step = (done: number) => Promise<void>;

/** Rows of one import. */
export const MOST_ROWS = 50_000;

/** The name that is written most like another; undefined where none is. */
export const nearest = (name: string, names: readonly string[]): string | undefined => suggestionList(name, names)[0];

/** A fault where a set of files holds more rows than one import takes; it names the file that goes past. */
const tooManyRows = (file: string, rows: number, most: number): Fault => ({
  code: "TOO_LARGE",
  file,
  message: `The files up to ${file} hold ${rows} rows; one import takes ${most} at most. Bring the rows in by several imports.`,
});

/**
 * Reads every file of a set.
 * @param whole true for a new restoration: operations and links must be there, and every column without which there is no row
 */
export function readFiles(set: FileSet, whole: boolean, step: Step = async () => {}): Promise<Given> {
  return inSlices(fileSteps(set, whole), step);
}

/** {@link readFiles} in steps, each yielding the rows read. */
export function* fileSteps(set: FileSet, whole: boolean): Steps<Given> {
  const given: Given = {
    rows: new Map(),
    faults: new Faults(),
    notices: [...set.notices],
    columns: [],
    unread: new Set(),
    written: new Map(),
    figuresFor: null,
    typed: false,
    byTrade: [],
  };
  if (whole)
    for (const file of REQUIRED_FILES)
      if (!set.files.has(file)) {
        given.faults.add({
          code: "MISSING_FILE",
          file,
          message: `This file is missing. A plan needs ${REQUIRED_FILES.join(" and ")}.`,
        });
        given.unread.add(CSV_TABLES.find((table) => table.file === file)!.table);
      }
  const json = set.files.get(RESTORATION_FILE);
  if (json) readRestorationFile(json, given);
  let done = 0;
  for (const table of CSV_TABLES) {
    const bytes = bytesOf(set.files, table.file, EARLIER_FILES[table.file], given.faults);
    if (!bytes) continue;
    if (done <= MOST_ROWS) {
      const file = set.files.has(table.file) ? table.file : EARLIER_FILES[table.file]!;
      done = yield* tableSteps(table, file, bytes, whole, given, done, set.columns?.[file]);
    } else given.unread.add(table.table);
  }
  return given;
}

/** A file by its name or by the one it had before; a fault where both are there. */
export function bytesOf(
  files: ReadonlyMap<string, Uint8Array>,
  file: string,
  earlier: string | undefined,
  faults: Faults,
): Uint8Array | undefined {
  const before = earlier === undefined ? undefined : files.get(earlier);
  if (before !== undefined && files.has(file))
    faults.add({
      code: "DUPLICATE",
      file: earlier!,
      message: `${earlier} is the earlier name of ${file}: bring in one of them, with the rows of both.`,
    });
  return files.get(file) ?? before;
}

/**
 * What a table of a file's columns are read by, named as the file has them, and what is said of the others. Of a column that
 * is there by its earlier name too both are read: what one of them says counts, and where both say something they must agree.
 * @param file the file's name, which may be an earlier one
 * @param asked names of columns by the heading that somebody says is meant for them; "" where it is to be left alone
 * @returns lacking: a needed column is missing, so there are no rows, and cells are read for their faults alone; null where nothing can be read
 */
export function* tableOfFile<T extends Pick<FileTable, "file" | "columns">>(
  table: T,
  bytes: Uint8Array,
  isNeeded: (column: Column) => boolean,
  faults: Faults,
  notices: Fault[],
  file = table.file,
  asked: Readonly<Record<string, string>> = {},
): Steps<{
  csv: CsvTable;
  columns: (Column | undefined)[];
  lacking: boolean;
  read: readonly ColumnRead[];
} | null> {
  const earlier = EARLIER_COLUMNS[table.file] ?? {};
  const said = new Map(Object.entries(asked));
  const csv = yield* csvSteps(file, bytes, [...table.columns.map((column) => column.name), ...Object.keys(earlier)]);
  for (const fault of csv.faults) faults.add(fault);
  if (csv.unread) return null;
  const columns = csv.header.map((name, i) => {
    if (said.has(csv.headings[i]!)) return undefined;
    const today = earlier[name];
    const meant = today === undefined || csv.header.includes(today) ? name : today;
    const column = table.columns.find((one) => one.name === meant);
    return column === undefined || meant === name ? column : { ...column, name: csv.headings[i]! };
  });
  const isOwn = (i: number) => table.columns.some(({ name }) => name === csv.header[i]);
  /** Columns that are not under their own name: those of which something is told. */
  const others = new Map(
    csv.headings.flatMap((heading, i) => {
      const told = columns[i] === undefined ? said.has(heading) || !Object.hasOwn(earlier, csv.header[i]!) : !isOwn(i);
      return heading !== "" && told ? [[i, heading] as const] : [];
    }),
  );
  for (const [heading, name] of said) {
    const message = csv.headings.includes(heading)
      ? `Column “${heading.slice(0, 80)}” of ${file} is to be read as “${name.slice(0, 80)}”, and ${file} has no such column.`
      : `${file} has no column “${heading.slice(0, 80)}”, which is to be read as “${name.slice(0, 80)}”.`;
    const told = { file, row: String(csv.headerLine), field: heading.slice(0, 80), message };
    if (name === "") continue;
    if (!csv.headings.includes(heading)) notice(notices, { code: "UNUSED_COLUMN", ...told });
    else if (!table.columns.some((column) => column.name === name)) faults.add({ code: "NOT_A_CHOICE", ...told });
  }
  const isFree = (column: Column) => !columns.some((one) => one?.field === column.field);
  for (const [i, heading] of others) {
    const column = table.columns.find(({ name }) => name === said.get(heading));
    if (column === undefined) continue;
    if (isFree(column)) columns[i] = { ...column, name: heading };
    else
      faults.add({
        code: "DUPLICATE",
        file,
        row: String(csv.headerLine),
        field: heading,
        message: `Column “${heading}” of ${file} is to be read as “${column.name}”, as another one is. Keep one of the two.`,
      });
  }
  const near = nearColumns(
    new Map([...others].filter(([i, heading]) => columns[i] === undefined && !said.has(heading))),
    table.columns,
    new Set(table.columns.filter(isFree)),
    earlier,
  );
  for (const [i, column] of near.taken) columns[i] = { ...column, name: csv.headings[i]! };
  const twice = csv.header.flatMap((name, i) => {
    const at =
      earlier[name] === undefined || columns[i] !== undefined || said.has(csv.headings[i]!)
        ? -1
        : csv.header.indexOf(earlier[name]);
    return at < 0 ? [] : [{ name: csv.headings[i]!, i, today: earlier[name]!, at }];
  });
  for (const { line, cells } of csv.records)
    for (const { name, i, today, at } of twice) {
      const [said, says] = [unguarded(cells[i] ?? ""), unguarded(cells[at] ?? "")];
      const complaint = agreed(today, said, says);
      if (complaint !== null) faults.add(cellFault(file, String(line), name, said, "DUPLICATE", complaint));
      else if (says.trim() === "") cells[at] = cells[i] ?? "";
    }
  const read = new Set(columns.map((column) => column?.field));
  const missing = table.columns.filter(({ field }) => !read.has(field));
  // Without a column of codes all rows are new ones.
  const allNew = missing.some(({ isGiven }) => isGiven);
  const absent = missing.filter((column) => column.required && (allNew || isNeeded(column)));
  const row = String(csv.headerLine);
  for (const [i, heading] of others) {
    const column = table.columns.find(({ field }) => field === columns[i]?.field);
    if (column === undefined || said.has(heading)) continue;
    const message = `Column “${heading}” of ${file} is taken for “${column.name}”.`;
    notice(notices, { code: "READ_AS", file, row, field: heading, message });
  }
  for (const [i, doubt] of near.doubts)
    notice(notices, {
      code: "UNUSED_COLUMN",
      file,
      row,
      field: csv.headings[i]!.slice(0, 80),
      message: `Column “${csv.headings[i]!.slice(0, 80)}” of ${file} ${doubt}.`,
    });
  const unread = csv.headings
    .filter(
      (name, i) =>
        columns[i] === undefined &&
        name !== "" &&
        !said.has(name) &&
        !near.doubts.has(i) &&
        !twice.some((one) => one.i === i),
    )
    .map((name) => name.slice(0, 80));
  // A needed column that is missing is told together with the one that may be meant for it; each is meant for one.
  for (const { name } of absent) {
    const meant = nearest(name, unread);
    if (meant !== undefined) unread.splice(unread.indexOf(meant), 1);
    faults.add({
      code: "MISSING_COLUMN",
      file,
      row,
      field: name,
      value: meant,
      message:
        meant === undefined
          ? `${file} needs the column “${name}”.`
          : `Column “${meant}” of ${file} is not read, and “${name}” is missing, which is needed: is it that?`,
    });
  }
  const lacked = missing.filter((column) => !absent.includes(column));
  // One that is written like an earlier name is meant for what that is called today.
  const todays = new Map(lacked.map(({ name }) => [name, name]));
  for (const [name, today] of Object.entries(earlier)) if (todays.has(today)) todays.set(name, today);
  for (const name of unread) {
    const meant = todays.get(nearest(name, [...todays.keys()]) ?? "");
    const needed = lacked.some((column) => column.name === meant && column.required);
    notice(notices, {
      code: "UNUSED_COLUMN",
      file,
      row,
      field: name,
      message: needed
        ? `Column “${name}” of ${file} is not read, and “${meant}” is missing, which a new row needs: is it that?`
        : `Column “${name}” of ${file} is not read, and was left alone.${meant === undefined ? "" : ` Is it “${meant}”?`}`,
    });
  }
  for (const [i, heading] of csv.headings.entries()) {
    const under = heading === "" ? csv.records.find(({ cells }) => cells[i]?.trim()) : undefined;
    if (under === undefined) continue;
    const cell = under.cells[i]!.trim().slice(0, 40);
    notice(notices, {
      code: "UNUSED_COLUMN",
      file,
      row: String(under.line),
      message: `Column ${i + 1} of ${file} has no heading: its cells, such as “${cell}” in line ${under.line}, were left alone.`,
    });
  }
  const rewritten = yield* rewriteCells(
    columns,
    csv.records,
    table.columns,
    csv.delimiter,
    (record, { name }, cell, says) =>
      faults.add(cellFault(file, String(record.line), name, cell, "NOT_A_NUMBER", says)),
  );
  for (const taken of [...csv.taken, ...rewritten])
    notice(notices, { code: "READ_AS", file, row, message: `In ${file} ${taken}.` });
  const free = table.columns.filter(isFree).map(({ name }) => name);
  const told = [...others].slice(0, MOST_NOTICES).map(([i, heading]): ColumnRead => {
    const field = columns[i]?.field;
    const readAs = table.columns.find((column) => column.field === field)?.name ?? null;
    return { file, heading, readAs, choices: readAs === null ? free : [readAs, ...free] };
  });
  return { csv, columns, lacking: absent.length > 0, read: told };
}

function* tableSteps(
  table: FileTable,
  file: string,
  bytes: Uint8Array,
  whole: boolean,
  given: Given,
  before: number,
  columnsAsked?: Readonly<Record<string, string>>,
): Steps<number> {
  const isNeeded = ({ field }: Column): boolean => whole || table.key.includes(field);
  const read = yield* tableOfFile(table, bytes, isNeeded, given.faults, given.notices, file, columnsAsked);
  given.columns.push(...(read?.read ?? []));
  const total = before + (read?.csv.records.length ?? 0);
  if (total > MOST_ROWS) given.faults.add(tooManyRows(file, total, MOST_ROWS));
  if (read === null || total > MOST_ROWS) {
    given.unread.add(table.table);
    return total;
  }
  const rows: GivenRow[] = [];
  if (read.lacking) given.unread.add(table.table);
  else given.rows.set(table.table, rows);
  const names = new Map(read.columns.map((column) => [column?.field, column]));
  const written = { ...table, file, columns: table.columns.map((column) => names.get(column.field) ?? column) };
  if (file !== table.file || written.columns.some(({ name }, i) => name !== table.columns[i]!.name))
    given.written.set(table.table, written);
  for (const { line, cells } of read.csv.records) {
    rows.push(readRow(written, String(line), read.columns, cells, given.faults));
    if (rows.length % 20 === 0) yield before + rows.length;
  }
  return total;
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
