/** The judging sheet: sections with their lines, and the points from which awards are given. */
import { builder } from "./builder.ts";
import type { Context } from "./context.ts";
import { save } from "./save.ts";
import { SaveResult, saving } from "./saveResult.ts";

builder.prismaObject("JudgingLine", {
  fields: (t) => ({
    id: t.exposeID("id"),
    title: t.exposeString("title"),
    maximum: t.exposeFloat("maximum"),
    mandatory: t.exposeBoolean("mandatory"),
    position: t.exposeInt("position"),
  }),
});

const JudgingSection = builder.prismaObject("JudgingSection", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    name: t.exposeString("name"),
    maximum: t.exposeFloat("maximum"),
    position: t.exposeInt("position"),
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
    title: t.string({ required: true }),
    maximum: t.float({ required: true }),
    mandatory: t.boolean(),
  }),
});

const JudgingSectionInput = builder.inputType("JudgingSectionInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    restoration: t.id(),
    name: t.string(),
    maximum: t.float(),
    position: t.int(),
    lines: t.field({ type: [JudgingLineInput] }),
  }),
});

const AwardFloorInput = builder.inputType("AwardFloorInput", {
  fields: (t) => ({ id: t.id(), revision: t.int(), restoration: t.id(), award: t.string(), points: t.float() }),
});

builder.mutationFields((t) => ({
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

const saveJudgingSection = (
  context: Context,
  { id, revision, restoration, lines, ...patch }: typeof JudgingSectionInput.$inferInput,
) =>
  save(context, {
    table: "judgingSection",
    rule: "judgingSection",
    id,
    revision,
    patch,
    defaults: { position: 0 },
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
        rows: lines?.map(({ title, maximum, mandatory }, position) => ({
          title,
          maximum,
          mandatory: mandatory ?? false,
          position,
        })),
      },
    ],
  });

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
