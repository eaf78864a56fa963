/**
 * Comma-separated values as RFC 4180 has them, read with the lines on which they stand.
 * Also semicolons or tabs, lines that end in LF or CR alone, a first line such as sep=;, a byte order mark, UTF-16 and
 * Windows-1252, as spreadsheets write them.
 */
import { isUtf8 } from "node:buffer";
import type { Fault } from "../store/fault.ts";
import { atOnce, type Steps } from "./slices.ts";

/** One record: its cells and the line of the file on which it begins (from 1). */
export interface CsvRecord {
  line: number;
  cells: string[];
}

export interface CsvTable {
  /** Column names, trimmed and in lower case. */
  header: string[];
  /** The same as they were written. */
  headings: string[];
  headerLine: number;
  /** What stands between its cells. */
  delimiter: string;
  records: CsvRecord[];
  faults: Fault[];
  /** True where nothing of the file could be read; then there is one fault. */
  unread: boolean;
  /** What its bytes were taken for where they are not UTF-8, as the end of a sentence that begins "In parts.csv". */
  taken: string[];
}

/** What is read of one file; a file past any of these is a fault as a whole. */
export const CSV_LIMITS = { columns: 500, rows: 50_000, cells: 2_000_000 } as const;

export const MARK = "\uFEFF";
const DELIMITERS = [",", ";", "\t"] as const;

/** Characters between two steps of reading. */
const STEP = 16_384;

/** Why nothing of a file is read. */
interface Problem {
  code: "UNREADABLE" | "TOO_LARGE";
  line: number;
  /** The rest of a sentence that begins with the file and the line. */
  message: string;
}

/**
 * Reads bytes as a table. Bytes that are no text, quotes that do not close and more than {@link CSV_LIMITS} are faults
 * with their line; then nothing is read. The work is in proportion to the bytes.
 * @param known column names that decide between delimiters where the header allows several
 * @param delimiter where it is known already
 */
export function readCsv(file: string, bytes: Uint8Array, known: readonly string[] = [], delimiter?: string): CsvTable {
  return atOnce(csvSteps(file, bytes, known, delimiter));
}

/** {@link readCsv} in steps, each yielding the records read. */
export function* csvSteps(
  file: string,
  bytes: Uint8Array,
  known: readonly string[] = [],
  delimiter?: string,
): Steps<CsvTable> {
  const unread = ({ code, line, message }: Problem): CsvTable => ({
    header: [],
    headings: [],
    headerLine: line,
    delimiter: delimiter ?? ",",
    records: [],
    faults: [{ code, file, row: String(line), message: `${file} line ${line} ${message}` }],
    unread: true,
    taken: [],
  });
  const { text: whole, taken, spoilt } = textOf(bytes);
  yield 0;
  // What a spreadsheet writes for others of its kind, and is no row.
  const [above = "", , said] = delimiter === undefined ? (SAYS_DELIMITER.exec(whole) ?? []) : [];
  const text = whole.slice(above.length);
  const nul = text.indexOf("\0");
  // In text that is sound otherwise one further down is a fault of its cell.
  if (nul >= 0 && (taken.length > 0 || nul < (/[^\r\n][\r\n]/.exec(text)?.index ?? text.length))) {
    const message = "holds NUL bytes: it is no text. Save the file as UTF-8 and import it again.";
    return unread({ code: "UNREADABLE", line: 1, message });
  }
  yield 0;
  const found: Splitting = { records: [], most: CSV_LIMITS.rows };
  const between = delimiter ?? said ?? (yield* delimiterOf(text, known));
  const problem = yield* split(text, between, found, above === "" ? 1 : 2);
  if (problem) return unread(problem);

  const [first] = found.records;
  const empty = { header: [], headings: [], headerLine: 1, delimiter: between, records: [], faults: [], unread: false };
  if (!first) return { ...empty, taken };
  const headings = first.cells.map((name) => name.trim());
  // Spreadsheets leave empty columns at the right; they carry nothing.
  while (headings.length > 0 && headings.at(-1) === "") headings.pop();
  const header = headings.map((name) => name.toLowerCase());
  const faults: Fault[] = [];
  const names = new Map<string, string>();
  for (const [i, name] of header.entries()) {
    const typed = names.get(name);
    if (name !== "" && typed !== undefined)
      faults.push({
        code: "DUPLICATE",
        file,
        row: String(first.line),
        field: typed,
        value: typed,
        message: `${file} has the column ${typed} twice. Keep one of them.`,
      });
    else names.set(name, headings[i]!);
  }
  const records: CsvRecord[] = [];
  for (let i = 0; i < found.records.length; i += 1) {
    const record = found.records[i]!;
    if (spoilt)
      for (const [at, cell] of record.cells.entries()) {
        if (!cell.includes(SPOILT)) continue;
        const name = i === 0 ? undefined : headings[at];
        faults.push({
          code: "UNREADABLE",
          file,
          row: String(record.line),
          field: name,
          value: cell.slice(0, 80),
          message: `${file} line ${record.line}, column ${at + 1}${name ? ` (“${name}”)` : ""}: ${SPOILT} stands for a byte that is not UTF-8, though the rest of the file is (${cell.slice(0, 80)}). Write this anew and save the file as UTF-8.`,
        });
      }
    if (i === 0) continue;
    if (record.cells.every((cell) => cell.trim() === "")) continue;
    records.push(record);
    const value = record.cells.find((cell, at) => at >= header.length && cell.trim() !== "");
    if (value !== undefined)
      faults.push({
        code: "OUT_OF_RANGE",
        file,
        row: String(record.line),
        value: value.slice(0, 80),
        message: `${file} line ${record.line} has ${record.cells.length} cells, but the header names ${header.length} columns. Put text with a delimiter in it between double quotes.`,
      });
    if (i % 100 === 0) yield records.length;
  }
  return { header, headings, headerLine: first.line, delimiter: between, records, faults, unread: false, taken };
}

