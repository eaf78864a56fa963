/** A restoration as files: the same that an import reads, so that export and import change nothing. */
import { strToU8, Zip, ZipDeflate } from "fflate";
import type { Store } from "../store/client.ts";
import { NotFound } from "../store/fault.ts";
import { decimalsOf, writeCell } from "./cell.ts";
import { type Cell, CSV_TABLES, FIGURES_FOR, type FileTable, RESTORATION_FILE, tableOf } from "./columns.ts";
import { csvTextSteps } from "./csv.ts";
import { majorUnits } from "./decimal.ts";
import { type Held, type HeldRow, heldRows } from "./held.ts";
import { inSlices, type Steps, turn } from "./slices.ts";

/**
 * The restoration's files by name. Suppliers are those that its quotes, remedies and ways name; exchange rates those of
 * the currencies in which it is quoted and paid. @throws NotFound
 */
export async function exportFiles(
  store: Store,
  workshopId: string,
  restorationId: string,
): Promise<Map<string, string>> {
  const held = await heldRows(store, workshopId, restorationId, turn);
  if (held.get("restoration")!.length === 0) throw new NotFound("restoration");
  const naming = [...held.get("quote")!, ...held.get("remedy")!, ...held.get("operationWay")!];
  const used = new Set(naming.map((row) => row.values["supplier"]));
  held.set(
    "supplier",
    held.get("supplier")!.filter((row) => used.has(row.values["code"]!)),
  );
  const spoken = currenciesOf(held);
  held.set(
    "exchangeRate",
    held.get("exchangeRate")!.filter(({ values }) => spoken.has(values["base"]!) || spoken.has(values["counter"]!)),
  );
  const files = new Map<string, string>();
  for (const table of CSV_TABLES) files.set(table.file, await inSlices(tableSteps(table, held)));
  files.set(RESTORATION_FILE, `${JSON.stringify(settings(held), null, 2)}\n`);
  return files;
}

/** Currencies of the restoration's rows, without its own where others are there: rates of that alone are of no use to it. */
function currenciesOf(held: Held): Set<Cell> {
  const named = [...held].filter(([table]) => table !== "restoration").flatMap(([, rows]) => rows);
  const own = held.get("restoration")![0]!.values["currency"];
  const foreign = new Set(
    named.map((row) => row.values["currency"] ?? null).filter((code) => code !== null && code !== own),
  );
  return foreign.size === 0 ? foreign : foreign.add(own!);
}

/** The files packed. */
export async function exportZip(store: Store, workshopId: string, restorationId: string): Promise<Uint8Array> {
  return packed(await exportFiles(store, workshopId, restorationId));
}

/** Bytes that are packed in one step. */
const PACKED = 65_536;

/** Texts as a zip, in UTF-8. */
export function packed(files: ReadonlyMap<string, string>): Promise<Uint8Array> {
  return inSlices(packingSteps(files));
}

function* packingSteps(files: ReadonlyMap<string, string>): Steps<Uint8Array> {
  const parts: Uint8Array[] = [];
  const zip = new Zip((error, part) => {
    if (error) throw error;
    parts.push(part);
  });
  for (const [name, text] of files) {
    const entry = new ZipDeflate(name);
    zip.add(entry);
    const bytes = strToU8(text);
    for (let at = 0; at === 0 || at < bytes.length; at += PACKED) {
      entry.push(bytes.subarray(at, at + PACKED), at + PACKED >= bytes.length);
      yield at;
    }
  }
  zip.end();
  return Buffer.concat(parts);
}

function tableSteps(table: FileTable, held: Held): Steps<string> {
  const currencies = new Map(held.get("quote")!.map((row) => [row.values["code"], String(row.values["currency"])]));
  const ours = String(held.get("restoration")![0]!.values["currency"]);
  const currencyOf = (row: HeldRow, kind: string): string =>
    kind === "restoration"
      ? ours
      : String(row.values["currency"] ?? currencies.get(row.values["quote"] ?? null) ?? ours);
  const cells = (row: HeldRow): string[] =>
    table.columns.map((column) =>
      writeCell(
        column,
        row.values[column.field] ?? null,
        currencyOf(row, column.kind.is === "money" ? column.kind.currency : "row"),
      ),
    );
  return csvTextSteps(
    table.columns.map((column) => column.name),
    held.get(table.table)!,
    cells,
  );
}

type Json = Cell | Json[] | { [key: string]: Json };

/** restoration.json. Money is decimal text, so that no reader rounds it. */
function settings(held: Held): Json {
  const restoration = named(held.get("restoration")![0]!, "restoration");
  const { values } = held.get("restoration")![0]!;
  for (const { name, field, kind } of tableOf("restoration").columns) {
    const amount = values[field];
    if (kind.is === "money" && typeof amount === "number")
      restoration[name] = majorUnits(amount, decimalsOf(String(values["currency"])) ?? 0);
  }
  const calendar = held.get("shopCalendar")![0];
  const bySection = (table: "judgingLine" | "judgingDeduction"): Map<Cell | undefined, HeldRow[]> => {
    const groups = new Map<Cell | undefined, HeldRow[]>();
    for (const row of held.get(table)!) {
      const group = groups.get(row.values["section"]);
      if (group) group.push(row);
      else groups.set(row.values["section"], [row]);
    }
    return groups;
  };
  const lines = bySection("judgingLine");
  const deductions = bySection("judgingDeduction");
  const place = (row: HeldRow, i: number): Record<string, Json> =>
    row.values["position"] === i ? {} : { position: row.values["position"]! };
  return {
    ...restoration,
    [FIGURES_FOR.name]: (calendar?.stored?.["figuresFor"] as string | null | undefined) ?? null,
    calendar: {
      ...(calendar ? { hours: named(calendar, "shopCalendar") } : {}),
      closed: held.get("closedDate")!.map((row) => named(row, "closedDate")),
    },
    tradeRates: held.get("tradeRate")!.map((row) => {
      const rate = row.values["rateMinor"];
      const places = decimalsOf(String(values["currency"])) ?? 0;
      return { ...named(row, "tradeRate"), rate: typeof rate === "number" ? majorUnits(rate, places) : null };
    }),
    judgingSheet: {
      sections: held.get("judgingSection")!.map((row, i) => {
        const { position: _, ...section } = named(row, "judgingSection");
        const own = lines.get(row.values["name"]) ?? [];
        return {
          ...section,
          ...place(row, i),
          lines: own.map((line, k) => {
            const { position: __, section: ___, ...rest } = named(line, "judgingLine");
            return { ...rest, ...place(line, k) };
          }),
          deductions: (deductions.get(row.values["name"]) ?? []).map((one) => {
            const { section: ___, ...rest } = named(one, "judgingDeduction");
            return rest;
          }),
        };
      }),
      floors: held.get("awardFloor")!.map((row) => named(row, "awardFloor")),
    },
  };
}

const named = (
  row: HeldRow,
  table:
    | "restoration"
    | "shopCalendar"
    | "closedDate"
    | "tradeRate"
    | "judgingSection"
    | "judgingLine"
    | "judgingDeduction"
    | "awardFloor",
): Record<string, Json> =>
  Object.fromEntries(tableOf(table).columns.map(({ name, field }) => [name, row.values[field] ?? null]));
