/** Exchange rates as text in the open layout of daily tables: a column Date, one column a currency, all against the euro. */
import type { Change } from "../generated/prisma/client.ts";
import type { Store } from "../store/client.ts";
import { type Fault, InvalidInput } from "../store/fault.ts";
import { record } from "../store/journal.ts";
import { faultsOf, isDate } from "../store/rules.ts";
import { readCsv } from "./csv.ts";

/** What the table's rates are against: 1 EUR costs so much of each. */
const BASE = "EUR";

/** Rates of one import: a record of more would be too large to take back. */
export const MOST_RATES = 20_000;
const MOST_FAULTS = 1_000;

/** Cells that say that there was no rate. */
const ABSENT = new Set(["", "N/A", "n/a", "-"]);

const MONTHS = [
  "january",
  "february",
  "march",
  "april",
  "may",
  "june",
  "july",
  "august",
  "september",
  "october",
  "november",
  "december",
];

export interface GivenRate {
  date: string;
  base: string;
  counter: string;
  rate: string;
}

/** Reads the table. Faults name the line as row and the column as field. @throws InvalidInput */
export function readRates(csv: string): GivenRate[] {
  const table = readCsv("rates", new TextEncoder().encode(csv), ["date"]);
  const faults: Fault[] = table.faults.map(({ file: _file, ...fault }) => fault);
  const dateAt = table.header.indexOf("date");
  if (faults.length === 0 && dateAt < 0)
    faults.push({
      code: "MISSING_COLUMN",
      row: String(table.headerLine),
      field: "date",
      message: "The table needs a column Date, and one column a currency.",
    });
  if (faults.length > 0) throw new InvalidInput(faults);

  const rates: GivenRate[] = [];
  const lines = new Map<string, number>();
  const unknown = new Set<string>();
  for (const { line, cells } of table.records) {
    const at = { row: String(line) };
    const date = isoDate(cells[dateAt] ?? "");
    if (!isDate(date)) faults.push(...faultsOfDate(date, at));
    else if (lines.has(date))
      faults.push({
        ...at,
        code: "DUPLICATE",
        field: "date",
        value: date,
        message: `${date} is there twice: also on line ${lines.get(date)}.`,
      });
    else lines.set(date, line);
    table.header.forEach((name, i) => {
      const cell = (cells[i] ?? "").trim();
      const counter = name.toUpperCase();
      if (i === dateAt || name === "" || ABSENT.has(cell) || unknown.has(counter)) return;
      const row = { date, base: BASE, counter, rate: cell };
      for (const fault of faultsOf("exchangeRate", row, at)) {
        if (fault.field === "date") continue;
        if (fault.code === "UNKNOWN_CURRENCY") unknown.add(counter);
        faults.push({ ...fault, field: counter });
      }
      rates.push(row);
    });
    if (faults.length >= MOST_FAULTS) break;
  }
  if (faults.length === 0 && rates.length === 0)
    faults.push({ code: "REQUIRED", field: "csv", message: "There is no rate in the table." });
  if (rates.length > MOST_RATES)
    faults.push({
      code: "TOO_LARGE",
      field: "csv",
      message: `The table holds more than ${MOST_RATES} rates. Give only the newest days.`,
    });
  if (faults.length > 0) throw new InvalidInput(faults);
  return rates;
}

const faultsOfDate = (date: string, at: { row: string }): Fault[] =>
  faultsOf("exchangeRate", { date, base: BASE, counter: "GBP", rate: "1" }, at);

/** A date as it stands, or with the month in words (20 November 2026), in ISO order. */
function isoDate(text: string): string {
  const bare = text.trim();
  const words = /^(\d{1,2}) ([a-z]+) (\d{4})$/i.exec(bare);
  const month = words === null ? -1 : MONTHS.indexOf(words[2]!.toLowerCase());
  if (words === null || month < 0) return bare;
  return `${words[3]}-${String(month + 1).padStart(2, "0")}-${words[1]!.padStart(2, "0")}`;
}

export interface ImportedRates {
  change: Change;
}

/** Lays a table of rates over those that are kept, in one recorded change. @throws InvalidInput */
export async function importRates(
  store: Store,
  to: { workshopId: string; accountId: string; restorationId: string },
  csv: string,
): Promise<ImportedRates> {
  const rates = readRates(csv);
  const dates = [...new Set(rates.map(({ date }) => date))].sort();
  const { workshopId, accountId, restorationId } = to;
  let [added, altered] = [0, 0];
  const summary = (): string =>
    `Exchange rates of ${dates.length === 1 ? dates[0] : `${dates[0]} to ${dates.at(-1)}`}: ${added} new, ${altered} changed`;
  const change = await record(store, { restorationId, accountId, summary }, async (journal) => {
    const kept = await journal.tx.exchangeRate.findMany({
      where: { workshopId, base: BASE, date: { gte: dates[0]!, lte: dates.at(-1)! } },
    });
    const byKey = new Map(kept.map((row) => [`${row.date} ${row.counter}`, row]));
    const fresh = rates.filter(({ date, counter }) => !byKey.has(`${date} ${counter}`));
    await journal.createMany(
      "exchangeRate",
      fresh.map((rate) => ({ ...rate, workshopId })),
    );
    for (const { date, counter, rate } of rates) {
      const row = byKey.get(`${date} ${counter}`);
      if (row === undefined || row.rate === rate) continue;
      await journal.update("exchangeRate", row.id, row.revision, { rate });
      altered += 1;
    }
    added = fresh.length;
  });
  return { change };
}
