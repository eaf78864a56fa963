/** What was seen at a swap meet: written down once, however often it is sent, and made a quote in one step. */
import { own, restorationsOf } from "../../access/rules.ts";
import type { Find as FindRow } from "../../generated/prisma/client.ts";
import { BY_CODE } from "../../store/codes.ts";
import { InvalidInput, Refused, StaleRow } from "../../store/fault.ts";
import { checkFresh, differences, record } from "../../store/journal.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Condition, Incoterm, Provenance } from "../core/enums.ts";
import { Money } from "../core/money.ts";
import { connectionOf } from "../core/page.ts";
import { save, write } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";
import { quoteDraft } from "./quote.ts";
import { supplierDraft } from "./supplier.ts";

export const Find = builder.prismaObject("Find", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    clientKey: t.exposeString("clientKey"),
    part: t.relation("part", { nullable: true }),
    quote: t.relation("quote", { nullable: true, description: "The quote that it became." }),
    what: t.exposeString("what"),
    seller: t.exposeString("seller"),
    asked: t.field({
      type: Money,
      nullable: true,
      resolve: ({ askedMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    currency: t.exposeString("currency"),
    provenance: t.expose("provenance", { type: Provenance, nullable: true }),
    condition: t.expose("condition", { type: Condition, nullable: true }),
    notes: t.exposeString("notes"),
    foundOn: t.expose("foundOn", { type: "Date" }),
  }),
});

export const FindConnection = connectionOf("Find", Find);

const FindInput = builder.inputType("FindInput", {
  description:
    "clientKey is made where the find is written down. Without an id, the find with that key is changed, or added where there is none.",
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    restoration: t.id(),
    clientKey: t.string(),
    part: t.id(),
    what: t.string(),
    seller: t.string(),
    askedMinor: t.field({ type: "Minor" }),
    currency: t.string(),
    provenance: t.field({ type: Provenance }),
    condition: t.field({ type: Condition }),
    notes: t.string(),
    foundOn: t.field({ type: "Date" }),
  }),
});

type Input = typeof FindInput.$inferInput;

