/**
 * How a row is added or changed: kept values and new ones are merged, every rule is checked, and all of it is recorded.
 * Without an id a row is added; with one, the row at that revision is changed.
 */
import { isDeepStrictEqual } from "node:util";
import { own, rowOf } from "../../access/rules.ts";
import { daysToCome, lastDayFor } from "../../plan/days/day.ts";
import { notAfter } from "../../plan/days/summaryWords.ts";
import type { Tx } from "../../store/client.ts";
import { nextCode } from "../../store/codes.ts";
import { type Difference, type Fault, InvalidInput, noLongerThere } from "../../store/fault.ts";
import { checkFresh, type Journal, record } from "../../store/journal.ts";
import { faultsOf, inCapitals, type Noun, words } from "../../store/rules.ts";
import { type AnyRow, delegateOf, NOUNS, nameOf, nameWithNoun, type Table, type Tables } from "../../store/tables.ts";
import type { Context } from "./context.ts";
import type { Saved } from "./saveResult.ts";

type Values = Record<string, unknown>;

/** Rows below a row that an input replaces as a whole: price breaks, references, dimensions. */
export interface ListDraft {
  /** The input's field. */
  field: string;
  table: Table;
  rule: Noun;
  /** Column that points at the row. */
  parent: string;
  /** What that column holds, where it is not the row's own id. */
  parentId?: string;
  /** Column in which no two rows of the list may agree. */
  key?: string;
  /** How that column is read when two are compared; as it stands when absent. */
  alike?: (value: string) => string;
  /** One that comes with the id of a row that stands there, or else with what that row has in this column, is that row, changed. Default: the key. */
  staysBy?: string;
  /** Column that a row takes from the row above where it says nothing itself. */
  inherits?: string;
  /** New content, complete with its defaults; absent keeps the list. */
  rows: readonly Values[] | undefined;
}

/** One row about to be saved. */
export interface Draft<T extends Table> {
  table: T;
  rule: Noun;
  id: string | null | undefined;
  revision: number | null | undefined;
  /** Columns from the input: undefined keeps, null clears. */
  patch: Values;
  /** What a new row holds where the input says nothing. */
  defaults: Values;
  /** How a code is made up when a new row comes without one. */
  codes?: Codes;
  /** Columns that point at other rows, found by the input's ids. */
  place: (find: Finder, before: Tables[T] | null) => Promise<Values>;
  /** Rules that need other rows. Adds faults, or throws Refused. */
  check?: (row: Tables[T], before: Tables[T] | null, find: Finder) => Promise<void>;
  lists?: readonly ListDraft[];
  /** Further rows written with this one, and what may only be asked once it stands. Throws Refused. */
  also?: (journal: Journal, row: Tables[T], before: Tables[T] | null) => Promise<void>;
  /** Where the change is recorded, for rows that do not say so themselves. */
  recordOn?: (tx: Tx, row: Tables[T]) => Promise<string>;
  /** What the change does, in words, where "Changed" with the row's name says too little; null where it does not. */
  said?: (row: Tables[T]) => string | null;
}

/** What {@link nextCode} makes one by; of the row where it depends on what that holds. */
export type Codes = Parameters<typeof nextCode>[2] | ((row: Values) => Parameters<typeof nextCode>[2]);

/** Finds the rows that an input names, only among the viewer's own; what is not found becomes a fault of its field. */
export class Finder {
  readonly faults: Fault[] = [];

  constructor(
    private readonly context: Context,
    readonly tx: Tx,
    private readonly row: string | undefined,
  ) {}

  /** The row, or undefined with a fault noted. An id left out is a fault too. */
  async find<T extends Table>(table: T, field: string, id: string | null | undefined): Promise<Tables[T] | undefined> {
    if (id === null || id === undefined) {
      this.fault({ code: "REQUIRED", field, message: `${words(field)} must be given.` });
      return undefined;
    }
    const [found] = await delegateOf(this.tx, table).findMany({ where: rowOf(this.context.viewer, table, id) });
    if (found === undefined)
      this.fault({
        code: "UNKNOWN_ROW",
        field,
        value: id,
        message: noLongerThere(NOUNS[table]),
      });
    return found as Tables[T] | undefined;
  }

  /** The same among the rows of one restoration. */
  async findIn<T extends Table>(
    restorationId: string | undefined,
    table: T,
    field: string,
    id: string | null | undefined,
  ): Promise<Tables[T] | undefined> {
    const found = await this.find(table, field, id);
    if (found === undefined || restorationId === undefined) return found;
    if ((found as unknown as AnyRow).restorationId === restorationId) return found;
    this.fault({
      code: "UNKNOWN_ROW",
      field,
      value: id ?? undefined,
      message: `That ${NOUNS[table]} belongs to another restoration.`,
    });
    return undefined;
  }

