/** The order of a workshop's restorations. */
import type { Store, Tx } from "./client.ts";

/** The rank of one that is added: behind all that are there. */
export async function nextRank(store: Store | Tx, workshopId: string): Promise<number> {
  const { _max } = await store.restoration.aggregate({ where: { workshopId }, _max: { rank: true } });
  return (_max.rank ?? 0) + 1;
}
