/**
 * What the files give, laid over what is held: rows matched by key are changed, others added, none taken away.
 * Every fault of every row is found: unknown references, duplicates, broken rules, two choices, links in a circle.
 */

import { Network, NetworkFault } from "../engine/network/network.ts";
import { ShopCalendar } from "../engine/time/calendar.ts";
import { grouped } from "../plan/choice/load.ts";
import { daysToCome, lastOf } from "../plan/days/day.ts";
import { notAfter } from "../plan/days/summaryWords.ts";
import { today } from "../plan/days/today.ts";
import { type PaymentRow, paidIn } from "../plan/money/exposurePaid.ts";
import { comesBack, correctionComplaint, lowers, paymentComplaints } from "../plan/money/payment.ts";
import { listed } from "../plan/odds/oddsWords.ts";
import { codeInWords } from "../store/codes.ts";
import type { Fault } from "../store/fault.ts";
import { amountFault, currencyFaults, HOME_AMOUNTS, HOME_LEDGER } from "../store/homeCurrency.ts";
import { complaintOf, faultsOf } from "../store/rules.ts";
import { LEDGERS, NOUNS, nameOf, type Table } from "../store/tables.ts";
import { asText } from "../store/texts.ts";
import { alike } from "../store/trades.ts";
import { counted } from "./backupWords.ts";
import { amountOf, decimalsOf } from "./cell.ts";
import { codesGiven } from "./codesGiven.ts";
import {
  type Cell,
  type Column,
  type FileTable,
  nameOfRow,
  RESTORATION_FILE,
  TABLES,
  tableOf,
  titleOf,
  type Values,
  WEEK,
} from "./columns.ts";
import { cellFault, Faults, type Given, type GivenRow, inQuotes } from "./given.ts";
import { correctedPayments, type Held, type HeldRow, isChanged, PAID_FOR, PLACED } from "./held.ts";
import { missingInspections } from "./inspected.ts";
import { heldRatesOn, OrderTotals } from "./orderTotals.ts";
import { nearest, type Step } from "./read.ts";
import { inSlices, type Steps } from "./slices.ts";

/** What an import does to one file's rows. */
export interface ImportCount {
  file: string;
  /** What its rows are, where it holds more than one kind: "1 restoration, 2 trade rates"; else empty. */
  holds: string;
  rows: number;
  added: number;
  changed: number;
  same: number;
}

export interface Merged {
  held: Held;
  faults: Faults;
  notices: Fault[];
  counts: ImportCount[];
}

/**
 * Lays given rows over held ones (which are altered). `step` is called after each slice of work. Nothing was paid after
 * `day`, that which figures are for.
 */
export function merge(given: Given, held: Held, step: Step = async () => {}, day: string = today()): Promise<Merged> {
  return inSlices(mergeSteps(given, held, day), step);
}

/** {@link merge} in steps, each yielding the rows done. */
export function* mergeSteps(read: Given, held: Held, day: string = today()): Steps<Merged> {
  const given = yield* codesGiven(read, held);
  const merger = new Merger(given, held, day);
  let done = 0;
  for (const one of TABLES) {
    const statement = given.written.get(one.table) ?? one;
    const rows =
      given.rows.get(statement.table) ??
      (statement.table === "hand" && held.get("hand")!.length === 0 ? merger.handsByTrade() : null) ??
      (statement.key.length === 0 && held.get(statement.table)!.length === 0 ? [NOTHING_GIVEN] : []);
    const table = merger.begin(statement);
    for (const row of rows) {
      table(row);
      done += 1;
      if (done % 20 === 0) yield done;
    }
    yield done;
    merger.end(statement);
    yield done;
  }
  merger.currencyKept();
  const counts = merger.counts();
  yield done;
  const merged = { held, faults: merger.faults, notices: given.notices, counts };
  missingInspections(merged.held, merged.faults);
  return merged;
}

/** Faults of which it is told what may be meant. */
const MOST_NEAR = 100;

/** Operations of a circle that its message names. */
const MOST_TOLD = 100;

const NOTHING_GIVEN: GivenRow = { at: "", given: {}, raw: {}, faulty: new Set() };

