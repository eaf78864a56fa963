/**
 * Who may see and do what in the club: restorers and members who belong to it read what is not withheld; each changes
 * the own rows alone; a steward sees what is withheld too, and withholds. Owners have no part in it.
 */
import type { Store, Tx } from "../store/client.ts";
import { CLUB_NOUNS, type ClubTable, type ClubTables, clubDelegateOf } from "../store/clubTables.ts";
import { NotFound, Refused } from "../store/fault.ts";
import type { Viewer } from "./viewer.ts";

/** An account in its club. */
export interface Member {
  id: string;
  accountId: string;
  workshopId: string;
  /** Restorers alone have a workshop of which parts can be wanted. */
  restorer: boolean;
  /** Of the club, whatever the account is in its workshop. */
  steward: boolean;
  name: string;
  club: { id: string; name: string; currency: string; figuresFor: string | null; entriesPerDay: number };
}

/** The viewer as a member of the club, or null. */
export async function memberOrNull(viewer: Viewer, store: Store | Tx): Promise<Member | null> {
  if (viewer.role === "OWNER") return null;
  const row = await store.clubMember.findUnique({
    where: { accountId: viewer.accountId },
    include: { club: true, account: { select: { closed: true, role: true } } },
  });
  if (row === null || row.account.closed || row.account.role === "OWNER") return null;
  return {
    id: row.id,
    accountId: viewer.accountId,
    workshopId: viewer.workshopId,
    restorer: viewer.role === "RESTORER",
    steward: row.steward,
    name: row.name,
    club: row.club,
  };
}

/** The viewer as a member of the club. Throws {@link Refused} NOT_A_MEMBER otherwise. */
export async function memberOf(viewer: Viewer, store: Store | Tx): Promise<Member> {
  const member = await memberOrNull(viewer, store);
  if (member === null) throw new Refused("NOT_A_MEMBER", "This is for members of the club: join it first.");
  return member;
}

/** Where-clause of the rows that the member may read. */
export const readableBy = (member: Member): { clubId: string; withheldReason?: null } =>
  member.steward ? { clubId: member.club.id } : { clubId: member.club.id, withheldReason: null };

/** True where the member may read a row: one of the own club, and where it was withheld, an own one, or by a steward. */
export const readsClubRow = (
  member: Member,
  row: { clubId: string; memberId: string; withheldReason: string | null },
): boolean =>
  row.clubId === member.club.id && (row.withheldReason === null || member.steward || row.memberId === member.id);

type Owned = "clubSource" | "want" | "spare" | "batch";

/** A row that the member may read, own rows that were withheld among them. Throws {@link NotFound} otherwise. */
export async function readClubRow<T extends Owned>(
  member: Member,
  store: Store | Tx,
  table: T,
  id: string,
): Promise<ClubTables[T]> {
  const row = (await clubDelegateOf(store, table).findUnique({ where: { id } })) as unknown as ClubTables[T] | null;
  if (row === null || !readsClubRow(member, row)) throw new NotFound(CLUB_NOUNS[table]);
  return row;
}

/** A row that the member may change: an own one. Throws {@link NotFound}, {@link Refused}. */
export async function ownClubRow<T extends Owned>(
  member: Member,
  store: Store | Tx,
  table: T,
  id: string,
): Promise<ClubTables[T]> {
  const row = await readClubRow(member, store, table, id);
  if (row.memberId !== member.id)
    throw new Refused(
      "NOT_ALLOWED",
      `This ${CLUB_NOUNS[table as ClubTable]} is another member's: it is theirs to change.`,
    );
  return row;
}

/** Throws {@link Refused} where the member is no steward. */
export function maySteward(member: Member): void {
  if (!member.steward) throw new Refused("NOT_ALLOWED", "Only a steward of the club can do this.");
}
