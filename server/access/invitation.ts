/** Links by which an account sets its password: one to join, one to reset. Good once, and until their end. */
import type { Account, Invitation } from "../generated/prisma/client.ts";
import type { InvitationKind } from "../generated/prisma/enums.ts";
import type { Store, Tx } from "../store/client.ts";
import { type Fault, InvalidInput, Refused } from "../store/fault.ts";
import { faultsOf } from "../store/rules.ts";
import { recordEvent } from "./events.ts";
import { hashPassword, passwordFaults } from "./password.ts";
import { hashOf, newSecret } from "./secret.ts";
import { beginSignIn, emailAsStored, endSignIns } from "./signIn.ts";

const DAY_MS = 24 * 3_600_000;

/** How long a link is good, in days. */
export const LINK_DAYS: Record<InvitationKind, number> = { JOIN: 14, RESET: 2 };

/** Makes a link for an account and returns its secret; links of that account that were not used are good no more. */
export async function newLink(tx: Store | Tx, accountId: string, kind: InvitationKind): Promise<string> {
  const secret = newSecret();
  await endLinks(tx, accountId);
  await tx.invitation.create({
    data: { accountId, kind, secretHash: hashOf(secret), endsAt: new Date(Date.now() + LINK_DAYS[kind] * DAY_MS) },
  });
  return secret;
}

/** Ends the links of an account that were not used. */
export async function endLinks(tx: Store | Tx, accountId: string): Promise<void> {
  const now = new Date();
  await tx.invitation.updateMany({ where: { accountId, usedAt: null, endsAt: { gt: now } }, data: { endsAt: now } });
}

type Found = Invitation & { account: Account & { workshop: { name: string } } };

/** The invitation of a link. Throws {@link Refused} (LINK_ENDED) where it was used, has ended, or never was. */
export async function invitationOf(store: Store | Tx, secret: string): Promise<Found> {
  const found = await store.invitation.findUnique({
    where: { secretHash: hashOf(secret) },
    include: { account: { include: { workshop: { select: { name: true } } } } },
  });
  if (found === null || found.usedAt !== null || found.endsAt.getTime() <= Date.now() || found.account.closed)
    throw new Refused(
      "LINK_ENDED",
      "This link was used already or has ended. Ask whoever runs the workshop's accounts for a new one.",
    );
  return found;
}

export interface Joining {
  secret: string;
  /** Both may be left out of a reset, which keeps what is known. */
  name?: string | null | undefined;
  email?: string | null | undefined;
  password: string;
  /** What the workshop is called: asked of the first to join one that has no name yet. */
  workshop?: string | null | undefined;
}

/**
 * Takes a link up: the account gets its name, e-mail and password, every other sign-in of it ends, and it is signed in.
 * Throws {@link Refused} (LINK_ENDED), or {@link InvalidInput} with every fault.
 */
export async function takeUp(
  store: Store,
  joining: Joining,
  browser: string,
): Promise<{ account: Account; secret: string }> {
  const { account: invited } = await invitationOf(store, joining.secret);
  const name = joining.name ?? invited.name;
  const email = emailAsStored(joining.email ?? invited.email ?? "");
  const nameless = invited.workshop.name === "" && invited.admin;
  const faults = [
    ...faultsOf("account", { name, email }),
    ...passwordFaults(joining.password),
    ...(await takenEmail(store, email, invited)),
    ...(nameless ? unnamed(joining.workshop) : []),
  ];
  if (faults.length > 0) throw new InvalidInput(faults);
  const passwordHash = await hashPassword(joining.password);
  return store.$transaction(async (tx) => {
    const { id, kind } = await invitationOf(tx, joining.secret);
    await tx.invitation.update({ where: { id }, data: { usedAt: new Date() } });
    const account = await tx.account.update({
      where: { id: invited.id },
      data: { name, email, passwordHash, revision: { increment: 1 } },
    });
    if (nameless)
      await tx.workshop.update({
        where: { id: account.workshopId },
        data: { name: joining.workshop!.trim(), revision: { increment: 1 } },
      });
    await endSignIns(tx, account.id);
    await recordEvent(tx, {
      account,
      byId: account.id,
      kind: kind === "JOIN" ? "JOINED" : "PASSWORD_CHANGED",
      summary: kind === "JOIN" ? `${name} joined` : "Set a new password by a reset link",
    });
    return { account, secret: await beginSignIn(tx, account, browser, "Signed in by link") };
  });
}

/** What is wrong with the name that a workshop is given with its first account. */
const unnamed = (name: string | null | undefined): Fault[] =>
  faultsOf("workshopName", { name }).map((one) => ({
    ...one,
    field: "workshop",
    message: one.message.replace(/^name/, "workshop"),
  }));

/** A fault where another account of the workshop has the e-mail. Which e-mails other workshops have is told to nobody. */
export async function takenEmail(
  store: Store | Tx,
  email: string,
  { id, workshopId }: { id: string | null; workshopId: string },
) {
  const holder = await store.account.findUnique({ where: { workshopId_email: { workshopId, email } } });
  if (holder === null || holder.id === id) return [];
  return [
    {
      code: "DUPLICATE" as const,
      field: "email",
      value: email,
      message: "email is that of another account of this workshop already.",
    },
  ];
}

/**
 * For a workshop that nobody can sign in to: the link by which its first account sets its name, e-mail and password.
 * Makes that account, or the workshop, where there is none. Null where somebody can sign in, or where all is the demo.
 */
export async function firstLink(store: Store): Promise<string | null> {
  return store.$transaction(async (tx) => {
    // The demo is open to everybody, and nobody enters the made-up workshops of its club.
    if ((await tx.workshop.count({ where: { demo: true } })) > 0) return null;
    const workshop =
      (await tx.workshop.count()) === 0
        ? await tx.workshop.create({ data: { name: "" } })
        : await tx.workshop.findFirst({
            where: { demo: false, accounts: { none: { passwordHash: { not: null }, admin: true, closed: false } } },
            orderBy: { id: "asc" },
          });
    if (workshop === null) return null;
    const first = await tx.account.findFirst({
      where: { workshopId: workshop.id, role: "RESTORER", closed: false },
      orderBy: { id: "asc" },
    });
    const account =
      first === null
        ? await tx.account.create({ data: { workshopId: workshop.id, name: "", role: "RESTORER", admin: true } })
        : await tx.account.update({ where: { id: first.id }, data: { admin: true } });
    await recordEvent(tx, { account, byId: null, kind: "INVITED", summary: "A first link was printed at the start" });
    return newLink(tx, account.id, "JOIN");
  });
}
