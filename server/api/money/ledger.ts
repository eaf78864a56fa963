/** The owner's money: what it is exposed to, and every entry of the ledger. */
import { type AtRiskOrder, exposureOf, type RestorationExposure } from "../../plan/money/exposure.ts";
import type { PaidDirectly, Unpriced } from "../../plan/money/exposureAhead.ts";
import { pricedModel } from "../../plan/money/exposureRuns.ts";
import { filtered, LEDGER_KINDS, LEDGER_SORTS, type LedgerEntry, ledgerOf, sorted } from "../../plan/money/ledger.ts";
import { SEED } from "../../plan/odds/odds.ts";
import { loadRows } from "../../plan/rows/load.ts";
import { costOfRunsInThread } from "../../worker/computations.ts";
import { builder, costing, existingDate } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { WORK } from "../core/limits.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { Restoration } from "../network/restoration.ts";
import { oddsOfRestoration } from "../odds/oddsWork.ts";

type BucketSums = RestorationExposure["buckets"];

const Sum = builder.objectRef<RestorationExposure["total"]>("ExposureSum").implement({
  description: "In minor units of the restoration's currency.",
  fields: (t) => ({
    low: t.expose("low", { type: "Minor" }),
    planned: t.expose("planned", { type: "Minor", description: "By the plan in force." }),
    high: t.expose("high", { type: "Minor" }),
    unknown: t.exposeInt("unknown", { description: "Amounts without a figure: the sums are then at least so much." }),
  }),
});

const NAMES = {
  paid: "PAID",
  owed: "OWED",
  chosen: "CHOSEN",
  undecided: "UNDECIDED",
  unsourced: "UNSOURCED",
  labourDone: "LABOUR_DONE",
  labourToGo: "LABOUR_TO_GO",
} as const satisfies Record<string, keyof BucketSums>;

const Buckets = builder.objectRef<BucketSums>("ExposureBuckets").implement({
  fields: (t) => ({
    paid: t.field({ type: Sum, resolve: (of) => of[NAMES.paid] }),
    owed: t.field({ type: Sum, description: "Ordered and not yet paid.", resolve: (of) => of[NAMES.owed] }),
    chosen: t.field({ type: Sum, description: "Chosen and not ordered.", resolve: (of) => of[NAMES.chosen] }),
    undecided: t.field({
      type: Sum,
      description: "Quoted, none chosen: the lowest to the highest that can be taken.",
      resolve: (of) => of[NAMES.undecided],
    }),
    unsourced: t.field({
      type: Sum,
      description: "Nobody quotes it: an estimate, or unknown.",
      resolve: (of) => of[NAMES.unsourced],
    }),
    labourDone: t.field({
      type: Sum,
      description:
        "Hours booked at their rates; work that is done without any booked, at the hours it was estimated at.",
      resolve: (of) => of[NAMES.labourDone],
    }),
    labourToGo: t.field({ type: Sum, resolve: (of) => of[NAMES.labourToGo] }),
  }),
});

const Group = builder.objectRef<RestorationExposure["byGroup"][number]>("ExposureGroup").implement({
  fields: (t) => ({
    key: t.exposeString("key", {
      nullable: true,
      description: "Group of the machine, or month as YYYY-MM; null is what has none.",
    }),
    buckets: t.field({ type: Buckets, resolve: (group) => group.buckets }),
    total: t.field({ type: Sum, resolve: (group) => group.total }),
  }),
});

const GroupConnection = connectionOf("ExposureGroup", Group);

const ByCurrency = builder.objectRef<RestorationExposure["byCurrency"][number]>("ExposureCurrency").implement({
  fields: (t) => ({
    currency: t.string({ nullable: true, description: "Null: not decided.", resolve: ({ key }) => key }),
    buckets: t.field({ type: Buckets, resolve: (group) => group.buckets }),
    total: t.field({ type: Sum, resolve: (group) => group.total }),
    paidThere: t.field({
      type: Money,
      nullable: true,
      description: "Paid, in the currency itself.",
      resolve: ({ key, paidOwnMinor: minor }) => (key === null ? null : { minor, currency: key }),
    }),
    owedThere: t.field({
      type: Money,
      nullable: true,
      resolve: ({ key, owedOwnMinor: minor }) => (key === null ? null : { minor, currency: key }),
    }),
  }),
});

