/** The judging sheet: sections with their lines, and the points from which awards are given. */
import { own } from "../../access/rules.ts";
import { sampleSheet } from "../../io/sampleSheets.ts";
import { record } from "../../store/journal.ts";
import { PROVENANCES } from "../../store/rules.ts";
import { builder, wrongArgument } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Provenance } from "../core/enums.ts";
import { type Finder, save } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";

builder.prismaObject("JudgingLine", {
  fields: (t) => ({
    id: t.exposeID("id"),
    title: t.exposeString("title"),
    maximum: t.exposeFloat("maximum"),
    mandatory: t.exposeBoolean("mandatory", { description: "Any loss on it is taken whole." }),
    disqualifying: t.exposeBoolean("disqualifying", {
      description:
        "Any loss on it leaves no award, also where the line is worth no point or the loss is less than a step.",
    }),
    position: t.exposeInt("position"),
    section: t.relation("section"),
  }),
});

const JudgingDeduction = builder
  .objectRef<{ provenance: (typeof PROVENANCES)[number]; points: number }>("JudgingDeduction")
  .implement({
    description: "What a visible part of this provenance loses in the section.",
    fields: (t) => ({
      provenance: t.expose("provenance", { type: Provenance }),
      points: t.exposeFloat("points"),
    }),
  });

export const JudgingSection = builder.prismaObject("JudgingSection", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    name: t.exposeString("name"),
    maximum: t.exposeFloat("maximum"),
    cap: t.exposeFloat("cap", { nullable: true, description: "The most it can lose; null: all it gives." }),
    position: t.exposeInt("position"),
    deductions: t.field({
      type: [JudgingDeduction],
      select: { deductions: { orderBy: { id: "asc" }, select: { provenance: true, points: true } } },
      resolve: ({ deductions }) =>
        PROVENANCES.flatMap((one) => deductions.filter(({ provenance }) => provenance === one)),
    }),
    lines: t.relation("lines", { query: { orderBy: [{ position: "asc" }, { id: "asc" }] } }),
  }),
});

const AwardFloor = builder.prismaObject("AwardFloor", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    award: t.exposeString("award"),
    points: t.exposeFloat("points"),
  }),
});

/** Named by its restoration's id. */
export const JudgingSheet = builder.objectRef<{ restorationId: string }>("JudgingSheet");

JudgingSheet.implement({
  fields: (t) => ({
    maximum: t.float({
      resolve: async ({ restorationId }, _args, { store }) =>
        (await store.judgingSection.aggregate({ where: { restorationId }, _sum: { maximum: true } }))._sum.maximum ?? 0,
    }),
    sections: t.prismaField({
      type: [JudgingSection],
      resolve: (query, { restorationId }, _args, { store }) =>
        store.judgingSection.findMany({
          ...query,
          where: { restorationId },
          orderBy: [{ position: "asc" }, { name: "asc" }],
        }),
    }),
    floors: t.prismaField({
      type: [AwardFloor],
      resolve: (query, { restorationId }, _args, { store }) =>
        store.awardFloor.findMany({
          ...query,
          where: { restorationId },
          orderBy: [{ points: "desc" }, { award: "asc" }],
        }),
    }),
  }),
});

const JudgingLineInput = builder.inputType("JudgingLineInput", {
  fields: (t) => ({
    id: t.id({
      description:
        "Of a line that the section has: parts judged on it stay there. Without it, the line of the same title.",
    }),
    title: t.string({ required: true }),
    maximum: t.float({ required: true }),
    mandatory: t.boolean(),
    disqualifying: t.boolean(),
  }),
});

const JudgingDeductionInput = builder.inputType("JudgingDeductionInput", {
  fields: (t) => ({
    provenance: t.field({ type: Provenance, required: true }),
    points: t.float({ required: true }),
  }),
});

const JudgingSectionInput = builder.inputType("JudgingSectionInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    restoration: t.id(),
    name: t.string(),
    maximum: t.float(),
    cap: t.float(),
    position: t.int(),
    lines: t.field({ type: [JudgingLineInput] }),
    deductions: t.field({ type: [JudgingDeductionInput] }),
  }),
});

const AwardFloorInput = builder.inputType("AwardFloorInput", {
  fields: (t) => ({ id: t.id(), revision: t.int(), restoration: t.id(), award: t.string(), points: t.float() }),
});

