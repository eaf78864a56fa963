/**
 * The manner in which a spreadsheet wrote a file, where it is not this program's own: decimal commas, thousands marks,
 * currency signs, days before months. Cells are rewritten as columns.ts has them; what a file leaves in doubt stays as it is.
 */
import { isDate } from "../store/rules.ts";
import { currencyOfSign, eitherWay, fitsSign, signApart } from "./cell.ts";
import type { Column, ColumnKind } from "./columns.ts";
import type { CsvRecord } from "./csv.ts";
import { isDecimal } from "./decimal.ts";
import type { Steps } from "./slices.ts";

/** What of a file was read otherwise than it is written, each the end of a sentence that begins "In parts.csv". */
export type Taken = string[];

/** Told of a number that may be two, and is left as it is. */
export type Doubt = (record: CsvRecord, column: Column, cell: string, complaint: string) => void;

/** Records between two steps. */
const STEP = 500;

const NUMBERS: ReadonlySet<ColumnKind["is"]> = new Set(["number", "whole", "decimal", "percent", "money"]);

/**
 * Rewrites the cells of a file's records in place.
 * @param columns what each cell of a record is, undefined for one that is not read
 * @param known all columns that the file may have
 * @param delimiter what stands between its cells
 */
export function* rewriteCells(
  columns: (Column | undefined)[],
  records: readonly CsvRecord[],
  known: readonly Column[],
  delimiter: string,
  doubt: Doubt,
): Steps<Taken> {
  const taken: Taken = [];
  const numbers = columns.flatMap((column, i) => (column !== undefined && NUMBERS.has(column.kind.is) ? [i] : []));
  yield* signs(columns, records, known, taken);
  for (const [i, column] of columns.entries())
    if (column !== undefined && /(^|_)days$/.test(column.name)) yield* spans(i, records, taken);
  yield* bareNumbers(numbers, records, columns, delimiter === ",", taken, doubt);
  for (const [i, column] of columns.entries())
    if (column?.kind.is === "date") yield* dates(i, column.name, records, taken);
  return taken;
}

/**
 * A row that says no currency takes that of the signs on its amounts. Where the file has no column for it one is added, if every
 * row has a sign. Whether a sign fits what the row is in is seen once that is known (cell.ts).
 */
function* signs(
  columns: (Column | undefined)[],
  records: readonly CsvRecord[],
  known: readonly Column[],
  taken: Taken,
): Steps<void> {
  const money = columns.flatMap((column, i) =>
    column?.kind.is === "money" && column.kind.currency === "row" ? [i] : [],
  );
  const found: string[][] = [];
  for (const { cells } of records) {
    found.push(money.flatMap((i) => signApart(cells[i] ?? "")?.sign ?? []));
    if (found.length % STEP === 0) yield found.length;
  }
  const meant = (of: readonly string[]): string | undefined => {
    const [first, ...others] = new Set(of.map(currencyOfSign));
    return others.length === 0 ? first : undefined;
  };
  let at = columns.findIndex((column) => column?.field === "currency");
  const column = known.find(({ field }) => field === "currency");
  if (at < 0 && column !== undefined && found.length > 0 && found.every((row) => meant(row) !== undefined)) {
    at = columns.length;
    columns.push(column);
  }
  if (at < 0) return;
  const read = new Set<string>();
  records.forEach(({ cells }, r) => {
    const row = found[r]!;
    const own = (cells[at] ?? "").trim().toUpperCase();
    const currency = own || meant(row);
    if (currency === undefined || row.length === 0 || !row.every((sign) => fitsSign(sign, currency))) return;
    while (cells.length < at) cells.push("");
    cells[at] = currency;
    read.add(currency);
  });
  if (read.size > 0) taken.push(`amounts with a sign are taken for ${[...read].sort().join(", ")}`);
}

const THOUSANDS_POINT = /^[+-]?[1-9]\d{0,2}(,\d{3})+(\.\d+)?$/;
const THOUSANDS_COMMA = /^[+-]?[1-9]\d{0,2}(\.\d{3})+(,\d+)?$/;
const COMMA = /^[+-]?\d*,\d+$/;
/** A mark before decimals or between thousands. */
const EITHER = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/;

