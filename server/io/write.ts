/**
 * The rows that an import writes: which they are is worked out before anything is written, so that the transaction holds
 * the writing alone, in few statements.
 */
import { randomUUID } from "node:crypto";
import type { Journal } from "../store/journal.ts";
import type { RowChange } from "../store/manyRows.ts";
import { type AnyRow, LEDGERS, type Table } from "../store/tables.ts";
import { type FileTable, nameOfRow, TABLES, type Values } from "./columns.ts";
import { correctedPayments, type Held, type HeldRow, HIDDEN, idField, isChanged } from "./held.ts";
import type { Steps, Watch } from "./slices.ts";

/** Whose the rows become. */
export interface Ownership {
  workshopId: string;
  /** Whoever imports. */
  accountId: string;
  /** Id of each account of the workshop by its name. */
  accounts: ReadonlyMap<string, string>;
  /** Of the restoration, where it is new. */
  rank: number;
}

/** Everything that differs, parents first. */
export interface Writing {
  restorationId: string;
  total: number;
  tables: { statement: FileTable; added: AnyRow[]; changed: RowChange[] }[];
  choices: { table: "part" | "snag" | "operation"; field: ChoiceField; chosen: Map<string, string | null> }[];
  /** Rows as they are stored, by id, on which something is chosen. */
  stored: Map<string, AnyRow>;
}

type ChoiceField = "chosenQuoteId" | "fallbackQuoteId" | "chosenRemedyId" | "chosenWayId";

/** Columns that say of a row that the row above has it in force, or falls back on it. */
const isChoice = (field: string): boolean => field === "chosen" || field === "fallback";

/** Rows in one statement and between two reports, and between two moments at which others are let in. */
const BATCH = 250;
const BREATH = 2_500;

/** Works out what is to be written, in steps that yield the rows looked at. */
export function* writingSteps(held: Held, ownership: Ownership): Steps<Writing> {
  const ids = new Map<string, string>();
  for (const statement of TABLES)
    for (const row of held.get(statement.table)!.toReversed()) {
      row.id ??= randomUUID();
      if (statement.named !== null) ids.set(`${statement.table} ${nameOfRow(statement, row.values)}`, row.id);
    }
  yield 0;
  const restorationId = held.get("restoration")![0]!.id!;
  const taken = correctedPayments(held.get("payment")!);
  const choices = [
    choicesOf(held, "part", "quote", "chosenQuoteId"),
    choicesOf(held, "part", "quote", "fallbackQuoteId", "fallback"),
    choicesOf(held, "snag", "remedy", "chosenRemedyId"),
    choicesOf(held, "operation", "operationWay", "chosenWayId"),
  ].filter(({ chosen }) => chosen.size > 0);
  const rows = new StoredRows(ids, restorationId, taken, ownership);
  const tables: Writing["tables"] = [];
  let done = 0;
  for (const whole of TABLES) {
    // A choice is written on the part, the snag or the operation.
    const statement = { ...whole, columns: whole.columns.filter(({ field }) => !isChoice(field)) };
    const differing: HeldRow[] = [];
    for (const row of held.get(whole.table)!) {
      if (isChanged(statement, row)) differing.push(row);
      done += 1;
      if (done % 100 === 0) yield done;
    }
    const table: Writing["tables"][number] = { statement: whole, added: [], changed: [] };
    for (const row of inOrder(statement, differing, taken)) {
      const data = rows.stored(statement, row);
      if (row.stored === null) table.added.push(data as AnyRow);
      else table.changed.push({ before: row.stored, data });
      done += 1;
      if (done % 50 === 0) yield done;
    }
    if (differing.length > 0) tables.push(table);
  }
  const stored = new Map<string, AnyRow>();
  for (const table of new Set(choices.map((choice) => choice.table)))
    for (const row of held.get(table)!) if (row.stored !== null) stored.set(row.id!, row.stored);
  const total =
    tables.reduce((sum, { added, changed }) => sum + added.length + changed.length, 0) +
    choices.reduce((sum, { chosen }) => sum + chosen.size, 0);
  return { restorationId, total, tables, choices, stored };
}

