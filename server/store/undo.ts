/** Taking a change back: the inverse of each of its rows, last first, in one recorded change that can itself be taken back. */
import { isDeepStrictEqual } from "node:util";
import type { Change } from "../generated/prisma/client.ts";
import type { Store, Tx } from "./client.ts";
import { backAs, freeCode, type Register, withoutBackAs } from "./codes.ts";
import { InvalidInput, Refused, StaleRow } from "./fault.ts";
import { differences, type Entry, type Journal, onWhatStands, record } from "./journal.ts";
import { columnsOf } from "./manyRows.ts";
import {
  type AnyRow,
  CHUNK,
  DEPENDENTS,
  delegateOf,
  LEDGERS,
  NOUNS,
  nameOf,
  nameWithNoun,
  type Table,
} from "./tables.ts";

/**
 * Takes a change back. Throws {@link StaleRow} where one of its rows was changed since,
 * {@link Refused} where it was taken back already or where rows added since hang on a row that it added.
 * `check` may refuse what stands then. An entry of a ledger is not taken out: one against it is written.
 * Revisions go on rising, so nobody who read a row in between can overwrite it unseen.
 */
export async function undo(
  store: Store,
  change: Change,
  accountId: string,
  check: (tx: Tx, entries: readonly Entry[]) => Promise<void> = async () => {},
): Promise<Change> {
  const entries = JSON.parse(change.rows) as Entry[];
  if (entries.some((e) => e.table === "restoration" && e.before === null && e.id === change.restorationId))
    throw new Refused(
      "NOT_ALLOWED",
      "The record of this restoration is kept with it: remove the restoration itself instead.",
    );
  const renamed: string[] = [];
  return record(
    store,
    {
      restorationId: change.restorationId,
      accountId,
      summary: () => undoSummary(change) + renamed.join(""),
      undoOfId: change.id,
    },
    async (journal) => {
      if ((await journal.tx.change.count({ where: { undoOfId: change.id } })) > 0)
        throw new Refused("ALREADY_UNDONE", "This change was taken back already.");
      await checkKept(journal.tx, entries);
      await checkUntouched(journal.tx, entries);
      for (const some of alikeInTurn(entries.toReversed())) {
        // Others are answered between two slices.
        await new Promise(setImmediate);
        if (some.length > 1) await invertMany(journal, some);
        else renamed.push(...(await invert(journal, accountId, some[0]!, entries)));
      }
      await check(journal.tx, entries);
    },
  );
}

/** "Took back: …", and of that "Brought back: …", and so on in turn. */
export function undoSummary({ undoOfId, summary: said }: Pick<Change, "undoOfId" | "summary">): string {
  const summary = withoutBackAs(said);
  if (undoOfId === null) return `Took back: ${summary}`;
  const [, before, what] = /^(Took back|Brought back|Did again): (.*)$/s.exec(summary) ?? [null, "Took back", summary];
  return `${before === "Took back" ? "Brought back" : "Took back"}: ${what}`;
}

/** Of a change that was removed with its restoration, and brought back since, the rows may hold what is kept otherwise today. */
async function checkKept(tx: Tx, entries: readonly Entry[]): Promise<void> {
  const kept = new Map<Table, ReadonlySet<string>>();
  for (const table of new Set(entries.map((entry) => entry.table)))
    kept.set(table, new Set((await columnsOf(tx, table)).map(({ name }) => name)));
  for (const { table, before, after } of entries) {
    const columns = kept.get(table)!;
    const written = before === null || after === null ? (before ?? {}) : content(before, after);
    if (columns.size > 0 && Object.keys(written).every((field) => columns.has(field))) continue;
    throw new Refused(
      "NOT_ALLOWED",
      `The ${NOUNS[table] ?? "row"} was kept otherwise when this was changed, and cannot be as it was: change it by hand.`,
    );
  }
}

/** Every row must stand as the change left it. */
async function checkUntouched(tx: Tx, entries: readonly Entry[]): Promise<void> {
  const first = new Map<string, Entry>();
  const last = new Map<string, Entry>();
  for (const entry of entries) {
    const key = `${entry.table} ${entry.id}`;
    if (!first.has(key)) first.set(key, entry);
    last.set(key, entry);
  }
  const rows = new Map<string, AnyRow>();
  for (const table of new Set(Array.from(last.values(), (entry) => entry.table))) {
    const ids = Array.from(last.values()).flatMap((entry) => (entry.table === table ? [entry.id] : []));
    for (const row of await rowsOf(tx, table, ids)) rows.set(`${table} ${row.id}`, row);
  }
  for (const [key, { id, after }] of last) {
    const row = rows.get(key) ?? null;
    if (after === null ? row === null : row !== null && stands(row, after)) continue;
    const back = first.get(key)!.before;
    const then = back ?? {};
    throw new StaleRow(id, row?.revision ?? 0, row === null ? [] : differences(row, content(then, after ?? {})));
  }
}

/**
 * Whether a row is as a change left it. That it was changed since and those changes were taken back again is no matter: the
 * newest first, each can be taken back.
 */
const stands = (row: AnyRow, after: AnyRow): boolean => {
  if (row.revision === after.revision) return true;
  // As it is recorded: a moment is text there.
  const now = JSON.parse(JSON.stringify(row)) as AnyRow;
  return Object.keys(after).every((field) => COUNTED.has(field) || isDeepStrictEqual(now[field], after[field]));
};