  /** Notes a fault where an input moves a row that must stay where it was added. */
  stays(field: string, now: string, asked: string | null | undefined): string {
    if (asked !== null && asked !== undefined && asked !== now)
      this.fault({
        code: "UNKNOWN_ROW",
        field,
        value: asked,
        message: `${field} cannot be changed: it stays where it was added.`,
      });
    return now;
  }

  /** The restoration that a row is added to, or in which it stays. */
  async restorationOf(
    before: { restorationId: string } | null,
    asked: string | null | undefined,
  ): Promise<string | undefined> {
    return before === null
      ? (await this.find("restoration", "restoration", asked))?.id
      : this.stays("restoration", before.restorationId, asked);
  }

  fault(fault: Fault): void {
    this.faults.push(this.row === undefined ? fault : { row: this.row, ...fault });
  }

  /** Notes a fault of each field that says something was done on a day to come. */
  async nothingToCome(
    table: "operation" | "order" | "invoice",
    row: { restorationId: string },
    before: object | null,
  ): Promise<void> {
    const last = await lastDayFor(this.tx, row.restorationId);
    const values = row as unknown as Values;
    for (const field of daysToCome(table, values, before as Values | null, last))
      this.fault({
        code: "OUT_OF_RANGE",
        field,
        value: String(values[field]),
        message: `${words(field)} ${notAfter(last)} (it is ${values[field]}).`,
      });
  }

  check(): void {
    if (this.faults.length > 0) throw new InvalidInput(this.faults);
  }
}

/** Saves a draft in one recorded change. */
export async function save<T extends Table>(context: Context, draft: Draft<T>): Promise<Omit<Saved, "is">> {
  let saved: AnyRow | undefined;
  let name = "";
  let said: string | null = null;
  let recordedOn: string | null = null;
  const change = await record(
    context.store,
    {
      accountId: context.viewer.accountId,
      summary: () => said ?? `${draft.id != null ? "Changed" : "Added"} ${name}`,
      get restorationId() {
        return recordedOn;
      },
    },
    async (journal) => {
      const row = await write(context, journal, draft);
      saved = row as unknown as AnyRow;
      name = await nameWithNoun(journal.tx, draft.table, saved);
      said = draft.said?.(row) ?? null;
      recordedOn = draft.recordOn
        ? await draft.recordOn(journal.tx, row)
        : ((saved.restorationId as string | undefined) ?? null);
    },
  );
  return { change, id: saved?.id ?? "", revision: saved?.revision ?? 0 };
}

/** Checks a draft and writes it: one row of a change that may hold others. */
export async function write<T extends Table>(context: Context, journal: Journal, draft: Draft<T>): Promise<Tables[T]> {
  const { row, settle } = await put(context, journal, draft);
  await settle();
  return row;
}

/** The same, but for what goes with the row and what may only be asked once it stands: `settle` does that, after the other rows of the change. */
export async function put<T extends Table>(
  context: Context,
  journal: Journal,
  draft: Draft<T>,
): Promise<{ row: Tables[T]; settle: () => Promise<void> }> {
  const { table, rule, id, revision, defaults } = draft;
  const before = id != null ? await own(context.viewer, journal.tx, table, id) : null;
  const stored = before as unknown as AnyRow | null;
  const patch = cleared(draft.patch, defaults);
  if (stored !== null) {
    if (revision === null || revision === undefined)
      throw new InvalidInput([
        {
          code: "REQUIRED",
          row: nameOf(stored),
          field: "revision",
          message: "It was not said which version was read, so nothing was changed: read it again.",
        },
      ]);
    if (stored.revision !== revision)
      checkFresh(stored, revision, patch, await listDifferences(journal.tx, stored.id, listsOf(draft, stored)));
  }
  const name = stored === null ? undefined : nameOf(stored);
  const finder = new Finder(context, journal.tx, name);
  const placed = await draft.place(finder, before);
  const merged: Values = { ...defaults, ...stored, ...patch, ...placed };
  if (draft.codes !== undefined && (merged.code === undefined || merged.code === null)) {
    const { workshopId, restorationId } = placed;
    const register = workshopId === undefined ? { restorationId } : { workshopId };
    const codes = typeof draft.codes === "function" ? draft.codes(merged) : draft.codes;
    merged.code = await nextCode(delegateOf(journal.tx, table), register, codes);
  }
  const lists = listsOf(draft, merged);
  // A currency that is not said comes from the row above: where there is none, that is what is missing.
  const placeless = finder.faults.length > 0;
  for (const fault of faultsOf(rule, merged))
    if (!(placeless && fault.field === "currency" && merged.currency == null)) finder.fault(fault);
  for (const list of lists) for (const fault of listFaults(list)) finder.fault(fault);
  finder.check();
  await draft.check?.(merged as unknown as Tables[T], before, finder);
  finder.check();
  const row =
    stored === null || revision === null || revision === undefined
      ? await journal.create(table, merged as Partial<Tables[T]>)
      : await journal.update(table, stored.id, revision, changed(stored, merged) as Partial<Tables[T]>);
  for (const list of lists) await replaceList(journal, (row as unknown as AnyRow).id, list);
  return { row, settle: async () => draft.also?.(journal, row, before) };
}

