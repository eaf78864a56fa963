/** How a supplier has kept to what was promised, and what that says of the next delivery. */
import {
  type MadeDelivery,
  type NextDelivery,
  nextDelivery,
  type RecordPoint,
  recordCurve,
  type MakerRecord as Told,
} from "../../plan/makers/makerRecord.ts";
import { builder, wrongArgument } from "../core/builder.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { Order } from "../parts/order.ts";

/** The longest promise that is asked about, in days: ten years. */
const LONGEST = 3_653;
/** Days of a promise where neither an order nor a quote gives one. */
const MONTH = 30;

const MakerDelivery = builder.objectRef<MadeDelivery>("MakerDelivery").implement({
  fields: (t) => ({
    order: t.field({
      type: Order,
      resolve: ({ orderId }, _args, context, info) => context.row("order", orderId, info),
    }),
    promisedDays: t.exposeInt("promisedDays", { description: "Calendar days from the placing of the order." }),
    actualDays: t.exposeInt("actualDays"),
    ratio: t.exposeFloat("ratio", { description: "Actual over promised; less than a day counts as one." }),
  }),
});

const MakerDeliveryConnection = connectionOf("MakerDelivery", MakerDelivery);

const NextDeliveryType = builder.objectRef<NextDelivery>("NextDelivery").implement({
  description: "Within how many days a promise is kept, by its chance (a Student t in the logarithm, in closed form).",
  fields: (t) => ({
    promisedDays: t.exposeInt("promisedDays"),
    oneInTen: t.exposeInt("oneInTen"),
    evenOdds: t.exposeInt("evenOdds"),
    fourInFive: t.exposeInt("fourInFive"),
    nineInTen: t.exposeInt("nineInTen"),
  }),
});

const MakerRecordPoint = builder.objectRef<RecordPoint>("MakerRecordPoint").implement({
  description: "One place of the curves of what is expected of the next delivery: densities by the logarithm of ratio.",
  fields: (t) => ({
    ratio: t.exposeFloat("ratio", { description: "Actual over promised." }),
    maker: t.exposeFloat("maker"),
    general: t.exposeFloat("general", { description: "Of a maker of whom nothing is known." }),
  }),
});

/** A record, with the promise it was asked for. */
export interface AskedRecord {
  record: Told;
  /** Null: the maker's usual one. */
  promisedDays: number | null;
}

function promised(asked: number | null | undefined, { record, promisedDays }: AskedRecord): number {
  if (asked != null && !(asked >= 0 && asked <= LONGEST))
    throw wrongArgument("promisedDays", `must be between 0 and ${LONGEST} (it is ${asked}).`);
  return asked ?? promisedDays ?? record.usualPromise ?? MONTH;
}

export const MakerRecord = builder.objectRef<AskedRecord>("MakerRecord").implement({
  description:
    "From all orders of the workshop with this supplier, pulled to what all its makers do the more, the fewer they are.",
  fields: (t) => ({
    orders: t.int({ resolve: ({ record }) => record.orders }),
    arrived: t.int({ resolve: ({ record }) => record.arrived }),
    onTime: t.int({ description: "Arrived on or before the day promised.", resolve: ({ record }) => record.onTime }),
    averageDaysLate: t.float({
      nullable: true,
      description: "Calendar days past the promise, an early arrival counted as 0; null while nothing has arrived.",
      resolve: ({ record }) => record.averageDaysLate,
    }),
    overdue: t.int({
      description:
        "Still out past the promise. Each counts as a delivery that takes as long as one so late can be expected to.",
      resolve: ({ record }) => record.own.overdue,
    }),
    ownShare: t.float({
      description: "How much of what is expected of this maker is its own record, 0 to 1; the rest is what makers do.",
      resolve: ({ record }) => record.own.ownShare,
    }),
    crowdMakers: t.int({
      description: "Makers whose deliveries tell what makers generally do.",
      resolve: ({ record }) => record.crowdMakers,
    }),
    crowdDeliveries: t.int({ resolve: ({ record }) => record.crowdDeliveries }),
    next: t.field({
      type: NextDeliveryType,
      description: "promisedDays: default, the quote's own lead time, or the promise that is usual with the maker.",
      args: { promisedDays: t.arg.int() },
      resolve: (asked, args) => nextDelivery(asked.record.own, promised(args.promisedDays, asked)),
    }),
    generally: t.field({
      type: NextDeliveryType,
      description: "The same of a maker of whom nothing is known.",
      args: { promisedDays: t.arg.int() },
      resolve: (asked, args) => nextDelivery(asked.record.general, promised(args.promisedDays, asked)),
    }),
    curve: t.field({ type: [MakerRecordPoint], resolve: ({ record }) => recordCurve(record) }),
    deliveries: t.field({
      type: MakerDeliveryConnection,
      description: "The last placed first.",
      args: forwards,
      resolve: ({ record }, args) => pageOf(args, record.deliveries.toReversed()),
    }),
  }),
});