/** Codes and keys are the same whatever spaces stand around them, names of hands in capitals too. */
const keyed = (table: Table, text: string): string => (table === "hand" ? alike(text) : text.trim());
const bare = (value: Cell | undefined): Cell => (typeof value === "string" ? value.trim() : (value ?? null));
const keyOf = ({ table, key }: FileTable, values: Values): string =>
  JSON.stringify(
    key.map((field) => {
      const value = bare(values[field]);
      return typeof value === "string" ? keyed(table, value) : value;
    }),
  );

class Merger {
  readonly faults: Faults;
  private readonly named = new Map<Table, Map<string, HeldRow>>();

  constructor(
    private readonly given: Given,
    private readonly held: Held,
    private readonly day: string,
  ) {
    this.faults = new Faults(given.faults);
  }

  private get currency(): string {
    return String(this.held.get("restoration")![0]?.values["currency"] ?? "");
  }

  /** Begins a table; the function returned takes its rows in turn. */
  begin(statement: FileTable): (row: GivenRow) => void {
    const rows = this.held.get(statement.table)!;
    const index = new Map<string, HeldRow[]>();
    for (const row of rows) {
      const key = keyOf(statement, row.values);
      const same = index.get(key);
      if (same) same.push(row);
      else index.set(key, [row]);
    }
    const turns = new Map<string, number>();
    const places = new Map<Cell, number>();
    const placed = PLACED.includes(statement.table);
    const above = statement.key[0] ?? "";
    if (placed)
      for (const { values } of rows)
        places.set(values[above]!, Math.max(places.get(values[above]!) ?? 0, Number(values["position"]) + 1));
    const blank: Values = {};
    for (const column of statement.columns) blank[column.field] = column.blank;

    return (row) => {
      const fresh = this.resolve(statement, row, blank, []);
      const key = keyOf(statement, fresh.values);
      const turn = turns.get(key) ?? 0;
      const faultyKey = statement.key.some((field) => row.faulty.has(field));
      if (!faultyKey) turns.set(key, turn + 1);
      const twin = index.get(key)?.[statement.unique ? 0 : turn];
      if (statement.unique && turn > 0 && !faultyKey) return this.duplicate(statement, row, twin?.at ?? "");
      const match = faultyKey ? undefined : twin;
      const { values, faults } = match?.before ? this.resolve(statement, row, match.before, statement.key) : fresh;
      for (const fault of faults) this.faults.add(fault);
      if (statement.table === "order" && values["totalMinor"] === null) this.total(row, values);
      if (statement.table === "payment") this.paidFor(row, values);
      this.check(statement, row, values);
      this.toCome(statement, row, values, match?.before ?? null);
      if (match) {
        match.values = values;
        match.at = row.at;
        return;
      }
      if (placed) {
        const place = places.get(values[above]!) ?? 0;
        values["position"] = place;
        places.set(values[above]!, place + 1);
      }
      const added: HeldRow = { id: null, revision: 1, values, before: null, stored: null, at: row.at };
      rows.push(added);
      if (statement.table === "payment") this.paid.set(added, row);
      if (statement.unique && !faultyKey) index.set(key, [added]);
    };
  }

  /** Lines of an earlier version as hands of one trade each, on the days on which the shop works; null without any. */
  handsByTrade(): GivenRow[] | null {
    const week = this.held.get("shopCalendar")![0]!.values;
    const rows = this.given.byTrade.flatMap(({ trade, people = 1, hoursPerDay = 8 }, i): GivenRow[] => {
      if (typeof trade !== "string" || trade.trim() === "" || !(Number(people) > 0 && Number(hoursPerDay) > 0))
        return [];
      const given: Values = { name: `${trade} ${people === 1 ? "hand" : "hands"}`, people, trades: asText([trade]) };
      for (const day of WEEK) given[day] = Math.min(Number(hoursPerDay), Number(week[day]));
      return [{ at: `hands[${i}]`, given: { ...given, askSame: true }, raw: {}, faulty: new Set() }];
    });
    return rows.length === 0 ? null : rows;
  }

