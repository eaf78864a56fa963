/**
 * Comma-separated values as RFC 4180 has them, read with the lines on which they stand.
 * Also semicolons or tabs, line feeds alone, and a byte order mark, as spreadsheets write them.
 */
import type { Fault } from "../store/fault.ts";

/** One record: its cells and the line of the file on which it begins (from 1). */
export interface CsvRecord {
  line: number;
  cells: string[];
}

export interface CsvTable {
  /** Column names, trimmed and in lower case. */
  header: string[];
  headerLine: number;
  records: CsvRecord[];
  faults: Fault[];
}

export const MARK = "\uFEFF";
const DELIMITERS = [",", ";", "\t"] as const;

/**
 * Reads bytes as a table. Bytes that are not UTF-8 and quotes that do not close are faults with their line; then nothing is read.
 * @param known column names that decide between delimiters where the header allows several
 */
export function readCsv(file: string, bytes: Uint8Array, known: readonly string[] = []): CsvTable {
  const unread = (line: number, message: string): CsvTable => ({
    header: [],
    headerLine: line,
    records: [],
    faults: [{ code: "UNREADABLE", file, row: String(line), message: `${file} line ${line} ${message}` }],
  });
  let text: string;
  try {
    text = decode(bytes);
  } catch {
    return unread(firstLineNotUtf8(bytes), "is not UTF-8 text. Save the file as UTF-8 and import it again.");
  }
  const headerEnd = text.search(/[^\r\n]/) < 0 ? text.length : text.indexOf("\n", text.search(/[^\r\n]/));
  if (text.slice(0, headerEnd < 0 ? text.length : headerEnd).includes("\0"))
    return unread(1, "holds NUL bytes; it may be UTF-16. Save the file as UTF-8 and import it again.");
  const records: CsvRecord[] = [];
  const problem = split(text, delimiterOf(text, known), (record) => records.push(record));
  if (problem) return unread(problem.line, problem.message);

  const first = records.shift();
  if (!first) return { header: [], headerLine: 1, records: [], faults: [] };
  const header = first.cells.map((name) => name.trim().toLowerCase());
  // Spreadsheets leave empty columns at the right; they carry nothing.
  while (header.length > 0 && header.at(-1) === "") header.pop();
  const faults: Fault[] = [];
  header.forEach((name, i) => {
    if (name !== "" && header.indexOf(name) < i)
      faults.push({
        code: "DUPLICATE",
        file,
        row: String(first.line),
        field: name,
        value: name,
        message: `${file} has the column ${name} twice. Keep one of them.`,
      });
  });
  const kept = records.filter((record) => record.cells.some((cell) => cell.trim() !== ""));
  for (const record of kept) {
    const surplus = record.cells.slice(header.length).findIndex((cell) => cell.trim() !== "");
    if (surplus < 0) continue;
    const value = record.cells[header.length + surplus]!;
    faults.push({
      code: "OUT_OF_RANGE",
      file,
      row: String(record.line),
      value: value.slice(0, 80),
      message: `${file} line ${record.line} has ${record.cells.length} cells, but the header names ${header.length} columns. Put text with a delimiter in it between double quotes.`,
    });
  }
  return { header, headerLine: first.line, records: kept, faults };
}

/** UTF-8 text without its mark. @throws TypeError for bytes that are not UTF-8 */
export function decode(bytes: Uint8Array): string {
  const text = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  return text.startsWith(MARK) ? text.slice(1) : text;
}

/** Line of the first byte sequence that is not UTF-8. */
export function firstLineNotUtf8(bytes: Uint8Array): number {
  const decoder = new TextDecoder("utf-8", { fatal: true });
  let line = 1;
  for (let start = 0; start <= bytes.length; line += 1) {
    const found = bytes.indexOf(10, start);
    const end = found < 0 ? bytes.length : found;
    try {
      decoder.decode(bytes.subarray(start, end));
    } catch {
      return line;
    }
    start = end + 1;
  }
  return line;
}

