/**
 * The one way in for changes: every row written is recorded before and after, in the same transaction.
 * The record is what undo works from ({@link undo} in undo.ts), and revisions keep two writers from overwriting each other.
 */
import { isDeepStrictEqual } from "node:util";
import { type Change, Prisma } from "../generated/prisma/client.ts";
import { runEach, type Store, type Tx } from "./client.ts";
import { type Difference, InvalidInput, NotFound, Refused, StaleRow } from "./fault.ts";
import { insertRows, type RowChange, staleRows, updateRows } from "./manyRows.ts";
import { WITH_WORK } from "./rank.ts";
import { words } from "./rules.ts";
import {
  type AnyRow,
  CHUNK,
  DEPENDENTS,
  delegateOf,
  LEDGERS,
  NOUNS,
  nameOf,
  type Table,
  type Tables,
} from "./tables.ts";

/** One row before and after a change; null where it was not there. */
export interface Entry {
  table: Table;
  id: string;
  before: AnyRow | null;
  after: AnyRow | null;
}

export interface Occasion {
  /** Where the change is recorded, read when the work is done; null: the restoration that the change itself adds. */
  restorationId: string | null;
  accountId: string;
  /** For people; a function where it names what the change only then finds out, such as a new row's code. */
  summary: string | (() => string);
  undoOfId?: string;
}

const chunks = <T>(all: readonly T[]): T[][] =>
  Array.from({ length: Math.ceil(all.length / CHUNK) }, (_, i) => all.slice(i * CHUNK, (i + 1) * CHUNK));

/** Writes rows inside one transaction and remembers each of them before and after. */
export class Journal {
  readonly entries: Entry[] = [];
  /** Each entry as it is recorded: written out with it, so that the record of many is not one long step at the end. */
  private readonly lines: string[] = [];
  private readonly touched = new Set<string>();
  private readonly rated = new Set<string>();
  private readonly recorded = new Set<string>();
  private readonly worked = new Set<string>();
  private readonly closings = new Set<string>();
  private readonly calendars = new Set<string>();

  constructor(readonly tx: Tx) {}

  /** Restorations whose plan the change may alter. */
  get restorations(): readonly string[] {
    return [...this.touched];
  }

  /** Workshops of which every restoration is touched: exchange rates, hands, the days of the shop, or the name or the charges of a supplier change, or a restoration goes or is ranked otherwise. */
  get workshops(): readonly string[] {
    return [...this.rated];
  }

  /** Restorations whose deliveries or finished work the change alters: records in the whole workshop rest on them. */
  get records(): readonly string[] {
    return [...this.recorded];
  }

  /** Operations whose hours the change alters: where they are finished, records in the whole workshop rest on them. */
  get operations(): readonly string[] {
    return [...this.worked];
  }

  /** Workshops whose closed dates the change alters while their calendar, which is saved with the list of them, stays as it is. */
  get closed(): readonly string[] {
    return [...this.closings].filter((workshopId) => !this.calendars.has(workshopId));
  }

  /** Adds a row. Throws {@link InvalidInput} (DUPLICATE) where a unique value is taken. */
  async create<T extends Table>(table: T, data: Partial<Tables[T]>): Promise<Tables[T]> {
    const after = await unique(data, () => delegateOf(this.tx, table).create({ data }));
    this.note({ table, id: after.id, before: null, after });
    return after as unknown as Tables[T];
  }

  /** Adds many rows at once, in the order given; quickly where each brings its id. */
  async createMany<T extends Table>(table: T, data: readonly Partial<Tables[T]>[]): Promise<Tables[T][]> {
    const added: AnyRow[] = [];
    if (data.every((row): row is typeof row & { id: string } => typeof row.id === "string"))
      added.push(...(await unique({}, () => insertRows(this.tx, table, data))));
    else
      for (const some of chunks(data))
        added.push(...(await unique({}, () => delegateOf(this.tx, table).createManyAndReturn({ data: some }))));
    for (const after of added) this.note({ table, id: after.id, before: null, after });
    return added as unknown as Tables[T][];
  }

  /**
   * Changes many rows at once, each as it was read and still is, and returns them as they are then.
   * Throws as {@link update} where one of them was changed since.
   */
  async updateMany(table: Table, changes: readonly RowChange[]): Promise<AnyRow[]> {
    for (const { before, data } of await staleRows(this.tx, table, changes))
      await this.at(table, before.id, before.revision, data);
    const changed = await unique({}, () => updateRows(this.tx, table, changes));
    changed.forEach((after, i) => {
      this.note({ table, id: after.id, before: changes[i]!.before, after });
    });
    return changed;
  }

