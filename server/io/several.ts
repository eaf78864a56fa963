/**
 * Rows that were typed or pasted into a table on the screen, read and checked as those of files are. They are new ones: a
 * code that is left blank is given, and a row names others by their titles as well as by their codes.
 */
import { listed } from "../plan/oddsWords.ts";
import type { Store } from "../store/client.ts";
import { CodesToCome, codeInWords, MADE_BY } from "../store/codes.ts";
import { type Fault, InvalidInput } from "../store/fault.ts";
import { NOUNS, type Table } from "../store/tables.ts";
import { asText, textsOf } from "../store/texts.ts";
import { alike } from "../store/trades.ts";
import { counted } from "./backupWords.ts";
import { type Column, CSV_TABLES, type FileTable, type Values } from "./columns.ts";
import { readCsv, writeCsv } from "./csv.ts";
import type { FileSet } from "./folder.ts";
import type { Held } from "./held.ts";
import { applyImport, type Destination, type Imported, prepareImport, type Typed } from "./import.ts";
import { cellFault, Faults, type Given, type GivenRow, nearest } from "./read.ts";

/** Rows for one of the files: the columns that are typed, and a row's cells in their order. */
export interface TypedRows {
  file: string;
  columns: readonly string[];
  rows: readonly (readonly string[])[];
}

/** Rows that are taken at once, in all. */
export const MOST_TYPED = 2_000;

/** Registers whose rows are given a code, in the order in which they name one another, with the field that is a row's title. */
const REGISTERS = [
  ["supplier", "name"],
  ["operation", "title"],
  ["part", "name"],
  ["quote", null],
] as const;
type Register = (typeof REGISTERS)[number][0];

const isRegister = (table: Table): table is Register => REGISTERS.some(([one]) => one === table);

/** What can be typed: the registers, and what ties their rows to one another. */
const TYPED: ReadonlySet<Table> = new Set<Table>(["link", "need", "partReference", ...REGISTERS.map(([one]) => one)]);

/** Stands for the code of a row that is given one: "+3" is the third row of its file, also where another row names it. */
const PLACE = /^\+\d+$/;

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
  name: (given, held) => new Namer(given, held).named(),
  summary: ({ counts }) =>
    `Added ${listed(
      counts.flatMap(({ file, added }) => {
        const { table } = CSV_TABLES.find((one) => one.file === file)!;
        return added > 0 ? [counted(added, NOUNS[table])] : [];
      }),
    )}`,
};

/** Gives codes to rows that have none, and turns titles by which rows name others into codes. */
class Namer {
  private readonly faults: Faults;
  private readonly rows: Map<Table, GivenRow[]>;
  /** By register: the code of each place. */
  private readonly places = new Map<Register, Map<string, string>>();
  /** By register: codes by title, first of the rows that are added, then of those that are there. */
  private readonly titles = new Map<Register, [own: Titles, held: Titles]>();
  private readonly spelt: Map<string, string>;

  constructor(
    private readonly given: Given,
    private readonly held: Held,
  ) {
    this.faults = new Faults(given.faults);
    this.rows = new Map(given.rows);
    const trades = [
      ...held.get("operation")!.map(({ values }) => String(values["trade"])),
      ...held.get("hand")!.flatMap(({ values }) => textsOf(String(values["trades"]))),
    ];
    this.spelt = new Map(trades.toReversed().map((trade) => [alike(trade), trade]));
  }

  named(): Given {
    for (const [table, title] of REGISTERS) {
      if (table === "supplier") this.newSuppliers();
      this.code(table, title);
    }
    for (const table of CSV_TABLES) {
      const rows = this.rows.get(table.table);
      if (rows !== undefined && TYPED.has(table.table))
        this.rows.set(
          table.table,
          rows.map((row) => this.resolved(table, row)),
        );
    }
    return { ...this.given, rows: this.rows, faults: this.faults };
  }

