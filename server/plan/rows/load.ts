/** A restoration's rows for a plan, in a few wide queries that read only what a plan uses. */
import type { Hand, Operation, ShopCalendar } from "../../generated/prisma/client.ts";
import type { Store, Tx } from "../../store/client.ts";
import { BY_CODE } from "../../store/codes.ts";
import { NotFound } from "../../store/fault.ts";
import { WITH_WORK } from "../../store/rank.ts";
import { textsOf } from "../../store/texts.ts";
import { deliveryOf } from "../makers/makerWait.ts";
import type { HandRow, OperationRow, PlanRows } from "./rows.ts";

/** Monday to Friday, eight hours: a shop whose calendar has not been written yet. */
export const USUAL_WEEK = [8, 8, 8, 8, 8, 0, 0];

/** Hours of Monday to Sunday, of a shop or a hand. */
export const weekdayHours = (
  calendar: Pick<ShopCalendar, "monday" | "tuesday" | "wednesday" | "thursday" | "friday" | "saturday" | "sunday">,
): number[] => [
  calendar.monday,
  calendar.tuesday,
  calendar.wednesday,
  calendar.thursday,
  calendar.friday,
  calendar.saturday,
  calendar.sunday,
];

/** A hand as it is stored, as a plan takes it. */
export const handRow = (
  {
    id,
    name,
    accountId,
    people,
    trades,
    joinsOn,
    leavesOn,
    ...week
  }: Omit<Hand, "workshopId" | "accountId" | "askSame" | "revision"> & Partial<Pick<Hand, "accountId">>,
  absences: HandRow["absences"],
): HandRow => ({
  id,
  name,
  ...(accountId !== undefined && { accountId }),
  people,
  trades: textsOf(trades),
  weekdayHours: weekdayHours(week),
  absences,
  joinsOn,
  leavesOn,
});

/** An operation as it is stored, as a plan takes it. */
export function operationRow<O extends Pick<Operation, "trade" | "hands" | "alsoTrades">>(
  operation: O,
): O & Pick<OperationRow, "handsNeeded"> {
  const needed = new Map([[operation.trade, operation.hands]]);
  for (const trade of textsOf(operation.alsoTrades)) needed.set(trade, (needed.get(trade) ?? 0) + 1);
  return { ...operation, handsNeeded: [...needed].map(([trade, hands]) => ({ trade, hands })) };
}

/** The rows of a plan with those of all machines that its hands have work on. Throws {@link NotFound}. */
export async function loadRows(store: Store | Tx, restorationId: string): Promise<PlanRows> {
  const own = await loadMachine(store, restorationId);
  const all = (await machinesWithWork(store, own)).map(({ id }) =>
    id === restorationId ? own : loadMachine(store, id),
  );
  return withMachines(own, await Promise.all(all));
}

/** The restorations of its workshop that have work left for the same hands; none where no hands are entered. */
export const machinesWithWork = async (
  store: Store | Tx,
  { restoration, hands }: PlanRows,
): Promise<{ id: string; planRevision: number }[]> =>
  hands.length === 0
    ? []
    : store.restoration.findMany({
        where: {
          workshop: { restorations: { some: { id: restoration.id } } },
          ...WITH_WORK,
        },
        select: { id: true, planRevision: true },
      });

/** One list for the same machines, whichever of them is asked for. */
const shops = new WeakMap<PlanRows, PlanRows[]>();

/** Rows with those of all machines that have work left, this one's among them if it has: by rank, then by name. */
export function withMachines(own: PlanRows, machines: readonly PlanRows[]): PlanRows {
  if (machines.length < 2 || !machines.includes(own)) return own;
  const byRank = machines.toSorted(
    ({ restoration: a }, { restoration: b }) =>
      a.rank - b.rank || (a.machine < b.machine ? -1 : a.machine > b.machine ? 1 : 0) || (a.id < b.id ? -1 : 1),
  );
  const known = shops.get(byRank[0]!);
  if (known?.length === byRank.length && known.every((one, i) => one === byRank[i])) return { ...own, machines: known };
  shops.set(byRank[0]!, byRank);
  return { ...own, machines: byRank };
}