/** The lists of a draft, with what their rows take from the row above. */
const listsOf = ({ lists = [] }: { lists?: readonly ListDraft[] }, above: Values): ListDraft[] =>
  lists.map((list) => {
    const { inherits, rows } = list;
    if (inherits === undefined || rows === undefined) return list;
    return { ...list, rows: rows.map((row) => inCapitals({ ...row, [inherits]: row[inherits] ?? above[inherits] })) };
  });

/** What an input says of a row: absent keeps; null empties a text and clears what may be absent. */
export function cleared(patch: Values, defaults: Values): Values {
  return inCapitals(
    Object.fromEntries(
      Object.entries(patch)
        .filter(([, value]) => value !== undefined)
        .map(([field, value]) => [field, value === null && defaults[field] === "" ? "" : value]),
    ),
  );
}

const changed = (stored: Values, merged: Values): Values =>
  Object.fromEntries(Object.entries(merged).filter(([field, value]) => !isDeepStrictEqual(stored[field], value)));

function listFaults({ field, rule, key, alike = (value) => value, rows = [] }: ListDraft): Fault[] {
  const seen = new Set<unknown>();
  return rows.flatMap((row, i) => {
    const faults = faultsOf(rule, row).map((fault) => ({ ...fault, field: `${field}.${i}.${fault.field}` }));
    const read = key === undefined ? undefined : alike(String(row[key]));
    if (key !== undefined && seen.has(read))
      faults.push({
        code: "DUPLICATE",
        field: `${field}.${i}.${key}`,
        value: String(row[key]),
        message: `${key} ${String(row[key]).slice(0, 80)} is in the list twice.`,
      });
    if (key !== undefined) seen.add(read);
    return faults;
  });
}

const contentOf = (row: Values, parent: string): Values => {
  const { id: _id, revision: _revision, [parent]: _parent, restorationId: _restoration, ...rest } = row;
  return rest;
};

async function listRows(tx: Tx, parentId: string, list: ListDraft): Promise<AnyRow[]> {
  const rows = await delegateOf(tx, list.table).findMany({ where: { [list.parent]: list.parentId ?? parentId } });
  const order = (row: AnyRow) => (typeof row.position === "number" ? row.position : 0);
  return rows.sort((a, b) => order(a) - order(b));
}

async function listDifferences(tx: Tx, parentId: string, lists: readonly ListDraft[]): Promise<Difference[]> {
  const different: Difference[] = [];
  for (const list of lists) {
    if (list.rows === undefined) continue;
    // Rows without a position stand in no order.
    const shown = (rows: readonly Values[]) => {
      const lines = rows.map((row) => Object.values(contentOf(row, list.parent)).join(" "));
      return (rows.some((row) => "position" in row) ? lines : lines.toSorted()).join("; ");
    };
    const [theirs, yours] = [shown(await listRows(tx, parentId, list)), shown(list.rows)];
    if (theirs !== yours) different.push({ field: list.field, theirs, yours });
  }
  return different;
}

async function replaceList(journal: Journal, parentId: string, list: ListDraft): Promise<void> {
  if (list.rows === undefined) return;
  const now = await listRows(journal.tx, parentId, list);
  if (
    isDeepStrictEqual(
      now.map((row) => contentOf(row, list.parent)),
      list.rows.map((row) => contentOf(row, list.parent)),
    )
  )
    return;
  const staying = stays(now, list);
  for (const row of now)
    if (![...staying.values()].includes(row)) await journal.remove(list.table, row.id, row.revision);
  for (const [to, row] of staying) {
    const differing = changed(row, contentOf(to, list.parent));
    if (Object.keys(differing).length > 0) await journal.update(list.table, row.id, row.revision, differing);
  }
  await journal.createMany(
    list.table,
    list.rows
      .filter((row) => !staying.has(row))
      .map((row) => ({ ...contentOf(row, list.parent), [list.parent]: list.parentId ?? parentId })),
  );
}

/** Of a list's new rows those that are rows which stand there, with these. */
function stays(now: readonly AnyRow[], { key, staysBy = key, rows = [] }: ListDraft): Map<Values, AnyRow> {
  const staying = new Map<Values, AnyRow>();
  if (staysBy === undefined) return staying;
  const left = new Set(now);
  for (const column of ["id", staysBy])
    for (const row of rows) {
      if (staying.has(row) || row[column] === undefined) continue;
      const there = [...left].find((one) => one[column] === row[column]);
      if (there === undefined) continue;
      staying.set(row, there);
      left.delete(there);
    }
  return staying;
}
