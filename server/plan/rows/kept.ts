/** What takes long to work out, kept while the restoration is as it was: by its plan revision and day of the figures. */
import { type Store, versionOf } from "../../store/client.ts";
import { NotFound } from "../../store/fault.ts";
import { type Commit, type Entry, onCommit } from "../../store/journal.ts";

/** Restorations kept for one store, and day of the figuress of each; the ones used longest ago go first. */
export const MOST_RESTORATIONS = 32;
const MOST_DATES = 4;

/** Values of one state of the database. */
const MOST_VALUES = 200;

interface Standing<T> {
  revision: number;
  byDate: Map<string, T>;
}

export class KeptByRevision<T> {
  private readonly stores = new WeakMap<Store, Map<string, Standing<T>>>();

  /** @param outdated is told what is given up because the restoration has changed */
  constructor(private readonly outdated: (value: T) => void = () => {}) {}

  /**
   * What is kept for a restoration as it stands on a day of figures, else what `make` begins. The revision is read each time,
   * so that a change by another process counts too. Throws NotFound.
   * @param make is given a way to drop what it made, for what failed or was stopped
   */
  async of(
    store: Store,
    restorationId: string,
    figuresFor: string,
    make: (drop: () => void) => T,
  ): Promise<{ value: T }> {
    const found = await store.restoration.findUnique({ where: { id: restorationId }, select: { planRevision: true } });
    if (found === null) throw new NotFound("restoration");
    const { byDate } = this.entryOf(store, restorationId, found.planRevision);
    let value = byDate.get(figuresFor);
    if (value === undefined) {
      const made = make(() => {
        if (byDate.get(figuresFor) === made) byDate.delete(figuresFor);
      });
      value = made;
    }
    newest(byDate, figuresFor, value, MOST_DATES);
    return { value };
  }

  private entryOf(store: Store, restorationId: string, revision: number): Standing<T> {
    const restorations = this.stores.get(store) ?? new Map<string, Standing<T>>();
    this.stores.set(store, restorations);
    let entry = restorations.get(restorationId);
    // A revision read before another's change may be handed in after it: it must not push the newer one out.
    if (entry !== undefined && entry.revision > revision) return { revision, byDate: new Map() };
    if (entry?.revision !== revision) {
      for (const value of entry?.byDate.values() ?? []) this.outdated(value);
      entry = { revision, byDate: new Map() };
    }
    newest(restorations, restorationId, entry, MOST_RESTORATIONS);
    return entry;
  }
}

/** Whether a restoration has changed since something was worked out at a plan revision, or is gone. */
export async function isStale(
  store: Pick<Store, "restoration">,
  { restorationId, planRevision }: { restorationId: string; planRevision: number },
): Promise<boolean> {
  const now = await store.restoration.findUnique({ where: { id: restorationId }, select: { planRevision: true } });
  return now?.planRevision !== planRevision;
}

/** How something kept goes on after a change; null: it is read again when it is next asked for. */
export type Following<T> = (
  entries: readonly Entry[],
  restorationId: string,
  store: Store,
) => ((before: T) => T | Promise<T>) | null;

/** What is kept of a restoration and follows each change by this process; after a change by another it is read again. */
export class Followed<T> {
  private readonly stores = new WeakMap<Store, Map<string, { revision: number; value: Promise<T> }>>();

  constructor(
    private readonly load: (store: Store, restorationId: string, revision: number) => Promise<T>,
    private readonly following: Following<T>,
  ) {}

  /** @param revision the plan revision as the store has it now */
  of(store: Store, restorationId: string, revision: number): Promise<T> {
    const restorations = this.stores.get(store) ?? this.begin(store);
    let entry = restorations.get(restorationId);
    if (entry === undefined || entry.revision !== revision) {
      const value = this.load(store, restorationId, revision);
      entry = { revision, value };
      // A failed read is not kept.
      value.catch(() => restorations.delete(restorationId));
    }
    newest(restorations, restorationId, entry, MOST_RESTORATIONS);
    return entry.value;
  }

  /** What is kept for this revision and need not be read; undefined where it would have to be. */
  atHand(store: Store, restorationId: string, revision: number): Promise<T> | undefined {
    const entry = this.stores.get(store)?.get(restorationId);
    return entry?.revision === revision ? entry.value : undefined;
  }

  private begin(store: Store): Map<string, { revision: number; value: Promise<T> }> {
    const restorations = new Map<string, { revision: number; value: Promise<T> }>();
    this.stores.set(store, restorations);
    onCommit(store, ({ revisions, entries }: Commit) => {
      for (const [restorationId, revision] of revisions) {
        const entry = restorations.get(restorationId);
        // Brought up to date only where it stands exactly one revision before the change.
        if (entry?.revision !== revision - 1) continue;
        const next = this.following(entries, restorationId, store);
        if (next === null) {
          restorations.delete(restorationId);
          continue;
        }
        const value = entry.value.then(next);
        value.catch(() => restorations.delete(restorationId));
        restorations.set(restorationId, { revision, value });
      }
    });
    return restorations;
  }
}

/** What was read from the database and holds until something in it is committed, by this process or another. */
export class KeptByVersion<T> {
  private readonly stores = new WeakMap<Store, { version: number; values: Map<string, Promise<T>> }>();

  /** What was read of the database as it stands now: one map for as long as nothing is committed. */
  now(store: Store): Map<string, Promise<T>> {
    // Read before anything else is: what a later commit adds to a value cannot be taken for the older state.
    const version = versionOf(store);
    const known = this.stores.get(store);
    if (known?.version === version) return known.values;
    const values = new Map<string, Promise<T>>();
    this.stores.set(store, { version, values });
    return values;
  }

  /** The value under the key, else what `load` reads; what fails is not kept. */
  of(store: Store, key: string, load: () => Promise<T>): Promise<T> {
    const values = this.now(store);
    const known = values.get(key);
    if (known !== undefined) return known;
    const loading = load();
    loading.catch(() => values.delete(key));
    newest(values, key, loading, MOST_VALUES);
    return loading;
  }
}

/** Puts an entry last and drops the first ones beyond `most`. */
export function newest<T>(map: Map<string, T>, key: string, value: T, most: number): void {
  map.delete(key);
  map.set(key, value);
  for (const first of map.keys()) {
    if (map.size <= most) return;
    map.delete(first);
  }
}
