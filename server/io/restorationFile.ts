/** restoration.json: the restoration itself, its calendar, rates of trades and judging sheet. Keys in camelCase or snake_case. */

import { complaintOf, faultsOf, kinds } from "../store/rules.ts";
import type { Table } from "../store/tables.ts";
import {
  type Column,
  EARLIER_COLUMNS,
  FIGURES_FOR,
  HANDS_BY_TRADE,
  RESTORATION_FILE,
  tableOf,
  type Values,
  WEEK,
} from "./columns.ts";
import { decode, firstLineNotUtf8 } from "./csv.ts";
import { plain } from "./decimal.ts";
import { agreed, cellFault, type Given, type GivenRow, notice, readInto } from "./given.ts";

type Json = null | boolean | number | string | Json[] | { [key: string]: Json };

const WEEKDAYS: readonly string[] = WEEK;
const camel = (key: string): string => key.replace(/_+([a-zA-Z0-9])/g, (_, letter: string) => letter.toUpperCase());
const isObject = (value: Json | undefined): value is { [key: string]: Json } =>
  typeof value === "object" && value !== null && !Array.isArray(value);

/** Bytes of the file, and rows in it: it is read in one step. */
const MOST_BYTES = 1024 * 1024;
const MOST_LISTED = 5_000;

class TooMuch extends Error {}

/** A value as it is written. */
function written(value: Json): string {
  try {
    return JSON.stringify(value);
  } catch {
    return "nested too deep";
  }
}

/** Reads the file into given rows; faults name the place, such as hands[0].people. */
export function readRestorationFile(bytes: Uint8Array, given: Given): void {
  const tooLarge = (complaint: string): void => {
    const message = `${RESTORATION_FILE} ${complaint}. Nothing after that was read.`;
    given.faults.add({ code: "TOO_LARGE", file: RESTORATION_FILE, message });
  };
  if (bytes.length > MOST_BYTES) {
    tooLarge("is larger than 1 MiB");
    return;
  }
  let text: string;
  try {
    text = decode(bytes);
  } catch {
    const row = String(firstLineNotUtf8(bytes));
    given.faults.add({
      code: "UNREADABLE",
      file: RESTORATION_FILE,
      row,
      message: `${RESTORATION_FILE} line ${row} is not UTF-8 text. Save the file as UTF-8 and import it again.`,
    });
    return;
  }
  let json: Json;
  try {
    json = JSON.parse(text) as Json;
  } catch (error) {
    given.faults.add({
      code: "UNREADABLE",
      file: RESTORATION_FILE,
      message: `${RESTORATION_FILE} is not JSON: ${(error as Error).message.slice(0, 200)}.`,
    });
    return;
  }
  try {
    new Reader(given).restoration(json);
  } catch (error) {
    if (!(error instanceof TooMuch)) throw error;
    tooLarge(`lists more than ${MOST_LISTED} rows`);
  }
}

class Reader {
  private listed = 0;

  constructor(private readonly given: Given) {}

  restoration(json: Json): void {
    const whole = this.object(json, "");
    if (!whole) return;
    const earlier = Object.entries(EARLIER_COLUMNS[RESTORATION_FILE] ?? {});
    for (const [name, today] of earlier) if (whole.has(name) && whole.has(today)) this.oneOf(whole, name, today);
    const isDay = ([name, today]: [string, string]) => today === FIGURES_FOR.name && whole.has(name);
    const dayName = earlier.find(isDay)?.[0] ?? FIGURES_FOR.name;
    this.day(whole, dayName);
    this.add("restoration", whole, "", [dayName, "calendar", "tradeRates", "hands", "judgingSheet"]);
    const calendar = whole.get("calendar");
    if (calendar !== undefined && calendar !== null) this.calendar(calendar);
    this.list(whole, "tradeRates", "").forEach((one, i) => {
      this.add("tradeRate", one, `tradeRates[${i}]`);
    });
    this.list(whole, "hands", "").forEach((one, i) => {
      this.byTrade(one, `hands[${i}]`);
    });
    const sheet = whole.get("judgingSheet");
    if (sheet !== undefined && sheet !== null) this.judgingSheet(sheet);
  }

  /** A key that is there by its earlier name too: both must agree, or one of them say nothing. */
  private oneOf(whole: Map<string, Json>, name: string, today: string): void {
    whole.set(today, this.said("", name, whole.get(name)!, today, whole.get(today)!));
    whole.delete(name);
  }

