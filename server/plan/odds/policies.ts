/** What keeping the order of work costs or spares, on a restoration's rows. */
import type { Policies, PoliciesAsked } from "../../engine/odds/policies.ts";
import { LANES } from "../../engine/odds/runs.ts";
import { NEVER } from "../../engine/odds/uncertainty.ts";
import { shopDays } from "../days/shopDays.ts";
import { onHands, orderOfWork } from "../hands/orderOfWork.ts";
import type { PlanRows } from "../rows/rows.ts";
import { modelInAnyOrder, SEED } from "./odds.ts";

/** Days by which the even odds of the two may differ before it is said that the order kept is worth a look. */
export const DIFFER_DAYS = 7;

/** Runs of the two: both draw the same, so few tell them apart. Of large work fewer. */
const MOST_RUNS = 8 * LANES;
const OPERATION_RUNS = 400_000;

/** Null where there is no order to keep: nobody is entered, or all is done. Pure. Throws NetworkFault. */
export function policiesWork(rows: PlanRows, figuresFor: string): PoliciesAsked | null {
  const order = orderOfWork(rows, figuresFor);
  if (order === null) return null;
  const model = modelInAnyOrder(rows, figuresFor);
  const { places, hands, takes, busy } = order.list();
  const runs = Math.min(MOST_RUNS, OPERATION_RUNS / Math.max(1, model.nodes.length));
  return {
    model: { ...model, ...onHands(model, order) },
    work: {
      operations: model.nodes.map(({ id, hours, release = 0, doneOn, hands: without }) => ({
        id,
        hours: typeof hours === "number" ? hours : hours.likely,
        release,
        needs: [],
        ...takes.get(id),
        restoration: 0,
        ...(without !== undefined && { without }),
        ...(doneOn !== undefined && { doneOn }),
      })),
      links: model.links,
      hands,
      calendar: shopDays(rows, figuresFor),
      places,
      busy,
    },
    seed: SEED,
    samples: Math.max(1, Math.floor(runs / LANES)) * LANES,
  };
}

/** Days by which the end comes later where whoever is free takes the next of the list; less than 0: sooner. */
export interface PoliciesDiffer {
  runs: number;
  /** Null where either has no such date. */
  evenOddsDays: number | null;
  fourInFiveDays: number | null;
}

export const differOf = ({ samples, kept, list }: Policies): PoliciesDiffer => ({
  runs: samples,
  evenOddsDays: daysApart(kept.evenOdds, list.evenOdds),
  fourInFiveDays: daysApart(kept.fourInFive, list.fourInFive),
});

const daysApart = (kept: number, list: number): number | null =>
  kept === NEVER || list === NEVER ? null : list - kept;
