/** Which work comes before which. */
import { cycleWith } from "../../plan/network/link.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { LagUnit } from "../core/enums.ts";
import { connectionOf } from "../core/page.ts";
import { save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";

export const Link = builder.prismaObject("Link", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    before: t.relation("before"),
    after: t.relation("after"),
    lag: t.exposeFloat("lag"),
    lagUnit: t.expose("lagUnit", { type: LagUnit }),
  }),
});

export const LinkConnection = connectionOf("Link", Link);

const LinkInput = builder.inputType("LinkInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    before: t.id(),
    after: t.id(),
    lag: t.float(),
    lagUnit: t.field({ type: LagUnit }),
  }),
});

builder.mutationField("saveLink", (t) =>
  t.field({
    type: SaveResult,
    args: { input: t.arg({ type: LinkInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveLink(context, input)),
  }),
);

const saveLink = (context: Context, { id, revision, before, after, ...patch }: typeof LinkInput.$inferInput) =>
  save(context, {
    table: "link",
    rule: "link",
    id,
    revision,
    patch,
    defaults: { lag: 0, lagUnit: "HOURS" },
    place: async (find, stored) => {
      const first = await find.findIn(stored?.restorationId, "operation", "before", before ?? stored?.beforeId);
      const restorationId = stored?.restorationId ?? first?.restorationId;
      const then = await find.findIn(restorationId, "operation", "after", after ?? stored?.afterId);
      return { restorationId, beforeId: first?.id, afterId: then?.id };
    },
    check: async (row, stored, find) => {
      const path = await cycleWith(find.tx, row.restorationId, row.beforeId, row.afterId, stored?.id);
      if (path !== null)
        find.fault({
          code: "CYCLE",
          field: "after",
          rows: path,
          message: `This link would make work wait for itself: ${path.join(" → ")}.`,
        });
    },
  });
