/** What holds up the last bolt: the ladder, what to order, whom to chase, and what can be worked on meanwhile. */
import { restorationFor } from "../../access/rules.ts";
import type { HandLoad, HandTask, HandWeek, HandWork } from "../../plan/hands/handLoad.ts";
import type { TradeWithoutHands } from "../../plan/hands/orderOfWork.ts";
import { consentWanting } from "../../plan/money/exposureConsent.ts";
import { workByTrade } from "../../plan/network/freeToStart.ts";
import type { HeldByMark } from "../../plan/network/heldByMarks.ts";
import { declinedWords } from "../../plan/parts/declinedNow.ts";
import { costOfOrders, type LaterOrders, laterOrders } from "../../plan/parts/laterOrders.ts";
import { clearedOf, lackOf } from "../../plan/parts/openWords.ts";
import type {
  Completion as End,
  EndKept,
  FreeToStart as Free,
  HoursToDo,
  Chase as LateOrder,
  OrderDays,
  OtherWork,
  Plan,
  PlanHands,
  HoldUp as Rung,
  ChainStep as Step,
} from "../../plan/plan.ts";
import { WITH_WORK } from "../../store/rank.ts";
import { builder, costing, existingDate, wrongArgument } from "../core/builder.ts";
import { LagUnit } from "../core/enums.ts";
import { WORK } from "../core/limits.ts";
import { Money } from "../core/money.ts";
import { connectionOf, forwards, pageOf } from "../core/page.ts";
import { Order } from "../parts/order.ts";
import { Part } from "../parts/part.ts";
import { Quote } from "../parts/quote.ts";
import { Supplier } from "../parts/supplier.ts";
import { Operation } from "./operation.ts";
import { Restoration } from "./restoration.ts";
import { ScheduledOperationConnection } from "./schedule.ts";
import { Remedy, Snag } from "./snag.ts";

const ChainStepKind = builder.enumType("ChainStepKind", { values: ["PREPARATION", "OPERATION"] as const });
const HoldUpKind = builder.enumType("HoldUpKind", { values: ["PART", "SNAG", "HAND"] as const });

export const Completion = builder.objectRef<End>("Completion").implement({
  fields: (t) => ({
    entered: t.exposeBoolean("entered", {
      description: "False where no operation, part or snag is entered: the dates then say nothing.",
    }),
    open: t.exposeBoolean("open", {
      description: "True while a needed part has no source or a snag no remedy: there is then no completion date.",
    }),
    lacking: t.exposeString("lacking", {
      nullable: true,
      description:
        'For people: what those that leave it open are without: "no source", "no remedy yet", of both kinds "no source or remedy yet"; null where nothing is open.',
    }),
    cleared: t.exposeString("cleared", {
      nullable: true,
      description:
        'For people: as what the open ones are taken in the dates below: "in hand" of parts alone, else "cleared"; null where nothing is open.',
    }),
    date: t.expose("date", { type: "Date", nullable: true }),
    hours: t.exposeFloat("hours", { nullable: true }),
    dateWithOpenInHand: t.expose("dateWithOpenInHand", {
      type: "Date",
      description:
        "The date if every part without a source were in hand today, and every snag without a remedy cleared.",
    }),
    hoursWithOpenInHand: t.exposeFloat("hoursWithOpenInHand"),
    workOnlyDate: t.expose("workOnlyDate", {
      type: "Date",
      description: "The work alone, with every part in hand and every snag cleared today.",
    }),
    workOnlyHours: t.exposeFloat("workOnlyHours"),
    targetDate: t.expose("targetDate", { type: "Date", nullable: true }),
    targetName: t.exposeString("targetName"),
    daysLate: t.exposeInt("daysLate", {
      nullable: true,
      description:
        "Calendar days past the target date (negative: early), of the date above; null without a target date.",
    }),
  }),
});

