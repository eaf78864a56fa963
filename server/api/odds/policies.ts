/** The check line of the odds: what keeping the order of work costs or spares, drawn in a thread and kept until something changes. */

import { DIFFER_DAYS, differOf, type PoliciesDiffer, policiesWork } from "../../plan/odds/policies.ts";
import { loadRows } from "../../plan/rows/load.ts";
import { policiesInThread } from "../../worker/computations.ts";
import { builder, costing } from "../core/builder.ts";
import { KeptWork } from "../core/keptWork.ts";
import { WORK } from "../core/limits.ts";
import { OddsType } from "./odds.ts";

const kept = new KeptWork<PoliciesDiffer | null>(async (store, restorationId, figuresFor, asker) => {
  const work = policiesWork(await loadRows(store, restorationId), figuresFor);
  return work === null ? null : differOf(await policiesInThread(work, asker));
});

const PoliciesType = builder.objectRef<PoliciesDiffer>("Policies").implement({
  description:
    "The same runs twice: with the order of work kept, as all dates are, and with whoever is free taking the next of the list that can be started, who puts it down for work that stands higher. Other machines' work of higher rank stays where it is planned.",
  fields: (t) => ({
    runs: t.exposeInt("runs"),
    evenOddsDays: t.exposeInt("evenOddsDays", {
      nullable: true,
      description:
        "Calendar days by which the date with even odds lies later where the order is not kept; less than 0: earlier. Null where either has none.",
    }),
    fourInFiveDays: t.exposeInt("fourInFiveDays", {
      nullable: true,
      description: "The same of the date with odds of 4 in 5.",
    }),
    differ: t.boolean({
      description: `The even odds lie more than ${DIFFER_DAYS} days apart: the order that is kept is worth a look.`,
      resolve: ({ evenOddsDays }) => evenOddsDays !== null && Math.abs(evenOddsDays) > DIFFER_DAYS,
    }),
    differDays: t.int({ description: "Days past which they are said to differ.", resolve: () => DIFFER_DAYS }),
  }),
});

builder.objectField(OddsType, "policies", (t) =>
  t.field({
    type: PoliciesType,
    nullable: true,
    description: "The check line; null where there is no order of work: nobody is entered, or all is done.",
    complexity: costing(WORK.plan),
    resolve: ({ restorationId, figuresFor }, _args, context) =>
      kept.of(context.store, restorationId, figuresFor, context.longWork()),
  }),
);
