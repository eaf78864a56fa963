/**
 * Codes of rows that say none, whether they were typed or stand in files: each is a new row and has the next one, as in a
 * form. Whoever quotes and is not known becomes a supplier.
 */
import { listed } from "../plan/odds/oddsWords.ts";
import { CodesToCome, MADE_BY } from "../store/codes.ts";
import type { Fault } from "../store/fault.ts";
import { NOUNS, type Table } from "../store/tables.ts";
import { asText, textsOf } from "../store/texts.ts";
import { alike } from "../store/trades.ts";
import { counted } from "./backupWords.ts";
import { CSV_TABLES, type FileTable, tableOf, titleOf, type Values } from "./columns.ts";
import { cellFault, Faults, type Given, type GivenRow, notice } from "./given.ts";
import type { Held } from "./held.ts";
import { nearest } from "./read.ts";
import type { Steps } from "./slices.ts";

/** Registers whose rows are given a code, in the order in which they name one another. */
export const REGISTERS = ["supplier", "operation", "part", "quote"] as const;
export type Register = (typeof REGISTERS)[number];

export const isRegister = (table: Table): table is Register => REGISTERS.some((one) => one === table);

/** Of typed rows, stands for the code of one that is given it: "+3" is the third row of its file, also where another row names it. */
const PLACE = /^\+\d+$/;

/** What is written as a code is: "S9", "FOUNDRY"; a name has small letters. */
const LIKE_A_CODE = /^[^\p{Ll}]*$|^\S*\d\S*$/u;

/** Rows done between two moments at which others are let in. */
const SOME = 200;

/** What was given with a code for every row of a register; what was given itself stays as it is. */
export function* codesGiven(given: Given, held: Held): Steps<Given> {
  const coder = new Coder(given, held);
  yield* coder.code();
  return coder.coded;
}

class Coder {
  readonly coded: Given;
  private readonly rows: Map<Table, GivenRow[]>;
  /** By register: the code of each place. */
  private readonly places = new Map<Register, Map<string, string>>();
  /** How other work of the shop spells trades; null where they stand as they are, in files. */
  private readonly spelt: Map<string, string> | null;

  constructor(
    private readonly given: Given,
    private readonly held: Held,
  ) {
    this.rows = new Map(given.rows);
    this.coded = { ...given, rows: this.rows, faults: new Faults(given.faults), notices: [...given.notices] };
    const trades = [
      ...held.get("operation")!.map(({ values }) => String(values["trade"])),
      ...held.get("hand")!.flatMap(({ values }) => textsOf(String(values["trades"]))),
    ];
    this.spelt = given.typed ? new Map(trades.toReversed().map((trade) => [alike(trade), trade])) : null;
  }

  *code(): Steps<void> {
    for (const table of REGISTERS) {
      if (table === "supplier") this.newSuppliers();
      yield* this.codesOf(table);
    }
    if (!this.given.typed) return;
    for (const statement of CSV_TABLES) {
      const rows = this.rows.get(statement.table);
      if (rows !== undefined)
        this.rows.set(
          statement.table,
          rows.map((row) => this.placed(statement, row)),
        );
    }
  }

  private *codesOf(table: Register): Steps<void> {
    const rows = this.rows.get(table);
    if (rows === undefined) return;
    const { typed } = this.given;
    const statement = this.given.written.get(table) ?? tableOf(table);
    const title = titleOf(statement);
    const says = (code: Values[string] | undefined): code is string =>
      typeof code === "string" && !(typed && PLACE.test(code));
    const there = new Set(this.held.get(table)!.map(({ values }) => String(values["code"]).trim()));
    const codes = new CodesToCome([
      ...there,
      ...rows.flatMap(({ given: { code } }) => (says(code) ? [code.trim()] : [])),
    ]);
    const places = new Map<string, string>();
    const fault = (row: GivenRow, field: string, code: Fault["code"], complaint: string): void => {
      const { name } = statement.columns.find((one) => one.field === field)!;
      this.coded.faults.add(cellFault(statement.file, row.at, name, row.raw[field] ?? "", code, complaint));
    };
    const coded: GivenRow[] = [];
    let unnamed = 0;
    for (const [i, row] of rows.entries()) {
      const given = this.spelling(row.given);
      const code = given["code"];
      const own = says(code) || row.faulty.has("code");
      const isUntitled = title !== null && !row.faulty.has(title) && String(given[title] ?? "").trim() === "";
      if (isUntitled && (typed || !own))
        fault(row, typed || title in given ? title : "code", "REQUIRED", "must be given");
      if (own) {
        if (typeof code === "string") {
          places.set(`+${i + 1}`, code.trim());
          if (typed && there.has(code.trim())) fault(row, "code", "DUPLICATE", `is another ${NOUNS[table]}'s already`);
        }
        coded.push({ ...row, given });
      } else {
        const made = codes.next(MADE_BY[table](given));
        if (typeof code === "string") places.set(code, made);
        coded.push({ ...row, given: { ...given, code: made }, raw: { ...row.raw, code: "" } });
        unnamed += 1;
      }
      if (i % SOME === 0) yield i;
    }
    this.rows.set(table, coded);
    this.places.set(table, places);
    if (!typed && unnamed > 0 && !this.suppliersOfQuotes(table)) this.tellNew(statement, unnamed);
  }