  /** Ends a table: from now on others may name its rows. */
  end(statement: FileTable): void {
    const rows = this.held.get(statement.table)!;
    if (statement.named !== null) {
      const byName = new Map<string, HeldRow>();
      // Of rows of one name the first is meant.
      for (const row of rows.toReversed()) byName.set(keyed(statement.table, nameOfRow(statement, row.values)), row);
      this.named.set(statement.table, byName);
    }
    if (statement.table in LEDGERS) this.ledger(statement);
    if (statement.table === "link") this.circles();
    if (statement.table === "quote") {
      this.choices(statement, "part");
      this.choices(statement, "part", "fallback");
    }
    if (statement.table === "operationWay") this.choices(statement, "operation");
    if (statement.table === "remedy") this.choices(statement, "snag");
    if (statement.table === "order")
      for (const row of rows)
        row.values = { ...row.values, part: this.find("quote", row.values["quote"])?.values["part"] ?? null };
  }

  /** Entries of a ledger stay as they are, and one that takes another back names it. */
  private ledger(statement: FileTable): void {
    const rows = this.held.get(statement.table)!;
    const column = statement.columns.find(({ field }) => field === "corrects")!;
    const taken = statement.table === "payment" ? correctedPayments(rows) : null;
    if (taken !== null) this.payments(statement, taken);
    for (const row of rows) {
      const { corrects } = row.values;
      if (row.at === null) continue;
      if (row.before !== null && isChanged(statement, row))
        this.faults.add({
          code: "LEDGER",
          file: statement.file,
          row: row.at,
          message: `${statement.file} line ${row.at} is in the ledger already with other values. An entry stays as it was entered: correct it, or add one against it.`,
        });
      if (corrects === null || corrects === undefined) continue;
      const found = taken === null ? this.find(statement.table, corrects) : taken.get(row);
      if (found !== undefined && found !== row) continue;
      const raw = String(corrects);
      const complaint =
        taken === null
          ? `is not another line of ${statement.file}`
          : "is no day of a payment for the same, of the same kind, with the opposite amount, that is not taken back yet";
      this.faults.add(cellFault(statement.file, row.at, column.name, raw, "UNKNOWN_ROW", complaint));
    }
  }

  /** Another currency of the restoration turns nothing that is held into as much of another. */
  currencyKept(): void {
    const [restoration] = this.held.get("restoration")!;
    if (!restoration?.before || restoration.at === null) return;
    const [from, to] = [restoration.before["currency"], restoration.values["currency"]].map(String);
    if (from === to || to === undefined) return;
    const left = (table: keyof typeof HOME_AMOUNTS, field: string) => {
      const said = new Set(this.given.rows.get(table)?.flatMap(({ at, given }) => (field in given ? at : [])));
      return this.held
        .get(table)!
        .filter(({ before, at }) => before !== null && before[field] !== null && (at === null || !said.has(at)));
    };
    const priced = (["tradeRate", "part"] as const).flatMap((table) =>
      left(table, HOME_AMOUNTS[table][0]).map(({ values }) => `${NOUNS[table]} ${nameOf(values)}`),
    );
    const entries = HOME_LEDGER.flatMap((table) => this.held.get(table)!.filter(({ before }) => before !== null));
    const file = { file: RESTORATION_FILE, row: restoration.at || undefined };
    for (const fault of currencyFaults(from!, to, { entries: entries.length, priced }))
      this.faults.add({ ...fault, ...file });
    for (const field of HOME_AMOUNTS.restoration) {
      const { name } = tableOf("restoration").columns.find((column) => column.field === field)!;
      if (left("restoration", field).length > 0)
        this.faults.add({ ...amountFault(name, `“${name}”`, from!, to), ...file });
    }
  }

