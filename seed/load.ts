/** Fills a new database: the demo scenario through the same import as everybody's files. */
import { fileURLToPath } from "node:url";
import type { Role } from "../server/generated/prisma/enums.ts";
import { readFolder } from "../server/io/folder.ts";
import { applyImport, prepareImport } from "../server/io/import.ts";
import { readFiles } from "../server/io/read.ts";
import type { Store } from "../server/store/client.ts";
import { seedClub } from "./club.ts";
import { seedDays } from "./days.ts";
import { seedDecisions } from "./decisions.ts";
import { seedPhotographs } from "./photographs.ts";

const CYCLECAR = fileURLToPath(new URL("./cyclecar", import.meta.url));
const ENGINE = fileURLToPath(new URL("./engine", import.meta.url));
const DAYS = fileURLToPath(new URL("./cyclecarDays.json", import.meta.url));
const PHOTOGRAPHS = fileURLToPath(new URL("./cyclecarPhotographs.json", import.meta.url));
const PICTURES = fileURLToPath(new URL("./cyclecar/photographs", import.meta.url));
const DECISIONS = fileURLToPath(new URL("./cyclecarDecisions.json", import.meta.url));

/**
 * Makes the demo with its second machine, and its club. For a database that takes its place only when it is filled: a failure
 * leaves half of it. `photographs` is the folder of the photographs: without it the demo has none.
 */
export async function fillDemo(store: Store, photographs?: string): Promise<void> {
  await seedDemo(store, photographs);
  await seedEngine(store);
  await seedClub(store);
}

/**
 * Does nothing when a workshop exists; else adds the demo workshop, its restorer, its restoration, the owner and a club member.
 * `photographs` as in {@link fillDemo}. Throws InvalidInput when the demo's files are faulty.
 */
export async function seedDemo(store: Store, photographs?: string): Promise<void> {
  if ((await store.workshop.count()) > 0) return;
  const workshop = await store.workshop.create({
    data: {
      name: "Quill Lane Workshop",
      demo: true,
      address: "Quill Lane\nNether Thornlow",
      replyTo: "bench@quill-lane.example",
    },
  });
  const person = (name: string, role: Role, admin = false) =>
    store.account.create({ data: { workshopId: workshop.id, name, role, admin } });
  // The first is the one with whom the demo begins.
  const restorer = await person("Quill Lane", "RESTORER", true);
  const destination = { workshopId: workshop.id, accountId: restorer.id, restorationId: null };
  const files = await readFolder(CYCLECAR);
  // The demo stays at the day that its files are for.
  const { figuresFor } = await readFiles(files, true);
  await store.shopCalendar.create({ data: { workshopId: workshop.id, figuresFor: figuresFor?.day ?? null } });
  const { restorationId } = await applyImport(store, await prepareImport(store, files, destination));
  await seedDays(store, restorationId, DAYS);
  const owner = await person("Odile Farrant", "OWNER");
  await person("Ambrose Pell", "MEMBER");
  await store.restoration.update({ where: { id: restorationId }, data: { ownerAccountId: owner.id } });
  await seedDecisions(store, restorationId, { restorer, owner }, DECISIONS);
  if (photographs !== undefined)
    await seedPhotographs(store, restorationId, restorer.id, {
      file: PHOTOGRAPHS,
      pictures: PICTURES,
      folder: photographs,
    });
}

/**
 * Adds the second machine of the demo's shop, behind the first: of another owner, on the same five hands. Does nothing where
 * the shop has more than one machine. Throws InvalidInput when its files are faulty.
 */
export async function seedEngine(store: Store): Promise<void> {
  if ((await store.restoration.count({ where: { workshop: { demo: true } } })) > 1) return;
  const { id: accountId, workshopId } = await store.account.findFirstOrThrow({
    where: { workshop: { demo: true }, admin: true },
  });
  const destination = { workshopId, accountId, restorationId: null };
  await applyImport(store, await prepareImport(store, await readFolder(ENGINE), destination));
}
