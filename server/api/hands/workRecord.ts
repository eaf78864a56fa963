/** How long work has really taken in a workshop against its estimates, and what is expected of the next. */
import { planRowsOf } from "../../plan/cache.ts";
import { dayFor } from "../../plan/days/day.ts";
import { type FinishedWork, type TradeRecord, WorkRecords } from "../../plan/hands/workRecord.ts";
import { countedAtWords, hasTakenWords, shopHasTakenWords } from "../../plan/hands/workWords.ts";
import { builder } from "../core/builder.ts";
import { bothWays, connectionOf, forwards, pageOf } from "../core/page.ts";
import { Operation } from "../network/operation.ts";

const FinishedWorkType = builder.objectRef<FinishedWork>("FinishedWork").implement({
  description: "A finished operation with hours booked on it, in hours of all its hands.",
  fields: (t) => ({
    operation: t.field({
      type: Operation,
      resolve: ({ operationId }, _args, context, info) => context.row("operation", operationId, info),
    }),
    trade: t.exposeString("trade"),
    finishedOn: t.expose("finishedOn", { type: "Date", nullable: true, description: "null: not on record." }),
    estimateHours: t.exposeFloat("estimateHours", {
      description: "Of the way in force, else as estimated; of three figures (least + 4 likely + most) / 6.",
    }),
    bookedHours: t.exposeFloat("bookedHours"),
    ratio: t.exposeFloat("ratio", { description: "Booked over estimated." }),
  }),
});

const FinishedWorkConnection = connectionOf("FinishedWork", FinishedWorkType);

interface Told {
  record: TradeRecord;
  counts: boolean;
}

const TradeRecordType = builder.objectRef<Told>("TradeRecord").implement({
  description: "What is believed of how long a trade's work takes against its estimates.",
  fields: (t) => ({
    trade: t.string({ description: "Empty: work of no trade.", resolve: ({ record }) => record.trade }),
    operations: t.int({
      description: "Finished, with hours booked: what it rests on.",
      resolve: ({ record }) => record.finished.length,
    }),
    hasTaken: t.float({
      nullable: true,
      description: "Booked over estimated: the geometric mean; null without any.",
      resolve: ({ record }) => record.hasTaken,
    }),
    factor: t.float({
      description: "By how much its estimates are multiplied at even odds.",
      resolve: ({ record }) => record.factor,
    }),
    oneInTen: t.float({
      description: "What the factor stays under with chance 1 in 10.",
      resolve: ({ record }) => record.oneInTen,
    }),
    nineInTen: t.float({ resolve: ({ record }) => record.nineInTen }),
    ownShare: t.float({
      description: "How much of it is the trade's own record, 0 to 1; the rest is the shop's.",
      resolve: ({ record }) => record.ownShare,
    }),
    words: t.string({ resolve: ({ record }) => `${hasTakenWords(record)}.` }),
    countedAt: t.string({
      description: "The same with what the odds make of an estimate, for where hours are entered.",
      resolve: ({ record, counts }) => countedAtWords(record, counts),
    }),
    finished: t.field({
      type: FinishedWorkConnection,
      description: "The last finished first.",
      args: forwards,
      resolve: ({ record }, args) => pageOf(args, record.finished),
    }),
  }),
});

const TradeRecordConnection = connectionOf("TradeRecord", TradeRecordType);

interface Asked {
  records: WorkRecords;
  day: string;
}

const WorkRecord = builder.objectRef<Asked>("WorkRecord").implement({
  description:
    "From finished work of all the workshop's restorations with hours booked, as known on the restoration's day of the figures.",
  fields: (t) => ({
    day: t.expose("day", { type: "Date" }),
    counts: t.boolean({
      description: "False: both spreads are zero, and estimates are taken as they stand.",
      resolve: ({ records }) => records.counts,
    }),
    words: t.string({ resolve: ({ records }) => shopHasTakenWords(records.shop, records.trades.length) }),
    shop: t.field({
      type: TradeRecordType,
      description: "All finished work, and what is believed of a trade of which nothing is known.",
      resolve: ({ records }) => ({ record: records.shop, counts: records.counts }),
    }),
    trades: t.field({
      type: TradeRecordConnection,
      description: "Those with finished work, in order of name.",
      args: forwards,
      resolve: ({ records }, args) =>
        pageOf(
          args,
          records.trades.map((trade) => ({ record: records.of(trade), counts: records.counts })),
        ),
    }),
    trade: t.field({
      type: TradeRecordType,
      description: "Of one trade, also one without finished work.",
      args: { name: t.arg.string({ required: true }) },
      resolve: ({ records }, { name }) => ({ record: records.of(name), counts: records.counts }),
    }),
    finished: t.field({
      type: FinishedWorkConnection,
      description: "Of all trades, the last finished first.",
      args: bothWays,
      resolve: ({ records }, args) => pageOf(args, records.shop.finished),
    }),
  }),
});

builder.prismaObjectField("Restoration", "workRecord", (t) =>
  t.field({
    type: WorkRecord,
    description: "How long work really takes: booked hours against estimates.",
    select: { planRevision: true },
    resolve: async ({ id, planRevision }, _args, { store }) => {
      const day = await dayFor(store, id);
      return { records: new WorkRecords(await planRowsOf(store, id, planRevision), day), day };
    },
  }),
);