const TradeWithoutHandsType = builder.objectRef<TradeWithoutHands & { people: number }>("TradeWithoutHands").implement({
  description: "A trade with work to do and nobody to do it: until there is, completion is open.",
  fields: (t) => ({
    trade: t.exposeString("trade"),
    operations: t.exposeInt("operations"),
    hours: t.exposeFloat("hours"),
    people: t.exposeInt("people", {
      description:
        "Who can do the trade: more than none are too few for the work, or never work at the same time as those of its other trades.",
    }),
  }),
});

const OtherWorkType = builder.objectRef<OtherWork>("OtherWork").implement({
  description: "Other work of the hands, which holds up the end: what work it is, and whose, is not told.",
  fields: (t) => ({
    until: t.expose("until", { type: "Date", description: "The last day of it that work here waits for." }),
    days: t.exposeInt("days", {
      description: "Calendar days by which the end, as quoted, would be sooner without it.",
    }),
  }),
});

const PlanHandsType = builder.objectRef<PlanHands & { restorationId: string }>("PlanHands").implement({
  description: "The hands of the workshop on which every date rests: the best order of work found for them is kept.",
  fields: (t) => ({
    handsEnough: t.expose("handsEnough", {
      type: "Date",
      description:
        "The end with hands enough at all times, for comparison alone: with what is open taken as cleared today.",
    }),
    notBefore: t.expose("notBefore", { type: "Date", description: "No order of work ends before it on these hands." }),
    nobodyFor: t.field({ type: [TradeWithoutHandsType], resolve: ({ nobodyFor }) => [...nobodyFor] }),
    orderKept: t.boolean({
      description: "An order of work is kept: it is left only for one by which something ends a day sooner.",
      resolve: async ({ restorationId }, _args, { store }) => {
        const { workshopId } = await store.restoration.findUniqueOrThrow({ where: { id: restorationId } });
        return (
          (await store.operation.findFirst({ where: { restoration: { workshopId }, place: { not: null } } })) !== null
        );
      },
    }),
    otherMachines: t.int({
      description: "Other restorations of the workshop with work left for the same hands.",
      resolve: async ({ restorationId }, _args, { store }) => {
        const { workshopId } = await store.restoration.findUniqueOrThrow({ where: { id: restorationId } });
        return store.restoration.count({
          where: { workshopId, id: { not: restorationId }, ...WITH_WORK },
        });
      },
    }),
  }),
});

const ChainStep = builder.objectRef<Step>("ChainStep").implement({
  fields: (t) => ({
    kind: t.expose("kind", { type: ChainStepKind }),
    code: t.exposeString("code"),
    title: t.exposeString("title"),
    operation: t.field({
      type: Operation,
      nullable: true,
      resolve: (step, _args, context, info) => context.rowOrNull("operation", step.operationId, info),
    }),
    startDate: t.expose("startDate", { type: "Date" }),
    finishDate: t.expose("finishDate", { type: "Date" }),
    hours: t.exposeFloat("hours"),
    lag: t.exposeFloat("lag"),
    lagUnit: t.expose("lagUnit", { type: LagUnit, nullable: true }),
  }),
});