const AtRisk = builder.objectRef<AtRiskOrder & { home: string }>("AtRisk").implement({
  description: "What a maker who is late holds.",
  fields: (t) => ({
    order: t.exposeID("orderId"),
    code: t.exposeString("code"),
    part: t.exposeID("partId"),
    partName: t.exposeString("partName"),
    supplierName: t.exposeString("supplierName"),
    promisedOn: t.expose("promisedOn", { type: "Date" }),
    daysLate: t.exposeInt("daysLate"),
    paid: t.field({ type: Money, resolve: ({ ownMinor: minor, currency }) => ({ minor, currency }) }),
    amount: t.field({
      type: Money,
      description: "In the restoration's currency, each payment at its own rate.",
      resolve: ({ amountMinor: minor, home: currency }) => ({ minor, currency }),
    }),
    unknown: t.exposeBoolean("unknown", { description: "A payment has no rate: it is at least so much." }),
  }),
});

const AtRiskConnection = connectionOf("AtRisk", AtRisk);

const UnpricedType = builder.objectRef<Unpriced>("Unpriced").implement({
  description: "A row that has no price, and why.",
  fields: (t) => ({
    kind: t.exposeString("kind", { description: "PART, SNAG, OPERATION, ORDER, PAYMENT, HOURS or INVOICE." }),
    row: t.exposeID("rowId"),
    code: t.exposeString("code"),
    title: t.exposeString("title"),
    why: t.exposeString("why", { description: "For people." }),
  }),
});

const UnpricedConnection = connectionOf("Unpriced", UnpricedType);

