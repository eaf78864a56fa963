/** The rows of a restoration by code, as files name them: what is stored now, and what it will be after an import. */
import type { Store, Tx } from "../store/client.ts";
import type { Table } from "../store/tables.ts";
import { type Cell, type FileTable, TABLES, tableOf, type Values } from "./columns.ts";

export interface HeldRow {
  /** Id in the store; null while it is not stored. */
  id: string | null;
  revision: number;
  values: Values;
  /** The values as stored; null while it is not stored. */
  before: Values | null;
  /** Line of the file that gives it; null where no file does. */
  at: string | null;
}

export type Held = Map<Table, HeldRow[]>;

/** Fields that no file has a column for, beside the columns. */
export const HIDDEN: Partial<Record<Table, readonly string[]>> = {
  specificationRow: ["position"],
  knockOn: ["position"],
  statedDimension: ["position"],
  order: ["part"],
};

/** Tables whose rows keep the order in which the file gives those of one parent. */
export const PLACED: readonly Table[] = ["specificationRow", "knockOn", "statedDimension"];

/** A restoration that is not there yet: nothing is held. */
export const nothingHeld = (): Held => new Map(TABLES.map(({ table }) => [table, []]));

/** Stored field of a reference: the id of the row named. */
export const idField = (field: string): string => `${field}Id`;

/**
 * Everything stored of a restoration, in one wide query a table; of a new one (null) only the workshop's suppliers.
 * Rows stand in the order in which they are exported.
 */
export async function heldRows(store: Store | Tx, workshopId: string, restorationId: string | null): Promise<Held> {
  const held = nothingHeld();
  const codes = new Map<string, string>();
  const stored = new Map<Table, Record<string, unknown>[]>();
  for (const statement of TABLES) {
    const { table, owner } = statement;
    if (restorationId === null && owner !== "workshop") continue;
    const parent = statement.columns[0]!.field;
    const where = {
      self: { id: restorationId },
      workshop: { workshopId },
      restoration: { restorationId },
      parent: { [parent]: { restorationId } },
    }[owner];
    const delegate = store[table] as unknown as { findMany(query: object): Promise<Record<string, unknown>[]> };
    const rows = await delegate.findMany({ where });
    stored.set(table, rows);
    if (statement.named !== null)
      for (const row of rows) codes.set(`${table} ${row["id"]}`, nameIn(statement, row, codes));
  }
  const accounts = (stored.get("hoursBooked") ?? []).map((row) => String(row["accountId"]));
  const names = new Map(
    accounts.length === 0
      ? []
      : (
          await store.account.findMany({
            where: { id: { in: [...new Set(accounts)] } },
            select: { id: true, name: true },
          })
        ).map(({ id, name }) => [id, name]),
  );
  const chosen = new Set([
    ...(stored.get("part") ?? []).map((row) => row["chosenQuoteId"]),
    ...(stored.get("snag") ?? []).map((row) => row["chosenRemedyId"]),
    ...(stored.get("operation") ?? []).map((row) => row["chosenWayId"]),
  ]);
  const fallbacks = new Set((stored.get("part") ?? []).map((row) => row["fallbackQuoteId"]));
  for (const [table, rows] of stored) {
    const statement = tableOf(table);
    for (const row of rows) {
      const values: Values = {};
      for (const { field, kind } of statement.columns) {
        if (field === "chosen") values[field] = chosen.has(row["id"]);
        else if (field === "fallback") values[field] = fallbacks.has(row["id"]);
        else if (kind.is === "row") values[field] = codes.get(`${kind.of} ${row[idField(field)]}`) ?? null;
        else values[field] = row[field] as Cell;
      }
      if (table === "payment")
        values["corrects"] =
          (rows.find(({ id }) => id === row["correctsId"])?.["paidOn"] as string | undefined) ?? null;
      if (table === "hoursBooked") values["who"] = names.get(String(row["accountId"])) ?? "";
      if (table === "order") values["part"] = codes.get(`part ${row["partId"]}`) ?? null;
      if (PLACED.includes(table)) values["position"] = row["position"] as number;
      held
        .get(table)!
        .push({ id: String(row["id"]), revision: Number(row["revision"]), values, before: values, at: null });
    }
    sortRows(statement, held.get(table)!);
  }
  return held;
}

/** What other tables call a row: a text of its own, or the name of the row that it belongs to. */
function nameIn(statement: FileTable, row: Record<string, unknown>, codes: ReadonlyMap<string, string>): string {
  const named = statement.columns.find(({ field }) => field === statement.named);
  if (named?.kind.is !== "row") return String(row[statement.named!]);
  return codes.get(`${named.kind.of} ${row[idField(named.field)]}`) ?? "";
}

const byWords = new Intl.Collator("en", { numeric: true });

function compare(a: Cell | undefined, b: Cell | undefined): number {
  if (a === b) return 0;
  if (a === null || a === undefined) return -1;
  if (b === null || b === undefined) return 1;
  if (typeof a === "string" && typeof b === "string") return byWords.compare(a, b) || (a < b ? -1 : 1);
  return Number(a) - Number(b);
}

/** Puts rows in the order of their files: parents first by code (2 before 10), then place, then all else, so that the order is the same wherever the rows come from. */
export function sortRows(statement: FileTable, rows: HeldRow[]): void {
  const fields = statement.columns.map((column) => column.field);
  const order =
    PLACED.includes(statement.table) || statement.table === "judgingLine" || statement.table === "judgingSection"
      ? [...statement.key.slice(0, -1), "position", ...fields]
      : [...statement.key, ...fields];
  rows.sort((a, b) => {
    for (const field of order) {
      const difference = compare(a.values[field], b.values[field]);
      if (difference !== 0) return difference;
    }
    return 0;
  });
}

/** True where a row stands otherwise than it is stored. */
export function isChanged(statement: FileTable, row: HeldRow): boolean {
  const { before } = row;
  if (before === null) return true;
  return [...statement.columns.map((column) => column.field), ...(HIDDEN[statement.table] ?? [])].some(
    // Whose hours they were stays with the account that booked them.
    (field) => before[field] !== row.values[field] && !(statement.table === "hoursBooked" && field === "who"),
  );
}

/**
 * By the payment that takes another back, the one that it takes back: of the same order, kind and currency, of the day
 * that it names, with the opposite amount. Of several that are alike each is taken back once.
 */
export function correctedPayments(rows: readonly HeldRow[]): Map<HeldRow, HeldRow> {
  const keyOf = ({ values }: HeldRow, day: Cell, amount: number): string =>
    JSON.stringify([values["order"], values["kind"], values["currency"], day, amount]);
  const free = new Map<string, HeldRow[]>();
  for (const row of rows) {
    const day = row.values["corrects"] ?? null;
    if (day === null) continue;
    const key = keyOf(row, day, -Number(row.values["amountMinor"]));
    free.set(key, [...(free.get(key) ?? []), row]);
  }
  const found = new Map<HeldRow, HeldRow>();
  // From each entry that takes nothing back along those against it, so that no two take each other back.
  for (const root of rows) {
    if ((root.values["corrects"] ?? null) !== null) continue;
    for (let at: HeldRow | undefined = root; at !== undefined; ) {
      const next: HeldRow | undefined = free
        .get(keyOf(at, at.values["paidOn"]!, Number(at.values["amountMinor"])))
        ?.shift();
      if (next !== undefined) found.set(next, at);
      at = next;
    }
  }
  return found;
}
