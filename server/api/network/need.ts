/** Which operation cannot start before which part is in hand. */
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { type Draft, save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";
import { stillInspected } from "../parts/fitting.ts";

builder.prismaObject("Need", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    operation: t.relation("operation"),
    part: t.relation("part"),
    quantity: t.exposeInt("quantity"),
  }),
});

const NeedInput = builder.inputType("NeedInput", {
  fields: (t) => ({ id: t.id(), revision: t.int(), operation: t.id(), part: t.id(), quantity: t.int() }),
});

builder.mutationField("saveNeed", (t) =>
  t.field({
    type: SaveResult,
    args: { input: t.arg({ type: NeedInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveNeed(context, input)),
  }),
);

const saveNeed = (context: Context, input: typeof NeedInput.$inferInput) => save(context, needDraft(input));

/** A need as an input gives it. */
export const needDraft = ({
  id,
  revision,
  operation,
  part,
  ...patch
}: typeof NeedInput.$inferInput): Draft<"need"> => ({
  table: "need",
  rule: "need",
  id,
  revision,
  patch,
  defaults: { quantity: 1 },
  place: async (find, stored) => {
    const work = await find.findIn(stored?.restorationId, "operation", "operation", operation ?? stored?.operationId);
    const restorationId = stored?.restorationId ?? work?.restorationId;
    const thing = await find.findIn(restorationId, "part", "part", part ?? stored?.partId);
    return { restorationId, operationId: work?.id, partId: thing?.id };
  },
  also: (journal, row) => stillInspected(journal.tx, row.partId),
});
