/** Points that the plan in force loses with the judges, and the sample sheets to begin with. */
import type { SampleSheet } from "../io/sampleSheets.ts";
import type { PointsAtRisk as AtRisk, SectionAtRisk } from "../plan/points.ts";
import { builder } from "./builder.ts";

const SectionPoints = builder.objectRef<SectionAtRisk>("SectionPoints").implement({
  fields: (t) => ({
    section: t.exposeString("section", {
      nullable: true,
      description: "null: lost by what stands in no section of the sheet.",
    }),
    maximum: t.exposeFloat("maximum", { nullable: true }),
    atRisk: t.exposeFloat("atRisk", { description: "No more than the section can lose." }),
    beforeCap: t.exposeFloat("beforeCap"),
    cap: t.exposeFloat("cap", { nullable: true, description: "The most the section can lose; null: all it gives." }),
  }),
});

const FloorStanding = builder.objectRef<AtRisk["floors"][number]>("FloorStanding").implement({
  fields: (t) => ({
    award: t.exposeString("award"),
    points: t.exposeFloat("points"),
    met: t.exposeBoolean("met"),
    by: t.exposeFloat("by", { description: "Points above the floor; negative: short of it." }),
  }),
});

export const PointsAtRisk = builder.objectRef<AtRisk>("PointsAtRisk").implement({
  fields: (t) => ({
    total: t.exposeFloat("total"),
    bySection: t.field({ type: [SectionPoints], resolve: ({ bySection }) => [...bySection] }),
    floors: t.field({
      type: [FloorStanding],
      description: "Every award, the highest floor first.",
      resolve: ({ floors }) => [...floors],
    }),
  }),
});

export const SampleJudgingSheet = builder.objectRef<SampleSheet>("SampleJudgingSheet").implement({
  fields: (t) => ({
    name: t.exposeString("name"),
    description: t.exposeString("description"),
    maximum: t.float({ resolve: ({ maximum }) => maximum }),
  }),
});
