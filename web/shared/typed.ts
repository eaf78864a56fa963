/** What was typed into a form and not saved: kept in this tab until it is saved or thrown away. */
export interface Typed {
  /** The row as it was read, for a form that changes one. */
  row: { id: string; revision: number } | null;
  /** Of the fields that were changed: what they held when they were read, and what was typed. */
  read: Record<string, unknown>;
  values: Record<string, unknown>;
}

const PREFIX = "lastbolt.typed ";

/** Null where nothing is kept, or the browser keeps nothing. */
export function keptTyped(form: string): Typed | null {
  try {
    const text = sessionStorage.getItem(PREFIX + form);
    return text === null ? null : (JSON.parse(text) as Typed);
  } catch {
    return null;
  }
}

/** Keeps what is typed; null forgets it. */
export function keepTyped(form: string, typed: Typed | null): void {
  try {
    if (typed === null) sessionStorage.removeItem(PREFIX + form);
    else sessionStorage.setItem(PREFIX + form, JSON.stringify(typed));
  } catch {
    // A browser that keeps nothing still shows the form; leaving the page asks first.
  }
}

/** Forgets all that is typed in this tab: somebody else looks on from here. */
export function forgetTyped(): void {
  try {
    for (const key of Object.keys(sessionStorage)) if (key.startsWith(PREFIX)) sessionStorage.removeItem(key);
  } catch {
    // Nothing is kept where nothing can be.
  }
}