/** The delimiter under which the header names the most known columns, then the most columns at all; else a comma. */
function delimiterOf(text: string, known: readonly string[]): string {
  const score = (delimiter: string): number => {
    let header: string[] = [];
    split(text, delimiter, (record) => {
      header = record.cells;
      return false;
    });
    return (
      header.filter((name) => known.includes(name.trim().toLowerCase())).length * 1000 + Math.min(header.length, 999)
    );
  };
  let best: string = ",";
  let most = score(best);
  for (const delimiter of DELIMITERS.slice(1)) {
    const points = score(delimiter);
    if (points > most) [best, most] = [delimiter, points];
  }
  return best;
}

/**
 * Splits text into records, empty lines left out. `take` may return false to stop.
 * A quote inside a cell that does not begin with one is a character like any other (1/2" BSF).
 */
function split(
  text: string,
  delimiter: string,
  take: (record: CsvRecord) => unknown,
): { line: number; message: string } | null {
  const end = text.length;
  let at = 0;
  let line = 1;
  while (at < end) {
    const record: CsvRecord = { line, cells: [] };
    let quoted = false;
    for (;;) {
      if (text[at] === '"') {
        quoted = true;
        const opened = line;
        let cell = "";
        let from = at + 1;
        for (;;) {
          const close = text.indexOf('"', from);
          if (close < 0) return { line: opened, message: "opens a double quote that never closes." };
          const piece = text.slice(from, close);
          cell += piece;
          for (let i = piece.indexOf("\n"); i >= 0; i = piece.indexOf("\n", i + 1)) line += 1;
          if (text[close + 1] !== '"') {
            at = close + 1;
            break;
          }
          cell += '"';
          from = close + 2;
        }
        record.cells.push(cell);
        const rest = /[ ]*/y;
        rest.lastIndex = at;
        rest.exec(text);
        at = rest.lastIndex;
        if (
          at < end &&
          text[at] !== delimiter &&
          text[at] !== "\n" &&
          !(text[at] === "\r" && (at + 1 === end || text[at + 1] === "\n"))
        )
          return { line, message: "has text after a closing double quote. Write a double quote inside a cell twice." };
      } else {
        let stop = at;
        while (stop < end && text[stop] !== delimiter && text[stop] !== "\n") stop += 1;
        const lineEnds = stop === end || text[stop] === "\n";
        record.cells.push(text.slice(at, lineEnds && text[stop - 1] === "\r" && stop > at ? stop - 1 : stop));
        at = stop;
      }
      if (at < end && text[at] === delimiter) {
        at += 1;
        continue;
      }
      break;
    }
    if (text[at] === "\r") at += 1;
    if (text[at] === "\n") at += 1;
    line += 1;
    const empty = record.cells.length === 1 && record.cells[0] === "" && !quoted;
    if (!empty && take(record) === false) return null;
  }
  return null;
}

/** What a spreadsheet would run as a formula, unless it is a plain number. */
const FORMULA = /^[=+\-@\t\r]/;
const PLAIN_NUMBER = /^[+-]?(\d+(\.\d+)?|\.\d+)$/;

/** Text made harmless for spreadsheets: an apostrophe before what they would run, and before an apostrophe. */
export function guarded(text: string): string {
  return text.startsWith("'") || (FORMULA.test(text) && !PLAIN_NUMBER.test(text)) ? `'${text}` : text;
}

/** Takes exactly the apostrophe away that {@link guarded} put there. */
export function unguarded(cell: string): string {
  return /^'[=+\-@\t\r']/.test(cell) ? cell.slice(1) : cell;
}

const quoted = (cell: string): string =>
  /[",;\t\r\n]|^\s|\s$|^\uFEFF/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell;

/** Writes a table: commas, CRLF after every record, quotes where a cell needs them (RFC 4180, section 2). Cells are guarded. */
export function writeCsv(header: readonly string[], records: Iterable<readonly string[]>): string {
  const lines = [header.map(quoted).join(",")];
  for (const cells of records) {
    const line = cells.map((cell) => quoted(guarded(cell))).join(",");
    // A record of one empty cell would otherwise be an empty line, which is skipped when read.
    lines.push(line === "" ? '""' : line);
  }
  return `${lines.join("\r\n")}\r\n`;
}