  counts(): ImportCount[] {
    const counts = new Map<string, ImportCount>();
    for (const statement of TABLES) {
      const fromList = statement.table === "hand" && this.given.byTrade.length > 0;
      if (!this.given.rows.has(statement.table) && !fromList) continue;
      const { file } = this.given.written.get(statement.table) ?? statement;
      const count = counts.get(file) ?? { file, holds: "", rows: 0, added: 0, changed: 0, same: 0 };
      counts.set(file, count);
      const before = count.rows;
      for (const row of this.held.get(statement.table)!) {
        if (row.at === null) continue;
        count.rows += 1;
        if (row.before === null) count.added += 1;
        else if (isChanged(statement, row)) count.changed += 1;
        else count.same += 1;
      }
      if (file === RESTORATION_FILE && count.rows > before) {
        const [noun, ...rest] = NOUNS[statement.table].split(" of ");
        const kind = [counted(count.rows - before, noun!), ...rest].join(" of ");
        count.holds += count.holds === "" ? kind : `, ${kind}`;
      }
    }
    return [...counts.values()];
  }

  private find(table: Table, code: Cell | undefined): HeldRow | undefined {
    return typeof code === "string" ? this.named.get(table)?.get(keyed(table, code)) : undefined;
  }

  /** The row of a table that people call so: one of the files before one that was there; else what is said of the name. */
  private called(table: Table, text: string): HeldRow | { code: Fault["code"]; complaint: string } {
    const statement = this.given.written.get(table) ?? tableOf(table);
    const named = statement.columns.find(({ field }) => field === statement.named)?.kind;
    // A hunt is called by its part.
    if (named?.is === "row") {
      const above = this.called(named.of, text);
      const row = "values" in above ? this.find(table, above.values["code"]) : undefined;
      return row ?? ("values" in above ? { code: "UNKNOWN_ROW", complaint: `is not in ${statement.file}` } : above);
    }
    const tiers = this.titlesOf(statement);
    for (const titles of tiers) {
      const [row, ...more] = titles.get(alike(text)) ?? [];
      if (row !== undefined && more.length === 0) return row;
      if (row === undefined) continue;
      const codes = [row, ...more].slice(0, 5).map((one) => codeInWords(NOUNS[table], String(one.values["code"])));
      return { code: "NOT_A_CHOICE", complaint: `is the name of several: write ${listed(codes)}` };
    }
    // To look for what is near takes a while among many: of some faults it is told.
    const near =
      this.faults.count > MOST_NEAR
        ? undefined
        : nearest(
            alike(text),
            tiers.flatMap((titles) => [...titles.keys()]),
          );
    const typed = (name: string): string => {
      const [row] = tiers.flatMap((titles) => titles.get(name) ?? []);
      return String(row!.values[titleOf(statement)!]).trim();
    };
    const lacks = this.given.typed ? `is no ${NOUNS[table]} here` : `is not in ${statement.file}`;
    return { code: "UNKNOWN_ROW", complaint: near === undefined ? lacks : `${lacks}: is it “${typed(near)}”?` };
  }

  /** Rows by what people call them, of the files and of those that were there; of a table that is read whole. */
  private titlesOf(statement: FileTable): Map<string, HeldRow[]>[] {
    const known = this.titles.get(statement.table);
    if (known !== undefined) return known;
    const title = titleOf(statement);
    const rows = title === null ? [] : this.held.get(statement.table)!;
    const tiers = [rows.filter(({ at }) => at !== null), rows.filter(({ at }) => at === null)].map((some) =>
      grouped(some, ({ values }) => alike(String(values[title!] ?? ""))),
    );
    this.titles.set(statement.table, tiers);
    return tiers;
  }
  private readonly titles = new Map<Table, Map<string, HeldRow[]>[]>();

