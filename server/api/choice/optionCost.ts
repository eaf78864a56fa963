/** What an option costs where options are compared, and what that is made of. */
import type { OptionCost as Cost } from "../../plan/choice/optionCost.ts";
import { builder } from "../core/builder.ts";
import { Money } from "../core/money.ts";

export const OptionCost = builder.objectRef<Cost & { currency: string }>("OptionCost").implement({
  description: "In the restoration's currency.",
  fields: (t) => ({
    total: t.field({
      type: Money,
      nullable: true,
      description:
        "What it is compared by: landed, with its hours where the workshop counts its own; null where a rate of exchange is missing.",
      resolve: ({ costMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    landed: t.field({
      type: Money,
      nullable: true,
      description: "Landed, with what it brings with it; of a remedy or a way its price.",
      resolve: ({ landedMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    hours: t.exposeFloat("hours", {
      description: "Shop hours: of the operation or the way, or of preparing, curing and what comes with it.",
    }),
    rate: t.field({
      type: Money,
      nullable: true,
      description: "Charged for an hour; null when not said.",
      resolve: ({ rateMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    labour: t.field({
      type: Money,
      description:
        "The hours at that rate, zero without one; in the total only where the workshop counts its own hours.",
      resolve: ({ labourMinor: minor, currency }) => ({ minor, currency }),
    }),
  }),
});
