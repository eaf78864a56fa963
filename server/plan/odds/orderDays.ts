/** Days by which to order that hold together with the chance asked: of the plan's own end, and of the target. */

import type { OrderDaysFound, OrderDaysWork } from "../../engine/odds/orderDays.ts";
import { daysBetween } from "../../engine/time/date.ts";
import type { EndKept, HoldUp, OrderDays } from "../plan.ts";
import type { PlanRows } from "../rows/rows.ts";
import { dateOfDay, oddsModel } from "./odds.ts";

/** The engine's work, and what it is on the rows. */
export interface OrderDaysAsked {
  work: OrderDaysWork;
  /** Dates that the work's ends are: the plan's own, then the target where there is one. */
  ends: readonly string[];
}

/**
 * @param toOrder what is to be ordered, with its days as promised
 * @param end the plan's own, as quoted
 */
export function orderDaysWork(
  rows: PlanRows,
  { figuresFor, confidence, end }: { figuresFor: string; confidence: number; end: string },
  toOrder: readonly Pick<HoldUp, "id" | "orderBy" | "orderByTarget">[],
): OrderDaysAsked {
  const model = oddsModel(rows, figuresFor);
  const promised = new Map(toOrder.map((holdUp) => [holdUp.id, holdUp]));
  const ordered = model.holdUps.flatMap(({ node, route }) => {
    const holdUp = promised.get(node);
    return route?.kind === "ORDER" && holdUp !== undefined ? [{ node, holdUp, firstDay: route.orderDay }] : [];
  });
  const { targetDate } = rows.restoration;
  const ends = targetDate === null ? [end] : [end, targetDate];
  const promisedDays = (["orderBy", "orderByTarget"] as const).map((of) =>
    ordered.map(({ holdUp }) => daysBetween(figuresFor, holdUp[of] ?? figuresFor)),
  );
  return {
    ends,
    work: {
      model,
      nodes: ordered.map(({ node }) => node),
      firstDays: ordered.map(({ firstDay }) => firstDay),
      confidence,
      endDays: ends.map((date) => daysBetween(figuresFor, date)),
      promisedDays,
    },
  };
}

/** What was found, on the rows. */
export function orderDaysOn(
  figuresFor: string,
  { work: { nodes }, ends }: OrderDaysAsked,
  found: readonly OrderDaysFound[],
): OrderDays {
  const [own, target] = found.map(
    ({ chanceAtOnce, held, heldDay, policy }, i): EndKept => ({
      end: ends[i]!,
      chanceAtOnce,
      held,
      heldEnd: held ? ends[i]! : dateOfDay(figuresFor, heldDay),
      chance: policy?.chance ?? null,
      days: new Map(
        policy === null
          ? []
          : nodes.map((node, p) => [node, { day: policy.days[p]!, weekLater: policy.weekLater[p]! }]),
      ),
    }),
  );
  return { own: own!, target: target ?? null };
}
