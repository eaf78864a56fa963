/** Entries of the ledger are added and never changed: a wrong one gets an entry against it, and the right one beside it. */
import { own } from "../../access/rules.ts";
import type { Tx } from "../../store/client.ts";
import { Refused } from "../../store/fault.ts";
import { record } from "../../store/journal.ts";
import { type AnyRow, delegateOf, LEDGERS, NOUNS, nameOf, nameWithNoun, type Tables } from "../../store/tables.ts";
import type { Context } from "./context.ts";
import { type Draft, write } from "./save.ts";
import type { Saved } from "./saveResult.ts";

/** Throws {@link Refused} where an input would change an entry that stands. */
export function stays(table: keyof typeof LEDGERS, id: string | null | undefined): void {
  if (id != null)
    throw new Refused(
      "LEDGER",
      `This ${NOUNS[table]} stays in the ledger as it was entered: correct it, and an entry against it is written beside it.`,
      [id],
    );
}

/** The fields that an input says, null among them, without those that name a row to change. */
export function given<T extends object>(input: T | null | undefined): Partial<T> {
  return Object.fromEntries(
    Object.entries(input ?? {}).filter(
      ([field, value]) => value !== undefined && field !== "id" && field !== "revision",
    ),
  ) as Partial<T>;
}

/**
 * Takes an entry back and, where asked, writes another in its place, in one change.
 * @param check of what then stands; it throws where that is not to be
 * Throws {@link Refused}: ALREADY_CORRECTED for one that was taken back before, LEDGER for one that itself takes another back.
 */
export async function correct<T extends "payment" | "invoice">(
  context: Context,
  table: T,
  id: string,
  draft: (row: Tables[T]) => Draft<T>,
  again: boolean,
  check?: (tx: Tx, row: Tables[T]) => Promise<void>,
): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const row = await own(viewer, store, table, id);
  const wrong = row as unknown as AnyRow;
  const { restorationId } = row;
  const called = await nameWithNoun(store, table, wrong);
  let saved = wrong;
  const change = await record(
    store,
    { restorationId, accountId: viewer.accountId, summary: `Corrected ${called}` },
    async (journal) => {
      if (wrong.correctsId !== null)
        throw new Refused("LEDGER", `This ${NOUNS[table]} takes another back: undo the correction itself instead.`, [
          id,
        ]);
      const against = await delegateOf(journal.tx, table).count({ where: { correctsId: id } });
      if (against > 0)
        throw new Refused("ALREADY_CORRECTED", `This ${NOUNS[table]} was corrected already.`, [nameOf(wrong)]);
      saved = (await journal.create(table, LEDGERS[table]!.against(wrong, viewer.accountId))) as unknown as AnyRow;
      if (again) saved = (await write(context, journal, draft(row))) as unknown as AnyRow;
      await check?.(journal.tx, row);
    },
  );
  return { change, id: saved.id, revision: saved.revision };
}