/** A number as it is written, without the sign that its column may have, and without spaces or apostrophes between thousands. */
function numberIn(cell: string, { is }: ColumnKind): { before: string; written: string; bare: string } {
  const signed = is === "money" ? signApart(cell) : null;
  // A per cent sign says no more than its column does.
  const unsigned = is === "percent" ? cell.trim().replace(/\s*%$/, "") : cell.trim();
  const written = signed?.amount ?? unsigned.replace(/^−/, "-");
  const grouped = /^[+-]?\d{1,3}(?:[ '’\u00a0\u202f]\d{3})+(?:[.,]\d+)?$/u.test(written);
  return {
    before: signed === null ? "" : `${signed.sign} `,
    written,
    bare: grouped ? written.replace(/[ '’\u00a0\u202f]/gu, "") : written,
  };
}

/**
 * Decimal commas where some number of the file can have no other, and none is written with a decimal point. In a file with
 * commas between its cells points stand before decimals, as this program writes them; in others one such as 1.234 may be either.
 */
function* bareNumbers(
  at: readonly number[],
  records: readonly CsvRecord[],
  columns: readonly (Column | undefined)[],
  ofCommas: boolean,
  taken: Taken,
  doubt: Doubt,
): Steps<void> {
  let comma = 0;
  let point = 0;
  for (const [r, { cells }] of records.entries()) {
    if (r % STEP === 0) yield r;
    for (const i of at) {
      const { kind } = columns[i]!;
      const { bare } = numberIn(cells[i] ?? "", kind);
      if (EITHER.test(bare)) {
        // A whole number has no decimals but noughts.
        if (kind.is !== "whole" || bare.endsWith("000")) continue;
        if (bare.includes(",")) point += 1;
        else if (!ofCommas) comma += 1;
      } else if (THOUSANDS_COMMA.test(bare) || COMMA.test(bare)) comma += 1;
      else if (THOUSANDS_POINT.test(bare) || (isDecimal(bare) && bare.includes("."))) point += 1;
    }
  }
  const commas = comma > 0 && point === 0;
  const open = comma === 0 && point === 0 && !ofCommas;
  let example: [string, string] | undefined;
  for (const [r, record] of records.entries()) {
    if (r % STEP === 0) yield r;
    const { cells } = record;
    for (const i of at) {
      const cell = (cells[i] ?? "").trim();
      const { before, written, bare } = numberIn(cell, columns[i]!.kind);
      const text = commas
        ? THOUSANDS_COMMA.test(bare) || COMMA.test(bare)
          ? bare.replaceAll(".", "").replace(",", ".")
          : bare
        : THOUSANDS_POINT.test(bare) && point > 0
          ? bare.replaceAll(",", "")
          : bare;
      if (!isDecimal(text)) continue;
      if (open && EITHER.test(text)) doubt(record, columns[i]!, cell, eitherWay(text));
      if (text !== written) {
        cells[i] = before + text;
        example ??= [cell, text];
      } else if (before === "" && text !== cell) cells[i] = text;
    }
  }
  if (example !== undefined)
    taken.push(
      `“${example[0]}” is taken for ${example[1]}: ${commas ? "commas stand before the decimals" : "marks stand between the thousands"}`,
    );
}

const SPAN = /^(\d+)\s*(d|days?|wks?|weeks?)\.?$/i;

/** Days of one column where they are said in words: "30 days", "6 weeks". Months are no number of days, and stay as they are. */
function* spans(at: number, records: readonly CsvRecord[], taken: Taken): Steps<void> {
  let example: string | undefined;
  for (const [r, { cells }] of records.entries()) {
    if (r % STEP === 0) yield r;
    const cell = (cells[at] ?? "").trim();
    const [, count, unit] = SPAN.exec(cell) ?? [];
    if (count === undefined) continue;
    const weeks = unit!.toLowerCase().startsWith("w");
    cells[at] = String(weeks ? Number(count) * 7 : Number(count));
    if (weeks) example ??= `“${cell}” is taken for ${cells[at]} days`;
  }
  if (example !== undefined) taken.push(example);
}

const NUMERIC = /^(\d{1,4})([./-])(\d{1,2})\2(\d{1,4})$/;
const two = (n: string): string => n.padStart(2, "0");

interface Written {
  record: CsvRecord;
  text: string;
  mark: string;
  first: string;
  second: string;
  third: string;
}

/** Dates of one column by the order that all of them allow: the day first, the month first or the year first. */
function* dates(at: number, name: string, records: readonly CsvRecord[], taken: Taken): Steps<void> {
  const cells: Written[] = [];
  for (const [r, record] of records.entries()) {
    if (r % STEP === 0) yield r;
    const text = (record.cells[at] ?? "").trim();
    const [, first, mark, second, third] = NUMERIC.exec(text) ?? [];
    // As this program writes them, or nearly: said of the cell.
    if (first === undefined || (first.length === 4 && mark === "-")) continue;
    cells.push({ record, text, mark: mark!, first, second: second!, third: third! });
  }
  if (cells.length === 0) return;
  const orders: [says: string, read: (one: Written) => string][] = [
    ["day, month, year", ({ first, second, third }) => `${third}-${two(second)}-${two(first)}`],
    [
      "month, day, year",
      ({ first, second, third, mark }) => (mark === "." ? "" : `${third}-${two(first)}-${two(second)}`),
    ],
    ["year, month, day", ({ first, second, third }) => `${first}-${two(second)}-${two(third)}`],
  ];
  const allowed = orders.filter(([, read]) => cells.every((one) => isDate(read(one))));
  const [first] = allowed;
  // Two orders that read every cell alike leave no doubt either.
  const sure = first !== undefined && allowed.every(([, read]) => cells.every((one) => read(one) === first[1](one)));
  if (!sure) {
    if (allowed.length > 1)
      taken.push(
        `“${cells[0]!.text}” of “${name}” may begin with the day or with the month. Write ${orders[0]![1](cells[0]!)} or ${orders[1]![1](cells[0]!)}`,
      );
    return;
  }
  for (const one of cells) one.record.cells[at] = first[1](one);
  taken.push(`“${cells[0]!.text}” of “${name}” is taken for ${first[1](cells[0]!)}: ${first[0]}`);
}
