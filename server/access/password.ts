/** Passwords, hashed by argon2id with the library's defaults (19 MiB, two passes: the least that OWASP advises). */
import { hash, verify } from "@node-rs/argon2";
import type { Fault } from "../store/fault.ts";

/** Characters that a password has at least: as many as make guessing hopeless where failures are slowed. */
export const LEAST_PASSWORD = 10;
const MOST_PASSWORD = 200;

/** What is wrong with a new password. Its value is never told back. */
export function passwordFaults(password: string, field = "password"): Fault[] {
  if (password.length < LEAST_PASSWORD)
    return [{ code: "OUT_OF_RANGE", field, message: `A password has at least ${LEAST_PASSWORD} characters.` }];
  if (password.length > MOST_PASSWORD)
    return [{ code: "TOO_LONG", field, message: `A password has at most ${MOST_PASSWORD} characters.` }];
  return [];
}

/** The text to store for a password; its salt and its settings stand in it. */
export const hashPassword = (password: string): Promise<string> => hash(password);

let nobodys: Promise<string> | null = null;

/**
 * True where the password is the account's. Without a stored password it takes as long and is false,
 * so that the answer's time does not tell which e-mails are known.
 */
export async function isPassword(stored: string | null | undefined, password: string): Promise<boolean> {
  if (stored !== null && stored !== undefined) return verify(stored, password);
  nobodys ??= hash("of no account");
  await verify(await nobodys, password);
  return false;
}