  /** What is said by two names, of which one may say nothing; a fault where they differ. */
  private said(at: string, name: string, value: Json, today: string, says: Json): Json {
    const text = (one: Json): string => (one === null ? "" : typeof one === "string" ? one : written(one));
    const complaint = agreed(today, text(value), text(says));
    if (complaint !== null)
      this.given.faults.add(cellFault(RESTORATION_FILE, at, name, text(value), "DUPLICATE", complaint));
    return text(says).trim() === "" ? value : says;
  }

  /** The day that the files are for. */
  private day(whole: Map<string, Json>, name: string): void {
    const column = { ...FIGURES_FOR, name };
    const { given, raw, faulty } = this.read([column], whole, "");
    const day = given[column.field] ?? null;
    const read = kinds.date().nullable().safeParse(day);
    if (!read.success)
      this.given.faults.add(
        cellFault(RESTORATION_FILE, "", name, raw[column.field]!, "NOT_A_DATE", read.error.issues[0]!.message),
      );
    else if (day !== null && !faulty.has(column.field)) this.given.figuresFor = { name, day: String(day) };
  }

  private calendar(json: Json): void {
    const calendar = this.object(json, "calendar");
    if (!calendar) return;
    this.unused(calendar, "calendar", ["hours", "workingDays", "hoursPerDay", "closed", "closedDates"]);
    const week = this.week(calendar);
    if (week) this.add("shopCalendar", week, "calendar.hours");
    const closed = calendar.get("closed") ?? calendar.get("closedDates") ?? [];
    if (!Array.isArray(closed)) {
      this.wrong("calendar.closed", "must be a list of dates", closed);
      return;
    }
    this.count(closed);
    closed.forEach((one, i) => {
      const at = `calendar.closed[${i}]`;
      const row = typeof one === "string" ? new Map<string, Json>([["date", one]]) : this.object(one, at);
      if (row) this.add("closedDate", row, at);
    });
  }

  /** A line of an earlier version: the rate of a trade, and how many of it worked. */
  private byTrade(line: Map<string, Json>, at: string): void {
    const names = HANDS_BY_TRADE.map(({ name }) => name);
    const rate = new Map([...line].filter(([key]) => key === "trade" || !names.includes(key)));
    this.add("tradeRate", rate, at);
    const { given, raw, faulty } = this.read(HANDS_BY_TRADE.slice(1), line, at);
    for (const fault of faultsOf("handsByTrade", { trade: "-", people: 1, hoursPerDay: 8, ...given }))
      if (!faulty.has(fault.field!))
        this.given.faults.add(
          cellFault(RESTORATION_FILE, at, fault.field!, raw[fault.field!]!, fault.code, complaintOf(fault) ?? ""),
        );
    this.given.byTrade.push({ trade: line.get("trade"), ...given } as Values);
  }

  /** Hours of each weekday: given day by day, or as the working days and their hours. */
  private week(calendar: Map<string, Json>): Map<string, Json> | undefined {
    if (calendar.has("hours")) return this.object(calendar.get("hours")!, "calendar.hours");
    if (!calendar.has("workingDays") && !calendar.has("hoursPerDay")) return undefined;
    const days = calendar.get("workingDays") ?? WEEKDAYS.slice(0, 5);
    const names = Array.isArray(days) ? days.map((day) => (typeof day === "string" ? weekdayOf(day) : undefined)) : [];
    if (!Array.isArray(days) || names.includes(undefined)) {
      this.wrong("calendar.workingDays", "must be a list of weekdays such as monday", days);
      return undefined;
    }
    const hours = calendar.get("hoursPerDay") ?? 8;
    return new Map(WEEKDAYS.map((day) => [day, names.includes(day) ? hours : 0]));
  }

  private judgingSheet(json: Json): void {
    const sheet = this.object(json, "judgingSheet");
    if (!sheet) return;
    this.unused(sheet, "judgingSheet", ["sections", "floors"]);
    this.list(sheet, "sections", "judgingSheet.").forEach((section, i) => {
      const at = `judgingSheet.sections[${i}]`;
      if (!section.has("position")) section.set("position", i);
      this.add("judgingSection", section, at, ["lines", "deductions"]);
      this.list(section, "lines", `${at}.`).forEach((line, k) => {
        line.set("section", section.get("name") ?? "");
        if (!line.has("position")) line.set("position", k);
        this.add("judgingLine", line, `${at}.lines[${k}]`);
      });
      this.list(section, "deductions", `${at}.`).forEach((deduction, k) => {
        deduction.set("section", section.get("name") ?? "");
        this.add("judgingDeduction", deduction, `${at}.deductions[${k}]`);
      });
    });
    this.list(sheet, "floors", "judgingSheet.").forEach((floor, i) => {
      this.add("awardFloor", floor, `judgingSheet.floors[${i}]`);
    });
  }