const Direct = builder.objectRef<PaidDirectly>("PaidDirectly").implement({
  description:
    "A way to have an operation done, or a remedy of a snag, that is paid without an order: in force, or no longer and not refunded.",
  fields: (t) => ({
    id: t.exposeID("id", { description: "Of the way or the remedy." }),
    way: t.id({ nullable: true, resolve: ({ is, id }) => (is === "WAY" ? id : null) }),
    remedy: t.id({ nullable: true, resolve: ({ is, id }) => (is === "REMEDY" ? id : null) }),
    operation: t.id({ nullable: true, resolve: ({ is, rowId }) => (is === "WAY" ? rowId : null) }),
    snag: t.id({ nullable: true, resolve: ({ is, rowId }) => (is === "REMEDY" ? rowId : null) }),
    code: t.exposeString("code", { description: "Of the operation or the snag." }),
    title: t.exposeString("title"),
    price: t.field({ type: Money, resolve: ({ priceMinor: minor, currency }) => ({ minor, currency }) }),
    paid: t.field({ type: Money, resolve: ({ paidMinor: minor, currency }) => ({ minor, currency }) }),
    left: t.field({
      type: Money,
      nullable: true,
      description:
        "Still to be paid, in its own currency; less than zero: so much too much was paid. Null where a payment in another has no rate.",
      resolve: ({ leftMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    owed: t.exposeBoolean("owed", { description: "It has gone out, or is put right; else it is only chosen." }),
    inForce: t.exposeBoolean("inForce", {
      description:
        "False: no longer chosen, so that nothing is left to pay; it is listed until what was paid has come back.",
    }),
  }),
});

const DirectConnection = connectionOf("PaidDirectly", Direct);

const ContingencyType = builder
  .objectRef<NonNullable<RestorationExposure["contingency"]> & { currency: string }>("Contingency")
  .implement({
    description: "What to set aside beyond the plan, so that the money holds with the chance.",
    fields: (t) => ({
      amount: t.field({ type: Money, resolve: ({ amountMinor: minor, currency }) => ({ minor, currency }) }),
      labour: t.field({
        type: Money,
        description: "What hours alone would need with the same chance.",
        resolve: ({ labourMinor: minor, currency }) => ({ minor, currency }),
      }),
      parts: t.field({
        type: Money,
        description:
          "What parts alone would need: orders that fail, finds, and prices of what is not decided. Together they need less.",
        resolve: ({ partsMinor: minor, currency }) => ({ minor, currency }),
      }),
      total: t.field({
        type: Money,
        description: "All of it as planned, labour included, with the amount set aside: it holds with the chance.",
        resolve: ({ totalMinor: minor, currency }) => ({ minor, currency }),
      }),
      capLeft: t.field({
        type: Money,
        nullable: true,
        description:
          "What the cap leaves once that of it which counts against the cap is set aside too; null without a cap, less than zero where it does not fit.",
        resolve: ({ capLeftMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
      }),
      chance: t.exposeFloat("chance"),
      runs: t.exposeInt("runs", { description: "Runs that end; the figure is of them." }),
      never: t.exposeFloat("never", {
        description:
          "Share of all runs that never end, since something failed and nothing follows it: they have no cost.",
      }),
    }),
  });

const Exposure = builder.objectRef<RestorationExposure & { restorationId: string }>("Exposure").implement({
  description: "What the owner's money is exposed to. Groups, months and currencies each add up to the total.",
  fields: (t) => ({
    figuresFor: t.expose("figuresFor", { type: "Date" }),
    currency: t.exposeString("currency"),
    buckets: t.field({ type: Buckets, resolve: (of) => of.buckets }),
    total: t.field({ type: Sum, resolve: (of) => of.total }),
    counted: t.field({
      type: Sum,
      description: "What counts against the cap: all, or all but labour.",
      resolve: (of) => of.counted,
    }),
    capLeft: t.field({
      type: Money,
      nullable: true,
      description: "The cap less what is counted as planned; null without a cap. Less than zero: over it.",
      resolve: ({ capLeftMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    contingency: t.field({
      type: ContingencyType,
      nullable: true,
      description:
        "From the runs that give the odds, to the confidence asked of the restoration, else 4 in 5. Null: no run ends.",
      complexity: costing(WORK.runs),
      resolve: async ({ restorationId, currency }, _args, context) => {
        const contingency = await contingencyFor(context, restorationId);
        return contingency === null ? null : { ...contingency, currency };
      },
    }),
    labourUnrated: t.exposeBoolean("labourUnrated", { description: "No rate is known for some of the labour." }),
    labourExpected: t.field({
      type: Money,
      description: "What labour to go comes to by how long work really takes; what has no rate counts for nothing.",
      resolve: ({ labourExpectedMinor: minor, currency }) => ({ minor, currency }),
    }),
    unpriced: t.field({
      type: UnpricedConnection,
      args: forwards,
      resolve: ({ unpriced }, args) => pageOf(args, unpriced),
    }),
    paidDirectly: t.field({
      type: DirectConnection,
      description:
        "Work sent out and remedies which are paid without an order: those in force, and those paid for and not refunded.",
      args: forwards,
      resolve: ({ direct }, args) => pageOf(args, direct),
    }),
    atRisk: t.field({
      type: AtRiskConnection,
      args: forwards,
      resolve: ({ atRisk, currency }, args) =>
        pageOf(
          args,
          atRisk.map((risk) => ({ ...risk, home: currency })),
        ),
    }),
    byGroup: t.field({
      type: GroupConnection,
      args: forwards,
      resolve: ({ byGroup }, args) => pageOf(args, byGroup),
    }),
    byMonth: t.field({ type: GroupConnection, args: forwards, resolve: ({ byMonth }, args) => pageOf(args, byMonth) }),
    byCurrency: t.field({ type: [ByCurrency], resolve: ({ byCurrency }) => [...byCurrency] }),
    invoiced: t.field({
      type: Money,
      description: "Asked of the owner.",
      resolve: ({ invoicedMinor: minor, currency }) => ({ minor, currency }),
    }),
    received: t.field({
      type: Money,
      description: "Received from the owner.",
      resolve: ({ receivedMinor: minor, currency }) => ({ minor, currency }),
    }),
  }),
});

const LedgerKind = builder.enumType("LedgerKind", { values: LEDGER_KINDS });

const LedgerSort = builder.enumType("LedgerSort", { values: LEDGER_SORTS });

const Entry = builder.objectRef<LedgerEntry & { home: string }>("LedgerEntry").implement({
  fields: (t) => ({
    id: t.exposeID("id"),
    day: t.expose("day", { type: "Date" }),
    kind: t.expose("kind", { type: LedgerKind }),
    what: t.exposeString("what"),
    code: t.exposeString("code", {
      description: "Of the order, the operation or the invoice; a number with its noun.",
    }),
    part: t.exposeID("partId", { nullable: true }),
    operation: t.exposeID("operationId", { nullable: true }),
    snag: t.exposeID("snagId", { nullable: true }),
    supplier: t.exposeID("supplierId", { nullable: true }),
    who: t.exposeString("who", { description: "Supplier; of hours, who worked." }),
    amount: t.field({
      type: Money,
      nullable: true,
      description: "As entered, with a minus where it takes another back; null: no rate is known for the hours.",
      resolve: ({ amountMinor: minor, currency }) => (minor === null ? null : { minor, currency }),
    }),
    home: t.field({
      type: Money,
      nullable: true,
      description: "In the restoration's currency; null without a rate.",
      resolve: ({ homeMinor: minor, home: currency }) => (minor === null ? null : { minor, currency }),
    }),
    rate: t.exposeString("rate", { nullable: true, description: "Units of the restoration's currency for one." }),
    balance: t.field({
      type: Money,
      description: "The owner's account after it: received less paid and worked.",
      resolve: ({ balanceMinor: minor, home: currency }) => ({ minor, currency }),
    }),
    ofClub: t.exposeBoolean("ofClub", { description: "The deposit of a club's batch: it is put right in the club." }),
    takesBack: t.exposeBoolean("takesBack"),
    takenBack: t.exposeBoolean("takenBack"),
    notes: t.exposeString("notes"),
  }),
});

const EntryConnection = connectionOf("LedgerEntry", Entry);

builder.prismaObjectFields(Restoration, (t) => ({
  exposure: t.field({
    type: Exposure,
    resolve: async ({ id }, _args, context) => ({ ...(await context.money(id)).exposure, restorationId: id }),
  }),
  ledger: t.field({
    type: EntryConnection,
    description:
      "Payments, hours, invoices and receipts, the newest first unless sorted otherwise. Text is found in what, who, code and notes.",
    args: {
      ...forwards,
      kinds: t.arg({ type: [LedgerKind] }),
      search: t.arg.string(),
      from: t.arg({ type: "Date" }),
      to: t.arg({ type: "Date" }),
      sort: t.arg({ type: LedgerSort }),
      descending: t.arg.boolean({ description: "Default: true." }),
    },
    resolve: async ({ id }, { kinds, search, from, to, sort, descending, ...args }, context) => {
      const { rows } = await context.money(id);
      const { currency } = rows.restoration;
      const filter = { kinds, search, from: existingDate("from", from), to: existingDate("to", to) };
      const all = sorted(filtered(ledgerOf({ ...rows, currency }), filter), sort ?? "DAY", descending ?? true);
      return pageOf(
        args,
        all.map((entry) => ({ ...entry, home: currency })),
      );
    },
  }),
}));

/** Odds that the money is to hold with where the restoration asks for none. */
const USUAL_CHANCE = 0.8;

/** The exposure's contingency, from as many runs as the odds took. */
async function contingencyFor(context: Context, id: string): Promise<RestorationExposure["contingency"]> {
  const { store } = context;
  const money = await context.money(id);
  // Others wait for the same: it goes on where this one goes away.
  const asker = { account: context.longWork().account };
  return money.contingency(async (rows) => {
    const [outlook, odds] = await Promise.all([
      oddsOfRestoration(store, id, rows.figuresFor, asker),
      loadRows(store, id),
    ]);
    const drawn = { ...pricedModel(rows, odds), seed: SEED, samples: outlook.found.samples };
    const cost = await costOfRunsInThread(drawn, asker);
    return exposureOf(rows, { ...cost, chance: rows.money.confidence ?? USUAL_CHANCE }).contingency;
  });
}
