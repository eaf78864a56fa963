/** The rows of a restoration by code, as files name them: what is stored now, and what it will be after an import. */
import type { Store, Tx } from "../store/client.ts";
import { type AnyRow, CHUNK, delegateOf, type Table } from "../store/tables.ts";
import { type Cell, type FileTable, nameOfRow, TABLES, tableOf, type Values } from "./columns.ts";
import type { Step } from "./read.ts";
import { inSlices, Slices, type Steps } from "./slices.ts";

export interface HeldRow {
  /** Id in the store; null while it is not stored. */
  id: string | null;
  revision: number;
  values: Values;
  /** The values as stored; null while it is not stored. */
  before: Values | null;
  /** The row as the table holds it; null while it is not stored. */
  stored: AnyRow | null;
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

/** Columns of which a payment names one: what it was for. */
export const PAID_FOR = ["order", "way", "remedy"] as const;

/** A restoration that is not there yet: nothing is held. */
export const nothingHeld = (): Held => new Map(TABLES.map(({ table }) => [table, []]));

/** Stored field of a reference: the id of the row named. */
export const idField = (field: string): string => `${field}Id`;

/**
 * Everything stored of a restoration, in wide queries of each table; of a new one (null) only the workshop's suppliers.
 * Rows stand in the order in which they are exported. `step` is called after each slice of work.
 */
export async function heldRows(
  store: Store | Tx,
  workshopId: string,
  restorationId: string | null,
  step: Step = async () => {},
): Promise<Held> {
  const stored = new Map<Table, AnyRow[]>();
  const slices = new Slices(step);
  for (const { table, owner, columns } of TABLES) {
    if (restorationId === null && owner !== "workshop") continue;
    const where = {
      self: { id: restorationId },
      workshop: { workshopId },
      restoration: { restorationId },
      parent: { [columns[0]!.field]: { restorationId } },
    }[owner];
    const rows: AnyRow[] = [];
    for (let last: AnyRow | undefined, more = true; more; last = rows.at(-1)) {
      const after = last === undefined ? where : { AND: [where, { id: { gt: last.id } }] };
      const some = await delegateOf(store as Tx, table).findMany({ where: after, orderBy: { id: "asc" }, take: CHUNK });
      rows.push(...some);
      more = some.length === CHUNK;
      await slices.next(rows.length);
    }
    stored.set(table, rows);
  }
  const booked = [...new Set((stored.get("hoursBooked") ?? []).map((row) => String(row["accountId"])))];
  const accounts =
    booked.length === 0
      ? []
      : await store.account.findMany({ where: { id: { in: booked } }, select: { id: true, name: true } });
  return inSlices(heldSteps(stored, new Map(accounts.map(({ id, name }) => [id, name]))), step);
}

function* heldSteps(stored: ReadonlyMap<Table, AnyRow[]>, names: ReadonlyMap<string, string>): Steps<Held> {
  const held = nothingHeld();
  const codes = new Map<string, string>();
  for (const [table, rows] of stored) {
    const statement = tableOf(table);
    if (statement.named !== null)
      for (const row of rows) codes.set(`${table} ${row.id}`, nameIn(statement, row, codes));
  }
  yield 0;
  const of = (table: Table, field: string): unknown[] => (stored.get(table) ?? []).map((row) => row[field]);
  const chosen = new Set([
    ...of("part", "chosenQuoteId"),
    ...of("snag", "chosenRemedyId"),
    ...of("operation", "chosenWayId"),
  ]);
  const fallbacks = new Set(of("part", "fallbackQuoteId"));
  const paidOn = new Map((stored.get("payment") ?? []).map((row) => [row.id, row["paidOn"] as string]));
  let done = 0;
  for (const [table, rows] of stored) {
    const statement = tableOf(table);
    const placed = PLACED.includes(table);
    const those = held.get(table)!;
    for (const row of rows) {
      const values: Values = {};
      for (const { field, kind } of statement.columns) {
        if (field === "chosen") values[field] = chosen.has(row.id);
        else if (field === "fallback") values[field] = fallbacks.has(row.id);
        else if (kind.is === "row") values[field] = codes.get(`${kind.of} ${row[idField(field)]}`) ?? null;
        else values[field] = row[field] as Cell;
      }
      if (table === "payment") values["corrects"] = paidOn.get(String(row["correctsId"])) ?? null;
      if (table === "hoursBooked") values["who"] = names.get(String(row["accountId"])) ?? "";
      if (table === "order") values["part"] = codes.get(`part ${row["partId"]}`) ?? null;
      if (placed) values["position"] = row["position"] as number;
      those.push({ id: row.id, revision: row.revision, values, before: values, stored: row, at: null });
      done += 1;
      if (done % 100 === 0) yield done;
    }
    yield* sortSteps(statement, those);
  }
  return held;
}

/** What other tables call a row: a text of its own, or the name of the row that it belongs to. */
function nameIn(statement: FileTable, row: Record<string, unknown>, codes: ReadonlyMap<string, string>): string {
  const named = statement.columns.find(({ field }) => field === statement.named);
  if (named?.kind.is !== "row") {
    const { within } = statement;
    const above = statement.columns.find(({ field }) => field === within)?.kind;
    const section = above?.is === "row" ? codes.get(`${above.of} ${row[idField(within!)]}`) : undefined;
    return nameOfRow(statement, { ...(row as Values), ...(within === undefined ? {} : { [within]: section ?? null }) });
  }
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

/** Rows that are sorted in one step. */
const SORTED = 500;

/** Puts rows in the order of their files: parents first by code (2 before 10), then place, then all else, so that the order is the same wherever the rows come from. In steps: runs of a few hundred rows, put together two by two. */
function* sortSteps(statement: FileTable, rows: HeldRow[]): Steps<void> {
  const fields = statement.columns.map((column) => column.field);
  const order =
    PLACED.includes(statement.table) || statement.table === "judgingLine" || statement.table === "judgingSection"
      ? [...statement.key.slice(0, -1), "position", ...fields]
      : [...statement.key, ...fields];
  const inTurn = (a: HeldRow, b: HeldRow): number => {
    for (const field of order) {
      const difference = compare(a.values[field], b.values[field]);
      if (difference !== 0) return difference;
    }
    return 0;
  };
  let runs: HeldRow[][] = [];
  for (let at = 0; at < rows.length; at += SORTED) {
    runs.push(rows.slice(at, at + SORTED).sort(inTurn));
    yield at;
  }
  while (runs.length > 1) {
    const next: HeldRow[][] = [];
    for (let i = 0; i < runs.length; i += 2) {
      const [left, right = []] = [runs[i]!, runs[i + 1]];
      const both: HeldRow[] = [];
      for (let l = 0, r = 0; l < left.length || r < right.length; ) {
        const fromLeft = r === right.length || (l < left.length && inTurn(left[l]!, right[r]!) <= 0);
        both.push(fromLeft ? left[l++]! : right[r++]!);
        if (both.length % SORTED === 0) yield both.length;
      }
      next.push(both);
    }
    runs = next;
  }
  runs[0]?.forEach((row, i) => {
    rows[i] = row;
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
 * By the payment that takes another back, the one that it takes back: for the same, of the same kind and currency, of the day
 * that it names, with the opposite amount. Of several that are alike each is taken back once.
 */
export function correctedPayments(rows: readonly HeldRow[]): Map<HeldRow, HeldRow> {
  const keyOf = ({ values }: HeldRow, day: Cell, amount: number): string =>
    JSON.stringify([
      ...PAID_FOR.map((field) => values[field] ?? null),
      values["kind"],
      values["currency"],
      day,
      amount,
    ]);
  const free = new Map<string, { rows: HeldRow[]; taken: number }>();
  for (const row of rows) {
    const day = row.values["corrects"] ?? null;
    if (day === null) continue;
    const key = keyOf(row, day, -Number(row.values["amountMinor"]));
    const alike = free.get(key);
    if (alike) alike.rows.push(row);
    else free.set(key, { rows: [row], taken: 0 });
  }
  const found = new Map<HeldRow, HeldRow>();
  // From each entry that takes nothing back along those against it, so that no two take each other back.
  for (const root of rows) {
    if ((root.values["corrects"] ?? null) !== null) continue;
    for (let at: HeldRow | undefined = root; at !== undefined; ) {
      const alike = free.get(keyOf(at, at.values["paidOn"]!, Number(at.values["amountMinor"])));
      const next: HeldRow | undefined = alike?.rows[alike.taken++];
      if (next !== undefined) found.set(next, at);
      at = next;
    }
  }
  return found;
}
