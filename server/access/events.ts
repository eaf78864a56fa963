/** The record of accounts: sign-ins, invitations, changes of role. Only ever added to. */
import type { AccountEventKind } from "../generated/prisma/enums.ts";
import type { Store, Tx } from "../store/client.ts";

export interface Happened {
  /** The account that it is about. */
  account: { id: string; workshopId: string };
  /** Who did it; null: the program. */
  byId: string | null;
  kind: AccountEventKind;
  /** For people. */
  summary: string;
}

/** Adds one entry, in the transaction of what it tells of. */
export async function recordEvent(tx: Store | Tx, { account, byId, kind, summary }: Happened): Promise<void> {
  await tx.accountEvent.create({
    data: { workshopId: account.workshopId, accountId: account.id, byId, kind, summary },
  });
}
