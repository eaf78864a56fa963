/** A model in which each order goes out on the day that the order-by dates say, judged against the end that they keep. */

import type { OrderRoute, UncertainModel } from "../../server/engine/odds/uncertainty.ts";
import { daysBetween } from "../../server/engine/time/date.ts";
import type { EndKept } from "../../server/plan/plan.ts";

export const ordered = (model: UncertainModel, kept: EndKept, figuresFor: string): UncertainModel => ({
  ...model,
  targetDay: daysBetween(figuresFor, kept.heldEnd!),
  holdUps: model.holdUps.map(({ node, route }) => {
    const day = kept.days.get(node)?.day;
    return { node, route: day === undefined ? route : { ...(route as OrderRoute), orderDay: day } };
  }),
});
