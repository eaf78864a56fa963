/** What takes long to work out, kept while the restoration is as it was: by its plan revision and data date. */
import type { Store } from "../store/client.ts";
import { NotFound } from "../store/fault.ts";

/** Restorations kept for one store, and data dates of each; the ones used longest ago go first. */
const MOST_RESTORATIONS = 32;
const MOST_DATES = 4;

interface Entry<T> {
  revision: number;
  byDate: Map<string, T>;
}

export class KeptByRevision<T> {
  private readonly stores = new WeakMap<Store, Map<string, Entry<T>>>();

  /** @param outdated is told what is given up because the restoration has changed */
  constructor(private readonly outdated: (value: T) => void = () => {}) {}

  /**
   * What is kept for a restoration as it stands on a data date, else what `make` begins. The revision is read each time,
   * so that a change by another process counts too. Throws NotFound.
   * @param make is given a way to drop what it made, for what failed or was stopped
   */
  async of(
    store: Store,
    restorationId: string,
    dataDate: string,
    make: (drop: () => void) => T,
  ): Promise<{ value: T }> {
    const found = await store.restoration.findUnique({ where: { id: restorationId }, select: { planRevision: true } });
    if (found === null) throw new NotFound("restoration", restorationId);
    const { byDate } = this.entryOf(store, restorationId, found.planRevision);
    let value = byDate.get(dataDate);
    if (value === undefined) {
      const made = make(() => {
        if (byDate.get(dataDate) === made) byDate.delete(dataDate);
      });
      value = made;
    }
    newest(byDate, dataDate, value, MOST_DATES);
    return { value };
  }

  private entryOf(store: Store, restorationId: string, revision: number): Entry<T> {
    const restorations = this.stores.get(store) ?? new Map<string, Entry<T>>();
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

/** Puts an entry last and drops the first ones beyond `most`. */
export function newest<T>(map: Map<string, T>, key: string, value: T, most: number): void {
  map.delete(key);
  map.set(key, value);
  for (const first of map.keys()) {
    if (map.size <= most) return;
    map.delete(first);
  }
}
