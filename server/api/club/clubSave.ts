/** How a row of the club is added, changed, removed or taken back by one of its members. */
import { isDeepStrictEqual } from "node:util";
import { type Member, memberOf, ownClubRow } from "../../access/club.ts";
import { clubDay, settleBatch } from "../../plan/club/batch.ts";
import type { Tx } from "../../store/client.ts";
import { type ClubEntry, type ClubJournal, recordClub, undoClub } from "../../store/clubJournal.ts";
import { type ClubNoun, clubFaultsOf } from "../../store/clubRules.ts";
import { type ClubTables, clubDelegateOf, clubNameWithNoun } from "../../store/clubTables.ts";
import { nextCode } from "../../store/codes.ts";
import { type Fault, InvalidInput, Refused } from "../../store/fault.ts";
import { checkFresh } from "../../store/journal.ts";
import type { Context } from "../core/context.ts";
import { cleared } from "../core/save.ts";
import type { ClubSaved } from "../core/saveResult.ts";

type Values = Record<string, unknown>;
export type OwnedTable = "clubSource" | "want" | "spare" | "batch";

export interface ClubDraft<T extends OwnedTable> {
  table: T;
  id: string | null | undefined;
  revision: number | null | undefined;
  /** Columns from the input: undefined keeps, null clears. */
  patch: Values;
  /** What a new row holds where the input says nothing. */
  defaults: Values;
  /** Letter with which an earlier version began the codes that it made. */
  earlier: string;
  /** Columns that point at rows elsewhere, and rules that need them. Adds faults, or throws Refused. */
  place?: (tx: Tx, merged: Values, before: ClubTables[T] | null, fault: (fault: Fault) => void) => Promise<Values>;
  /** Rows below it, written in the same change. */
  also?: (journal: ClubJournal, row: ClubTables[T], before: ClubTables[T] | null) => Promise<void>;
}

const DAY_MS = 86_400_000;
const ENTERED = ["clubSource", "want", "spare", "batch", "matchMessage", "clubComplaint"] as const;

/** Throws {@link Refused} TOO_MANY_ENTRIES where the member has entered as much in 24 hours as the club allows one to. */
export async function mayEnter(tx: Tx, member: Member, count = 1): Promise<void> {
  if (member.club.entriesPerDay === Number.POSITIVE_INFINITY) return;
  const since = new Date(Date.now() - DAY_MS);
  const where = { memberId: member.id, enteredAt: { gt: since } };
  let entered = count;
  for (const table of ENTERED) entered += await clubDelegateOf(tx, table).count({ where });
  if (entered > member.club.entriesPerDay)
    throw new Refused(
      "TOO_MANY_ENTRIES",
      `One member may make ${member.club.entriesPerDay} entries in 24 hours, and you have made them: go on tomorrow.`,
    );
}

/** Throws {@link Refused} where members of the club remain and none of them is its steward; closed accounts do not count. */
export async function keepsSteward(tx: Tx, clubId: string): Promise<void> {
  const open = { clubId, account: { closed: false } };
  const [members, stewards] = [
    await tx.clubMember.count({ where: open }),
    await tx.clubMember.count({ where: { ...open, steward: true } }),
  ];
  if (members > 0 && stewards === 0)
    throw new Refused("NOT_ALLOWED", "The club needs a steward: make another member one first.");
}

/** Runs a change of the club for a member, and answers it. */
export async function inClub(
  context: Context,
  work: (journal: ClubJournal, member: Member) => Promise<{ id: string; revision: number; summary: string }>,
): Promise<ClubSaved> {
  const member = await memberOf(context.viewer, context.store);
  let done = { id: "", revision: 0, summary: "" };
  const change = await recordClub(
    context.store,
    { clubId: member.club.id, accountId: member.accountId, summary: () => done.summary },
    async (journal) => {
      done = await work(journal, member);
    },
  );
  return { is: "ClubSaved", change, id: done.id, revision: done.revision };
}

/** Saves a draft of a member's own row in one recorded change. */
export const saveInClub = <T extends OwnedTable>(context: Context, draft: ClubDraft<T>): Promise<ClubSaved> =>
  inClub(context, async (journal, member) => {
    const row = await writeInClub(journal, member, draft);
    const { id, revision } = row as unknown as { id: string; revision: number };
    const verb = draft.id != null ? "Changed" : "Added";
    return { id, revision, summary: `${verb} ${clubNameWithNoun(draft.table, row as unknown as Values)}` };
  });