const HoldUp = builder.objectRef<{ restorationId: string; plan: Plan; rung: Rung }>("HoldUp").implement({
  fields: (t) => ({
    id: t.id({ description: "Same for the same part, snag or hand in every plan.", resolve: ({ rung }) => rung.id }),
    kind: t.field({ type: HoldUpKind, resolve: ({ rung }) => rung.kind }),
    code: t.string({ resolve: ({ rung }) => rung.code }),
    title: t.string({
      description: 'For people; of a hand by its trades: "Whoever does engine work".',
      resolve: ({ rung }) => rung.title,
    }),
    handName: t.string({
      nullable: true,
      description: "The hand's name; null of a part or a snag.",
      resolve: ({ rung }) => rung.handName,
    }),
    otherWorkUntil: t.field({
      type: "Date",
      nullable: true,
      description:
        "Of a hand: the last day of other work that work here waits for; what work it is, and whose, is not told. Null: of none.",
      resolve: ({ rung }) => rung.otherWorkUntil,
    }),
    part: t.field({
      type: Part,
      nullable: true,
      resolve: ({ rung }, _args, context, info) =>
        context.rowOrNull("part", rung.kind === "PART" ? rung.rowId : null, info),
    }),
    snag: t.field({
      type: Snag,
      nullable: true,
      resolve: ({ rung }, _args, context, info) =>
        context.rowOrNull("snag", rung.kind === "SNAG" ? rung.rowId : null, info),
    }),
    quote: t.field({
      type: Quote,
      nullable: true,
      resolve: ({ rung }, _args, context, info) => context.rowOrNull("quote", rung.quoteId, info),
    }),
    order: t.field({
      type: Order,
      nullable: true,
      resolve: ({ rung }, _args, context, info) => context.rowOrNull("order", rung.orderId, info),
    }),
    remedy: t.field({
      type: Remedy,
      nullable: true,
      resolve: ({ rung }, _args, context, info) => context.rowOrNull("remedy", rung.remedyId, info),
    }),
    open: t.boolean({ resolve: ({ rung }) => rung.open }),
    lacking: t.string({
      nullable: true,
      description:
        'For people: what it is without: "no source" of a part, "no remedy yet" of a snag; null when not open.',
      resolve: ({ rung }) => (rung.open ? lackOf([rung]) : null),
    }),
    cleared: t.string({
      description:
        'For people: what has become of it once it holds up nothing: "in hand" of a part, "cleared" of a snag, "free" of a hand.',
      resolve: ({ rung }) => clearedOf([rung])!,
    }),
    decided: t.boolean({
      description: "False while the quickest quote or remedy stands in for a decision not yet taken.",
      resolve: ({ rung }) => rung.decided,
    }),
    declined: t.string({
      nullable: true,
      description:
        "Who declined what was asked last about it, on what day, in which words; null once another is chosen or it is ordered.",
      resolve: ({ rung: { declinedId } }, _args, { store }) =>
        declinedId === null ? null : declinedWords(store, declinedId),
    }),
    huntedUntil: t.field({
      type: "Date",
      nullable: true,
      description: "Stop date of the hunt for it that is on; null without one.",
      resolve: ({ rung }) => rung.huntedUntil,
    }),
    quoteDoubts: t.stringList({
      description:
        'For people: what speaks against the quote that is counted on and not ordered yet, each as the rest of a sentence such as "is ruled out".',
      resolve: ({ rung }) => [...rung.quoteDoubts],
    }),
    consent: t.string({
      nullable: true,
      description:
        "For people: what is wanting of the owner's consent before it is ordered, asked and not answered or over the limit and not asked; null where nothing is.",
      resolve: async ({ restorationId, rung }, _args, context) => {
        const { rows, consentDue } = await context.money(restorationId);
        return consentWanting(rows, consentDue, rung);
      },
    }),
    completionDate: t.field({
      type: "Date",
      nullable: true,
      description:
        "When the machine would be finished if this alone, with the work on its hands, constrained it; null when open, and of a hand.",
      resolve: ({ rung }) => rung.completionDate,
    }),
    completionHours: t.float({ nullable: true, resolve: ({ rung }) => rung.completionHours }),
    heldTo: t.field({
      type: "Date",
      nullable: true,
      description:
        "When it would be finished with every hold-up above this cleared today; null when open, and off the ladder.",
      resolve: ({ rung }) => rung.heldTo,
    }),
    nextCompletionDate: t.field({
      type: "Date",
      description: "When it would be finished with this and every hold-up above it cleared today.",
      resolve: ({ rung }) => rung.nextCompletionDate,
    }),
    tie: t.int({
      description: "Rungs of one tie finish on the same date: clearing only some of them gains nothing.",
      resolve: ({ rung }) => rung.tie,
    }),
    tieSize: t.int({ resolve: ({ rung }) => rung.tieSize }),
    orderOn: t.field({
      type: "Date",
      nullable: true,
      description: "Day the order goes out, or went out.",
      resolve: ({ rung }) => rung.orderOn,
    }),
    arrivalDate: t.field({ type: "Date", nullable: true, resolve: ({ rung }) => rung.arrivalDate }),
    usableDate: t.field({ type: "Date", nullable: true, resolve: ({ rung }) => rung.usableDate }),
    needBy: t.field({
      type: "Date",
      nullable: true,
      description: "Latest arrival that leaves completion where it is.",
      resolve: ({ rung }) => rung.needBy,
    }),
    orderBy: t.field({
      type: "Date",
      nullable: true,
      description:
        "Last day to order. As promised: the end stays where it is. At a chance: the end that is held (orderDays) is kept where everything is ordered on such days together, none of them later than as promised; null for a hunt, and where no end is held.",
      resolve: ({ rung }) => rung.orderBy,
    }),
    chanceWeekLater: t.float({
      nullable: true,
      description:
        "Chance of the end that is held, where this alone is ordered a week after orderBy; null as promised.",
      resolve: ({ rung }) => rung.chanceWeekLater,
    }),
    daysLeft: t.int({
      nullable: true,
      description: "Calendar days from the day of the figures to orderBy; negative: the day has passed.",
      resolve: ({ rung }) => rung.daysLeft,
    }),
    needByTarget: t.field({
      type: "Date",
      nullable: true,
      description: "The same against the target date.",
      resolve: ({ rung }) => rung.needByTarget,
    }),
    orderByTarget: t.field({
      type: "Date",
      nullable: true,
      description: "Latest order that still makes the target date; at a chance null where that is not held.",
      resolve: ({ rung }) => rung.orderByTarget,
    }),
    floatDays: t.int({ nullable: true, resolve: ({ rung }) => rung.floatDays }),
    daysGained: t.int({
      description:
        "Calendar days by which the end, as quoted, would be sooner if this alone were cleared today; of a hand, if no work waited for it, the order of all others kept.",
      resolve: ({ rung }) => rung.daysGained,
    }),
    directOperations: t.int({ resolve: ({ plan, rung }) => plan.waiting(rung).directOperations }),
    waitingOperations: t.int({ resolve: ({ plan, rung }) => plan.waiting(rung).waitingOperations }),
    waitingHours: t.float({ resolve: ({ plan, rung }) => plan.waiting(rung).waitingHours }),
    chain: t.field({
      type: [ChainStep],
      description: "From arrival to the end of the machine: what is done in turn.",
      resolve: ({ plan, rung }) => plan.chain(rung),
    }),
  }),
});

