/** Ways to do an operation: at the bench, or sent out. */
import { own } from "../../access/rules.ts";
import { costOfOption, type OwnHours, tradeRatesOf } from "../../plan/choice/optionCost.ts";
import { hoursLeft } from "../../plan/hands/hours.ts";
import { inCurrency } from "../../plan/money/exchange.ts";
import { leftOfPrice } from "../../plan/money/exposurePaid.ts";
import { operationRow } from "../../plan/rows/load.ts";
import { InvalidInput, noLongerThere, Refused } from "../../store/fault.ts";
import { record } from "../../store/journal.ts";
import { codeAndName } from "../../store/tables.ts";
import { OptionCost } from "../choice/optionCost.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Money } from "../core/money.ts";
import { save } from "../core/save.ts";
import { type Saved, SaveResult, saving } from "../core/saveResult.ts";

const COSTED = {
  id: true,
  workshopId: true,
  currency: true,
  hourlyRateMinor: true,
  countOwnHours: true,
  tradeRates: { select: { trade: true, rateMinor: true } },
} as const;

const hourRatesOf = ({
  tradeRates,
  ...money
}: OwnHours["money"] & { tradeRates: readonly { trade: string; rateMinor: number | null }[] }): OwnHours => ({
  money,
  tradeRates: tradeRatesOf(tradeRates),
});

builder.prismaObjectField("Operation", "ownCost", (t) =>
  t.field({
    type: OptionCost,
    description:
      "Done as it says itself: the hours that are left at the rate of the hands that it takes, beside those of its ways.",
    select: { restoration: { select: COSTED } },
    resolve: ({ restoration, ...work }) => ({
      ...costOfOption(
        hourRatesOf(restoration),
        0,
        hoursLeft({ ...work, chosenWay: null }),
        operationRow(work).handsNeeded,
      ),
      currency: restoration.currency,
    }),
  }),
);

export const OperationWay = builder.prismaObject("OperationWay", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    title: t.exposeString("title"),
    operation: t.relation("operation"),
    supplier: t.relation("supplier", { nullable: true }),
    hours: t.exposeFloat("hours", { description: "Shop hours that are left to do this way." }),
    days: t.exposeInt("days", { description: "Calendar days away, once those hours are done." }),
    price: t.field({ type: Money, resolve: (way) => ({ minor: way.priceMinor, currency: way.currency }) }),
    cost: t.field({
      type: OptionCost,
      description:
        "What is still to be paid of its price, with its hours at the rate of the hands that the operation takes: what ways are compared by.",
      select: {
        operation: { select: { trade: true, hands: true, alsoTrades: true } },
        restoration: { select: COSTED },
        payments: { orderBy: [{ paidOn: "asc" }, { id: "asc" }] },
      },
      resolve: async ({ priceMinor, currency, hours, operation, restoration, payments }, _args, context) => {
        const rates = await context.rates(restoration);
        const left = leftOfPrice({ priceMinor, currency, payments }, await context.ratesOn(restoration.workshopId));
        const price = left === null ? null : inCurrency(left, currency, restoration.currency, rates);
        return {
          ...costOfOption(hourRatesOf(restoration), price, hours, operationRow(operation).handsNeeded),
          currency: restoration.currency,
        };
      },
    }),
    points: t.exposeFloat("points"),
    payments: t.relation("payments", { query: { orderBy: [{ paidOn: "asc" }, { id: "asc" }] } }),
    chosen: t.boolean({
      select: { chosenFor: { select: { id: true } } },
      resolve: (way) => way.chosenFor !== null,
    }),
  }),
});

const OperationWayInput = builder.inputType("OperationWayInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    operation: t.id(),
    supplier: t.id(),
    code: t.string(),
    title: t.string(),
    hours: t.float(),
    days: t.int(),
    priceMinor: t.field({ type: "Minor" }),
    currency: t.string(),
    points: t.float(),
  }),
});

builder.mutationFields((t) => ({
  saveOperationWay: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: OperationWayInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveOperationWay(context, input)),
  }),
  chooseWay: t.field({
    type: SaveResult,
    description: "way null: the operation is done as it says itself. revision is the operation's.",
    args: {
      operation: t.arg.id({ required: true }),
      way: t.arg.id(),
      revision: t.arg.int({ required: true }),
    },
    resolve: (_root, { operation, way, revision }, context) =>
      saving(context, () => chooseWay(context, operation, way ?? null, revision)),
  }),
}));

const saveOperationWay = (
  context: Context,
  { id, revision, operation, supplier, ...patch }: typeof OperationWayInput.$inferInput,
) =>
  save(context, {
    table: "operationWay",
    rule: "operationWay",
    id,
    revision,
    patch,
    codes: { earlier: "Y" },
    defaults: { hours: 0, days: 0, priceMinor: 0, points: 0, supplierId: null },
    place: async (find, before) => {
      const of = await find.findIn(before?.restorationId, "operation", "operation", operation ?? before?.operationId);
      const restorationId = before?.restorationId ?? of?.restorationId;
      const from = supplier == null ? supplier : (await find.find("supplier", "supplier", supplier))?.id;
      const plain = before === null && patch.currency == null && restorationId !== undefined;
      return {
        restorationId,
        operationId: of?.id,
        ...(from === undefined ? {} : { supplierId: from }),
        ...(plain
          ? { currency: (await find.tx.restoration.findUnique({ where: { id: restorationId } }))?.currency }
          : {}),
      };
    },
    check: async (row, before, { tx }) => {
      if (before === null || row.operationId === before.operationId) return;
      if ((await tx.operation.count({ where: { chosenWayId: before.id } })) > 0)
        throw new Refused("IN_USE", "This way is chosen for its operation: choose another first.", [before.code]);
    },
  });

async function chooseWay(
  context: Context,
  id: string,
  wayId: string | null,
  revision: number,
): Promise<Omit<Saved, "is">> {
  const { store, viewer } = context;
  const operation = await own(viewer, store, "operation", id);
  const way =
    wayId === null ? null : await store.operationWay.findFirst({ where: { id: wayId, operationId: operation.id } });
  if (wayId !== null && way === null)
    throw new InvalidInput([
      {
        code: "UNKNOWN_ROW",
        row: operation.code,
        field: "way",
        value: wayId,
        message: noLongerThere("way"),
      },
    ]);
  const summary =
    way === null
      ? `${codeAndName("Operation", operation)}, is done as it says itself`
      : `Chose ${codeAndName("way", way)}, for ${codeAndName("operation", operation)}`;
  const { restorationId } = operation;
  const change = await record(store, { restorationId, accountId: viewer.accountId, summary }, (journal) =>
    journal.update("operation", operation.id, revision, { chosenWayId: wayId }),
  );
  return { change, id: operation.id, revision: revision + 1 };
}
