import { type MoneyValue, money, points } from "../shared/format.ts";
import type { ChoicesFound } from "./documents.ts";

/** The cap that the plans are held to: what is to be set aside for the odds is no part of them. */
export const WITHIN_CAP = "within the cap, before what is set aside";

/** "£380.00 more", "£66.00 less", "the same" */
export function moreOrLess(change: MoneyValue): string {
  if (change.minor === 0) return "the same";
  return `${money({ ...change, minor: Math.abs(change.minor) })} ${change.minor > 0 ? "more" : "less"}`;
}

interface Costed {
  cost: MoneyValue;
  counted: MoneyValue;
}

/**
 * What a plan costs beside the one in force: "£66.00 less", and where the cap sees another sum of it, "£66.00 less (£40.00
 * more against the cap)"; null where what is in force cannot be worked out.
 */
export function costAgainst(
  plan: Costed,
  { inForce, capLeft }: Pick<ChoicesFound, "inForce" | "capLeft">,
): string | null {
  if (!inForce.cost || !inForce.counted) return null;
  const less = (of: MoneyValue, from: MoneyValue): MoneyValue => ({ ...of, minor: of.minor - from.minor });
  const [cost, counted] = [less(plan.cost, inForce.cost), less(plan.counted, inForce.counted)];
  return `${moreOrLess(cost)}${capLeft === null || counted.minor === cost.minor ? "" : ` (${moreOrLess(counted)} against the cap)`}`;
}

/** "2 points more", "half a point fewer" in figures, "the same" */
export function pointsMore(change: number): string {
  if (change === 0) return "the same";
  return `${points(Math.abs(change))} ${change > 0 ? "more" : "fewer"}`;
}

interface Judged {
  award: string | null;
  disqualified: boolean;
}

/** ", which leaves First met", and of a plan whether that is so already; empty where no award is met or lost. */
export function awardLeft({ award, disqualified }: Judged, before?: Judged): string {
  if (disqualified) return ", which rules every award out";
  if (award !== null) return `, which ${before?.award === award ? "still leaves" : "leaves"} ${award} met`;
  return before?.award ? `, which leaves ${before.award} no longer met` : "";
}