const HoldUpConnection = connectionOf("HoldUp", HoldUp);

const Chase = builder.objectRef<LateOrder>("Chase").implement({
  fields: (t) => ({
    order: t.field({
      type: Order,
      resolve: (chase, _args, context, info) => context.row("order", chase.orderId, info),
    }),
    part: t.field({ type: Part, resolve: (chase, _args, context, info) => context.row("part", chase.partId, info) }),
    supplier: t.field({
      type: Supplier,
      resolve: async (chase, _args, context, info) =>
        context.row("supplier", (await context.placed(chase.orderId)).quote.supplierId, info),
    }),
    promisedOn: t.field({
      type: "Date",
      resolve: async (chase, _args, context) => (await context.placed(chase.orderId)).promisedOn,
    }),
    expectedOn: t.field({
      type: "Date",
      nullable: true,
      resolve: async (chase, _args, context) => (await context.placed(chase.orderId)).expectedOn,
    }),
    daysLate: t.exposeInt("daysLate"),
    holdsUp: t.exposeBoolean("holdsUp"),
  }),
});

const ChaseConnection = connectionOf("Chase", Chase);

const FreeToStart = builder.objectRef<Free>("FreeToStart").implement({
  fields: (t) => ({
    operation: t.field({
      type: Operation,
      resolve: (free, _args, context, info) => context.row("operation", free.operationId, info),
    }),
    hours: t.exposeFloat("hours"),
    critical: t.exposeBoolean("critical"),
    floatHours: t.exposeFloat("floatHours", { nullable: true }),
    hands: t.stringList({
      description: "Names of those who are to do it; empty where nobody is entered.",
      resolve: ({ hands }) => hands.map(({ name }) => name),
    }),
    from: t.expose("from", { type: "Date", description: "The day on which they begin it." }),
  }),
});

