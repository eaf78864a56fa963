/**
 * The one way in for changes in the club: every row is recorded before and after, in the transaction that writes it.
 * As {@link Journal} for a restoration; the record stands on the club, and undo works from it.
 */
import { randomUUID } from "node:crypto";
import type { ClubChange } from "../generated/prisma/client.ts";
import type { Store, Tx } from "./client.ts";
import {
  type AnyRow,
  CLUB_DEPENDENTS,
  CLUB_NOUNS,
  type ClubTable,
  type ClubTables,
  clubDelegateOf,
  clubNameWithNoun,
} from "./clubTables.ts";
import { backAs } from "./codes.ts";
import { NotFound, Refused, StaleRow } from "./fault.ts";
import { checkFresh, differences, unique } from "./journal.ts";
import { insertRows } from "./manyRows.ts";
import { CHUNK, type Table } from "./tables.ts";
import { codeBack, standingAgain, undoSummary } from "./undo.ts";

/** One row of the club before and after a change; null where it was not there. */
export interface ClubEntry {
  table: ClubTable;
  id: string;
  before: AnyRow | null;
  after: AnyRow | null;
}

export interface ClubOccasion {
  clubId: string;
  accountId: string;
  summary: string | (() => string);
  undoOfId?: string;
}

export class ClubJournal {
  readonly entries: ClubEntry[] = [];

  constructor(readonly tx: Tx) {}

  /** Adds a row. Throws InvalidInput (DUPLICATE) where a unique value is taken. */
  async create<T extends ClubTable>(table: T, data: Partial<ClubTables[T]>): Promise<ClubTables[T]> {
    const after = await unique(data, () => clubDelegateOf(this.tx, table).create({ data }));
    this.entries.push({ table, id: after.id, before: null, after });
    return after as unknown as ClubTables[T];
  }

  /** Adds many rows at once, in the order given; quickly where each brings its id. */
  async createMany<T extends ClubTable>(table: T, data: readonly Partial<ClubTables[T]>[]): Promise<void> {
    if (data.every((row): row is typeof row & { id: string } => typeof row.id === "string")) {
      const added = await unique({}, () => insertRows(this.tx, table as unknown as Table, data));
      for (const after of added) this.entries.push({ table, id: after.id, before: null, after });
      return;
    }
    for (let at = 0; at < data.length; at += CHUNK) {
      const some = data.slice(at, at + CHUNK);
      const added = await unique({}, () => clubDelegateOf(this.tx, table).createManyAndReturn({ data: some }));
      for (const after of added) this.entries.push({ table, id: after.id, before: null, after });
    }
  }

  /** Changes a row that is still at the revision read. Throws StaleRow with both values, NotFound. */
  async update<T extends ClubTable>(
    table: T,
    id: string,
    revision: number,
    data: Partial<ClubTables[T]>,
  ): Promise<ClubTables[T]> {
    const before = await clubDelegateOf(this.tx, table).findUnique({ where: { id } });
    if (before === null) throw new NotFound(CLUB_NOUNS[table]);
    checkFresh(before, revision, data);
    await unique(data, () =>
      clubDelegateOf(this.tx, table).updateMany({
        where: { id, revision },
        data: { ...data, revision: { increment: 1 } },
      }),
    );
    const after = (await clubDelegateOf(this.tx, table).findUnique({ where: { id } }))!;
    this.entries.push({ table, id, before, after });
    return after as unknown as ClubTables[T];
  }

  /** Removes a row and what goes with it. Throws {@link Refused} (IN_USE) where rows hang on it that must not be lost. */
  async remove(table: ClubTable, id: string, revision: number): Promise<void> {
    const row = await clubDelegateOf(this.tx, table).findUnique({ where: { id } });
    if (row === null) throw new NotFound(CLUB_NOUNS[table]);
    checkFresh(row, revision, {});
    for (const { table: child, field, outcome } of CLUB_DEPENDENTS[table] ?? []) {
      const hanging = await clubDelegateOf(this.tx, child).findMany({ where: { [field]: id } });
      if (hanging.length > 0 && outcome === "refuse")
        throw new Refused(
          "IN_USE",
          `The ${clubNameWithNoun(table, row)} has ${hanging.length === 1 ? `a ${CLUB_NOUNS[child]}` : `${CLUB_NOUNS[child]}s`} and stays in the record.`,
        );
      for (const one of hanging) await this.remove(child, one.id, one.revision);
    }
    await clubDelegateOf(this.tx, table).deleteMany({ where: { id } });
    this.entries.push({ table, id, before: row, after: null });
  }
}

/** Of an import: rows that are new are kept back and written together, so that others who write wait less. */
export class TogetherJournal extends ClubJournal {
  override readonly entries: ClubEntry[];
  private readonly kept: { table: ClubTable; rows: object[] } = { table: "clubSource", rows: [] };

  /** @param together tables whose new rows nothing hangs on yet */
  constructor(
    into: ClubJournal,
    private readonly together: readonly ClubTable[],
  ) {
    super(into.tx);
    this.entries = into.entries;
  }