/** Writes it, inside the transaction. */
export async function writeRows(journal: Journal, writing: Writing, watch: Watch): Promise<void> {
  const { tables, choices, stored, total } = writing;
  let done = 0;
  let breathed = 0;
  const report = async (stage: string, more: number): Promise<void> => {
    done += more;
    watch.progress(stage, done, total);
    if (done - breathed < BREATH) return;
    breathed = done;
    await watch.breathe();
  };
  for (const { statement, added, changed } of tables) {
    const { table, file } = statement;
    for (let i = 0; i < added.length; i += BATCH) {
      const some = added.slice(i, i + BATCH);
      for (const row of await journal.createMany(table, some as never)) stored.set(row.id, row as unknown as AnyRow);
      await report(`Writing ${file}`, some.length);
    }
    for (let i = 0; i < changed.length; i += BATCH) {
      const some = changed.slice(i, i + BATCH);
      for (const row of await journal.updateMany(table, some)) stored.set(row.id, row);
      await report(`Writing ${file}`, some.length);
    }
  }
  // A choice given up comes before one taken: a quote that moves to another part is chosen for one part only.
  for (const isTaken of [false, true])
    for (const { table, field, chosen } of choices) {
      const those = [...chosen].filter(([, to]) => (to !== null) === isTaken);
      for (let i = 0; i < those.length; i += BATCH) {
        const some = those.slice(i, i + BATCH).map(([id, to]) => ({ before: stored.get(id)!, data: { [field]: to } }));
        for (const row of await journal.updateMany(table, some)) stored.set(row.id, row);
        await report("Writing what is chosen", some.length);
      }
    }
  watch.progress("Written", total, total);
  await watch.breathe();
}

/** An entry of a ledger comes after the one that it takes back. */
function inOrder(statement: FileTable, rows: HeldRow[], taken: ReadonlyMap<HeldRow, HeldRow>): HeldRow[] {
  if (!(statement.table in LEDGERS)) return rows;
  const byCode = new Map(rows.map((row) => [row.values[statement.named ?? ""], row]));
  const before = (row: HeldRow): HeldRow | undefined =>
    statement.table === "payment" ? taken.get(row) : byCode.get(row.values["corrects"] ?? null);
  const steps = new Map<HeldRow, number>();
  for (const row of rows) {
    // Up to an entry whose place is known; of those that take each other back, the first that is met stands first.
    const above: HeldRow[] = [];
    const met = new Set<HeldRow>();
    let at: HeldRow | undefined = row;
    while (at !== undefined && !steps.has(at) && !met.has(at)) {
      met.add(at);
      above.push(at);
      at = before(at);
    }
    let count = at === undefined ? -1 : (steps.get(at) ?? -1);
    for (const one of above.reverse()) steps.set(one, ++count);
  }
  return rows.sort((a, b) => steps.get(a)! - steps.get(b)!);
}

/** Rows as their tables hold them. */
class StoredRows {
  constructor(
    /** By table and name. */
    private readonly ids: ReadonlyMap<string, string>,
    private readonly restorationId: string,
    private readonly taken: ReadonlyMap<HeldRow, HeldRow>,
    private readonly ownership: Ownership,
  ) {}

  /** A row whole where it is new; of a stored one only the fields that differ. */
  stored(statement: FileTable, row: HeldRow): Record<string, unknown> {
    const { table, owner, columns } = statement;
    const { before, values } = row;
    const { workshopId, accountId, accounts, rank } = this.ownership;
    const data: Record<string, unknown> = {};
    if (before === null) {
      data["id"] = row.id;
      if (owner === "restoration") data["restorationId"] = this.restorationId;
      if (owner === "workshop" || owner === "self") data["workshopId"] = workshopId;
      if (owner === "self") data["rank"] = rank;
    }
    for (const { field, kind } of columns) {
      if (field === "who") {
        if (before === null) data["accountId"] = accounts.get(String(values["who"])) ?? accountId;
        continue;
      }
      if (field === "corrects" && table === "payment") {
        if (before === null) data["correctsId"] = this.taken.get(row)?.id ?? null;
        continue;
      }
      if (before !== null && before[field] === values[field]) continue;
      if (kind.is === "row") data[idField(field)] = this.idOf(kind.of, values[field]);
      else data[field] = values[field];
    }
    for (const field of HIDDEN[table] ?? []) {
      if (before !== null && before[field] === values[field]) continue;
      if (field === "part") data["partId"] = this.idOf("part", values[field]);
      else data[field] = values[field];
    }
    return data;
  }

  private idOf(table: Table, code: Values[string] | undefined): string | null {
    return code === null || code === undefined ? null : this.ids.get(`${table} ${code}`)!;
  }
}

/** What is chosen otherwise than before, by the id of the row that chooses. */
function choicesOf(
  held: Held,
  table: "part" | "snag" | "operation",
  of: "quote" | "remedy" | "operationWay",
  field: ChoiceField,
  column: "chosen" | "fallback" = "chosen",
): Writing["choices"][number] {
  const chosenBy = (state: "before" | "values"): Map<unknown, string> =>
    new Map(
      held.get(of)!.flatMap((row) => (row[state]?.[column] === true ? [[row[state]![table], row.id!] as const] : [])),
    );
  const [was, is] = [chosenBy("before"), chosenBy("values")];
  const chosen = new Map<string, string | null>();
  for (const row of held.get(table)!) {
    const to = is.get(row.values["code"]) ?? null;
    if (to !== (was.get(row.values["code"]) ?? null)) chosen.set(row.id!, to);
  }
  return { table, field, chosen };
}