const FreeToStartConnection = connectionOf("FreeToStart", FreeToStart);

const HeldByMarkType = builder.objectRef<HeldByMark>("HeldByMark").implement({
  fields: (t) => ({
    operation: t.field({
      type: Operation,
      resolve: ({ operationId }, _args, context, info) => context.row("operation", operationId, info),
    }),
    title: t.exposeString("title"),
    notBefore: t.expose("notBefore", {
      type: "Date",
      nullable: true,
      description: "The day before which it is not to begin; null: it is to be done first.",
    }),
    completionWithout: t.expose("completionWithout", { type: "Date", description: "The end without that." }),
  }),
});

const HoursToDoType = builder.objectRef<HoursToDo>("HoursToDo").implement({
  fields: (t) => ({
    operations: t.exposeFloat("operations"),
    brought: t.exposeFloat("brought", {
      description: "What parts and remedies bring with them before they fit.",
    }),
  }),
});

const TradeHours = builder.objectRef<{ trade: string; operations: number; hours: number }>("TradeHours").implement({
  fields: (t) => ({
    trade: t.exposeString("trade"),
    operations: t.exposeInt("operations"),
    hours: t.exposeFloat("hours"),
  }),
});

const EndKeptType = builder.objectRef<EndKept>("EndKept").implement({
  description: "How an end is kept with the chance asked by ordering in time, judged by runs of the plan.",
  fields: (t) => ({
    end: t.expose("end", { type: "Date" }),
    chanceAtOnce: t.exposeFloat("chanceAtOnce", {
      description: "Chance that it is kept where everything is ordered as soon as can be.",
    }),
    held: t.exposeBoolean("held", { description: "Whether that is the chance asked or more." }),
    heldEnd: t.expose("heldEnd", {
      type: "Date",
      nullable: true,
      description:
        "The end that the order-by dates keep: this one where it is held, else the first that is; null: none.",
    }),
    chance: t.exposeFloat("chance", {
      nullable: true,
      description:
        "With which the order-by dates together keep it: at an end that is only just held a point is given up.",
    }),
  }),
});

const OrderDaysType = builder.objectRef<OrderDays>("OrderDays").implement({
  fields: (t) => ({
    own: t.expose("own", { type: EndKeptType, description: "Of the plan's own end, as quoted." }),
    target: t.expose("target", {
      type: EndKeptType,
      nullable: true,
      description: "Of the target date; null without one.",
    }),
  }),
});

const HandWorkType = builder.objectRef<HandWork>("HandWork").implement({
  fields: (t) => ({
    title: t.exposeString("title"),
    operation: t.field({
      type: Operation,
      nullable: true,
      description: "Null for what an arrival brings to do before it fits.",
      resolve: ({ node }, _args, context, info) =>
        node.startsWith("operation:") ? context.row("operation", node.slice("operation:".length), info) : null,
    }),
    hours: t.exposeFloat("hours"),
    restoration: t.field({
      type: Restoration,
      description: "The machine that it is of: a hand's week is spoken for by all machines of the shop together.",
      resolve: ({ machine }, _args, context, info) => context.row("restoration", machine.id, info),
    }),
  }),
});

const HandTaskType = builder.objectRef<HandTask>("HandTask").implement({
  description: "A piece of what a hand does, from the day of the figures on.",
  fields: (t) => ({
    work: t.field({ type: HandWorkType, resolve: (task) => task }),
    startDate: t.expose("startDate", { type: "Date" }),
    finishDate: t.expose("finishDate", { type: "Date" }),
  }),
});

export const HandTaskConnection = connectionOf("HandTask", HandTaskType);

const DaysAwayType = builder.objectRef<HandWeek["away"][number]>("DaysAway").implement({
  fields: (t) => ({ from: t.expose("from", { type: "Date" }), to: t.expose("to", { type: "Date" }) }),
});

