/** Who asks. There is one local account; every read and write passes through it all the same. */
import type { Role } from "../generated/prisma/enums.ts";
import type { Store } from "../store/client.ts";

export interface Viewer {
  accountId: string;
  workshopId: string;
  role: Role;
}

const opening = new WeakMap<Store, Promise<void>>();

/** The account that a request acts for: the local one, made with its workshop when the database is new. */
export async function viewerOf(store: Store): Promise<Viewer> {
  const found = await store.account.findFirst({ orderBy: { id: "asc" } });
  if (found !== null)
    return {
      accountId: found.id,
      workshopId: found.workshopId,
      role: found.role,
    };
  if (!opening.has(store)) opening.set(store, openWorkshop(store));
  await opening.get(store);
  opening.delete(store);
  return viewerOf(store);
}

async function openWorkshop(store: Store): Promise<void> {
  const workshop = (await store.workshop.findFirst()) ?? (await store.workshop.create({ data: { name: "Workshop" } }));
  await store.account.create({
    data: { workshopId: workshop.id, name: "Restorer", role: "RESTORER" },
  });
}
