/** The order of a workshop's restorations, and which of them have work left. */
import type { Store, Tx } from "./client.ts";

/** Restorations with work left to do. */
export const WITH_WORK = { operations: { some: { state: { not: "DONE" } } } } as const;

/** The rank of one that is added: behind all that are there. */
export async function nextRank(store: Store | Tx, workshopId: string): Promise<number> {
  const { _max } = await store.restoration.aggregate({ where: { workshopId }, _max: { rank: true } });
  return (_max.rank ?? 0) + 1;
}