/** Fields that only count changes, or that the store writes by itself. */
const COUNTED: ReadonlySet<string> = new Set(["revision", "planRevision", "codeOrder"]);

/** Rows of a table by their ids, slice by slice. */
async function rowsOf(tx: Tx, table: Table, ids: readonly string[]): Promise<AnyRow[]> {
  const rows: AnyRow[] = [];
  for (let at = 0; at < ids.length; at += CHUNK)
    rows.push(...(await delegateOf(tx, table).findMany({ where: { id: { in: ids.slice(at, at + CHUNK) } } })));
  return rows;
}

/** Entries in their order, and those that follow one another and change other rows of one table as one slice. */
function alikeInTurn(entries: readonly Entry[]): Entry[][] {
  const slices: Entry[][] = [];
  let ids = new Set<string>();
  for (const entry of entries) {
    const slice = slices.at(-1);
    const changes = ({ before, after }: Entry) => before !== null && after !== null;
    const first = slice?.[0];
    const alike = first !== undefined && first.table === entry.table && changes(first) && changes(entry);
    if (slice && alike && slice.length < CHUNK && !ids.has(entry.id)) slice.push(entry);
    else {
      slices.push([entry]);
      ids = new Set();
    }
    ids.add(entry.id);
  }
  return slices;
}

/** Brings rows of one table, none of them twice, back to what they were before they were changed. */
async function invertMany(journal: Journal, entries: readonly Entry[]): Promise<void> {
  const { table } = entries[0]!;
  const ids = entries.map(({ id }) => id);
  const rows = new Map((await rowsOf(journal.tx, table, ids)).map((row) => [row.id, row]));
  const changes = entries.flatMap(({ id, before, after }) => {
    const row = rows.get(id);
    return row === undefined ? [] : [{ before: row, data: content(before!, after!) as Record<string, unknown> }];
  });
  await standingAgain(NOUNS[table], null, () => journal.updateMany(table, changes));
}

/** Returns what there is to say of it. */
async function invert(
  journal: Journal,
  accountId: string,
  { table, id, before, after }: Entry,
  beside: readonly Entry[],
): Promise<string[]> {
  if (before === null) {
    const row = await delegateOf(journal.tx, table).findUnique({
      where: { id },
    });
    if (row === null) return [];
    for (const { table: child, field } of DEPENDENTS[table]) {
      const hanging = await delegateOf(journal.tx, child).findMany({
        where: { [field]: id },
      });
      if (hanging.length > 0)
        throw new Refused(
          "IN_USE",
          `The ${await nameWithNoun(journal.tx, table, row)} has since been used elsewhere: take those changes back first.`,
          hanging.map(nameOf),
        );
    }
    const ledger = LEDGERS[table];
    if (ledger === undefined) await journal.erase(table, row);
    else await journal.create(table, ledger.against(row, accountId));
  } else if (after === null) {
    const code = await codeBack(delegateOf(journal.tx, table), before, beside);
    await standingAgain(NOUNS[table], nameOf(before), () => journal.create(table, { ...before, ...code } as object));
    return code === null ? [] : [backAs(NOUNS[table], String(before["code"]), code.code)];
  } else {
    const row = await delegateOf(journal.tx, table).findUnique({ where: { id } });
    const back = content(before, after) as object;
    if (row !== null)
      await standingAgain(NOUNS[table], nameOf(row), () => journal.update(table, id, row.revision, back));
  }
  return [];
}

/** The code under which a removed row comes back, where its own was given again meanwhile; else null. */
export async function codeBack(
  register: Register,
  before: AnyRow,
  beside: readonly { before: AnyRow | null; after: AnyRow | null }[],
): Promise<{ code: string } | null> {
  const { code, restorationId, workshopId, clubId } = before;
  if (typeof code !== "string") return null;
  const [[field, of] = []] = Object.entries({ restorationId, workshopId, clubId }).filter(([, id]) => id !== undefined);
  if (field === undefined) return null;
  const kept = new Set(beside.flatMap((entry) => (entry.after === null ? String(entry.before?.["code"]) : [])));
  const free = await freeCode(register, { [field]: of }, code, kept);
  return free === code ? null : { code: free };
}

/** Writes a row as it was. Throws {@link Refused} (IN_USE) where what it hung on is gone, or where another has its place. */
export async function standingAgain<T>(noun: string, name: string | null, write: () => Promise<T>): Promise<T> {
  try {
    return await onWhatStands(noun, write);
  } catch (error) {
    const taken = error instanceof InvalidInput ? error.faults.find(({ code }) => code === "DUPLICATE") : undefined;
    if (taken === undefined) throw error;
    throw new Refused(
      "IN_USE",
      `The ${noun} cannot be as it was: ${taken.message} Change or remove the other one first, and take this back then.`,
      name === null ? [] : [name],
    );
  }
}

/** The fields of `before` that the change altered, without those that only count changes or that the store writes by itself. */
function content(before: object, after: object): Partial<AnyRow> {
  return Object.fromEntries(
    Object.entries(before).filter(
      ([field, value]) => !COUNTED.has(field) && value !== (after as Record<string, unknown>)[field],
    ),
  );
}
