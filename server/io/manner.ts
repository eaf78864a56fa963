/**
 * The manner in which a spreadsheet wrote a file, where it is not this program's own: decimal commas, thousands marks,
 * currency signs, days before months. Cells are rewritten as columns.ts has them; what a file leaves in doubt stays as it is.
 */
import { isDate } from "../store/rules.ts";
import type { Column, ColumnKind } from "./columns.ts";
import type { CsvRecord } from "./csv.ts";
import { isDecimal } from "./decimal.ts";
import type { Steps } from "./slices.ts";

/** What of a file was read otherwise than it is written, each the end of a sentence that begins "In parts.csv". */
export type Taken = string[];

/** Records between two steps. */
const STEP = 500;

const NUMBERS: ReadonlySet<ColumnKind["is"]> = new Set(["number", "whole", "decimal", "percent", "money"]);

/**
 * Rewrites the cells of a file's records in place.
 * @param columns what each cell of a record is, undefined for one that is not read
 * @param known all columns that the file may have
 */
export function* rewriteCells(
  columns: (Column | undefined)[],
  records: readonly CsvRecord[],
  known: readonly Column[],
): Steps<Taken> {
  const taken: Taken = [];
  const numbers = columns.flatMap((column, i) => (column !== undefined && NUMBERS.has(column.kind.is) ? [i] : []));
  yield* signs(columns, records, known, taken);
  yield* bareNumbers(numbers, records, columns, taken);
  for (const [i, column] of columns.entries())
    if (column?.kind.is === "date") yield* dates(i, column.name, records, taken);
  return taken;
}

/** Signs that stand for one currency alone. */
const SIGN: Readonly<Record<string, string>> = { "£": "GBP", "€": "EUR", "₹": "INR", zł: "PLN", Kč: "CZK", "₽": "RUB" };
const SIGNED =
  /^\s*(?<minus>[-−])?\s*(?:(?<before>[£€₹₽]|zł|Kč|[A-Z]{3})\s*(?<rest>[-−]?[\d.,'’\s\u00a0\u202f]*\d)|(?<amount>[\d.,'’\s\u00a0\u202f]*\d)\s*(?<after>[£€₹₽]|zł|Kč|[A-Z]{3}))\s*$/u;

/**
 * Takes currency signs away where the row is in that currency; a row that says none takes the sign's. Where the file has no
 * column for it one is added, if every row has a sign. Other signs stay, and are faults of their cells.
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
  const found: { i: number; currency: string; amount: string }[][] = [];
  for (const { cells } of records) {
    found.push(
      money.flatMap((i) => {
        const groups = SIGNED.exec(cells[i] ?? "")?.groups;
        if (groups === undefined) return [];
        const sign = groups["before"] ?? groups["after"]!;
        const amount = (groups["minus"] ?? "") + (groups["rest"] ?? groups["amount"]!);
        return [{ i, currency: SIGN[sign] ?? sign, amount }];
      }),
    );
    if (found.length % STEP === 0) yield found.length;
  }
  let at = columns.findIndex((column) => column?.field === "currency");
  const column = known.find(({ field }) => field === "currency");
  if (at < 0 && column !== undefined && found.length > 0 && found.every((signed) => signed.length > 0)) {
    at = columns.length;
    columns.push(column);
  }
  if (at < 0) return;
  const read = new Set<string>();
  records.forEach(({ cells }, r) => {
    const own = (cells[at] ?? "").trim().toUpperCase();
    const [first] = found[r]!;
    if (first === undefined || found[r]!.some(({ currency }) => currency !== (own || first.currency))) return;
    for (const { i, amount } of found[r]!) cells[i] = amount;
    while (cells.length < at) cells.push("");
    cells[at] = first.currency;
    read.add(first.currency);
  });
  if (read.size > 0) taken.push(`amounts with a sign are taken for ${[...read].sort().join(", ")}`);
}

const THOUSANDS_POINT = /^[+-]?\d{1,3}(,\d{3})+(\.\d+)?$/;
const THOUSANDS_COMMA = /^[+-]?\d{1,3}(\.\d{3})+(,\d+)?$/;
const COMMA = /^[+-]?\d*,\d+$/;

/** Without a per cent sign and without spaces or apostrophes between thousands. */
const ungrouped = (cell: string): string => {
  const bare = cell.trim().replace(/^−/, "-").replace(/\s*%$/, "");
  return /^[+-]?\d{1,3}(?:[ '’\u00a0\u202f]\d{3})+(?:[.,]\d+)?$/u.test(bare)
    ? bare.replace(/[ '’\u00a0\u202f]/gu, "")
    : bare;
};

/** Decimal commas where some number of the file can have no other, and none is written with a decimal point. */
function* bareNumbers(
  at: readonly number[],
  records: readonly CsvRecord[],
  columns: readonly (Column | undefined)[],
  taken: Taken,
): Steps<void> {
  let comma = 0;
  let point = 0;
  for (const [r, { cells }] of records.entries()) {
    if (r % STEP === 0) yield r;
    for (const i of at) {
      const cell = ungrouped(cells[i] ?? "");
      if (THOUSANDS_COMMA.test(cell) && (cell.includes(",") || cell.split(".").length > 2)) comma += 1;
      else if (THOUSANDS_POINT.test(cell)) point += cell.includes(".") || cell.split(",").length > 2 ? 1 : 0;
      else if (COMMA.test(cell)) comma += 1;
      else if (isDecimal(cell) && cell.includes(".") && !THOUSANDS_COMMA.test(cell)) point += 1;
    }
  }
  const commas = comma > 0 && point === 0;
  let example: [string, string] | undefined;
  for (const [r, { cells }] of records.entries()) {
    if (r % STEP === 0) yield r;
    for (const i of at) {
      const cell = cells[i] ?? "";
      const bare = ungrouped(cell);
      const text = commas
        ? THOUSANDS_COMMA.test(bare) || COMMA.test(bare)
          ? bare.replaceAll(".", "").replace(",", ".")
          : bare
        : THOUSANDS_POINT.test(bare) && point > 0
          ? bare.replaceAll(",", "")
          : bare;
      if (text === cell.trim() || !isDecimal(text)) continue;
      cells[i] = text;
      // A per cent sign says no more than the column does.
      if (!(columns[i]!.kind.is === "percent" && `${text}%` === cell.replaceAll(" ", "")))
        example ??= [cell.trim(), text];
    }
  }
  if (example !== undefined)
    taken.push(
      `“${example[0]}” is taken for ${example[1]}: ${commas ? "commas stand before the decimals" : "marks stand between the thousands"}`,
    );
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
