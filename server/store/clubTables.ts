/** The tables of the club that its journal writes, and what hangs on a row of each. */
import type {
  Batch,
  BatchPrice,
  BatchStage,
  Club,
  ClubComplaint,
  ClubMember,
  ClubSource,
  Correspondence,
  MatchMessage,
  NameDown,
  Spare,
  Want,
} from "../generated/prisma/client.ts";
import type { Tx } from "./client.ts";
import { type AnyRow, delegateOf, type Table } from "./tables.ts";

export interface ClubTables {
  club: Club;
  clubMember: ClubMember;
  clubSource: ClubSource;
  want: Want;
  spare: Spare;
  correspondence: Correspondence;
  matchMessage: MatchMessage;
  batch: Batch;
  batchPrice: BatchPrice;
  batchStage: BatchStage;
  nameDown: NameDown;
  clubComplaint: ClubComplaint;
}

export type ClubTable = keyof ClubTables;

/** The Prisma delegate of a club table chosen at run time. */
export const clubDelegateOf = (tx: Tx, table: ClubTable) => delegateOf(tx, table as unknown as Table);

/** Rows that go with the row they hang on (`with`), or forbid that it goes. */
export const CLUB_DEPENDENTS: Partial<
  Record<ClubTable, readonly { table: ClubTable; field: string; outcome: "remove" | "refuse" }[]>
> = {
  want: [{ table: "correspondence", field: "wantId", outcome: "refuse" }],
  spare: [{ table: "correspondence", field: "spareId", outcome: "refuse" }],
  correspondence: [{ table: "matchMessage", field: "correspondenceId", outcome: "refuse" }],
  batch: [
    { table: "nameDown", field: "batchId", outcome: "refuse" },
    { table: "batchPrice", field: "batchId", outcome: "remove" },
    { table: "batchStage", field: "batchId", outcome: "remove" },
  ],
};

/** What a person calls one row of the table. */
export const CLUB_NOUNS: Record<ClubTable, string> = {
  club: "club",
  clubMember: "member",
  clubSource: "source",
  want: "want",
  spare: "spare",
  correspondence: "correspondence",
  matchMessage: "message",
  batch: "batch",
  batchPrice: "price of the batch",
  batchStage: "stage payment",
  nameDown: "name",
  clubComplaint: "complaint",
};

/** The code and words by which a person knows a row of the club. */
export function clubNameOf(row: Readonly<Record<string, unknown>>): string {
  if (typeof row.code === "string") return `${row.code}${typeof row.part === "string" ? ` ${row.part}` : ""}`;
  return String(row.name ?? row.title ?? row.id);
}

/** The same with its noun: "source 70 Oil pump", "wanted 85 Brake drum"; of a row without a name the noun alone, never an id. */
export function clubNameWithNoun(table: ClubTable, row: Readonly<Record<string, unknown>>): string {
  const name = clubNameOf(row);
  return name === row.id ? nounBeforeCode(table) : `${nounBeforeCode(table)} ${name}`;
}

/** The noun that stands before a code, as the screens have it. */
export const nounBeforeCode = (table: ClubTable): string => (table === "want" ? "wanted" : CLUB_NOUNS[table]);

export type { AnyRow };