const HandWeekType = builder.objectRef<HandWeek>("HandWeek").implement({
  fields: (t) => ({
    from: t.expose("from", { type: "Date", description: "Its Monday." }),
    open: t.exposeFloat("open", {
      description:
        "Hours that they work in it, all of the line together; of the first week from the day of the figures on.",
    }),
    booked: t.exposeFloat("booked", {
      description: "Hours of them that the schedule has work for, of whatever machine of the shop.",
    }),
    work: t.field({ type: [HandWorkType], resolve: ({ work }) => [...work] }),
    away: t.field({
      type: [DaysAwayType],
      description: "Days of it that they are away, from the day of the figures on.",
      resolve: ({ away }) => [...away],
    }),
  }),
});

const HandLoadType = builder.objectRef<HandLoad>("HandLoad").implement({
  description: "What a hand, or a line of several, has to do week by week, against the hours that they have.",
  fields: (t) => ({
    name: t.string({ resolve: ({ hand }) => hand.name }),
    trades: t.stringList({ resolve: ({ hand }) => [...hand.trades] }),
    people: t.int({ resolve: ({ hand }) => hand.people }),
    daysGained: t.exposeInt("daysGained", {
      description:
        "Calendar days by which the end, as quoted, would be sooner if no work waited for them, the order of all others kept.",
    }),
    weeks: t.field({
      type: [HandWeekType],
      description: "To the last in which there is work, 520 at most; first: so many of them.",
      args: { first: t.arg.int() },
      resolve: ({ weeks }, { first }) => weeks.slice(0, first == null ? undefined : Math.max(0, first)),
    }),
  }),
});

export const HandLoadConnection = connectionOf("HandLoad", HandLoadType);

const LaterOrdersType = builder.objectRef<LaterOrders & { restorationId: string }>("LaterOrders").implement({
  description: "What is to be ordered after the next fortnight, together.",
  fields: (t) => ({
    count: t.int({ resolve: ({ holdUps }) => holdUps.length }),
    firstOn: t.field({
      type: "Date",
      nullable: true,
      description: "The first day to order by; null where none has one.",
      resolve: ({ holdUps }) => holdUps.find(({ orderBy }) => orderBy !== null)?.orderBy ?? null,
    }),
    lastOn: t.field({
      type: "Date",
      nullable: true,
      resolve: ({ holdUps }) => holdUps.findLast(({ orderBy }) => orderBy !== null)?.orderBy ?? null,
    }),
    chosen: t.int({
      description: "Those of them that are decided on.",
      resolve: ({ decided }) => decided.length,
    }),
    cost: t.field({
      type: Money,
      nullable: true,
      description: "What those that are decided on come to, landed; null where a rate is missing.",
      resolve: async ({ restorationId, decided }, _args, context) => {
        const { rows } = await context.money(restorationId);
        const minor = costOfOrders(decided, rows);
        return minor === null ? null : { minor, currency: rows.restoration.currency };
      },
    }),
  }),
});