  /** Rows without a code are new ones each time: that is said before they come in. */
  private tellNew({ file, table, columns }: FileTable, count: number): void {
    const { name } = columns.find(({ field }) => field === "code")!;
    notice(this.coded.notices, {
      code: "READ_AS",
      file,
      field: name,
      message: `In ${file} ${counted(count, "row")} ${count === 1 ? "has" : "have"} no code in “${name}”: ${
        count === 1 ? `it is a new ${NOUNS[table]}` : "each is a new one"
      }, under the next code. The same file brought in again adds ${count === 1 ? "it" : "them"} once more.`,
    });
  }

  /** Trades as other work of the shop spells them. */
  private spelling(given: Values): Values {
    const { spelt } = this;
    const { trade, alsoTrades } = given;
    if (spelt === null || (trade === undefined && alsoTrades === undefined)) return given;
    const spell = (one: string): string => {
      const known = spelt.get(alike(one)) ?? one.trim();
      spelt.set(alike(one), known);
      return known;
    };
    return {
      ...given,
      ...(typeof trade === "string" && { trade: spell(trade) }),
      ...(typeof alsoTrades === "string" && { alsoTrades: asText(textsOf(alsoTrades).map(spell)) }),
    };
  }

  /** Whether the suppliers are those that quotes bring, and stand in no file of their own. */
  private suppliersOfQuotes = (table: Register): boolean => table === "supplier" && !this.given.rows.has("supplier");

  /** Whoever quotes and is not known becomes a supplier. In files not where it may be a known one misspelt, nor beside a file of suppliers. */
  private newSuppliers(): void {
    const { typed } = this.given;
    if (!typed && (this.given.rows.has("supplier") || this.given.unread.has("supplier"))) return;
    const own = this.rows.get("supplier") ?? [];
    const known = new Set(
      [...this.held.get("supplier")!.map(({ values }) => values), ...own.map(({ given }) => given)].flatMap(
        ({ code, name }) => [alike(String(code ?? "")), alike(String(name ?? ""))],
      ),
    );
    const before = [...known];
    const asked = new Set<string>();
    const added: GivenRow[] = [];
    for (const row of this.rows.get("quote") ?? []) {
      const { supplier } = row.given;
      if (typeof supplier !== "string" || known.has(alike(supplier)) || asked.has(alike(supplier))) continue;
      if (typed && PLACE.test(supplier)) continue;
      asked.add(alike(supplier));
      if (!typed && (LIKE_A_CODE.test(supplier) || nearest(alike(supplier), before) !== undefined)) continue;
      const code = typed ? `+${own.length + added.length + 1}` : null;
      added.push({ at: row.at, given: { code, name: supplier }, raw: { name: supplier }, faulty: new Set() });
    }
    if (added.length === 0) return;
    this.rows.set("supplier", [...own, ...added]);
    if (typed) return;
    const { file } = this.given.written.get("quote") ?? tableOf("quote");
    const names = added.map(({ given }) => String(given["name"]).slice(0, 80));
    const told = names.length > 5 ? `${names.slice(0, 4).join(", ")} and ${names.length - 4} others` : listed(names);
    notice(this.coded.notices, {
      code: "READ_AS",
      file,
      field: "supplier",
      message: `In ${file} ${counted(added.length, "supplier")} ${added.length === 1 ? "is" : "are"} not known yet and ${
        added.length === 1 ? "is" : "are"
      } added: ${told}.`,
    });
  }

  /** A typed row with the codes of the places that it names. */
  private placed({ columns }: FileTable, row: GivenRow): GivenRow {
    const given = { ...row.given };
    for (const { field, kind } of columns) {
      const text = given[field];
      if (kind.is !== "row" || !isRegister(kind.of) || typeof text !== "string" || !PLACE.test(text)) continue;
      given[field] = this.places.get(kind.of)?.get(text) ?? text;
    }
    return { ...row, given };
  }
}
