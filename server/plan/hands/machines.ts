/** The machines of a shop: when each ends, and what another order of them, or of their work, would change. */
import { computePlan, PlanFault } from "../compute.ts";
import { withMachines } from "../rows/load.ts";
import { machinesOf, type PlanRows } from "../rows/rows.ts";
import { placed } from "./orderOfWork.ts";

/** A machine's end, with what is open taken as cleared: as it is, and as it would be. Null: its rows make no plan. */
export interface EndMoved {
  restorationId: string;
  before: string | null;
  after: string | null;
}

/** When each ends if their ranks are as in the list of their ids, which names all of them. Pure. */
export function endsRanked(rows: PlanRows, order: readonly string[], figuresFor: string): EndMoved[] {
  const now = machinesOf(rows);
  const ranked = now.map((one) => ({
    ...one,
    restoration: { ...one.restoration, rank: order.indexOf(one.restoration.id) },
  }));
  return moved(now, ranked, figuresFor);
}

/** What a change of ranks has done, as all else stands now, from the ranks that it took the place of. Pure. */
export function endsSinceRanked(rows: PlanRows, before: ReadonlyMap<string, number>, figuresFor: string): EndMoved[] {
  const rankOf = ({ restoration: { id, rank } }: PlanRows): number => before.get(id) ?? rank;
  const order = machinesOf(rows).toSorted((a, b) => rankOf(a) - rankOf(b));
  const ends = endsRanked(
    rows,
    order.map(({ restoration }) => restoration.id),
    figuresFor,
  );
  return ends.map((one) => ({ ...one, before: one.after, after: one.before }));
}

/** When each ends once an order of work, as the ids of operations, is kept instead. Pure. */
export const endsPlaced = (rows: PlanRows, list: readonly string[], figuresFor: string): EndMoved[] =>
  moved(machinesOf(rows), machinesOf(placed(rows, list)), figuresFor);

function moved(now: readonly PlanRows[], then: readonly PlanRows[], figuresFor: string): EndMoved[] {
  return now.map((one, i) => ({
    restorationId: one.restoration.id,
    before: endOf(one, now, figuresFor),
    after: endOf(then[i]!, then, figuresFor),
  }));
}

function endOf(one: PlanRows, machines: readonly PlanRows[], figuresFor: string): string | null {
  try {
    return computePlan(withMachines(one, machines), { figuresFor, confidence: null }).completion.dateWithOpenInHand;
  } catch (error) {
    if (error instanceof PlanFault) return null;
    throw error;
  }
}
