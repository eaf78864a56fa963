/** Quotes taken up, and the money that went to the suppliers. */
import type { Payment } from "../../generated/prisma/client.ts";
import { dayOf, SAYS_DAY } from "../../plan/days/day.ts";
import { loadRates } from "../../plan/money/exchange.ts";
import { paidIn } from "../../plan/money/exposurePaid.ts";
import { LANDING, type Landed, landedOf, ORDER_TERMS } from "../../plan/money/landed.ts";
import { loadOrdersAhead } from "../../plan/money/ordersAhead.ts";
import { belowZero, paymentComplaints, standsPaid } from "../../plan/money/payment.ts";
import { orderDaysLate, promiseOf } from "../../plan/parts/dates.ts";
import type { Store, Tx } from "../../store/client.ts";
import { InvalidInput, Refused } from "../../store/fault.ts";
import { isDate } from "../../store/rules.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { correct, given, stays } from "../core/correction.ts";
import { OrderState, PaymentKind } from "../core/enums.ts";
import { Money } from "../core/money.ts";
import { connectionOf } from "../core/page.ts";
import { type Draft, save } from "../core/save.ts";
import { SaveResult, saving } from "../core/saveResult.ts";

builder.prismaObject("Payment", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    kind: t.expose("kind", { type: PaymentKind }),
    paidOn: t.expose("paidOn", { type: "Date" }),
    amount: t.field({ type: Money, resolve: (p) => ({ minor: p.amountMinor, currency: p.currency }) }),
    rate: t.exposeString("rate", {
      nullable: true,
      description: "Agreed on the day, to the restoration's currency; null: by the rates entered.",
    }),
    notes: t.exposeString("notes"),
    order: t.exposeID("orderId", { nullable: true, description: "What it was for: an order, else a way or a remedy." }),
    way: t.exposeID("wayId", { nullable: true, description: "A way to have an operation done." }),
    remedy: t.exposeID("remedyId", { nullable: true, description: "A remedy of a snag." }),
    corrects: t.exposeID("correctsId", { nullable: true, description: "The payment that this one takes back." }),
    correctedBy: t.id({
      nullable: true,
      select: { correctedBy: { select: { id: true } } },
      resolve: ({ correctedBy }) => correctedBy?.id ?? null,
    }),
  }),
});

export const Order = builder.prismaObject("Order", {
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    code: t.exposeString("code"),
    part: t.relation("part"),
    quote: t.relation("quote"),
    quantity: t.exposeInt("quantity"),
    state: t.expose("state", { type: OrderState }),
    placedOn: t.expose("placedOn", { type: "Date" }),
    promisedOn: t.expose("promisedOn", { type: "Date" }),
    expectedOn: t.expose("expectedOn", { type: "Date", nullable: true }),
    arrivedOn: t.expose("arrivedOn", { type: "Date", nullable: true }),
    fitRating: t.exposeInt("fitRating", { nullable: true }),
    total: t.field({ type: Money, resolve: (o) => ({ minor: o.totalMinor, currency: o.currency }) }),
    totalWorkedOut: t.boolean({
      description:
        "The total is what the quote comes to for so many on the day of the order, as where it is left blank.",
      resolve: async ({ quoteId, quantity, placedOn, totalMinor }, _args, { store }) => {
        const { quote, rates, pieces, into } = await placing(store, quoteId, quantity, placedOn);
        return landedOf(quote, pieces, into, rates, { cores: quote.part.quantity }).totalMinor === totalMinor;
      },
    }),
    notes: t.exposeString("notes"),
    payments: t.relation("payments", { query: { orderBy: [{ paidOn: "asc" }, { id: "asc" }] } }),
    paid: t.field({
      type: Money,
      description: "Paid and not come back, each payment at the rate of its day; one that has no rate is left out.",
      select: { payments: true, restoration: { select: { workshopId: true } } },
      resolve: async ({ payments, currency, restoration }, _args, context) => ({
        minor: paidIn(payments, currency, await context.ratesOn(restoration.workshopId)),
        currency,
      }),
    }),
    daysLate: t.int({
      description: "Days past the promise on the day of the figures; 0 when not late.",
      resolve: async (order, _args, context) => orderDaysLate(order, await context.figuresFor(order.restorationId)),
    }),
  }),
});

export const OrderConnection = connectionOf("Order", Order);

const OrderInput = builder.inputType("OrderInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    quote: t.id(),
    code: t.string(),
    quantity: t.int(),
    state: t.field({ type: OrderState }),
    placedOn: t.field({ type: "Date" }),
    promisedOn: t.field({ type: "Date" }),
    expectedOn: t.field({ type: "Date" }),
    arrivedOn: t.field({ type: "Date" }),
    fitRating: t.int(),
    totalMinor: t.field({ type: "Minor" }),
    notes: t.string(),
  }),
});