  /** The given fields over a base: references found, currency settled, money in minor units. Fields in `kept` stay as they are. */
  private resolve(
    statement: FileTable,
    row: GivenRow,
    base: Values,
    kept: readonly string[],
  ): { values: Values; faults: Fault[] } {
    const values: Values = { ...base };
    const faults: Fault[] = [];
    const fault = (column: Column, code: Fault["code"], complaint: string) =>
      faults.push(cellFault(statement.file, row.at, column.name, row.raw[column.field] ?? "", code, complaint));
    const amounts: Column[] = [];
    for (const column of statement.columns) {
      const { field, kind } = column;
      if (!(field in row.given) || kept.includes(field)) continue;
      const value = row.given[field]!;
      if (kind.is === "money" && typeof value === "string") {
        amounts.push(column);
        continue;
      }
      values[field] = value;
      // What names a row of its own table is looked up once all of them are read.
      if (kind.is !== "row" || value === null || kind.of === statement.table) continue;
      const target = this.find(kind.of, value) ?? this.called(kind.of, String(value));
      if ("values" in target) values[field] = nameOfRow(tableOf(kind.of), target.values);
      else if (!this.given.unread.has(kind.of)) fault(column, target.code, target.complaint);
    }
    for (const column of statement.columns)
      if (column.blankIsCode && values[column.field] === null) values[column.field] = values["code"] ?? null;
    const currency = this.settle(statement, values);
    for (const column of amounts) {
      const unit = column.kind.is === "money" && column.kind.currency === "restoration" ? this.currency : currency;
      const places = decimalsOf(unit);
      const signed = column.kind.is === "money" && column.kind.signed === true;
      // An unknown currency is a fault of its own column.
      const read =
        places === undefined ? { value: 0 } : amountOf(String(row.given[column.field]), unit, places, signed);
      if ("fault" in read) fault(column, read.fault.code, read.fault.complaint);
      values[column.field] = "fault" in read ? 0 : read.value;
    }
    return { values, faults };
  }

  /** A payment was for one of an order, a way and a remedy. */
  private paidFor(row: GivenRow, values: Values): void {
    const named = PAID_FOR.filter((field) => values[field] !== null);
    if (named.length === 1 || PAID_FOR.some((field) => row.faulty.has(field))) return;
    const complaint =
      named.length === 0
        ? "must be given, or “way” or “remedy”: what was paid for"
        : `is given beside ${inQuotes(named.slice(1))}: a payment is for only one of them`;
    this.faults.add(
      cellFault(
        "payments.csv",
        row.at,
        "order",
        row.raw["order"] ?? "",
        named.length === 0 ? "REQUIRED" : "NOT_A_CHOICE",
        complaint,
      ),
    );
  }

  /**
   * What the ledger does not take of new payments; those that are in it already stay as they are. What comes back is
   * measured against all else that stands, and by what the file gives before it.
   */
  private payments(statement: FileTable, taken: ReadonlyMap<HeldRow, HeldRow>): void {
    const ratesOn = heldRatesOn(this.held);
    const asPayment = ({ values }: HeldRow) => values as unknown as PaymentRow;
    const undone = new Set([...taken].flat());
    const returned = (row: HeldRow) => comesBack(asPayment(row).kind);
    // An entry that the file itself takes back came before what takes it back: what was paid until then could come back.
    const counts = (row: HeldRow) =>
      row.before !== null || !undone.has(row) || (!returned(row) && taken.get(row) === undefined);
    const paidFor = grouped(this.held.get("payment")!, ({ values }) =>
      JSON.stringify(PAID_FOR.map((field) => bare(values[field]))),
    );
    for (const rows of paidFor.values()) {
      const ofClub = this.ofClub(rows[0]!.values["order"]);
      const standing = rows.filter((row) => counts(row) && !(this.paid.has(row) && returned(row)));
      const left = new Map<string, number>();
      const faulty = (row: HeldRow, field: string, complaint: string) => {
        const given = this.paid.get(row)!;
        if (given.faulty.has(field)) return;
        const { name } = statement.columns.find((column) => column.field === field)!;
        this.faults.add(cellFault(statement.file, given.at, name, given.raw[field] ?? "", "OUT_OF_RANGE", complaint));
      };
      // Of what the file takes back, the last is told where all of it leaves less paid than has come back.
      const last = rows.findLast((row) => this.paid.has(row) && taken.has(row) && lowers(asPayment(row)));
      if (last !== undefined && !ofClub) {
        const { currency } = asPayment(last);
        const complaint = correctionComplaint(paidIn(rows.map(asPayment), currency, ratesOn), currency);
        if (complaint !== null) faulty(last, "amountMinor", complaint);
      }
      for (const row of rows) {
        if (!this.paid.has(row)) continue;
        const payment = asPayment(row);
        const limited = returned(row) && counts(row) && !ofClub;
        const { currency } = payment;
        if (limited && !left.has(currency)) left.set(currency, paidIn(standing.map(asPayment), currency, ratesOn));
        const leftMinor = limited ? left.get(currency)! : null;
        const complaints = paymentComplaints(payment, { day: this.day, home: this.currency, leftMinor });
        for (const { field, complaint } of complaints) faulty(row, field, complaint);
        if (!limited) continue;
        standing.push(row);
        for (const [of, minor] of left) left.set(of, minor + paidIn([payment], of, ratesOn));
      }
    }
  }

