/** What an hour of a trade is charged at. */
import { speller } from "../../store/trades.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Money } from "../core/money.ts";
import { save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";

builder.prismaObject("TradeRate", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    trade: t.exposeString("trade"),
    rate: t.field({
      type: Money,
      nullable: true,
      description: "What an hour of this trade is charged at; null: the restoration's own rate.",
      select: { rateMinor: true, restoration: { select: { currency: true } } },
      resolve: ({ rateMinor: minor, restoration: { currency } }) => (minor === null ? null : { minor, currency }),
    }),
  }),
});

const TradeRateInput = builder.inputType("TradeRateInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    restoration: t.id(),
    trade: t.string(),
    rateMinor: t.field({ type: "Minor" }),
  }),
});

builder.mutationField("saveTradeRate", (t) =>
  t.field({
    type: SaveResult,
    args: { input: t.arg({ type: TradeRateInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveTradeRate(context, input)),
  }),
);

const saveTradeRate = (context: Context, { id, revision, restoration, ...patch }: typeof TradeRateInput.$inferInput) =>
  save(context, {
    table: "tradeRate",
    rule: "tradeRate",
    id,
    revision,
    patch,
    defaults: { rateMinor: null },
    place: async (find, before) => {
      const spelt = await speller(find.tx, context.viewer.workshopId, { besides: before ? [before.id] : [] });
      return {
        restorationId:
          before === null
            ? (await find.find("restoration", "restoration", restoration))?.id
            : find.stays("restoration", before.restorationId, restoration),
        ...(patch.trade != null && { trade: spelt(patch.trade) }),
      };
    },
  });