  override async create<T extends ClubTable>(table: T, data: Partial<ClubTables[T]>): Promise<ClubTables[T]> {
    if (!this.together.includes(table)) return super.create(table, data);
    if (this.kept.table !== table) await this.flush();
    this.kept.table = table;
    const row = { ...data, id: randomUUID() };
    this.kept.rows.push(row);
    return { revision: 1, ...row } as unknown as ClubTables[T];
  }

  /** Writes what is kept back. */
  async flush(): Promise<void> {
    const rows = this.kept.rows.splice(0);
    if (rows.length > 0) await this.createMany(this.kept.table, rows as never);
  }
}

/** One transaction: does the work and writes one {@link ClubChange} with every row before and after. All of it or nothing. */
export async function recordClub(
  store: Store,
  occasion: ClubOccasion,
  work: (journal: ClubJournal) => Promise<unknown>,
): Promise<ClubChange> {
  const { change, entries } = await store.$transaction(async (tx) => {
    const journal = new ClubJournal(tx);
    await work(journal);
    const change = await tx.clubChange.create({
      data: {
        clubId: occasion.clubId,
        accountId: occasion.accountId,
        summary: typeof occasion.summary === "string" ? occasion.summary : occasion.summary(),
        rows: JSON.stringify(journal.entries),
        undoOfId: occasion.undoOfId ?? null,
      },
    });
    return { change, entries: journal.entries };
  });
  for (const listener of listeners.get(store) ?? []) listener(entries);
  return change;
}

const listeners = new WeakMap<Store, ((entries: readonly ClubEntry[]) => void)[]>();

/** Calls the listener after each change of the club that this process commits to the store. */
export function onClubCommit(store: Store, listener: (entries: readonly ClubEntry[]) => void): void {
  const known = listeners.get(store);
  if (known === undefined) listeners.set(store, [listener]);
  else known.push(listener);
}

/**
 * Takes a change of the club back in one recorded change. Throws {@link StaleRow} where one of its rows was changed
 * since, {@link Refused} where it was taken back already. `settle` may refuse what stands then.
 */
export async function undoClub(
  store: Store,
  taken: ClubChange,
  accountId: string,
  settle: (tx: Tx, entries: readonly ClubEntry[]) => Promise<void>,
): Promise<ClubChange> {
  const entries = JSON.parse(taken.rows) as ClubEntry[];
  const renamed: string[] = [];
  return recordClub(
    store,
    {
      clubId: taken.clubId,
      accountId,
      summary: () => undoSummary(taken) + renamed.join(""),
      undoOfId: taken.id,
    },
    async (journal) => {
      if ((await journal.tx.clubChange.count({ where: { undoOfId: taken.id } })) > 0)
        throw new Refused("ALREADY_UNDONE", "This change was taken back already.");
      for (const entry of entries.toReversed()) renamed.push(...(await invert(journal, entry, entries)));
      await settle(journal.tx, journal.entries);
    },
  );
}

/** Returns what there is to say of it. */
async function invert(
  journal: ClubJournal,
  { table, id, before, after }: ClubEntry,
  beside: readonly ClubEntry[],
): Promise<string[]> {
  const now = await clubDelegateOf(journal.tx, table).findUnique({ where: { id } });
  if (after === null) {
    const { enteredAt, putDownAt, ...rest } = before as AnyRow & { enteredAt?: string; putDownAt?: string };
    const times = {
      ...(enteredAt && { enteredAt: new Date(enteredAt) }),
      ...(putDownAt && { putDownAt: new Date(putDownAt) }),
    };
    const code = await codeBack(clubDelegateOf(journal.tx, table), before!, beside);
    await standingAgain(CLUB_NOUNS[table], String(before!["code"] ?? ""), () =>
      journal.create(table, { ...rest, ...times, ...code } as never),
    );
    return code === null ? [] : [backAs(CLUB_NOUNS[table], String(before!["code"]), code.code)];
  }
  if (now === null) throw new Refused("IN_USE", `The ${clubNameWithNoun(table, after)} has since been removed.`);
  if (before === null) {
    await journal.remove(table, id, now.revision);
    return [];
  }
  const fields = content(before, after);
  const since = differences(now, Object.fromEntries(Object.keys(fields).map((field) => [field, after[field]])));
  if (since.length > 0) throw new StaleRow(id, now.revision, since);
  await standingAgain(CLUB_NOUNS[table], String(now["code"] ?? ""), () =>
    journal.update(table, id, now.revision, fields as never),
  );
  return [];
}

/** Columns worked out from others: the settling of a batch and the store write them, undo does not. */
const WORKED_OUT = new Set(["revision", "codeOrder", "putDown", "settledOn", "enteredAt", "putDownAt"]);

const content = (before: AnyRow, after: AnyRow): Record<string, unknown> =>
  Object.fromEntries(
    Object.entries(before).filter(([field, value]) => !WORKED_OUT.has(field) && value !== after[field]),
  );
