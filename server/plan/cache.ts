/**
 * Plans kept by revision: while nothing of a restoration has changed, its plan is not computed again, and after a change
 * by this process its rows are not read again. The revision is read from the store each time, so a change by another
 * process counts too.
 */
import type { Store } from "../store/client.ts";
import { NotFound } from "../store/fault.ts";
import { type Commit, type Entry, onCommit } from "../store/journal.ts";
import { drawnPlan, type PlanOptions } from "./compute.ts";
import { dayOf, SAYS_DAY } from "./day.ts";
import { drawsOf } from "./draws.ts";
import { newest } from "./kept.ts";
import { loadRows } from "./load.ts";
import { patchRows } from "./patch.ts";
import type { Plan } from "./plan.ts";
import type { PlanRows } from "./rows.ts";

interface Kept {
  revision: number;
  rows: Promise<PlanRows>;
  /** By day of the figures and confidence, oldest first. */
  plans: Map<string, Promise<Plan>>;
}

/** Restorations kept for one store, the one used longest ago first. */
const kept = new WeakMap<Store, Map<string, Kept>>();
const MOST_RESTORATIONS = 32;
const MOST_PLANS = 8;

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
  if (found === null) throw new NotFound("restoration", restorationId);
  const entry = entryOf(store, restorationId, found.planRevision);
  const rows = await entry.rows;
  const asked: PlanOptions = {
    figuresFor: options.figuresFor ?? dayOf(found),
    confidence: options.confidence === undefined ? rows.restoration.confidence : options.confidence,
  };
  const key = `${asked.figuresFor} ${asked.confidence ?? "promised"}`;
  const known = entry.plans.get(key);
  if (known !== undefined) return known;
  const plan = drawnPlan(rows, asked, drawsOf(store).orderDays);
  // What failed is not kept.
  plan.catch(() => entry.plans.delete(key));
  newest(entry.plans, key, plan, MOST_PLANS);
  return plan;
}

function entryOf(store: Store, restorationId: string, revision: number): Kept {
  let restorations = kept.get(store);
  if (restorations === undefined) {
    const fresh = new Map<string, Kept>();
    restorations = fresh;
    kept.set(store, fresh);
    onCommit(store, (commit) => follow(fresh, commit));
  }
  let entry = restorations.get(restorationId);
  if (entry === undefined || entry.revision !== revision) {
    const rows = loadRows(store, restorationId);
    entry = { revision, rows, plans: new Map() };
    // A failed read is not kept.
    rows.catch(() => restorations.delete(restorationId));
  }
  newest(restorations, restorationId, entry, MOST_RESTORATIONS);
  return entry;
}

/** Brings kept rows up to date with a change, where they stand exactly one revision before it. */
function follow(restorations: Map<string, Kept>, { revisions, entries }: Commit): void {
  for (const [restorationId, revision] of revisions) {
    const entry = restorations.get(restorationId);
    if (entry?.revision !== revision - 1) continue;
    if (entries.some((entry) => reachesOthers(entry, restorationId))) {
      restorations.delete(restorationId);
      continue;
    }
    const rows = entry.rows.then((before) => patchRows(before, entries));
    rows.catch(() => restorations.delete(restorationId));
    restorations.set(restorationId, { revision, rows, plans: new Map() });
  }
}

/** Whether a change to another restoration may be one of a delivery, of which this one's makers' records are made too. */
const reachesOthers = ({ table, id, before, after }: Entry, restorationId: string): boolean =>
  table === "restoration"
    ? id !== restorationId
    : (table === "order" || table === "quote") && (after ?? before)?.restorationId !== restorationId;
