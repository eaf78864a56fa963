/** Who asks: the account whose cookie came with the request, or nobody. */
import type { Role } from "../generated/prisma/enums.ts";
import type { Store } from "../store/client.ts";
import { signInOf } from "./signIn.ts";

export interface Viewer {
  /** Empty for nobody, as is the workshop. */
  accountId: string;
  workshopId: string;
  role: Role | "NOBODY";
  /** Invites, hands out reset links, closes accounts. */
  admin: boolean;
  /** False where only long work that the account began itself may be followed. */
  everyJob: boolean;
}

/** Somebody who is not signed in. */
export const NOBODY: Viewer = { accountId: "", workshopId: "", role: "NOBODY", admin: false, everyJob: false };

/** What a cookie holds in which somebody left the demo: it does not take one in again unasked. */
export const SIGNED_OUT = "signed-out";

/**
 * The account that a request acts for. Without a cookie it is nobody; only where the database holds the demo,
 * it is the account with which the demo begins, the first of its workshop.
 */
export async function viewerOf(store: Store, secret: string | null = null): Promise<Viewer> {
  const signIn = secret === null || secret === SIGNED_OUT ? null : await signInOf(store, secret);
  if (signIn !== null) return asViewer(signIn.account);
  if (secret === SIGNED_OUT) return NOBODY;
  const first = await store.account.findFirst({
    where: { workshop: { demo: true }, closed: false },
    orderBy: { id: "asc" },
  });
  return first === null ? NOBODY : asViewer(first);
}

/** An account, as it stands now, as who asks. */
export const asViewer = (account: { id: string; workshopId: string; role: Role; admin: boolean }): Viewer => ({
  accountId: account.id,
  workshopId: account.workshopId,
  role: account.role,
  admin: account.admin && account.role === "RESTORER",
  everyJob: account.role === "RESTORER",
});