/** Checks a draft and writes it. */
export async function writeInClub<T extends OwnedTable>(
  journal: ClubJournal,
  member: Member,
  draft: ClubDraft<T>,
): Promise<ClubTables[T]> {
  const { tx } = journal;
  const before = draft.id != null ? await ownClubRow(member, tx, draft.table, draft.id) : null;
  const stored = before as unknown as (Values & { id: string; revision: number }) | null;
  const patch = cleared(draft.patch, draft.defaults);
  if (stored !== null) {
    if (draft.revision == null)
      throw new InvalidInput([
        {
          code: "REQUIRED",
          field: "revision",
          message: "It was not said which version was read, so nothing was changed: read it again.",
        },
      ]);
    checkFresh(stored, draft.revision, patch);
  } else await mayEnter(tx, member);
  const faults: Fault[] = [];
  const merged: Values = { ...draft.defaults, ...stored, ...patch, clubId: member.club.id };
  if (stored === null) merged.memberId = member.id;
  if (merged.code == null)
    merged.code = await nextCode(clubDelegateOf(tx, draft.table), { clubId: member.club.id }, draft);
  Object.assign(merged, await draft.place?.(tx, merged, before, (fault) => faults.push(fault)));
  faults.push(...clubFaultsOf(draft.table as ClubNoun, merged));
  if (faults.length > 0) throw new InvalidInput(faults);
  const row =
    stored === null
      ? await journal.create(draft.table, merged as never)
      : await journal.update(draft.table, stored.id, stored.revision, changed(stored, merged) as never);
  await draft.also?.(journal, row, before);
  return row;
}

/** Removes a member's own row. */
export const removeInClub = (context: Context, table: OwnedTable, id: string, revision: number): Promise<ClubSaved> =>
  inClub(context, async (journal, member) => {
    const row = await ownClubRow(member, journal.tx, table, id);
    await journal.remove(table, id, revision);
    return { id, revision, summary: `Removed ${clubNameWithNoun(table, row)}` };
  });

/** Takes a change of the club back where the id is one of the member's own; undefined where it is none of the club's. */
export async function takeBackInClub(context: Context, id: string): Promise<ClubSaved | undefined> {
  const { store, viewer } = context;
  const taken = await store.clubChange.findUnique({ where: { id } });
  if (taken === null) return undefined;
  const member = await memberOf(viewer, store);
  if (taken.accountId !== member.accountId) throw new Refused("NOT_ALLOWED", "This change is another member's.");
  const change = await undoClub(store, taken, member.accountId, (tx, entries) => settleAfter(tx, member, entries));
  return { is: "ClubSaved", change, id: change.id, revision: 1 };
}

async function settleAfter(tx: Tx, member: Member, entries: readonly ClubEntry[]): Promise<void> {
  const day = clubDay(member.club);
  if (entries.some(({ table }) => table === "clubMember")) await keepsSteward(tx, member.club.id);
  const batches = new Set<string>();
  for (const { table, before, after } of entries) {
    const row = (after ?? before)!;
    if (table === "nameDown" || table === "batchPrice" || table === "batchStage") batches.add(String(row.batchId));
    if (table === "batch" && after !== null) batches.add(row.id);
  }
  for (const id of batches) {
    const named = entries.some(({ table }) => table === "nameDown");
    const stood = await tx.batch.findUnique({ where: { id } });
    if (stood === null) continue;
    if (named && stood.state !== "TAKING_NAMES")
      throw new Refused(
        "BATCH_SETTLED",
        `Batch ${stood.code} takes no more names: those that are down stay as they were.`,
      );
    const batch = await settleBatch(tx, id, day);
    if (batch.most !== null && batch.putDown > batch.most)
      throw new Refused(
        "BATCH_FULL",
        `Others have taken the room in batch ${batch.code} since: the maker takes on ${batch.most} at most.`,
      );
  }
}

const changed = (stored: Values, merged: Values): Values =>
  Object.fromEntries(Object.entries(merged).filter(([field, value]) => !isDeepStrictEqual(stored[field], value)));
