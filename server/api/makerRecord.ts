/** How a supplier has kept to what was promised. */
import type { MakerRecord as Record } from "../plan/makerRecord.ts";
import { builder } from "./builder.ts";

export const MakerRecord = builder.objectRef<Record>("MakerRecord").implement({
  description: "From all orders of the workshop with this supplier.",
  fields: (t) => ({
    orders: t.exposeInt("orders"),
    arrived: t.exposeInt("arrived"),
    onTime: t.exposeInt("onTime", { description: "Arrived on or before the day promised." }),
    averageDaysLate: t.exposeFloat("averageDaysLate", {
      nullable: true,
      description: "Calendar days past the promise, an early arrival counted as 0; null while nothing has arrived.",
    }),
  }),
});
