/** What one currency cost in another on a day. Rates belong to the workshop, not to one restoration. */
import { type ImportedRates, importRates } from "../../io/exchangeRates.ts";
import { builder } from "../core/builder.ts";
import { workshopRecord } from "../core/change.ts";
import type { Context } from "../core/context.ts";
import { connectionOf } from "../core/page.ts";
import { save } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";

export const ExchangeRate = builder.prismaObject("ExchangeRate", {
  description: "1 base = rate counter, from that date on.",
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    date: t.expose("date", { type: "Date" }),
    base: t.exposeString("base"),
    counter: t.exposeString("counter"),
    rate: t.exposeString("rate", { description: "Decimal text, so that no digit is rounded." }),
  }),
});

export const ExchangeRateConnection = connectionOf("ExchangeRate", ExchangeRate);

const ExchangeRateInput = builder.inputType("ExchangeRateInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    date: t.field({ type: "Date" }),
    base: t.string(),
    counter: t.string(),
    rate: t.string(),
  }),
});

builder.mutationFields((t) => ({
  saveExchangeRate: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: ExchangeRateInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveExchangeRate(context, input)),
  }),
  importExchangeRates: t.field({
    type: SaveResult,
    description:
      "Rates against the euro as text: a column Date and one column a currency (Date,USD,JPY …), one line a day. A blank cell or N/A is no rate. Rates there already are changed; none are taken away.",
    args: { csv: t.arg.string({ required: true }) },
    resolve: (_root, { csv }, context) => saving(context, () => importExchangeRates(context, csv)),
  }),
}));

const saveExchangeRate = (context: Context, { id, revision, ...patch }: typeof ExchangeRateInput.$inferInput) =>
  save(context, {
    table: "exchangeRate",
    rule: "exchangeRate",
    id,
    revision,
    patch,
    defaults: {},
    place: async (_find, before) => ({ workshopId: before?.workshopId ?? context.viewer.workshopId }),
    recordOn: (tx, rate) => workshopRecord(tx, rate.workshopId),
  });

async function importExchangeRates(context: Context, csv: string): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const restorationId = await workshopRecord(store, viewer.workshopId);
  const imported: ImportedRates = await importRates(store, { ...viewer, restorationId }, csv);
  return { change: imported.change, id: imported.change.id, revision: 1 };
}