  /**
   * Changes the given fields of a row that is still at the expected revision, and raises the revision by one.
   * Throws {@link StaleRow} with both values of each field that differs, {@link NotFound} when the row is gone.
   */
  async update<T extends Table>(
    table: T,
    id: string,
    expectedRevision: number,
    data: Partial<Tables[T]>,
  ): Promise<Tables[T]> {
    const before = await this.at(table, id, expectedRevision, data);
    await unique(data, () =>
      delegateOf(this.tx, table).updateMany({
        where: { id, revision: expectedRevision },
        data: { ...data, revision: { increment: 1 } },
      }),
    );
    const after = (await delegateOf(this.tx, table).findUnique({
      where: { id },
    }))!;
    this.note({ table, id, before, after });
    return after as unknown as Tables[T];
  }

  /**
   * Removes a row and all that hangs on it, children first.
   * Throws {@link Refused} (HAS_ORDERS, HAS_PAYMENTS) where an order or a payment would be lost, LEDGER for an entry of a ledger.
   */
  async remove(table: Table, id: string, expectedRevision: number): Promise<void> {
    if (LEDGERS[table] !== undefined)
      throw new Refused(
        "LEDGER",
        `This ${NOUNS[table]} stays in the ledger: correct it, and an entry against it is written beside it.`,
      );
    await this.removeAll(table, [await this.at(table, id, expectedRevision, {})]);
  }

  /** Takes rows out with no look at what hangs on them; for undo, which has looked. */
  async erase(table: Table, row: AnyRow): Promise<void> {
    await delegateOf(this.tx, table).deleteMany({ where: { id: row.id } });
    this.note({ table, id: row.id, before: row, after: null });
  }

  private async removeAll(table: Table, rows: readonly AnyRow[]): Promise<void> {
    // Last added, first out: undo then brings them back in the order in which one may name another.
    const order = table === "change" ? rows.toSorted((a, b) => Number(a.at) - Number(b.at)) : rows;
    for (const some of chunks(order.map((row) => row.id).reverse())) {
      for (const { table: child, field, outcome } of DEPENDENTS[table]) {
        const hanging = await delegateOf(this.tx, child).findMany({
          where: { [field]: { in: some } },
        });
        if (hanging.length === 0) continue;
        if (outcome === "remove") await this.removeAll(child, hanging);
        else if (outcome === "clear") for (const row of hanging) await this.clear(child, row, field);
        else throw refusal(outcome.refuse, table, rows, hanging);
      }
      // Clearing pointers may have raised revisions, so what is recorded is read again.
      const going = await delegateOf(this.tx, table).findMany({ where: { id: { in: some } } });
      going.sort((a, b) => some.indexOf(a.id) - some.indexOf(b.id));
      await delegateOf(this.tx, table).deleteMany({
        where: { id: { in: some } },
      });
      for (const before of going) this.note({ table, id: before.id, before, after: null });
    }
  }

  private async clear(table: Table, row: AnyRow, field: string): Promise<void> {
    const data = { [field]: null, revision: { increment: 1 } };
    await delegateOf(this.tx, table).updateMany({
      where: { id: row.id },
      data,
    });
    const after = (await delegateOf(this.tx, table).findUnique({
      where: { id: row.id },
    }))!;
    this.note({ table, id: row.id, before: row, after });
  }

  private async at(table: Table, id: string, revision: number, data: object): Promise<AnyRow> {
    const row = await delegateOf(this.tx, table).findUnique({ where: { id } });
    if (row === null) throw new NotFound(NOUNS[table]);
    checkFresh(row, revision, data);
    return row;
  }

  /** The change alters what the order of work rests on. */
  get altersWork(): boolean {
    return this.entries.some(({ table }) => WORK.has(table));
  }

  /** The entries as JSON. */
  get rows(): string {
    return `[${this.lines.join(",")}]`;
  }

  private note(entry: Entry): void {
    this.entries.push(entry);
    this.lines.push(JSON.stringify(entry));
    const row = entry.after ?? entry.before!;
    if (entry.table === "restoration") {
      this.touched.add(row.id);
      // With it go its deliveries; on its rank rests who is free for the others.
      if (
        entry.after === null ||
        (entry.before !== null && FOR_OTHERS.some((field) => entry.before?.[field] !== entry.after?.[field]))
      )
        this.rated.add(String(row.workshopId));
    } else if (typeof row.restorationId === "string") {
      this.touched.add(row.restorationId);
      if (altersRecords(entry)) this.recorded.add(row.restorationId);
      if (entry.table === "hoursBooked" || (entry.table === "operationWay" && differ(entry, ["hours"])))
        this.worked.add(String(row.operationId));
    } else if (
      OF_ALL.has(entry.table) ||
      (entry.table === "supplier" && SHOWN_ELSEWHERE.some((field) => entry.before?.[field] !== entry.after?.[field]))
    )
      this.rated.add(String(row.workshopId));
    if (entry.table === "closedDate") this.closings.add(String(row.workshopId));
    if (entry.table === "shopCalendar") this.calendars.add(String(row.workshopId));
  }
}