/** The rows of one machine alone. Throws {@link NotFound}. */
export async function loadMachine(store: Store | Tx, restorationId: string): Promise<PlanRows> {
  const where = { restorationId };
  const [
    restoration,
    hands,
    operations,
    ways,
    links,
    needs,
    parts,
    ruledOut,
    hunts,
    huntEvents,
    quotes,
    knockOns,
    orders,
    snags,
    remedies,
    decisions,
    elsewhere,
    hoursBooked,
    finishedElsewhere,
  ] = await Promise.all([
    store.restoration.findUnique({
      where: { id: restorationId },
      select: {
        id: true,
        machine: true,
        targetDate: true,
        targetName: true,
        confidence: true,
        rank: true,
        workshop: {
          select: {
            shopSpread: true,
            tradeSpread: true,
            calendar: true,
            closedDates: { select: { date: true }, orderBy: { date: "asc" } },
          },
        },
      },
    }),
    store.hand.findMany({
      where: { workshop: { restorations: { some: { id: restorationId } } } },
      orderBy: [{ name: "asc" }, { id: "asc" }],
      include: { absences: { orderBy: [{ fromDate: "asc" }, { toDate: "asc" }] } },
    }),
    store.operation.findMany({
      where,
      orderBy: BY_CODE,
      select: {
        id: true,
        code: true,
        title: true,
        trade: true,
        hoursLeast: true,
        hoursLikely: true,
        hoursMost: true,
        state: true,
        startedOn: true,
        finishedOn: true,
        remainingHours: true,
        chosenWayId: true,
        hands: true,
        alsoTrades: true,
        first: true,
        mayBePutDown: true,
        place: true,
        notBefore: true,
      },
    }),
    store.operationWay.findMany({
      where,
      orderBy: BY_CODE,
      select: { id: true, code: true, title: true, operationId: true, hours: true, days: true },
    }),
    store.link.findMany({ where, select: { id: true, beforeId: true, afterId: true, lag: true, lagUnit: true } }),
    store.need.findMany({ where, select: { id: true, operationId: true, partId: true } }),
    store.part.findMany({
      where,
      orderBy: BY_CODE,
      select: { id: true, code: true, name: true, stateOnHand: true, chosenQuoteId: true, fallbackQuoteId: true },
    }),
    store.ruledOut.findMany({ where: { part: where }, select: { id: true, partId: true, provenance: true } }),
    store.hunt.findMany({
      where,
      select: {
        id: true,
        partId: true,
        state: true,
        begunOn: true,
        chancePerWeek: true,
        beliefWeeks: true,
        stopDate: true,
        leadDays: true,
        preparationHours: true,
        provenance: true,
        priceMinor: true,
        currency: true,
      },
    }),
    store.huntEvent.findMany({ where: { hunt: where }, select: { id: true, huntId: true, date: true, chance: true } }),
    store.quote.findMany({
      where,
      select: {
        id: true,
        code: true,
        partId: true,
        supplierId: true,
        provenance: true,
        ruledOut: true,
        unitPriceMinor: true,
        currency: true,
        leadDays: true,
        leadLeast: true,
        leadLikely: true,
        leadMost: true,
        failureChance: true,
        orderFrom: true,
        validUntil: true,
        preparationHours: true,
      },
    }),
    store.knockOn.findMany({ where: { quote: where }, select: { id: true, quoteId: true, hours: true } }),
    store.order.findMany({
      where,
      select: {
        id: true,
        partId: true,
        quoteId: true,
        state: true,
        placedOn: true,
        promisedOn: true,
        expectedOn: true,
        arrivedOn: true,
      },
    }),
    store.snag.findMany({
      where,
      orderBy: BY_CODE,
      select: { id: true, code: true, title: true, operationId: true, clearedOn: true, chosenRemedyId: true },
    }),
    store.remedy.findMany({
      where,
      select: { id: true, code: true, snagId: true, priceMinor: true, currency: true, days: true, hours: true },
    }),
    store.decision.findMany({
      where,
      select: { id: true, quoteId: true, remedyId: true, wayId: true, state: true, askedOn: true },
    }),
    store.order.findMany({
      where: {
        restoration: { id: { not: restorationId }, workshop: { restorations: { some: { id: restorationId } } } },
      },
      orderBy: { id: "asc" },
      select: {
        placedOn: true,
        promisedOn: true,
        arrivedOn: true,
        quote: { select: { supplierId: true } },
      },
    }),
    store.hoursBooked.findMany({
      where,
      orderBy: { id: "asc" },
      select: { id: true, operationId: true, accountId: true, workedOn: true, hours: true },
    }),
    store.operation.findMany({
      where: {
        restoration: { id: { not: restorationId }, workshop: { restorations: { some: { id: restorationId } } } },
        state: "DONE",
        hoursBooked: { some: {} },
      },
      orderBy: { id: "asc" },
      select: {
        id: true,
        trade: true,
        hoursLeast: true,
        hoursLikely: true,
        hoursMost: true,
        finishedOn: true,
        hands: true,
        alsoTrades: true,
        chosenWay: { select: { hours: true } },
        hoursBooked: { select: { workedOn: true, hours: true } },
      },
    }),
  ]);
  if (restoration === null) throw new NotFound("restoration");
  const {
    workshop: { calendar, closedDates, ...spreads },
    ...own
  } = restoration;
  return {
    restoration: own,
    weekdayHours: calendar === null ? USUAL_WEEK : weekdayHours(calendar),
    closedDates: closedDates.map((c) => c.date),
    hands: hands.map(({ absences, ...hand }) =>
      handRow(
        hand,
        absences.map(({ fromDate: from, toDate: to }) => ({ from, to })),
      ),
    ),
    machines: [],
    operations: operations.map(operationRow),
    ways,
    links,
    needs,
    parts,
    ruledOut,
    hunts,
    huntEvents,
    quotes,
    knockOns,
    orders,
    snags,
    remedies,
    decisions,
    hoursBooked,
    finishedElsewhere: finishedElsewhere.map(({ hands, alsoTrades, chosenWay, hoursBooked: booked, ...operation }) => ({
      ...operation,
      wayHours: chosenWay?.hours ?? null,
      hands: hands + textsOf(alsoTrades).length,
      booked,
    })),
    spreads,
    deliveriesElsewhere: elsewhere
      .filter(({ arrivedOn }) => arrivedOn !== null)
      .map(({ quote, ...order }) => ({ supplierId: quote.supplierId, ...deliveryOf(order) })),
    ordersOutElsewhere: elsewhere
      .filter(({ arrivedOn }) => arrivedOn === null)
      .map(({ quote, placedOn, promisedOn }) => ({ supplierId: quote.supplierId, placedOn, promisedOn })),
  };
}