const PaymentInput = builder.inputType("PaymentInput", {
  fields: (t) => ({
    id: t.id(),
    revision: t.int(),
    order: t.id(),
    way: t.id(),
    remedy: t.id(),
    kind: t.field({ type: PaymentKind }),
    paidOn: t.field({ type: "Date" }),
    amountMinor: t.field({ type: "Minor" }),
    rate: t.string(),
    notes: t.string(),
  }),
});

builder.mutationFields((t) => ({
  saveOrder: t.field({
    type: SaveResult,
    args: { input: t.arg({ type: OrderInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => saveOrder(context, input)),
  }),
  savePayment: t.field({
    type: SaveResult,
    description:
      "Adds a payment on one of an order, a way to have an operation done, or a remedy. One that stands is not changed (LEDGER): see correctPayment.",
    args: { input: t.arg({ type: PaymentInput, required: true }) },
    resolve: (_root, { input }, context) => saving(context, () => savePayment(context, input)),
  }),
  correctPayment: t.field({
    type: SaveResult,
    description:
      "Writes an entry against a payment and, with an input, the right one beside it: what the input does not say is as it was.",
    args: { payment: t.arg.id({ required: true }), input: t.arg({ type: PaymentInput }) },
    resolve: (_root, { payment, input }, context) =>
      saving(context, () =>
        correct(
          context,
          "payment",
          payment,
          (row) => paymentDraft(corrected(row, given(input))),
          input != null,
          coversWhatCameBack,
        ),
      ),
  }),
}));

/** A new order takes from its quote what is not said: the promise from its lead time, the total from its landed cost. */
const saveOrder = (context: Context, { id, revision, quote, ...patch }: typeof OrderInput.$inferInput) =>
  save(context, {
    table: "order",
    rule: "order",
    id,
    revision,
    patch,
    codes: { earlier: "O" },
    defaults: { quantity: 1, state: "PLACED", expectedOn: null, arrivedOn: null, fitRating: null, notes: "" },
    place: async (find, before) => {
      const taken = await find.findIn(before?.restorationId, "quote", "quote", quote ?? before?.quoteId);
      if (taken === undefined) return {};
      const { restorationId, partId, currency, id: quoteId } = taken;
      const placed = { restorationId, partId, quoteId, currency };
      if (before !== null) return placed;
      const { placedOn, promisedOn, totalMinor } = patch;
      return {
        ...placed,
        ...(promisedOn == null && placedOn != null && isDate(placedOn)
          ? { promisedOn: promiseOf(taken, placedOn) }
          : {}),
        ...(totalMinor == null
          ? { totalMinor: await landedTotal(find.tx, quoteId, patch.quantity ?? 1, placedOn) }
          : {}),
      };
    },
    check: async (row, before, find) => {
      const { tx } = find;
      await find.nothingToCome("order", row, before);
      if (before === null || row.quoteId === before.quoteId) return;
      if ((await tx.payment.count({ where: { orderId: before.id } })) > 0)
        throw new Refused("HAS_PAYMENTS", "Payments were made on this order: it stays with its quote.", [before.code]);
    },
  });

const TO_ORDER = {
  part: { select: { quantity: true } },
  priceBreaks: true,
  knockOns: true,
  supplier: { select: ORDER_TERMS },
  restoration: { select: { id: true, workshopId: true, ...SAYS_DAY, ...LANDING } },
} as const;

/** A quote in its own currency at the rates of the day on which so many are ordered. */
async function placing(
  store: Store | Tx,
  quoteId: string,
  quantity: number | null | undefined,
  placedOn: string | null | undefined,
) {
  const quote = await store.quote.findUniqueOrThrow({ where: { id: quoteId }, include: TO_ORDER });
  const day = placedOn != null && isDate(placedOn) ? placedOn : dayOf(quote.restoration);
  const rates = await loadRates(store, quote.restoration.workshopId, day);
  // A quantity that is none is refused by the rules of the row.
  const pieces = quantity != null && Number.isSafeInteger(quantity) && quantity > 0 ? quantity : 1;
  return { quote, rates, pieces, into: { ...quote.restoration, currency: quote.currency } };
}

/** What an order of so many and nothing else comes to in the quote's currency. Throws InvalidInput where a rate is missing. */
async function landedTotal(
  tx: Tx,
  quoteId: string,
  quantity: number,
  placedOn: string | null | undefined,
): Promise<number> {
  const { quote, rates, pieces, into } = await placing(tx, quoteId, quantity, placedOn);
  const { totalMinor, problem } = landedOf(quote, pieces, into, rates, { cores: quote.part.quantity });
  if (totalMinor !== null) return totalMinor;
  throw new InvalidInput([
    { code: "REQUIRED", field: "totalMinor", message: `The total cannot be worked out, so it is needed: ${problem}` },
  ]);
}

interface OrderTotalOf {
  currency: string;
  alone: Landed;
  shared: Landed;
  beside: readonly string[];
}

const OrderTotal = builder.objectRef<OrderTotalOf>("OrderTotal").implement({
  description: "What an order would come to, in the quote's currency at the rates of its day.",
  fields: (t) => ({
    alone: t.field({
      type: Money,
      nullable: true,
      description:
        "Of this part and nothing else: what a total that is left blank becomes. Null: it cannot be worked out.",
      resolve: ({ alone: { totalMinor: minor }, currency }) => (minor === null ? null : { minor, currency }),
    }),
    shared: t.field({
      type: Money,
      nullable: true,
      description:
        "The same with its share of what the supplier charges on one order with `beside`: what the figures of the plan count.",
      resolve: ({ shared: { totalMinor: minor }, currency }) => (minor === null ? null : { minor, currency }),
    }),
    beside: t.stringList({
      description:
        "Names of the other parts that are in force and still to be ordered from a supplier who charges on orders.",
      resolve: ({ beside }) => [...beside],
    }),
    problem: t.string({
      nullable: true,
      description: "For people: why there is no total.",
      resolve: ({ alone: { problem } }) => problem,
    }),
  }),
});

builder.prismaObjectField("Quote", "orderTotal", (t) =>
  t.field({
    type: OrderTotal,
    description: "quantity: default, 1. placedOn: default, the day of the figures.",
    args: { quantity: t.arg.int(), placedOn: t.arg({ type: "Date" }) },
    resolve: async ({ id }, { quantity, placedOn }, context): Promise<OrderTotalOf> => {
      const { store } = context;
      const { quote, rates, pieces, into } = await placing(store, id, quantity, placedOn);
      const { currency, restorationId, part } = quote;
      const orders = await loadOrdersAhead(store, into, await context.plan(restorationId), rates);
      const cores = part.quantity;
      const ids = orders.sharing(quote);
      const parts = await store.part.findMany({ where: { id: { in: ids } }, select: { id: true, name: true } });
      const names = new Map(parts.map((one) => [one.id, one.name]));
      return {
        currency,
        alone: orders.landed(quote, quote, pieces, { cores, later: true }),
        shared: orders.landed(quote, quote, pieces, { cores, later: false }),
        beside: ids.map((other) => names.get(other) ?? ""),
      };
    },
  }),
);

const savePayment = (context: Context, input: typeof PaymentInput.$inferInput) => {
  stays("payment", input.id);
  return save(context, paymentDraft(input));
};

type PaymentSaid = typeof PaymentInput.$inferInput;

/** A payment as it was, as the input of another, with what the input says in its place. */
function corrected(
  { orderId, wayId, remedyId, kind, paidOn, amountMinor, rate, notes }: Payment,
  said: PaymentSaid,
): PaymentSaid {
  const elsewhere = PAID_FOR.some((field) => said[field] != null);
  const paidFor = elsewhere ? {} : { order: orderId, way: wayId, remedy: remedyId };
  return { kind, paidOn, amountMinor, rate, notes, ...paidFor, ...said };
}

const PAID_FOR = ["order", "way", "remedy"] as const;

function paymentDraft({ id, revision, order, way, remedy, ...patch }: PaymentSaid): Draft<"payment"> {
  return {
    table: "payment",
    rule: "payment",
    id,
    revision,
    patch,
    defaults: { rate: null, notes: "", correctsId: null, orderId: null, wayId: null, remedyId: null },
    place: async (find) => {
      const named = [order, way, remedy].filter((one) => one != null).length;
      if (named > 1)
        find.fault({
          code: "NOT_A_CHOICE",
          field: "order",
          message: "A payment is for one thing: an order, a way or a remedy.",
        });
      if (named === 0) {
        const message = "What it was paid for is needed: an order, a way or a remedy.";
        find.fault({ code: "REQUIRED", field: "order", message });
        return {};
      }
      const paid =
        way != null
          ? await find.find("operationWay", "way", way)
          : remedy != null
            ? await find.find("remedy", "remedy", remedy)
            : await find.find("order", "order", order);
      if (paid === undefined) return {};
      const { restorationId, currency } = paid;
      const field = way != null ? "wayId" : remedy != null ? "remedyId" : "orderId";
      return { restorationId, currency, [field]: paid.id };
    },
    check: async (row, _before, find) => {
      const { currency, ...said } = await find.tx.restoration.findUniqueOrThrow({
        where: { id: row.restorationId },
        select: { ...SAYS_DAY, currency: true },
      });
      const where = {
        day: dayOf(said),
        home: currency,
        leftMinor: await standsPaid(find.tx, row),
      };
      for (const { field, complaint } of paymentComplaints(row, where))
        find.fault({
          code: "OUT_OF_RANGE",
          field,
          value: String(row[field]),
          message: `${field === "paidOn" ? "paid on" : field === "rate" ? "rate" : "amount"} ${complaint}.`,
        });
    },
  };
}

/** Throws InvalidInput where a payment that was corrected leaves less paid than has come back. */
async function coversWhatCameBack(tx: Tx, row: Payment): Promise<void> {
  const complaint = await belowZero(tx, [row]);
  if (complaint !== null)
    throw new InvalidInput([
      { code: "OUT_OF_RANGE", field: "amountMinor", row: row.id, message: `The amount ${complaint}.` },
    ]);
}
