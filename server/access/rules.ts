/**
 * Who may see and change which rows. Each rule stands here once, and what no rule allows is denied:
 * a restorer reads and changes everything of the own workshop, an owner reads the own restoration,
 * and nobody sees anything of another workshop. Which fields of those rows each may read: fields.ts.
 */
import type { Store, Tx } from "../store/client.ts";
import { NotFound, Refused } from "../store/fault.ts";
import { delegateOf, NOUNS, type Table, type Tables } from "../store/tables.ts";
import type { Viewer } from "./viewer.ts";

/** True where the viewer may read all rows of the own workshop. */
export const canRead = (viewer: Viewer): boolean => viewer.role === "RESTORER";

/** True where the viewer may change the rows of the own workshop. */
export const canWrite = (viewer: Viewer): boolean => viewer.role === "RESTORER";

/** Where-clause that no row meets. */
const NOTHING = { id: { in: [] as string[] } };

/** The viewer's restorations, as a where-clause: a restorer's are the workshop's, an owner's those it owns. */
export function restorationsOf(viewer: Viewer) {
  if (canRead(viewer)) return { workshopId: viewer.workshopId };
  if (viewer.role === "OWNER") return { workshopId: viewer.workshopId, ownerAccountId: viewer.accountId };
  return NOTHING;
}

/** The viewer's suppliers, as a where-clause. */
export const suppliersOf = (viewer: Viewer) => (canRead(viewer) ? { workshopId: viewer.workshopId } : NOTHING);

/** The viewer's exchange rates, days of the shop, and hands with their absences, as where-clauses. */
export const ratesOf = suppliersOf;
export const handsOf = suppliersOf;

/** The photographs that the viewer may see, as a where-clause: an owner's are those meant for it, and never a quote's. */
export function photographsOf(viewer: Viewer) {
  const restoration = restorationsOf(viewer);
  return canRead(viewer) ? { restoration } : { restoration, forOwner: true, quoteId: null };
}

/** Tables whose rows belong to the workshop, and their rows that the viewer may read. */
export const OF_WORKSHOP = {
  supplier: suppliersOf,
  exchangeRate: ratesOf,
  shopCalendar: handsOf,
  closedDate: handsOf,
  hand: handsOf,
  absence: handsOf,
} as const;
type OfWorkshop = keyof typeof OF_WORKSHOP;

/** True where the rows of the table belong to the workshop and not to one restoration. */
export const isOfWorkshop = (table: Table): table is OfWorkshop => table in OF_WORKSHOP;

/** How a row of each table leads to its restoration. */
const PATHS: Record<Exclude<Table, "restoration" | "photograph" | OfWorkshop>, readonly string[]> = {
  tradeRate: [],
  operation: [],
  operationWay: [],
  hoursBooked: [],
  link: [],
  need: [],
  part: [],
  ruledOut: ["part"],
  partReference: ["part"],
  specificationRow: ["part"],
  quote: [],
  priceBreak: ["quote"],
  knockOn: ["quote"],
  statedDimension: ["quote"],
  find: [],
  hunt: [],
  huntEvent: ["hunt"],
  order: [],
  payment: [],
  invoice: [],
  decision: [],
  decisionQuestion: [],
  snag: [],
  remedy: [],
  inspection: [],
  judgingSection: [],
  judgingLine: ["section"],
  judgingDeduction: ["section"],
  awardFloor: [],
  change: [],
};

/** One row of a table, as a where-clause that only the viewer's own rows meet. */
export function rowOf(viewer: Viewer, table: Table, id: string): { id: string } {
  if (table === "restoration") return { AND: [restorationsOf(viewer)], id } as { id: string };
  if (isOfWorkshop(table)) return { AND: [OF_WORKSHOP[table](viewer)], id } as { id: string };
  if (table === "photograph") return { AND: [photographsOf(viewer)], id } as { id: string };
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
  if (row === undefined) throw new NotFound(NOUNS[table]);
  return row as unknown as Tables[T];
}

/** The id of a restoration that the viewer may read. Throws {@link NotFound} otherwise. */
export const restorationFor = async (viewer: Viewer, store: Store | Tx, id: string): Promise<string> =>
  (await own(viewer, store, "restoration", id)).id;

/** Throws {@link Refused} where the viewer may not change anything. */
export function mayWrite(viewer: Viewer): void {
  if (!canWrite(viewer)) throw new Refused("NOT_ALLOWED", "Only a restorer of the workshop can change this.");
}

/**
 * Throws {@link Refused} where the viewer may not answer what waits for a restoration's owner: the owner's own account may,
 * and a restorer may note the answer while the owner has none.
 */
export function mayAnswer(viewer: Viewer, { ownerAccountId }: { ownerAccountId: string | null }): void {
  if (ownerAccountId === null ? canWrite(viewer) : ownerAccountId === viewer.accountId) return;
  throw new Refused("NOT_ALLOWED", "Only the owner can answer this.");
}

/** Throws {@link Refused} where the viewer may not bring files in or take them out: they hold all of a restoration. */
export function mayUseFiles(viewer: Viewer): void {
  if (viewer.role === "NOBODY") throw new Refused("NOT_SIGNED_IN", "Sign in to go on.");
  if (!canRead(viewer)) throw new Refused("NOT_ALLOWED", "Files are for the restorers of the workshop.");
}

/** Throws {@link Refused} where the viewer may not invite, reset and close accounts of the workshop. */
export function mayAdminister(viewer: Viewer): void {
  if (!viewer.admin) throw new Refused("NOT_ALLOWED", "Only an admin of the workshop can do this.");
}

/** The accounts that the viewer may read of, as a where-clause: an admin's are the workshop's, anybody else's the own. */
export const accountsOf = (viewer: Viewer) =>
  viewer.admin ? { workshopId: viewer.workshopId } : { id: viewer.accountId };

/** True where the viewer may read an account's e-mail and whether it can sign in. */
export const readsAccount = (viewer: Viewer, account: { id: string; workshopId: string }): boolean =>
  viewer.accountId === account.id || (viewer.admin && viewer.workshopId === account.workshopId);
