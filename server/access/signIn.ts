/** Sign-ins: a browser holds a secret in its cookie, the database its hash, until either side ends it. */
import type { Account, SignIn } from "../generated/prisma/client.ts";
import type { Store, Tx } from "../store/client.ts";
import { Refused } from "../store/fault.ts";
import { recordEvent } from "./events.ts";
import { isPassword } from "./password.ts";
import { hashOf, newSecret } from "./secret.ts";
import type { Tries } from "./tries.ts";

/** A sign-in ends when it was not used for this long, in milliseconds. */
export const SIGN_IN_MS = 30 * 24 * 3_600_000;

/** How much later it must be before a use is written down again. */
const USE_MS = 3_600_000;

/** The newest sign-ins of an account that are kept; an older one ends when one more is begun. */
const MOST_SIGN_INS = 50;

/** The sign-in that a secret stands for, with its account; null where it has ended or the account is closed. */
export async function signInOf(store: Store, secret: string): Promise<(SignIn & { account: Account }) | null> {
  const found = await store.signIn.findUnique({ where: { secretHash: hashOf(secret) }, include: { account: true } });
  const now = Date.now();
  if (found === null || found.account.closed || found.endsAt.getTime() <= now) return null;
  if (now - found.usedAt.getTime() > USE_MS)
    await store.signIn.updateMany({
      where: { id: found.id },
      data: { usedAt: new Date(now), endsAt: new Date(now + SIGN_IN_MS) },
    });
  return found;
}

/** Signs an account in and returns the cookie's secret. */
export async function beginSignIn(tx: Store | Tx, account: Account, browser: string, words: string): Promise<string> {
  const secret = newSecret();
  const now = Date.now();
  await tx.signIn.deleteMany({ where: { accountId: account.id, endsAt: { lte: new Date(now) } } });
  await tx.signIn.create({
    data: {
      accountId: account.id,
      secretHash: hashOf(secret),
      browser: browser.slice(0, 300),
      endsAt: new Date(now + SIGN_IN_MS),
    },
  });
  const kept = { accountId: account.id };
  const old = await tx.signIn.findMany({ where: kept, orderBy: { begunAt: "desc" }, skip: MOST_SIGN_INS });
  await tx.signIn.deleteMany({ where: { id: { in: old.map(({ id }) => id) } } });
  await recordEvent(tx, { account, byId: account.id, kind: "SIGNED_IN", summary: words });
  return secret;
}

/**
 * Signs in by e-mail and password, and returns the cookie's secret.
 * Throws {@link Refused}: WRONG_PASSWORD, the same whether it is the e-mail or the password, or TOO_MANY_TRIES.
 */
export async function signInByPassword(
  store: Store,
  tries: Tries,
  { email, password }: { email: string; password: string },
  { address, browser }: { address: string; browser: string },
): Promise<{ account: Account; secret: string }> {
  const known = emailAsStored(email);
  await tries.begin(known, address);
  const account = await whoseIs(store, known, password.slice(0, 1_000));
  if (account === null)
    throw new Refused("WRONG_PASSWORD", "That e-mail and that password do not belong together. Nobody was signed in.");
  await tries.succeeded(known, address);
  return { account, secret: await beginSignIn(store, account, browser, "Signed in by password") };
}

/**
 * The account with this e-mail and password. Somebody may have one in each of several workshops; where both also have
 * the same password, the older is meant. For every e-mail as many passwords are compared, so that the answer's time
 * does not tell how many accounts have it.
 */
async function whoseIs(store: Store, email: string, password: string): Promise<Account | null> {
  const accounts = await store.account.findMany({ where: { email, closed: false }, orderBy: { id: "asc" } });
  const [most] = await store.account.groupBy({
    by: ["email"],
    where: { email: { not: null } },
    _count: { email: true },
    orderBy: { _count: { email: "desc" } },
    take: 1,
  });
  let found: Account | null = null;
  for (let i = 0; i < Math.max(1, most?._count.email ?? 0); i++) {
    const right = await isPassword(accounts[i]?.passwordHash, password);
    if (right) found ??= accounts[i] ?? null;
  }
  return found;
}

/** Ends sign-ins of an account: all of them, one, or all but the one with this secret. */
export async function endSignIns(
  tx: Store | Tx,
  accountId: string,
  which: { id?: string; not?: string | null } = {},
): Promise<number> {
  const { count } = await tx.signIn.deleteMany({
    where: {
      accountId,
      ...(which.id === undefined ? {} : { id: which.id }),
      ...(which.not == null ? {} : { secretHash: { not: hashOf(which.not) } }),
    },
  });
  return count;
}

/** Signs one of the demo's people in. Throws {@link Refused} for an account of any other workshop. */
export async function actAs(store: Store, accountId: string, browser: string): Promise<string> {
  const account = await store.account.findFirst({ where: { id: accountId, closed: false, workshop: { demo: true } } });
  if (account === null) throw new Refused("NOT_ALLOWED", "Only the people of the demo can be taken on.");
  return beginSignIn(store, account, browser, "Taken on in the demo");
}

/** E-mails are compared in small letters. */
export const emailAsStored = (email: string): string => email.trim().toLowerCase();