builder.mutationFields((t) => ({
  saveFind: t.field({
    type: SaveResult,
    description: "What is sent a second time is stored once; a row changed since then is stale, and nothing is lost.",
    args: { input: t.arg({ type: FindInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveFind(context, input)),
  }),
  findBecomesQuote: t.field({
    type: SaveResult,
    description:
      "Adds a quote for the find's part in one change; id and revision are the quote's. Without a supplier the one of the seller's name is taken, or added; what else is absent is as the find says.",
    args: {
      find: t.arg.id({ required: true }),
      revision: t.arg.int({ required: true }),
      part: t.arg.id(),
      supplier: t.arg.id(),
      provenance: t.arg({ type: Provenance }),
      unitPriceMinor: t.arg({ type: "Minor" }),
      currency: t.arg.string(),
      minimumQuantity: t.arg.int(),
      carriageMinor: t.arg({ type: "Minor" }),
      incoterm: t.arg({ type: Incoterm }),
      leadDays: t.arg.int(),
      preparationHours: t.arg.float(),
      validUntil: t.arg({ type: "Date" }),
    },
    resolve: (_root, args, context) => saving(context, () => becomeQuote(context, args)),
  }),
}));

const draftOf = (context: Context, stored: FindRow | null, input: Input) => {
  const { id: _id, revision, restoration, part, ...patch } = input;
  return save(context, {
    table: "find",
    rule: "find",
    id: stored?.id,
    revision,
    patch,
    defaults: {
      partId: null,
      quoteId: null,
      seller: "",
      askedMinor: null,
      provenance: null,
      condition: null,
      notes: "",
    },
    place: async (find, before) => {
      const restorationId =
        before === null
          ? (await find.find("restoration", "restoration", restoration))?.id
          : find.stays("restoration", before.restorationId, restoration);
      const of = part == null ? part : (await find.findIn(restorationId, "part", "part", part))?.id;
      const plain = before === null && patch.currency == null && restorationId !== undefined;
      return {
        restorationId,
        ...(of === undefined ? {} : { partId: of }),
        ...(plain
          ? { currency: (await find.tx.restoration.findUnique({ where: { id: restorationId } }))?.currency }
          : {}),
      };
    },
  });
};

async function saveFind(context: Context, input: Input, again = true): Promise<Omit<Saved, "is">> {
  const stored = await storedFind(context, input);
  if (stored !== null && input.revision !== stored.revision) {
    const different = differences(stored, contentOf(input));
    if (different.length > 0) throw new StaleRow(stored.id, stored.revision, different);
    const change = await context.store.change.findFirst({
      where: { restorationId: stored.restorationId, rows: { contains: stored.id } },
      orderBy: [{ at: "desc" }, { id: "desc" }],
    });
    if (change !== null) return { change, id: stored.id, revision: stored.revision };
    return draftOf(context, stored, { ...input, revision: stored.revision });
  }
  try {
    return await draftOf(context, stored, input);
  } catch (error) {
    // The same find was sent twice at once, and the other was first.
    const taken =
      error instanceof InvalidInput &&
      error.faults.some(({ code, field }) => code === "DUPLICATE" && field === "clientKey");
    if (!taken || !again || stored !== null) throw error;
    return saveFind(context, input, false);
  }
}

/** The find that an input means: by its id, or by its key; null: a new one. */
async function storedFind({ store, viewer }: Context, { id, restoration, clientKey }: Input): Promise<FindRow | null> {
  if (id != null) return own(viewer, store, "find", id);
  if (clientKey == null || restoration == null) return null;
  return store.find.findFirst({
    where: { clientKey, restorationId: restoration, restoration: restorationsOf(viewer) },
  });
}

/** The columns of which an input says something. */
function contentOf({ id: _id, revision: _revision, restoration: _restoration, part, ...patch }: Input): object {
  const { seller, notes } = patch;
  return {
    ...patch,
    partId: part,
    seller: seller === null ? "" : seller,
    notes: notes === null ? "" : notes,
  };
}

interface Becoming {
  find: string;
  revision: number;
  part?: string | null | undefined;
  supplier?: string | null | undefined;
  provenance?: typeof Provenance.$inferInput | null | undefined;
  unitPriceMinor?: number | null | undefined;
  currency?: string | null | undefined;
  minimumQuantity?: number | null | undefined;
  carriageMinor?: number | null | undefined;
  incoterm?: typeof Incoterm.$inferInput | null | undefined;
  leadDays?: number | null | undefined;
  preparationHours?: number | null | undefined;
  validUntil?: string | null | undefined;
}

async function becomeQuote(context: Context, asked: Becoming): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const found = await own(viewer, store, "find", asked.find);
  const { find: _find, revision, part, supplier, provenance, unitPriceMinor, leadDays, ...more } = asked;
  const given = Object.fromEntries(Object.entries(more).filter(([, value]) => value != null));
  let quote = { id: "", revision: 1 };
  const change = await record(
    store,
    {
      restorationId: found.restorationId,
      accountId: viewer.accountId,
      summary: `Made a quote of the find ${found.what.slice(0, 60)}`,
    },
    async (journal) => {
      const now = await own(viewer, journal.tx, "find", found.id);
      checkFresh(now, revision, {});
      if (now.quoteId !== null) throw new Refused("IN_USE", "This find has become a quote already.", []);
      const seller = supplier ?? (await sellerOf(context, journal, now.seller));
      quote = await write(
        context,
        journal,
        quoteDraft({
          ...given,
          part: part ?? now.partId,
          supplier: seller,
          provenance: provenance ?? now.provenance,
          unitPriceMinor: unitPriceMinor ?? now.askedMinor,
          currency: asked.currency ?? now.currency,
          condition: now.condition ?? "SERVICEABLE",
          leadDays: leadDays ?? 0,
          notes: [now.what, now.notes].filter((words) => words !== "").join("\n"),
        }),
      );
      const { partId } = await journal.tx.quote.findUniqueOrThrow({ where: { id: quote.id } });
      await journal.update("find", now.id, revision, { quoteId: quote.id, partId });
    },
  );
  return { change, id: quote.id, revision: quote.revision };
}

/** The supplier of a seller's name, added where there is none; undefined where nobody is named. */
export async function sellerOf(
  context: Context,
  journal: Parameters<typeof write>[1],
  seller: string,
  currency?: string,
): Promise<string | undefined> {
  const name = seller.trim();
  if (name === "") return undefined;
  const { workshopId } = context.viewer;
  const known = await journal.tx.supplier.findFirst({ where: { workshopId, name }, orderBy: BY_CODE });
  return (
    known?.id ?? (await write(context, journal, supplierDraft(context, { name, ...(currency && { currency }) }))).id
  );
}
