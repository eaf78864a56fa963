/** When all would be finished on the hands, if rows said something else: what may be asked often, as no more than the day is worked out. */
import { forwardPass } from "../../engine/network/criticalPath.ts";
import { Network } from "../../engine/network/network.ts";
import { hours } from "../../engine/time/units.ts";
import { shopCalendar } from "../days/shopDays.ts";
import { chosenWays, nodesOf } from "../network/work.ts";
import { acquisitionsOf } from "../parts/acquisition.ts";
import type { PlanRows } from "../rows/rows.ts";
import { onHands, orderOfWork } from "./orderOfWork.ts";

/** The day on which all is finished, from the day of the figures: that of the plan of these rows. Throws NetworkFault. */
export function endOnHands(rows: PlanRows, figuresFor: string): number {
  const calendar = shopCalendar(rows, figuresFor);
  const { outstanding } = acquisitionsOf(rows, figuresFor, calendar);
  const order = orderOfWork(rows, figuresFor, { daysAlone: true });
  const { nodes, links } = onHands(nodesOf(rows, chosenWays(rows), outstanding, calendar), order);
  return Math.max(0, calendar.finishDay(hours(forwardPass(new Network(nodes, links, calendar)).end)));
}
