/** Fills a new database: the demo scenario through the same import as everybody's files. */
import { fileURLToPath } from "node:url";
import { readFolder } from "../server/io/folder.ts";
import { applyImport, prepareImport } from "../server/io/import.ts";
import type { Store } from "../server/store/client.ts";
import { seedDays } from "./days.ts";

const CYCLECAR = fileURLToPath(new URL("./cyclecar", import.meta.url));
const DAYS = fileURLToPath(new URL("./cyclecarDays.json", import.meta.url));

/**
 * Does nothing when a workshop exists; else adds the demo workshop, its one local account and its restoration.
 * With LASTBOLT_SEED=none the workshop stays empty. Throws InvalidInput when the demo's files are faulty.
 */
export async function seedDemo(store: Store): Promise<void> {
  if ((await store.workshop.count()) > 0) return;
  const workshop = await store.workshop.create({
    data: { name: "Quill Lane Workshop", accounts: { create: { name: "Restorer", role: "RESTORER" } } },
    include: { accounts: true },
  });
  if (process.env["LASTBOLT_SEED"] === "none") return;
  try {
    const destination = { workshopId: workshop.id, accountId: workshop.accounts[0]!.id, restorationId: null };
    const { restorationId } = await applyImport(
      store,
      await prepareImport(store, await readFolder(CYCLECAR), destination),
    );
    await seedDays(store, restorationId, DAYS);
  } catch (error) {
    // A workshop without its machine would never be filled again.
    await store.workshop.delete({ where: { id: workshop.id } });
    throw error;
  }
}