  /** Gives each row of a register that says no code the next one. */
  private code(table: Register, title: "name" | "title" | null): void {
    const held = this.held.get(table)!;
    const rows = this.rows.get(table) ?? [];
    const there = new Map(held.map(({ values }) => [String(values["code"]).trim(), values]));
    const own = rows.flatMap(({ given: { code } }) => (typeof code === "string" && !PLACE.test(code) ? [code] : []));
    const codes = new CodesToCome([...there.keys(), ...own]);
    const places = new Map<string, string>();
    const statement = CSV_TABLES.find((one) => one.table === table)!;
    const column = (field: string): Column => statement.columns.find((one) => one.field === field)!;
    const fault = (row: GivenRow, field: string, code: Fault["code"], complaint: string): void =>
      this.faults.add(cellFault(statement.file, row.at, column(field).name, row.raw[field] ?? "", code, complaint));
    const coded = rows.map((row, i) => {
      const given = table === "operation" ? this.spelling(row.given) : row.given;
      if (title !== null && !row.faulty.has(title) && String(given[title] ?? "").trim() === "")
        fault(row, title, "REQUIRED", "must be given");
      const code = given["code"];
      if (typeof code !== "string") return { ...row, given };
      if (!PLACE.test(code)) {
        places.set(`+${i + 1}`, code.trim());
        if (there.has(code.trim())) fault(row, "code", "DUPLICATE", `is another ${NOUNS[table]}'s already`);
        return { ...row, given };
      }
      const made = codes.next(MADE_BY[table](given));
      places.set(code, made);
      return { ...row, given: { ...given, code: made }, raw: { ...row.raw, code: "" } };
    });
    if (this.rows.has(table)) this.rows.set(table, coded);
    this.places.set(table, places);
    const pairs = (of: readonly Values[]): Titles => {
      const found: Titles = new Map();
      for (const values of of) {
        const typed = title === null ? "" : String(values[title] ?? "").trim();
        const { codes } = found.get(alike(typed)) ?? { codes: [] };
        if (typed !== "") found.set(alike(typed), { typed, codes: [...codes, String(values["code"])] });
      }
      return found;
    };
    this.titles.set(table, [pairs(coded.map(({ given }) => given)), pairs(held.map(({ values }) => values))]);
  }

  /** Trades as other work of the shop spells them. */
  private spelling(given: Values): Values {
    const spell = (trade: string): string => {
      const known = this.spelt.get(alike(trade)) ?? trade.trim();
      this.spelt.set(alike(trade), known);
      return known;
    };
    const { trade, alsoTrades } = given;
    return {
      ...given,
      ...(typeof trade === "string" && { trade: spell(trade) }),
      ...(typeof alsoTrades === "string" && { alsoTrades: asText(textsOf(alsoTrades).map(spell)) }),
    };
  }

  /** Whoever quotes and is not known becomes a supplier. */
  private newSuppliers(): void {
    const own = this.rows.get("supplier") ?? [];
    const known = new Set(
      [...this.held.get("supplier")!.map(({ values }) => values), ...own.map(({ given }) => given)].flatMap(
        ({ code, name }) => [alike(String(code ?? "")), alike(String(name ?? ""))],
      ),
    );
    const added: GivenRow[] = [];
    for (const row of this.rows.get("quote") ?? []) {
      const { supplier } = row.given;
      if (typeof supplier !== "string" || PLACE.test(supplier) || known.has(alike(supplier))) continue;
      known.add(alike(supplier));
      added.push({
        at: row.at,
        given: { code: `+${own.length + added.length + 1}`, name: supplier },
        raw: { name: supplier },
        faulty: new Set(),
      });
    }
    if (added.length > 0) this.rows.set("supplier", [...own, ...added]);
  }

  private resolved(statement: FileTable, row: GivenRow): GivenRow {
    const given = { ...row.given };
    const faulty = new Set(row.faulty);
    for (const { field, name, kind } of statement.columns) {
      const text = given[field];
      if (kind.is !== "row" || !isRegister(kind.of) || typeof text !== "string") continue;
      const found = this.codeOf(kind.of, text);
      if ("code" in found) given[field] = found.code;
      else {
        delete given[field];
        faulty.add(field);
        this.faults.add(cellFault(statement.file, row.at, name, row.raw[field] ?? text, found.fault, found.complaint));
      }
    }
    return { ...row, given, faulty };
  }

  private codeOf(
    table: Register,
    text: string,
  ): { code: string } | { fault: "UNKNOWN_ROW" | "NOT_A_CHOICE"; complaint: string } {
    const code = PLACE.test(text) ? this.places.get(table)!.get(text) : undefined;
    if (code !== undefined) return { code };
    const isCode =
      this.held.get(table)!.some(({ values }) => String(values["code"]).trim() === text) ||
      this.rows.get(table)?.some(({ given }) => given["code"] === text);
    if (isCode) return { code: text };
    const noun = NOUNS[table];
    const tiers = this.titles.get(table)!;
    for (const titles of tiers) {
      const codes = titles.get(alike(text))?.codes ?? [];
      if (codes.length === 1) return { code: codes[0]! };
      if (codes.length > 1)
        return {
          fault: "NOT_A_CHOICE",
          complaint: `is the name of several: write ${listed(codes.slice(0, 5).map((one) => codeInWords(noun, one)))}`,
        };
    }
    const near = nearest(
      alike(text),
      tiers.flatMap((titles) => [...titles.keys()]),
    );
    const meant = tiers.map((titles) => titles.get(near ?? "")?.typed).find((typed) => typed !== undefined);
    const asks = meant === undefined ? "" : `: is it “${meant}”?`;
    return { fault: "UNKNOWN_ROW", complaint: `is no ${noun} here${asks}` };
  }
}

/** Codes of the rows of a title, which is given as it was typed too. */
type Titles = Map<string, { typed: string; codes: string[] }>;

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