/** Stands in decoded text for bytes that are not UTF-8. */
const SPOILT = "\uFFFD";

interface Decoded {
  text: string;
  taken: string[];
  /** True where it is UTF-8 but for some bytes, for which {@link SPOILT} stands. */
  spoilt: boolean;
}

/** Text of bytes in UTF-8, UTF-16 or, where they are neither, Windows-1252, in which all bytes are letters; without a mark. */
function textOf(bytes: Uint8Array): Decoded {
  const sixteen = utf16Of(bytes);
  if (sixteen !== undefined)
    return { text: new TextDecoder(sixteen).decode(bytes), taken: ["the text is taken for UTF-16"], spoilt: false };
  if (isUtf8(bytes)) return { text: decode(bytes), taken: [], spoilt: false };
  const utf8 = new TextDecoder().decode(bytes);
  let [sound, bad] = [0, 0];
  for (let i = 0; i < utf8.length; i += 1) {
    if (utf8[i] === SPOILT) bad += 1;
    else if (utf8.charCodeAt(i) > 0x7f) sound += 1;
  }
  // Two letters of Windows-1252 are hardly ever UTF-8 together; where that is met often, the file is UTF-8.
  if (sound * 10 >= bad) return { text: utf8, taken: [], spoilt: true };
  const text = windows1252(bytes);
  const at = text.search(/[\u00a1-\u00ac\u00ae-\uffff]/);
  const taken = "the text is taken for Windows-1252, as it is not UTF-8";
  if (at < 0) return { text, taken: [taken], spoilt: false };
  const [word = ""] = /[^\s,;"]*$/.exec(text.slice(Math.max(0, at - 20), at)) ?? [];
  const odd = word + /^[^\s,;"]*/.exec(text.slice(at, at + 20))![0];
  return { text, taken: [`${taken}: look whether “${odd}” is right`], spoilt: false };
}

/** Letters of the bytes 0x80 to 0x9f by the index windows-1252 of the WHATWG Encoding Standard; not every Node knows them. */
const FROM_80 = "€\u0081‚ƒ„…†‡ˆ‰Š‹Œ\u008dŽ\u008f\u0090‘’“”•–—˜™š›œ\u009džŸ";

function windows1252(bytes: Uint8Array): string {
  const units = Buffer.alloc(bytes.length * 2);
  for (let i = 0; i < bytes.length; i += 1) {
    const byte = bytes[i]!;
    units.writeUInt16LE(byte >= 0x80 && byte < 0xa0 ? FROM_80.charCodeAt(byte - 0x80) : byte, i * 2);
  }
  return units.toString("utf16le");
}

/** By its mark, or by a first line in which every other byte is NUL. */
function utf16Of(bytes: Uint8Array): "utf-16le" | "utf-16be" | undefined {
  const [first, second] = bytes;
  if (first === 0xff && second === 0xfe) return "utf-16le";
  if (first === 0xfe && second === 0xff) return "utf-16be";
  if (bytes.length % 2 === 1 || bytes.length < 4) return undefined;
  const line = bytes.subarray(0, Math.min(lineEnd(bytes, 0), 512) & ~1);
  const nul = (from: number) => line.every((byte, i) => (byte === 0) === (i % 2 === from));
  return nul(1) ? "utf-16le" : nul(0) ? "utf-16be" : undefined;
}

/** UTF-8 text without its mark. @throws TypeError for bytes that are not UTF-8 */
export function decode(bytes: Uint8Array): string {
  const text = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes);
  return text.startsWith(MARK) ? text.slice(1) : text;
}

/** Index after the line feed that stands at or after a place; the end where there is none. */
function lineEnd(bytes: Uint8Array, at: number): number {
  const found = bytes.indexOf(10, at);
  return found < 0 ? bytes.length : found + 1;
}

/** Line of the first byte sequence that is not UTF-8. No sequence reaches over a line feed, so blocks of lines are judged alone. */
export function firstLineNotUtf8(bytes: Uint8Array): number {
  let from = 0;
  const sound = (end: number): boolean => from < bytes.length && isUtf8(bytes.subarray(from, end));
  for (let end = lineEnd(bytes, STEP); sound(end); end = lineEnd(bytes, from + STEP)) from = end;
  for (let end = lineEnd(bytes, from); sound(end); end = lineEnd(bytes, from)) from = end;
  let line = 1;
  for (let at = 0; at < from; at += 1) if (bytes[at] === 10) line += 1;
  return line;
}

/** A first line that says the delimiter, filled up to the columns of the others or not. */
const SAYS_DELIMITER = /^("?)sep=([,;|\t])\1\2*(?:\r\n?|\n|$)/i;

/** The delimiter under which the header names the most known columns, then the most columns at all; else a comma. */
function* delimiterOf(text: string, known: readonly string[]): Steps<string> {
  const names = new Set(known);
  let best: string = ",";
  let most = -1;
  for (const delimiter of DELIMITERS) {
    const header: Splitting = { records: [], most: 0 };
    yield* split(text, delimiter, header);
    const { cells } = header.records[0] ?? { cells: [] };
    const points = cells.filter((name) => names.has(name.trim().toLowerCase())).length * 1000 + cells.length;
    if (points > most) [best, most] = [delimiter, points];
  }
  return best;
}

/** Where split puts the records, and how many it takes beside the header; with none it stops after the header. */
interface Splitting {
  records: CsvRecord[];
  most: number;
}

/**
 * Splits text into records, empty lines left out; what is too much is a problem.
 * A quote inside a cell that does not begin with one is a character like any other (1/2" BSF).
 */
function* split(text: string, delimiter: string, { records, most }: Splitting, from = 1): Steps<Problem | null> {
  const end = text.length;
  let at = 0;
  let line = from;
  let stepped = 0;
  let cells = 0;
  // Where the next of each stands, so that none is looked for twice.
  const next = new Map([delimiter, "\n", "\r"].map((mark) => [mark, -1]));
  const find = (mark: string): number => {
    let found = next.get(mark)!;
    if (found < at) {
      found = text.indexOf(mark, at);
      if (found < 0) found = end;
      next.set(mark, found);
    }
    return found;
  };
  while (at < end) {
    const record: CsvRecord = { line, cells: [] };
    let quoted = false;
    for (;;) {
      if (record.cells.length === CSV_LIMITS.columns) {
        records.push(record);
        const message = `has more than ${CSV_LIMITS.columns} columns; at most ${CSV_LIMITS.columns} are read. Take out those that are not needed, empty ones too.`;
        return { code: "TOO_LARGE", line, message };
      }
      if (at - stepped >= STEP) {
        stepped = at;
        yield records.length;
      }
      if (text[at] === '"') {
        quoted = true;
        const opened = line;
        let cell = "";
        let from = at + 1;
        for (;;) {
          const close = text.indexOf('"', from);
          if (close < 0)
            return { code: "UNREADABLE", line: opened, message: "opens a double quote that never closes." };
          const piece = text.slice(from, close);
          cell += piece;
          for (let i = 0; i < piece.length; i += 1)
            if (piece[i] === "\n" || (piece[i] === "\r" && piece[i + 1] !== "\n")) line += 1;
          if (text[close + 1] !== '"') {
            at = close + 1;
            break;
          }
          cell += '"';
          from = close + 2;
          if (from - stepped >= STEP) {
            stepped = from;
            yield records.length;
          }
        }
        record.cells.push(cell);
        while (text[at] === " ") at += 1;
        if (at < end && text[at] !== delimiter && text[at] !== "\n" && text[at] !== "\r") {
          const message = "has text after a closing double quote. Write a double quote inside a cell twice.";
          return { code: "UNREADABLE", line, message };
        }
      } else {
        const stop = Math.min(find(delimiter), find("\n"), find("\r"));
        record.cells.push(text.slice(at, stop));
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
    if (record.cells.length === 1 && record.cells[0] === "" && !quoted) continue;
    records.push(record);
    if (most === 0) return null;
    cells += record.cells.length;
    const over = (what: string, limit: number): Problem => {
      const message = `goes past ${limit} ${what}; at most ${limit} are read of one file. Bring the rows in by several imports.`;
      return { code: "TOO_LARGE", line: record.line, message };
    };
    if (records.length > most + 1) return over("rows", most);
    if (cells > CSV_LIMITS.cells) return over("cells", CSV_LIMITS.cells);
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
  return atOnce(csvTextSteps(header, records, (cells) => cells));
}

/** {@link writeCsv} of whatever has cells, in steps that yield the records written. */
export function* csvTextSteps<T>(
  header: readonly string[],
  rows: Iterable<T>,
  cellsOf: (row: T) => readonly string[],
): Steps<string> {
  const lines = [header.map(quoted).join(",")];
  for (const row of rows) {
    const line = cellsOf(row)
      .map((cell) => quoted(guarded(cell)))
      .join(",");
    // A record of one empty cell would otherwise be an empty line, which is skipped when read.
    lines.push(line === "" ? '""' : line);
    if (lines.length % 50 === 0) yield lines.length;
  }
  return `${lines.join("\r\n")}\r\n`;
}
