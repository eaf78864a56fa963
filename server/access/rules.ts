/**
 * Who may see and change what. Each rule stands here once, and what no rule allows is denied:
 * a restorer reads and changes everything of the own workshop; nobody sees anything of another.
 */
import type { Store, Tx } from "../store/client.ts";
import { NotFound, Refused } from "../store/fault.ts";
import { delegateOf, NOUNS, type Table, type Tables } from "../store/tables.ts";
import type { Viewer } from "./viewer.ts";

/** True where the viewer may read the rows of the own workshop. */
export const canRead = (viewer: Viewer): boolean => viewer.role === "RESTORER";

/** True where the viewer may change the rows of the own workshop. */
export const canWrite = (viewer: Viewer): boolean => viewer.role === "RESTORER";

/** Where-clause that no row meets. */
const NOTHING = { id: { in: [] as string[] } };

/** The viewer's restorations, as a where-clause. */
export const restorationsOf = (viewer: Viewer) => (canRead(viewer) ? { workshopId: viewer.workshopId } : NOTHING);

/** The viewer's suppliers, as a where-clause. */
export const suppliersOf = (viewer: Viewer) => (canRead(viewer) ? { workshopId: viewer.workshopId } : NOTHING);

/** The viewer's exchange rates, as a where-clause. */
export const ratesOf = suppliersOf;

/** How a row of each table leads to its restoration. */
const PATHS: Record<Exclude<Table, "restoration" | "supplier" | "exchangeRate">, readonly string[]> = {
  shopCalendar: [],
  closedDate: [],
  hands: [],
  operation: [],
  operationWay: [],
  hoursBooked: [],
  link: [],
  need: [],
  part: [],
  partBan: ["part"],
  partReference: ["part"],
  specificationRow: ["part"],
  quote: [],
  priceBreak: ["quote"],
  knockOn: ["quote"],
  statedDimension: ["quote"],
  find: [],
  order: [],
  payment: ["order"],
  snag: [],
  remedy: [],
  inspection: [],
  photograph: [],
  judgingSection: [],
  judgingLine: ["section"],
  judgingDeduction: ["section"],
  awardFloor: [],
  change: [],
};

/** One row of a table, as a where-clause that only the viewer's own rows meet. */
export function rowOf(viewer: Viewer, table: Table, id: string): { id: string } {
  if (table === "restoration") return { AND: [restorationsOf(viewer)], id } as { id: string };
  if (table === "supplier") return { AND: [suppliersOf(viewer)], id } as { id: string };
  if (table === "exchangeRate") return { AND: [ratesOf(viewer)], id } as { id: string };
  const restoration: object = { restoration: restorationsOf(viewer) };
  const through = PATHS[table].reduceRight((inner, step) => ({ [step]: inner }), restoration);
  return { id, ...through };
}

/** The row, if the viewer may know of it. Throws {@link NotFound} otherwise, as for a row that is not there. */
export async function own<T extends Table>(
  viewer: Viewer,
  store: Store | Tx,
  table: T,
  id: string,
): Promise<Tables[T]> {
  const [row] = await delegateOf(store, table).findMany({
    where: rowOf(viewer, table, id),
  });
  if (row === undefined) throw new NotFound(NOUNS[table], id);
  return row as unknown as Tables[T];
}

/** The id of a restoration that the viewer may read. Throws {@link NotFound} otherwise. */
export const restorationFor = async (viewer: Viewer, store: Store | Tx, id: string): Promise<string> =>
  (await own(viewer, store, "restoration", id)).id;

/** Throws {@link Refused} where the viewer may not change anything. */
export function mayWrite(viewer: Viewer): void {
  if (!canWrite(viewer)) throw new Refused("NOT_ALLOWED", "Only a restorer of the workshop can change this.");
}