  /** Nothing was done after today, or the day that is looked at where that is later. */
  private toCome(statement: FileTable, row: GivenRow, values: Values, before: Values | null): void {
    const last = lastOf(this.day, today());
    for (const field of daysToCome(statement.table, values, before, last)) {
      if (row.faulty.has(field)) continue;
      const { name } = statement.columns.find((column) => column.field === field)!;
      this.faults.add(cellFault(statement.file, row.at, name, row.raw[field] ?? "", "OUT_OF_RANGE", notAfter(last)));
    }
  }

  /** By payment that the file adds: the row that gives it. */
  private readonly paid = new Map<HeldRow, GivenRow>();

  /** Whether the deposits of a club's batch may stand on an order. */
  private ofClub(order: Cell | undefined): boolean {
    const quote = this.find("quote", this.find("order", order)?.values["quote"]);
    return quote?.stored?.["batchId"] != null;
  }

  /** An order whose total is left blank comes to what its quote lands for. */
  private total(row: GivenRow, values: Values): void {
    if (row.faulty.has("totalMinor")) {
      values["totalMinor"] = 0;
      return;
    }
    this.totals ??= new OrderTotals(this.held);
    const landed = this.totals.of(values);
    values["totalMinor"] = landed?.totalMinor ?? 0;
    // A quote or supplier that is not there, and what breaks a rule of its own, is a fault of its own column.
    const quote = this.find("quote", values["quote"] as Cell);
    const told =
      row.faulty.size > 0 ||
      faultsOf("order", { ...values, totalMinor: 0 }).length > 0 ||
      (quote !== undefined && faultsOf("quote", quote.values).length > 0);
    if (landed?.problem && !told)
      this.faults.add(
        cellFault(
          "orders.csv",
          row.at,
          "total",
          row.raw["totalMinor"] ?? "",
          "REQUIRED",
          `must be given, since it cannot be worked out: ${landed.problem.replace(/\.$/, "")}`,
        ),
      );
  }
  private totals: OrderTotals | undefined;

  /** The currency of a row's money; a blank one is taken from what the row hangs on. */
  private settle(statement: FileTable, values: Values): string {
    const own = values["currency"];
    if (typeof own === "string") return own;
    const parent =
      statement.table === "order" || statement.table === "priceBreak" || statement.table === "knockOn"
        ? this.find("quote", values["quote"])
        : statement.table === "payment"
          ? (this.find("order", values["order"]) ??
            this.find("operationWay", values["way"]) ??
            this.find("remedy", values["remedy"]))
          : undefined;
    const currency = String(parent?.values["currency"] ?? this.currency);
    if ("currency" in values) values["currency"] = currency;
    return currency;
  }

  private duplicate(statement: FileTable, row: GivenRow, earlier: string): void {
    const columns = statement.columns.filter((column) => statement.key.includes(column.field));
    const raw = columns.map((column) => row.raw[column.field] ?? "").join(", ");
    const names = columns.map((column) => column.name);
    const where = earlier === "" ? "" : statement.file.endsWith(".csv") ? ` on line ${earlier}` : ` as ${earlier}`;
    this.faults.add(
      cellFault(
        statement.file,
        row.at,
        names,
        raw,
        "DUPLICATE",
        `${columns.length > 1 ? "are" : "is"} there twice: already${where === "" ? " before it" : where}`,
      ),
    );
  }