/** Rows of the workshop on which the figures of all its restorations rest. */
const OF_ALL: ReadonlySet<Table> = new Set<Table>(["exchangeRate", "shopCalendar", "closedDate", "hand", "absence"]);

/** What of a restoration the figures of the workshop's others rest on. */
const FOR_OTHERS = ["rank", "targetDate", "machine"] as const;

/** What the order of work rests on: the hands of a workshop have one for all its restorations. */
const WORK: ReadonlySet<Table> = new Set<Table>([
  "operation",
  "operationWay",
  "link",
  "need",
  "part",
  "ruledOut",
  "hunt",
  "quote",
  "knockOn",
  "order",
  "snag",
  "remedy",
  "decision",
]);

/** Restorations with work left for hands that these have work for too. */
const onTheSameHands = (restorationIds: readonly string[]) => ({
  workshop: { hands: { some: {} }, restorations: { some: { id: { in: [...restorationIds] } } } },
  ...WITH_WORK,
});

/** What of a supplier the figures of restorations rest on. */
const SHOWN_ELSEWHERE = ["name", "currency", "carriageMinor", "minimumMinor", "shareBy"] as const;

const differ = ({ before, after }: Entry, fields: readonly string[]): boolean =>
  fields.some((field) => before?.[field] !== after?.[field]);

const DELIVERY = ["placedOn", "promisedOn", "arrivedOn", "quoteId"];
const FINISHED = [
  "state",
  "trade",
  "hoursLeast",
  "hoursLikely",
  "hoursMost",
  "finishedOn",
  "hands",
  "alsoTrades",
  "chosenWayId",
];

/** Whether a maker has promised or delivered otherwise, or another maker has; or work that is or was finished is so otherwise. */
const altersRecords = (entry: Entry): boolean => {
  const { table, before, after } = entry;
  if (table === "order") return differ(entry, DELIVERY);
  if (table === "quote") return before !== null && after !== null && differ(entry, ["supplierId"]);
  return table === "operation" && (before?.state === "DONE" || after?.state === "DONE") && differ(entry, FINISHED);
};

/**
 * One transaction: does the work, writes one {@link Change} with every row before and after,
 * and raises the plan revision of each restoration it touched. All of it or nothing.
 */
export async function record(
  store: Store,
  occasion: Occasion,
  work: (journal: Journal) => Promise<unknown>,
): Promise<Change> {
  const { change, commit } = await store.$transaction(async (tx) => {
    const journal = new Journal(tx);
    await work(journal);
    const restorationId =
      occasion.restorationId ?? journal.entries.find((e) => e.table === "restoration" && e.after !== null)?.id;
    if (restorationId === undefined) throw new Error("A change must be recorded on a restoration.");
    // Whoever read the calendar before would otherwise save the list as it was then.
    await tx.shopCalendar.updateMany({
      where: { workshopId: { in: [...journal.closed] } },
      data: { revision: { increment: 1 } },
    });
    const finished = await finishedAmong(tx, journal.operations);
    const revisions = await tx.restoration.updateManyAndReturn({
      where: {
        OR: [
          { id: { in: [restorationId, ...journal.restorations] } },
          { workshopId: { in: [...journal.workshops] } },
          { workshop: { restorations: { some: { id: { in: [...journal.records, ...finished] } } } } },
          ...(journal.altersWork ? [onTheSameHands([restorationId, ...journal.restorations])] : []),
        ],
      },
      data: { planRevision: { increment: 1 } },
      select: { id: true, planRevision: true },
    });
    const { rows } = journal;
    const added = await tx.change.create({
      data: {
        restorationId,
        accountId: occasion.accountId,
        summary: typeof occasion.summary === "string" ? occasion.summary : occasion.summary(),
        rows: "",
        undoOfId: occasion.undoOfId ?? null,
      },
    });
    // Megabytes where many rows came at once.
    runEach(tx, 'UPDATE "Change" SET "rows" = ? WHERE "id" = ?', [[rows, added.id]]);
    const change = { ...added, rows };
    const commit: Commit = {
      revisions: new Map(revisions.map((r) => [r.id, r.planRevision])),
      entries: journal.entries,
    };
    return { change, commit };
  });
  for (const listener of listeners.get(store) ?? []) listener(commit);
  return change;
}

