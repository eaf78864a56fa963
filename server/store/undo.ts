/** Taking a change back: the inverse of each of its rows, last first, in one recorded change that can itself be taken back. */
import type { Change } from "../generated/prisma/client.ts";
import type { Store, Tx } from "./client.ts";
import { Refused, StaleRow } from "./fault.ts";
import { differences, type Entry, type Journal, onWhatStands, record } from "./journal.ts";
import { type AnyRow, DEPENDENTS, delegateOf, LEDGERS, NOUNS, nameOf, nameWithNoun } from "./tables.ts";

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
  return record(
    store,
    {
      restorationId: change.restorationId,
      accountId,
      summary: undoSummary(change),
      undoOfId: change.id,
    },
    async (journal) => {
      if ((await journal.tx.change.count({ where: { undoOfId: change.id } })) > 0)
        throw new Refused("ALREADY_UNDONE", "This change was taken back already.");
      await checkUntouched(journal.tx, entries);
      for (const entry of entries.toReversed()) await invert(journal, accountId, entry);
      await check(journal.tx, entries);
    },
  );
}

/** "Took back: …", and of that "Brought back: …", and so on in turn. */
export function undoSummary({ undoOfId, summary }: Pick<Change, "undoOfId" | "summary">): string {
  if (undoOfId === null) return `Took back: ${summary}`;
  const [, said, what] = /^(Took back|Brought back|Did again): (.*)$/s.exec(summary) ?? [null, "Took back", summary];
  return `${said === "Took back" ? "Brought back" : "Took back"}: ${what}`;
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
  for (const [key, { table, id, after }] of last) {
    const row = await delegateOf(tx, table).findUnique({ where: { id } });
    if (after === null ? row === null : row !== null && row.revision === after.revision) continue;
    const back = first.get(key)!.before;
    const then = back ?? {};
    throw new StaleRow(id, row?.revision ?? 0, row === null ? [] : differences(row, content(then, after ?? {})));
  }
}

async function invert(journal: Journal, accountId: string, { table, id, before, after }: Entry): Promise<void> {
  if (before === null) {
    const row = await delegateOf(journal.tx, table).findUnique({
      where: { id },
    });
    if (row === null) return;
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
    await onWhatStands(NOUNS[table], () => journal.create(table, before as object));
  } else {
    const row = await delegateOf(journal.tx, table).findUnique({ where: { id } });
    const back = content(before, after) as object;
    if (row !== null) await onWhatStands(NOUNS[table], () => journal.update(table, id, row.revision, back));
  }
}

/** The fields of `before` that the change altered, without those that only count changes or that the store writes by itself. */
function content(before: object, after: object): Partial<AnyRow> {
  return Object.fromEntries(
    Object.entries(before).filter(
      ([field, value]) =>
        !["revision", "planRevision", "codeOrder"].includes(field) &&
        value !== (after as Record<string, unknown>)[field],
    ),
  );
}
