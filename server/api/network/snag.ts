/** Faults found at fitting or on test, and their remedies. */
import { own } from "../../access/rules.ts";
import { BY_CODE } from "../../store/codes.ts";
import { InvalidInput, noLongerThere, Refused } from "../../store/fault.ts";
import { record } from "../../store/journal.ts";
import { codeAndName } from "../../store/tables.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Money } from "../core/money.ts";
import { connectionOf } from "../core/page.ts";
import { save } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";

export const Remedy = builder.prismaObject("Remedy", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    title: t.exposeString("title"),
    snag: t.relation("snag"),
    supplier: t.relation("supplier", { nullable: true }),
    price: t.field({ type: Money, resolve: (r) => ({ minor: r.priceMinor, currency: r.currency }) }),
    days: t.exposeInt("days"),
    hours: t.exposeFloat("hours"),
    points: t.exposeFloat("points"),
    notes: t.exposeString("notes"),
    payments: t.relation("payments", { query: { orderBy: [{ paidOn: "asc" }, { id: "asc" }] } }),
    chosen: t.boolean({
      select: { chosenFor: { select: { id: true } } },
      resolve: (remedy) => remedy.chosenFor !== null,
    }),
  }),
});

export const Snag = builder.prismaObject("Snag", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    title: t.exposeString("title"),
    description: t.exposeString("description"),
    foundOn: t.expose("foundOn", { type: "Date", nullable: true }),
    clearedOn: t.expose("clearedOn", { type: "Date", nullable: true }),
    operation: t.relation("operation"),
    remedies: t.relation("remedies", { query: { orderBy: BY_CODE } }),
    chosenRemedy: t.relation("chosenRemedy", { nullable: true }),
  }),
});

export const SnagConnection = connectionOf("Snag", Snag);

builder.queryField("snag", (t) =>
  t.prismaField({
    type: "Snag",
    args: { id: t.arg.id({ required: true }) },
    resolve: async (query, _root, { id }, { store, viewer }) =>
      store.snag.findUniqueOrThrow({ ...query, where: { id: (await own(viewer, store, "snag", id)).id } }),
  }),
);

const SnagInput = builder.inputType("SnagInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    operation: t.id(),
    code: t.string(),
    title: t.string(),
    description: t.string(),
    foundOn: t.field({ type: "Date" }),
    clearedOn: t.field({ type: "Date" }),
  }),
});

const RemedyInput = builder.inputType("RemedyInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    snag: t.id(),
    supplier: t.id(),
    code: t.string(),
    title: t.string(),
    priceMinor: t.field({ type: "Minor" }),
    currency: t.string(),
    days: t.int(),
    hours: t.float(),
    points: t.float(),
    notes: t.string(),
  }),
});

builder.mutationFields((t) => ({
  saveSnag: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: SnagInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveSnag(context, input)),
  }),
  saveRemedy: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: RemedyInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveRemedy(context, input)),
  }),
  chooseRemedy: t.field({
    type: SaveResult,
    args: {
      snag: t.arg.id({ required: true }),
      remedy: t.arg.id(),
      revision: t.arg.int({ required: true }),
    },
    resolve: (_root, { snag, remedy, revision }, context) =>
      saving(context, () => chooseRemedy(context, snag, remedy ?? null, revision)),
  }),
}));

const saveSnag = (context: Context, { id, revision, operation, ...patch }: typeof SnagInput.$inferInput) =>
  save(context, {
    table: "snag",
    rule: "snag",
    id,
    revision,
    patch,
    codes: { earlier: "N" },
    defaults: { description: "", foundOn: null, clearedOn: null },
    place: async (find, before) => {
      const on = await find.findIn(before?.restorationId, "operation", "operation", operation ?? before?.operationId);
      return { restorationId: before?.restorationId ?? on?.restorationId, operationId: on?.id };
    },
  });

const saveRemedy = (context: Context, { id, revision, snag, supplier, ...patch }: typeof RemedyInput.$inferInput) =>
  save(context, {
    table: "remedy",
    rule: "remedy",
    id,
    revision,
    patch,
    codes: { earlier: "R" },
    defaults: { priceMinor: 0, days: 0, hours: 0, points: 0, notes: "", supplierId: null },
    place: async (find, before) => {
      const snagOf = await find.findIn(before?.restorationId, "snag", "snag", snag ?? before?.snagId);
      const restorationId = before?.restorationId ?? snagOf?.restorationId;
      const from = supplier == null ? supplier : (await find.find("supplier", "supplier", supplier))?.id;
      const plain = before === null && patch.currency == null && restorationId !== undefined;
      return {
        restorationId,
        snagId: snagOf?.id,
        ...(from === undefined ? {} : { supplierId: from }),
        ...(plain
          ? { currency: (await find.tx.restoration.findUnique({ where: { id: restorationId } }))?.currency }
          : {}),
      };
    },
    check: async (row, before, { tx }) => {
      if (before === null || row.snagId === before.snagId) return;
      if ((await tx.snag.count({ where: { chosenRemedyId: before.id } })) > 0)
        throw new Refused("IN_USE", "This remedy is chosen for its snag: leave the snag undecided first.", [
          before.code,
        ]);
    },
  });

async function chooseRemedy(
  context: Context,
  id: string,
  remedyId: string | null,
  revision: number,
): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const snag = await own(viewer, store, "snag", id);
  const remedy = remedyId === null ? null : await store.remedy.findFirst({ where: { id: remedyId, snagId: snag.id } });
  if (remedyId !== null && remedy === null)
    throw new InvalidInput([
      {
        code: "UNKNOWN_ROW",
        row: snag.code,
        field: "remedy",
        value: remedyId,
        message: noLongerThere("remedy"),
      },
    ]);
  const summary =
    remedy === null
      ? `Left ${codeAndName("snag", snag)}, undecided`
      : `Chose ${codeAndName("remedy", remedy)}, for ${codeAndName("snag", snag)}`;
  const { restorationId } = snag;
  const change = await record(store, { restorationId, accountId: viewer.accountId, summary }, (journal) =>
    journal.update("snag", snag.id, revision, { chosenRemedyId: remedyId }),
  );
  return { change, id: snag.id, revision: revision + 1 };
}
