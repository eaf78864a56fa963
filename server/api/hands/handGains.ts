/** What more hands would gain, and what the marks on the order of work cost. */
import { mayWrite, restorationFor } from "../../access/rules.ts";
import { dayFor } from "../../plan/days/day.ts";
import type { HandGain, HandGains, OrderMark } from "../../plan/hands/handGains.ts";
import { HAND_GAIN_KINDS } from "../../plan/hands/handPlans.ts";
import { moneyOf } from "../../plan/money/exposureKept.ts";
import { handGainsInThread } from "../../worker/computations.ts";
import { builder, costing } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { Job } from "../core/job.ts";
import { KeptWork } from "../core/keptWork.ts";
import { WORK } from "../core/limits.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { Operation } from "../network/operation.ts";
import { OperationWay } from "../network/operationWay.ts";

const HandGainKind = builder.enumType("HandGainKind", { values: HAND_GAIN_KINDS });
const OrderMarkKind = builder.enumType("OrderMarkKind", { values: ["FIRST", "NOT_BEFORE"] as const });

const HandGainType = builder.objectRef<HandGain & { currency: string }>("HandGain").implement({
  description:
    "One thing that could be changed, and what the plan made again with it gains: one more hand of a trade by the shop's hours, an hour more on each day, Saturdays as long as their longest day, or work sent out.",
  fields: (t) => ({
    kind: t.expose("kind", { type: HandGainKind }),
    trades: t.stringList({
      description: "Whose hands: those of these trades are the same people. Of work that is sent out, its own trade.",
      resolve: ({ trades }) => [...trades],
    }),
    operation: t.field({
      type: Operation,
      nullable: true,
      description: "The work that is sent out.",
      resolve: ({ operationId }, _args, context, info) => context.rowOrNull("operation", operationId, info),
    }),
    way: t.field({
      type: OperationWay,
      nullable: true,
      resolve: ({ wayId }, _args, context, info) => context.rowOrNull("operationWay", wayId, info),
    }),
    completionDate: t.expose("completionDate", {
      type: "Date",
      description: "The end as quoted, what is open taken as cleared.",
    }),
    daysGained: t.exposeInt("daysGained", {
      nullable: true,
      description:
        "Calendar days by which the end comes earlier; null where the trade has nobody, and its work no date, until then.",
    }),
    moneyGained: t.field({
      type: Money,
      description:
        "By which the money as planned comes to less, each day past the target at what the owner puts on it; less than 0: to more.",
      resolve: ({ moneyGainedMinor: minor, currency }) => ({ minor, currency }),
    }),
    hours: t.float({
      nullable: true,
      description: "Of one more hand: what it would work, on all machines of the workshop; null of all else.",
      resolve: ({ theirs }) => theirs?.hours ?? null,
    }),
    wages: t.field({
      type: Money,
      nullable: true,
      description:
        "Those hours at the rate of the trade. What the plan charges for work is the same whoever does it: this is what the hand would be busy for. Null of all else, and without a rate.",
      resolve: ({ theirs, currency }) =>
        theirs === null || theirs.wagesMinor === null ? null : { minor: theirs.wagesMinor, currency },
    }),
  }),
});

const OrderMarkType = builder.objectRef<OrderMark>("OrderMark").implement({
  description: '"Do this first", or "not before", on an operation that is to do, and the plan without it.',
  fields: (t) => ({
    kind: t.expose("kind", { type: OrderMarkKind }),
    operation: t.field({
      type: Operation,
      resolve: ({ operationId }, _args, context, info) => context.row("operation", operationId, info),
    }),
    completionDate: t.expose("completionDate", { type: "Date", description: "The end as quoted without it." }),
    daysCost: t.exposeInt("daysCost", {
      description: "Calendar days by which the end comes later for it; less than 0: earlier.",
    }),
  }),
});

const HandGainConnection = connectionOf("HandGain", HandGainType);
const OrderMarkConnection = connectionOf("OrderMark", OrderMarkType);

/** Of a restoration as it stands on its day. */
const kept = new KeptWork<HandGains>(async (store, id, _day, asker, told) => {
  const { rates: _rates, ratesOn: _ratesOn, ...rows } = (await moneyOf(store, id)).rows;
  const rates = await store.exchangeRate.findMany({
    where: { workshop: { restorations: { some: { id } } } },
    select: { date: true, base: true, counter: true, rate: true },
  });
  return handGainsInThread({ rows, rates }, asker, told);
});

const gainsFor = (context: Context, id: string) =>
  context.once(`hand gains ${id}`, async () =>
    kept.of(context.store, id, await dayFor(context.store, id), context.longWork()),
  );

builder.prismaObjectFields("Restoration", (t) => ({
  handGains: t.field({
    type: HandGainConnection,
    description: "What more hands would gain, best first: of each the plan made again with that alone changed.",
    args: forwards,
    complexity: costing(WORK.plan),
    resolve: async ({ id, currency }, args, context) => {
      const { gains } = await gainsFor(context, id);
      return pageOf(
        args,
        gains.map((gain) => ({ ...gain, currency })),
      );
    },
  }),
  orderMarks: t.field({
    type: OrderMarkConnection,
    description: 'What each "do this first" and "not before" costs.',
    args: forwards,
    complexity: costing(WORK.plan),
    resolve: async ({ id }, args, context) => pageOf(args, (await gainsFor(context, id)).marks),
  }),
}));

builder.mutationField("startHandGains", (t) =>
  t.field({
    type: Job,
    description:
      "Has it worked out what more hands would gain, to be followed and stopped as a job, then read from handGains and orderMarks.",
    args: { restoration: t.arg.id({ required: true }) },
    complexity: costing(WORK.runs),
    resolve: async (_root, { restoration }, context) => {
      mayWrite(context.viewer);
      const id = await restorationFor(context.viewer, context.store, restoration);
      const asked = { kind: "handGains", stage: "Making the plan again with one thing changed" };
      return kept.start(asked, context, id, await dayFor(context.store, id));
    },
  }),
);
