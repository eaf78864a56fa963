/** Whether a part fits as a supplier states it, dimension by dimension. */
import type { FittedRow, Fitting, Swarf } from "../../plan/parts/fit.ts";
import { builder } from "../core/builder.ts";
import { LengthUnit } from "../core/enums.ts";

const FitVerdict = builder.enumType("FitVerdict", {
  values: ["FITS", "NEEDS_WORK", "DOES_NOT_FIT", "NOT_STATED"] as const,
});
const MetalAction = builder.enumType("MetalAction", { values: ["REMOVE", "ADD"] as const });

const Metal = builder.objectRef<Swarf>("Metal").implement({
  description: "Metal on the dimension itself (on a diameter, not on each side), in the row's unit.",
  fields: (t) => ({
    action: t.expose("action", { type: MetalAction }),
    least: t.exposeFloat("least", { description: "Brings the dimension just within its limits." }),
    most: t.exposeFloat("most", { description: "Brings it to the far limit." }),
  }),
});

const FitRow = builder.objectRef<FittedRow>("FitRow").implement({
  fields: (t) => ({
    dimension: t.exposeString("dimension"),
    verdict: t.expose("verdict", { type: FitVerdict }),
    unit: t.expose("unit", { type: LengthUnit }),
    least: t.exposeFloat("least"),
    most: t.exposeFloat("most"),
    value: t.exposeFloat("value", { nullable: true, description: "As stated, in the row's unit." }),
    off: t.exposeFloat("off", {
      description: "How far outside the limits: positive is too large, negative too small, 0 within.",
    }),
    metal: t.field({
      type: Metal,
      nullable: true,
      description: "What would bring it in; null when nothing would, or nothing need.",
      resolve: (row) => row.metal,
    }),
    words: t.exposeString("words"),
  }),
});

export const Fit = builder.objectRef<Fitting>("Fit").implement({
  description: "The part's specification against the dimensions that the quote states; the worst row decides.",
  fields: (t) => ({
    verdict: t.expose("verdict", { type: FitVerdict }),
    rows: t.field({ type: [FitRow], resolve: (fit) => [...fit.rows] }),
    notAskedFor: t.stringList({
      description: "Dimensions stated that the specification does not ask for.",
      resolve: (fit) => [...fit.notAskedFor],
    }),
  }),
});
