/** What was typed into a form and not saved: kept on this device until it is saved or thrown away, or four weeks have passed. */
export interface Typed {
  /** The row as it was read, for a form that changes one. */
  row: { id: string; revision: number } | null;
  /** Of the fields that were changed: what they held when they were read, and what was typed. */
  read: Record<string, unknown>;
  values: Record<string, unknown>;
}

const PREFIX = "lastbolt.typed ";
const PERSON = "lastbolt.typed-by";
const KEPT_MS = 28 * 24 * 60 * 60 * 1000;

let person: string | null = null;

/** Whose typing is kept from here on: nobody else finds it, and it waits until its own account is signed in again. */
export function typedBy(account: string): void {
  if (person === account) return;
  person = account;
  try {
    localStorage.setItem(PERSON, account);
    for (const key of Object.keys(localStorage)) if (key.startsWith(PREFIX) && isOld(key)) localStorage.removeItem(key);
  } catch {
    // Nothing is kept where nothing can be.
  }
}

function isOld(key: string): boolean {
  try {
    const { at } = JSON.parse(localStorage.getItem(key) ?? "") as { at: number };
    return !(Date.now() - at < KEPT_MS);
  } catch {
    return true;
  }
}

/** Without a connection nobody says who it is: it is who was here last. */
const keyOf = (form: string): string => `${PREFIX}${person ?? localStorage.getItem(PERSON) ?? ""} ${form}`;

/** Null where nothing is kept, or the browser keeps nothing. */
export function keptTyped(form: string): Typed | null {
  try {
    const key = keyOf(form);
    const text = localStorage.getItem(key);
    return text === null || isOld(key) ? null : (JSON.parse(text) as Typed);
  } catch {
    return null;
  }
}

/** Keeps what is typed; null forgets it. */
export function keepTyped(form: string, typed: Typed | null): void {
  try {
    if (typed === null) localStorage.removeItem(keyOf(form));
    else localStorage.setItem(keyOf(form), JSON.stringify({ ...typed, at: Date.now() }));
  } catch {
    // A browser that keeps nothing still shows the form; leaving the page asks first.
  }
}