const HoldUps = builder.objectRef<{ plan: Plan; restorationId: string }>("HoldUps").implement({
  fields: (t) => ({
    restoration: t.field({
      type: Restoration,
      resolve: ({ restorationId }, _args, context, info) => context.row("restoration", restorationId, info),
    }),
    figuresFor: t.field({ type: "Date", resolve: ({ plan }) => plan.figuresFor }),
    confidence: t.float({ nullable: true, resolve: ({ plan }) => plan.confidence }),
    orderDays: t.field({
      type: OrderDaysType,
      nullable: true,
      description: "What the order-by dates keep, and with what chance; null as promised.",
      resolve: ({ plan }) => plan.orderDays,
    }),
    completion: t.field({ type: Completion, resolve: ({ plan }) => plan.completion }),
    hands: t.field({
      type: PlanHandsType,
      nullable: true,
      description:
        "Null where no hands are entered, or all work is done: every date is then with hands enough at all times.",
      resolve: ({ plan, restorationId }) => plan.hands && { ...plan.hands, restorationId },
    }),
    heldByMarks: t.field({
      type: [HeldByMarkType],
      description:
        "Operations of which it is said that they begin no earlier than a day, or are done first, where all would be finished sooner without that.",
      resolve: ({ plan }) => [...plan.heldByMarks()],
    }),
    hoursToDo: t.field({
      type: HoursToDoType,
      description: "Shop hours still to do, by the same sum as the hands' weeks and the owner's money.",
      resolve: ({ plan }) => plan.hoursToDo,
    }),
    otherWork: t.field({
      type: OtherWorkType,
      nullable: true,
      description: "Null: other work of the hands holds nothing up.",
      resolve: ({ plan }) => plan.otherWork(),
    }),
    handLoad: t.field({
      type: HandLoadConnection,
      args: forwards,
      description: "In order of name; none where no hands are entered, or all work is done.",
      resolve: ({ plan }, args) => pageOf(args, plan.handLoad()),
    }),
    ladder: t.field({
      type: HoldUpConnection,
      description:
        "Those without a source stand before all others; then what gains most, where all above it are cleared, hands for whom work waits among them.",
      args: forwards,
      resolve: (of, args) => pageOf(args, rungs(of, of.plan.ladder)),
    }),
    toOrder: t.field({
      type: HoldUpConnection,
      description:
        "What has a source and is not ordered, or a remedy and is not carried out, the most urgent first; also where another is first to be chosen than the owner declined.",
      args: forwards,
      resolve: (of, args) => pageOf(args, rungs(of, of.plan.toOrder)),
    }),
    laterOrders: t.field({
      type: LaterOrdersType,
      resolve: ({ plan, restorationId }) => ({ restorationId, ...laterOrders(plan.toOrder) }),
    }),
    chase: t.field({ type: ChaseConnection, args: forwards, resolve: ({ plan }, args) => pageOf(args, plan.chase) }),
    freeToStart: t.field({
      type: FreeToStartConnection,
      args: { ...forwards, trade: t.arg.string() },
      resolve: ({ plan }, { trade, ...args }) =>
        pageOf(args, trade == null ? plan.freeToStart : plan.freeToStart.filter((free) => free.trade === trade)),
    }),
    freeToStartByTrade: t.field({ type: [TradeHours], resolve: ({ plan }) => workByTrade(plan.freeToStart) }),
    schedule: t.field({
      type: ScheduledOperationConnection,
      args: forwards,
      resolve: ({ plan }, args) => {
        const places = [...plan.operations.values()];
        return pageOf(
          args,
          places.map((place) => ({ plan, place })),
        );
      },
    }),
  }),
});

const rungs = (of: { plan: Plan; restorationId: string }, holdUps: readonly Rung[]) =>
  holdUps.map((rung) => ({ ...of, rung }));

builder.queryField("holdUps", (t) =>
  t.field({
    type: HoldUps,
    description:
      "What holds up completion. figuresFor: the day the figures are for (default: the restoration's, else today). confidence: 0 to 1 exclusive, the chance with which order-by dates hold (absent: the restoration's own; null: as promised).",
    args: {
      restoration: t.arg.id({ required: true }),
      figuresFor: t.arg({ type: "Date" }),
      confidence: t.arg.float(),
    },
    complexity: costing(WORK.plan),
    resolve: async (_root, { restoration, figuresFor, confidence }, context) => {
      const restorationId = await restorationFor(context.viewer, context.store, restoration);
      const ask = { figuresFor: existingDate("figuresFor", figuresFor), confidence: odds(confidence) };
      return { restorationId, plan: await context.plan(restorationId, ask) };
    },
  }),
);

/** Throws where a confidence is not a chance. */
function odds(confidence: number | null | undefined): number | null | undefined {
  if (confidence == null) return confidence;
  if (confidence <= 0 || confidence >= 1)
    throw wrongArgument("confidence", `must be more than 0 and less than 1 (it is ${confidence}).`);
  return confidence;
}
