/**
 * Plans kept by revision: while nothing of a restoration has changed, its plan is not computed again, and after a change
 * by this process its rows are not read again. The revision is read from the store each time, so a change by another
 * process counts too.
 */
import type { Store } from "../store/client.ts";
import { NotFound } from "../store/fault.ts";
import type { Entry } from "../store/journal.ts";
import type { Table } from "../store/tables.ts";
import { drawnPlan, type PlanOptions } from "./compute.ts";
import { dayOf, SAYS_DAY } from "./days/day.ts";
import type { Plan } from "./plan.ts";
import { drawsOf } from "./rows/draws.ts";
import { Followed, newest } from "./rows/kept.ts";
import { loadMachine, machinesWithWork, withMachines } from "./rows/load.ts";
import { patchRows } from "./rows/patch.ts";
import type { PlanRows } from "./rows/rows.ts";

interface Kept {
  rows: PlanRows;
  /** By day of the figures and confidence, oldest first. */
  plans: Map<string, Promise<Plan>>;
}

/** Rows of one machine alone: after a change by this process they are not read again. */
const machines = new Followed<PlanRows>(loadMachine, (entries, restorationId) =>
  entries.some((entry) => reachesOthers(entry, restorationId)) ? null : (rows) => patchRows(rows, entries),
);

const kept = new Followed<Kept>(
  async (store, restorationId, revision) => {
    const own = await machines.of(store, restorationId, revision);
    const all = (await machinesWithWork(store, own)).map(({ id, planRevision }) =>
      id === restorationId ? own : machines.of(store, id, planRevision),
    );
    return { rows: withMachines(own, await Promise.all(all)), plans: new Map() };
  },
  () => null,
);
const MOST_PLANS = 8;

/** The rows of a plan at the revision that the store has now. Throws NotFound. */
export const planRowsOf = async (store: Store, restorationId: string, revision: number): Promise<PlanRows> =>
  (await kept.of(store, restorationId, revision)).rows;

/**
 * The plan of a restoration. Options left out are the restoration's own; without a day that is looked at, today in its workshop.
 * Throws NotFound, and PlanFault when the rows make no plan.
 */
export async function planOf(
  store: Store,
  restorationId: string,
  options: { figuresFor?: string | undefined; confidence?: number | null | undefined } = {},
): Promise<Plan> {
  const found = await store.restoration.findUnique({
    where: { id: restorationId },
    select: { planRevision: true, ...SAYS_DAY },
  });
  if (found === null) throw new NotFound("restoration");
  const { rows, plans } = await kept.of(store, restorationId, found.planRevision);
  const asked: PlanOptions = {
    figuresFor: options.figuresFor ?? dayOf(found),
    confidence: options.confidence === undefined ? rows.restoration.confidence : options.confidence,
  };
  const key = keyOf(asked);
  const known = plans.get(key);
  if (known !== undefined) return known;
  const plan = drawnPlan(rows, asked, drawsOf(store).orderDays);
  // What failed is not kept.
  plan.catch(() => plans.delete(key));
  newest(plans, key, plan, MOST_PLANS);
  return plan;
}

const keyOf = ({ figuresFor, confidence }: PlanOptions): string => `${figuresFor} ${confidence ?? "promised"}`;

/** The plan that {@link planOf} has ready for the restoration's own day and confidence; null where it would have to be worked out. */
export async function planAtHand(store: Store, restorationId: string): Promise<Plan | null> {
  const found = await store.restoration.findUnique({
    where: { id: restorationId },
    select: { planRevision: true, confidence: true, ...SAYS_DAY },
  });
  if (found === null) return null;
  const held = kept.atHand(store, restorationId, found.planRevision);
  const plan = (await ready(held))?.plans.get(keyOf({ figuresFor: dayOf(found), confidence: found.confidence }));
  return ready(plan);
}

/** What a promise holds already; null while it is being worked out, or where it failed. */
const ready = <T>(promise: Promise<T> | undefined): Promise<T | null> =>
  Promise.race([promise ?? null, Promise.resolve(null)]).catch(() => null);

/** Of which records of makers and of work are made. */
const OF_RECORDS: ReadonlySet<Table> = new Set(["order", "quote", "operation", "operationWay", "hoursBooked"]);

/** Of what every plan of the workshop is made. */
const OF_SHOP: ReadonlySet<Table> = new Set(["shopCalendar", "closedDate", "hand", "absence"]);

/**
 * Whether a change is of the workshop's hands or days, or to another restoration may be one of a delivery or of finished work, of
 * which this one's records of makers and of work are made too.
 */
const reachesOthers = ({ table, id, before, after }: Entry, restorationId: string): boolean =>
  OF_SHOP.has(table) ||
  (table === "restoration"
    ? id !== restorationId
    : OF_RECORDS.has(table) &&
      (after ?? before)?.restorationId !== restorationId &&
      // Of another's quote only whose it is counts, and of its work only what is finished.
      (table !== "quote" || before?.supplierId !== after?.supplierId) &&
      (table !== "operation" || before?.state === "DONE" || after?.state === "DONE"));