/** Restorations of those operations that are finished. */
async function finishedAmong(tx: Tx, operations: readonly string[]): Promise<string[]> {
  const found = new Set<string>();
  for (const some of chunks(operations)) {
    const done = await tx.operation.findMany({
      where: { id: { in: some }, state: "DONE" },
      select: { restorationId: true },
    });
    for (const { restorationId } of done) found.add(restorationId);
  }
  return [...found];
}

/** What a committed change wrote. */
export interface Commit {
  /** Plan revision that each touched restoration has now. */
  revisions: ReadonlyMap<string, number>;
  entries: readonly Entry[];
}

const listeners = new WeakMap<Store, ((commit: Commit) => void)[]>();

/** Calls the listener after each change that this process commits to the store. */
export function onCommit(store: Store, listener: (commit: Commit) => void): void {
  const known = listeners.get(store);
  if (known === undefined) listeners.set(store, [listener]);
  else known.push(listener);
}

/** Throws {@link StaleRow} where the row has moved on from the revision that the writer read. */
export function checkFresh(row: AnyRow, revision: number, yours: object, lists: readonly Difference[] = []): void {
  if (row.revision !== revision) throw new StaleRow(row.id, row.revision, [...differences(row, yours), ...lists]);
}

/** The fields in which a row differs from what somebody wants it to hold. */
export function differences(row: Readonly<Record<string, unknown>>, yours: object): Difference[] {
  return Object.entries(yours)
    .filter(([field, value]) => value !== undefined && !isDeepStrictEqual(row[field], value))
    .map(([field, value]) => ({
      field,
      theirs: shown(row[field]),
      yours: shown(value),
    }));
}

const shown = (value: unknown): string => (value === null || value === undefined ? "" : String(value));

function refusal(code: Refused["code"], table: Table, rows: readonly AnyRow[], hanging: readonly AnyRow[]): Refused {
  if (code === "HAS_HOURS")
    return new Refused(code, `The ${NOUNS[table]} has hours booked; work that was done is not lost.`, rows.map(nameOf));
  // A payment has no code: it is told by what it was for.
  const those = hanging.every((row) => "paidOn" in row) ? rows : hanging;
  const names = those.map(nameOf);
  const what = code === "HAS_PAYMENTS" ? "payments made" : `orders placed (${names.join(", ")})`;
  return new Refused(code, `The ${NOUNS[table]} has ${what}; money that was spent or promised is not lost.`, names);
}

/** Runs a write; a unique value that is taken becomes a fault that names the field. */
export async function unique<T>(data: object, write: () => Promise<T>): Promise<T> {
  try {
    return await write();
  } catch (error) {
    const fields = takenFields(error);
    if (fields === undefined) throw error;
    const column = fields.findLast((f) => f !== "restorationId" && f !== "workshopId") ?? "code";
    const value = (data as Record<string, unknown>)[column];
    const field = column.replace(/Id$/, "");
    throw new InvalidInput([
      {
        code: "DUPLICATE",
        field,
        value: value === undefined ? undefined : shown(value),
        message:
          value === undefined || column.endsWith("Id")
            ? `There is one already with the same ${fields.map((f) => words(f.replace(/Id$/, ""))).join(" and ")}.`
            : `${words(field)} ${shown(value)} is already taken.`,
      },
    ]);
  }
}

/** Brings a removed row back; what it hung on may have been removed since. Throws {@link Refused} (IN_USE). */
export async function onWhatStands<T>(noun: string, write: () => Promise<T>): Promise<T> {
  try {
    return await write();
  } catch (error) {
    if (!(error instanceof Prisma.PrismaClientKnownRequestError && error.code === "P2003")) throw error;
    throw new Refused(
      "IN_USE",
      `The ${noun} belonged to something that has since been removed: bring that back first.`,
    );
  }
}

function takenFields(error: unknown): string[] | undefined {
  if (!(error instanceof Prisma.PrismaClientKnownRequestError)) return undefined;
  const meta = error.meta as
    | {
        target?: unknown;
        driverAdapterError?: { cause?: { kind?: unknown; constraint?: { fields?: unknown } } };
      }
    | undefined;
  const cause = meta?.driverAdapterError?.cause;
  // Of a statement written out, Prisma hands on what the driver says.
  if (error.code !== "P2002" && cause?.kind !== "UniqueConstraintViolation") return undefined;
  const fields = meta?.target ?? cause?.constraint?.fields;
  return Array.isArray(fields) ? fields.map(String) : [];
}
