/** Who looked at a safety-critical part, when, and what was done. It records; it certifies nothing. */
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { stillInspected } from "./fitting.ts";

builder.prismaObject("Inspection", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    part: t.relation("part"),
    operation: t.relation("operation", { nullable: true }),
    inspector: t.exposeString("inspector"),
    inspectedOn: t.expose("inspectedOn", { type: "Date" }),
    what: t.exposeString("what"),
  }),
});

const InspectionInput = builder.inputType("InspectionInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    part: t.id(),
    operation: t.id(),
    inspector: t.string(),
    inspectedOn: t.field({ type: "Date" }),
    what: t.string(),
  }),
});

builder.mutationField("saveInspection", (t) =>
  t.field({
    type: SaveResult,
    args: { input: t.arg({ type: InspectionInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveInspection(context, input)),
  }),
);

const saveInspection = (
  context: Context,
  { id, revision, part, operation, ...patch }: typeof InspectionInput.$inferInput,
) =>
  save(context, {
    table: "inspection",
    rule: "inspection",
    id,
    revision,
    patch,
    defaults: { operationId: null },
    place: async (find, before) => {
      const of = await find.findIn(before?.restorationId, "part", "part", part ?? before?.partId);
      const restorationId = before?.restorationId ?? of?.restorationId;
      const at =
        operation == null ? operation : (await find.findIn(restorationId, "operation", "operation", operation))?.id;
      return { restorationId, partId: of?.id, ...(at === undefined ? {} : { operationId: at }) };
    },
    also: async (journal, row, before) => {
      if (before !== null && before.partId !== row.partId) await stillInspected(journal.tx, before.partId);
    },
  });
