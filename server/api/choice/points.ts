/** Points that the plan in force loses with the judges, and the sample sheets to begin with. */
import type { SampleSheet } from "../../io/sampleSheets.ts";
import type { LineLoss, PointsLost as Lost, SectionLoss } from "../../plan/choice/points.ts";
import { builder } from "../core/builder.ts";

const LinePoints = builder.objectRef<LineLoss>("LinePoints").implement({
  fields: (t) => ({
    title: t.exposeString("title"),
    maximum: t.exposeFloat("maximum"),
    mandatory: t.exposeBoolean("mandatory"),
    disqualifying: t.exposeBoolean("disqualifying"),
    lost: t.exposeFloat("lost", { description: "By its own rule, before the section's cap." }),
  }),
});

const SectionPoints = builder.objectRef<SectionLoss>("SectionPoints").implement({
  fields: (t) => ({
    section: t.exposeString("section", {
      nullable: true,
      description: "null: lost by what stands in no section of the sheet.",
    }),
    maximum: t.exposeFloat("maximum", { nullable: true }),
    lost: t.exposeFloat("lost", { description: "No more than the section can lose." }),
    beforeCap: t.exposeFloat("beforeCap"),
    cap: t.exposeFloat("cap", { nullable: true, description: "The most the section can lose; null: all it gives." }),
    lines: t.field({
      type: [LinePoints],
      description: "Those of its lines that lose something.",
      resolve: ({ lines }) => [...lines],
    }),
    onNoLine: t.exposeFloat("onNoLine", {
      description: "Lost by what stands on none of its lines, before the cap; with the lines' it comes to beforeCap.",
    }),
  }),
});

const FloorStanding = builder.objectRef<Lost["floors"][number]>("FloorStanding").implement({
  fields: (t) => ({
    award: t.exposeString("award"),
    points: t.exposeFloat("points"),
    met: t.exposeBoolean("met"),
    by: t.exposeFloat("by", { description: "Points above the floor; negative: short of it." }),
  }),
});

export const PointsLost = builder.objectRef<Lost>("PointsLost").implement({
  fields: (t) => ({
    total: t.exposeFloat("total"),
    onAverage: t.exposeFloat("onAverage", {
      description:
        "Of what is looked for, at its mean and before any cap: a find loses other points than what replaces it.",
    }),
    maximum: t.exposeFloat("maximum", { description: "Points that the sheet gives; 0: none is entered." }),
    disqualifiedBy: t.stringList({
      description:
        "Titles of disqualifying lines on which something is lost, be it worth no point: then no award is met.",
      resolve: ({ disqualifiedBy }) => [...disqualifiedBy],
    }),
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