  /** One row of a table; `inner` are keys that hold further rows. */
  private add(table: Table, object: Map<string, Json>, at: string, inner: readonly string[] = []): void {
    const statement = this.given.written.get(table) ?? tableOf(table);
    this.unused(object, at, [...statement.columns.map((column) => column.name), ...inner]);
    const row = this.read(statement.columns, object, at, statement.named);
    if (!this.given.rows.has(table)) this.given.rows.set(table, []);
    this.given.rows.get(table)!.push(row);
  }

  private read(
    columns: readonly Column[],
    object: Map<string, Json>,
    at: string,
    named: string | null = null,
  ): GivenRow & { faulty: Set<string> } {
    const row: GivenRow & { faulty: Set<string> } = { at, given: {} as Values, raw: {}, faulty: new Set() };
    for (const column of columns) {
      const value = object.get(column.name);
      if (value === undefined && !column.required) continue;
      const text = this.text(column, value ?? null, at, row.faulty);
      if (text === undefined) continue;
      row.raw[column.field] = text;
      readInto({ file: RESTORATION_FILE, named }, at, column, text, row.given, row.faulty, this.given.faults);
    }
    return row;
  }

  /** A JSON value as the text that a cell of the column would hold. */
  private text(column: Column, value: Json, at: string, faulty: Set<string>): string | undefined {
    if (value === null) return "";
    if (typeof value === "string") return value;
    if (typeof value === "number") return plain(value);
    if (typeof value === "boolean" && column.kind.is === "yesNo") return value ? "yes" : "no";
    faulty.add(column.field);
    const code = ["number", "whole", "money"].includes(column.kind.is) ? "NOT_A_NUMBER" : "NOT_A_CHOICE";
    this.given.faults.add(
      cellFault(
        RESTORATION_FILE,
        at,
        column.name,
        written(value),
        code,
        `must be a single ${column.kind.is === "yesNo" ? "true or false" : code === "NOT_A_NUMBER" ? "number" : "text"}`,
      ),
    );
    return undefined;
  }

  private object(json: Json, at: string): Map<string, Json> | undefined {
    if (isObject(json)) {
      const named = new Map<string, { key: string; value: Json }>();
      for (const [key, value] of Object.entries(json)) {
        const other = named.get(camel(key));
        named.set(camel(key), {
          key: other?.key ?? key,
          value: other === undefined ? value : this.said(at, key, value, other.key, other.value),
        });
      }
      return new Map([...named].map(([name, { value }]) => [name, value]));
    }
    this.wrong(at, "must be names and values between { and }", json);
    return undefined;
  }

  private list(object: Map<string, Json>, key: string, prefix: string): Map<string, Json>[] {
    const value = object.get(key);
    if (value === undefined || value === null) return [];
    if (!Array.isArray(value)) {
      this.wrong(prefix + key, "must be a list", value);
      return [];
    }
    this.count(value);
    return value.flatMap((one, i) => this.object(one, `${prefix}${key}[${i}]`) ?? []);
  }

  private count(list: readonly Json[]): void {
    this.listed += list.length;
    if (this.listed > MOST_LISTED) throw new TooMuch();
  }

  private wrong(at: string, complaint: string, value: Json): void {
    this.given.faults.add(cellFault(RESTORATION_FILE, at, at || "the file", written(value), "UNREADABLE", complaint));
  }

  private unused(object: Map<string, Json>, at: string, known: readonly string[]): void {
    for (const key of object.keys())
      if (!known.includes(key))
        notice(this.given.notices, {
          code: "UNUSED_COLUMN",
          file: RESTORATION_FILE,
          row: at || undefined,
          field: key.slice(0, 80),
          message: `${RESTORATION_FILE} has a value ${at ? `${at}.` : ""}${key.slice(0, 80)} that is not read. It was left alone.`,
        });
  }
}

/** A weekday by its English name or its first three letters. */
function weekdayOf(text: string): string | undefined {
  const asked = text.trim().toLowerCase();
  return asked.length >= 3 ? WEEKDAYS.find((day) => day === asked || day.slice(0, 3) === asked) : undefined;
}