builder.mutationFields((t) => ({
  takeSampleJudgingSheet: t.field({
    type: SaveResult,
    description: "Puts a sample sheet in the place of the restoration's own, in one change that can be taken back.",
    args: { restoration: t.arg.id({ required: true }), name: t.arg.string({ required: true }) },
    resolve: (_root, { restoration, name }, context) => saving(context, () => takeSample(context, restoration, name)),
  }),
  saveJudgingSection: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: JudgingSectionInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveJudgingSection(context, input)),
  }),
  saveAwardFloor: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: AwardFloorInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveAwardFloor(context, input)),
  }),
}));

/** The line that an input names, among those of the restoration: undefined keeps, null clears. */
export async function lineFor(
  find: Finder,
  restorationId: string | undefined,
  id: string | null | undefined,
): Promise<{ judgingLineId?: string | null | undefined }> {
  if (id === undefined || id === null) return id === null ? { judgingLineId: null } : {};
  const line = await find.find("judgingLine", "judgingLine", id);
  if (line !== undefined) await find.findIn(restorationId, "judgingSection", "judgingLine", line.sectionId);
  return { judgingLineId: line?.id };
}

const saveJudgingSection = (
  context: Context,
  { id, revision, restoration, lines, deductions, ...patch }: typeof JudgingSectionInput.$inferInput,
) =>
  save(context, {
    table: "judgingSection",
    rule: "judgingSection",
    id,
    revision,
    patch,
    defaults: { position: 0, cap: null },
    place: async (find, before) => ({
      restorationId:
        before === null
          ? (await find.find("restoration", "restoration", restoration))?.id
          : find.stays("restoration", before.restorationId, restoration),
    }),
    lists: [
      {
        field: "lines",
        table: "judgingLine",
        rule: "judgingLine",
        parent: "sectionId",
        staysBy: "title",
        rows: lines?.map(({ id: line, title, maximum, mandatory, disqualifying }, position) => ({
          ...(line == null ? {} : { id: line }),
          title,
          maximum,
          mandatory: mandatory ?? false,
          disqualifying: disqualifying ?? false,
          position,
        })),
      },
      {
        field: "deductions",
        table: "judgingDeduction",
        rule: "judgingDeduction",
        parent: "sectionId",
        key: "provenance",
        rows: deductions?.map(({ provenance, points }) => ({ provenance, points })),
      },
    ],
  });

async function takeSample(context: Context, id: string, name: string): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const { id: restorationId } = await own(viewer, store, "restoration", id);
  const sample = await sampleSheet(name);
  if (sample === undefined) throw wrongArgument("name", `is none of the sample sheets (it is ${name.slice(0, 80)}).`);
  const summary = `Took the sample judging sheet ${sample.name}`;
  const change = await record(store, { restorationId, accountId: viewer.accountId, summary }, async (journal) => {
    for (const section of await journal.tx.judgingSection.findMany({ where: { restorationId } }))
      await journal.remove("judgingSection", section.id, section.revision);
    for (const floor of await journal.tx.awardFloor.findMany({ where: { restorationId } }))
      await journal.remove("awardFloor", floor.id, floor.revision);
    for (const { lines, deductions, ...section } of sample.sections) {
      const { id: sectionId } = await journal.create("judgingSection", { ...section, restorationId });
      await journal.createMany(
        "judgingLine",
        lines.map((line) => ({ ...line, sectionId })),
      );
      await journal.createMany(
        "judgingDeduction",
        deductions.map((deduction) => ({ ...deduction, sectionId })),
      );
    }
    await journal.createMany(
      "awardFloor",
      sample.floors.map((floor) => ({ ...floor, restorationId })),
    );
  });
  return { change, id: restorationId, revision: (await own(viewer, store, "restoration", id)).revision };
}

const saveAwardFloor = (
  context: Context,
  { id, revision, restoration, ...patch }: typeof AwardFloorInput.$inferInput,
) =>
  save(context, {
    table: "awardFloor",
    rule: "awardFloor",
    id,
    revision,
    patch,
    defaults: {},
    place: async (find, before) => ({
      restorationId:
        before === null
          ? (await find.find("restoration", "restoration", restoration))?.id
          : find.stays("restoration", before.restorationId, restoration),
    }),
  });