  private check(statement: FileTable, row: GivenRow, values: Values): void {
    for (const fault of faultsOf(statement.noun, values)) {
      const field = fault.field ?? "";
      if (row.faulty.has(field)) continue;
      const column = statement.columns.find((one) => one.field === field);
      // A name taken from a code that is at fault itself says nothing new.
      if (column?.blankIsCode && row.faulty.has("code") && values[field] === null) continue;
      this.faults.add(
        cellFault(
          statement.file,
          row.at,
          column?.name ?? field,
          row.raw[field] ?? fault.value ?? "",
          fault.code,
          complaintOf(fault) ?? fault.message.replace(/\.$/, ""),
        ),
      );
    }
  }

  /** Links that wait for one another in a circle. */
  private circles(): void {
    const links = this.held.get("link")!;
    const operations = this.named.get("operation")!;
    const ends = links.flatMap((link) => {
      const [before, after] = [bare(link.values["before"]), bare(link.values["after"])].map(String);
      return operations.has(before!) && operations.has(after!)
        ? [{ before: before!, after: after!, lag: 0, lagInDays: false, link }]
        : [];
    });
    const anyWeek = new ShopCalendar({
      weekdayHours: [8, 8, 8, 8, 8, 8, 8],
      closedDates: [],
      figuresFor: "2000-01-01",
    });
    try {
      new Network(
        [...operations.keys()].map((id) => ({ id, hours: 0 })),
        ends,
        anyWeek,
      );
    } catch (error) {
      if (!(error instanceof NetworkFault) || error.code !== "CYCLE") throw error;
      const path = error.rows;
      const nexts = new Map(path.slice(0, -1).map((code, i) => [code, path[i + 1]]));
      const on = ends.find(({ before, after, link }) => link.at !== null && nexts.get(before) === after);
      const told = path.length > MOST_TOLD ? [...path.slice(0, MOST_TOLD), "…", path.at(-1)] : path;
      this.faults.add({
        code: "CYCLE",
        file: "links.csv",
        row: on?.link.at ?? undefined,
        field: "after",
        value: on?.after,
        rows: path,
        message: `These operations wait for one another in a circle: ${told.join(" → ")}. Take one of these links out.`,
      });
    }
  }

  /** One quote of a part, one remedy of a snag, and one way of an operation is in force: a choice that a file makes takes the place of the one held. */
  private choices(
    statement: FileTable,
    of: "part" | "snag" | "operation",
    column: "chosen" | "fallback" = "chosen",
  ): void {
    const groups = new Map<string, HeldRow[]>();
    for (const row of this.held.get(statement.table)!) {
      if (row.values[column] !== true) continue;
      const key = String(bare(row.values[of]));
      const group = groups.get(key);
      if (group) group.push(row);
      else groups.set(key, [row]);
    }
    for (const [code, rows] of groups) {
      const newly = rows.filter(
        (row) => row.at !== null && (row.before?.[column] !== true || row.before[of] !== row.values[of]),
      );
      const asked = rows.filter((row) => row.at !== null && this.says(statement, row, column));
      for (const row of asked.slice(1))
        this.faults.add(
          cellFault(
            statement.file,
            row.at!,
            column,
            "yes",
            "DUPLICATE",
            `is yes twice for the ${of} ${code}: also for ${codeInWords(NOUNS[statement.table], String(asked[0]!.values["code"]))}; keep one`,
          ),
        );
      const inForce = asked[0] ?? newly[0] ?? rows[0];
      for (const row of rows) if (row !== inForce) row.values = { ...row.values, [column]: false };
    }
  }

  /** True where the file itself says yes, and not only the row that it changes. */
  private says(statement: FileTable, row: HeldRow, column: "chosen" | "fallback"): boolean {
    const key = `${statement.table} ${column}`;
    if (!this.yes.has(key))
      this.yes.set(
        key,
        new Set(
          (this.given.rows.get(statement.table) ?? []).filter((one) => one.given[column] === true).map((one) => one.at),
        ),
      );
    return this.yes.get(key)!.has(row.at!);
  }
  private readonly yes = new Map<string, Set<string>>();
}
