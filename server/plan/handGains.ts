/**
 * What more hands would gain, and what the marks on the order of work cost: the plan made again with one thing changed, by
 * the functions that made the plan.
 */
import { daysBetween } from "../engine/date.ts";
import { inMoney, type Worth } from "../engine/worth.ts";
import type { Store } from "../store/client.ts";
import { Refused } from "../store/fault.ts";
import { computePlan } from "./compute.ts";
import { dayFor } from "./day.ts";
import { Declined } from "./declined.ts";
import { exposureOf } from "./exposure.ts";
import { moneyOf } from "./exposureKept.ts";
import type { ExposureRows } from "./exposureLoad.ts";
import type { HandLoad } from "./handLoad.ts";
import { endWithout, type Mark, marksOf } from "./heldByMarks.ts";
import { totalHours } from "./hours.ts";
import { KeptByRevision } from "./kept.ts";
import { costOfOption } from "./optionCost.ts";
import type { Completion } from "./plan.ts";
import { type HandRow, machinesOf, type OperationRow, type OperationWayRow, type PlanRows } from "./rows.ts";
import { chosenWays } from "./work.ts";

export const HAND_GAIN_KINDS = ["ONE_MORE", "HOUR_MORE", "SATURDAYS", "SENT_OUT"] as const;

/** One thing that could be changed, and what it gains. */
export interface HandGain {
  kind: (typeof HAND_GAIN_KINDS)[number];
  /** Whose hands: those of these trades are the same people. Of work that is sent out, its own trade. */
  trades: readonly string[];
  operationId: string | null;
  wayId: string | null;
  /** The end as quoted, what is open taken as cleared. */
  completionDate: string;
  /** Calendar days by which the end comes earlier; null where the trade has nobody, and its work no date, until then. */
  daysGained: number | null;
  /** By which the money as planned comes to less, each day past the target at what the owner puts on it; minor units. */
  moneyGainedMinor: number;
  /** Of one more hand: what it would work, on all machines, and that at the trade's rate; null of all else. */
  theirs: { hours: number; wagesMinor: number | null } | null;
}

/** "Do this first", or "not before", on an operation that is to do. */
export interface OrderMark {
  kind: Mark["kind"];
  operationId: string;
  /** The end as quoted without it. */
  completionDate: string;
  /** Calendar days by which the end comes later for it; less than 0: earlier. */
  daysCost: number;
}

export interface HandGains {
  /** Those that gain something, best first. */
  gains: readonly HandGain[];
  /** In the order of the operations. */
  marks: readonly OrderMark[];
}

type Changed = Pick<HandGain, "kind" | "trades" | "operationId" | "wayId"> & { plan: PlanRows };

const NONE: HandGains = { gains: [], marks: [] };
const SATURDAY = 5;

/** Operations of the shop past which each plan holds others up for longer than a request may. */
const MOST_OPERATIONS = 4_000;

const kept = new KeptByRevision<Promise<HandGains>>();

/** Of a restoration as it stands on its day. Throws NotFound, and PlanFault where the rows make no plan. */
export async function handGainsOf(store: Store, restorationId: string): Promise<HandGains> {
  const day = await dayFor(store, restorationId);
  const { value } = await kept.of(store, restorationId, day, (drop) => {
    const made = moneyOf(store, restorationId).then(({ rows }) => handGains(rows));
    made.catch(drop);
    return made;
  });
  return value;
}

/** The same of its rows. Others are heard between two plans. */
export async function handGains(rows: ExposureRows): Promise<HandGains> {
  const { plan, figuresFor } = rows;
  if (plan.hands.length === 0 || plan.operations.every(({ state }) => state === "DONE")) return NONE;
  const most = machinesOf(plan).reduce((sum, { operations }) => sum + operations.length, 0);
  if (most > MOST_OPERATIONS)
    throw new Refused(
      "NOT_ALLOWED",
      "What more hands would gain is not worked out for so many operations: each line is a plan of its own.",
    );
  const ended = async (changed: PlanRows) => {
    await new Promise(setImmediate);
    const made = computePlan(changed, { figuresFor, confidence: null });
    return { completion: made.completion, nobodyFor: made.hands?.nobodyFor ?? [], load: () => made.handLoad() };
  };
  const now = await ended(plan);
  const end = now.completion.dateWithOpenInHand;
  const cost = costOf(rows, now.completion);
  const gains: HandGain[] = [];
  for (const { plan: changed, ...change } of changes(plan)) {
    const then = await ended(changed);
    const fills = now.nobodyFor.some(
      ({ trade }) => change.trades.includes(trade) && then.nobodyFor.every((other) => other.trade !== trade),
    );
    const { dateWithOpenInHand: completionDate } = then.completion;
    const gained = daysBetween(completionDate, end);
    if (!fills && gained <= 0 && change.kind !== "SENT_OUT") continue;
    const moneyGainedMinor = cost - costOf({ ...rows, plan: changed }, then.completion);
    if (!fills && gained <= 0 && moneyGainedMinor <= 0) continue;
    const theirs = change.kind === "ONE_MORE" ? worked(rows, change.trades[0]!, then.load()) : null;
    gains.push({ ...change, completionDate, daysGained: fills ? null : gained, moneyGainedMinor, theirs });
  }
  const marks: OrderMark[] = [];
  for (const mark of marksOf(plan)) {
    await new Promise(setImmediate);
    const completionDate = endWithout(mark, plan, figuresFor);
    const { kind, operation } = mark;
    marks.push({ kind, operationId: operation.id, completionDate, daysCost: daysBetween(completionDate, end) });
  }
  return { gains: gains.sort(best), marks };
}

/** What gives its work a date at all comes first, then the most days, then the most money. */
const best = (a: HandGain, b: HandGain): number =>
  Number(b.daysGained === null) - Number(a.daysGained === null) ||
  (b.daysGained ?? 0) - (a.daysGained ?? 0) ||
  b.moneyGainedMinor - a.moneyGainedMinor;

/** Money as planned, with each day past the target, in minor units. */
function costOf(rows: ExposureRows, { dateWithOpenInHand, targetDate }: Completion): number {
  const { pricePerDayMinor, pricePerPointMinor } = rows.restoration;
  const day = (date: string): number => daysBetween(rows.figuresFor, date);
  const worth: Worth = {
    perDay: pricePerDayMinor ?? 0,
    perPoint: pricePerPointMinor ?? 0,
    from: targetDate === null ? 0 : day(targetDate),
  };
  return inMoney(worth, { end: day(dateWithOpenInHand), cost: exposureOf(rows).total.planned, points: 0 }) / 100;
}

function changes(plan: PlanRows): Changed[] {
  const trades = [...new Set(plan.operations.flatMap(tradesOf))].sort();
  const hands = { operationId: null, wayId: null };
  return [
    ...trades.map(
      (trade): Changed => ({
        kind: "ONE_MORE",
        trades: [trade],
        ...hands,
        plan: { ...plan, hands: [...plan.hands, oneMore(plan, trade)] },
      }),
    ),
    ...peopleOf(plan, trades).flatMap(({ trades: own, ids }): Changed[] => [
      { kind: "HOUR_MORE", trades: own, ...hands, plan: working(plan, ids, hourMore) },
      ...(plan.hands.some((hand) => ids.has(hand.id) && hand.weekdayHours[SATURDAY] === 0)
        ? [{ kind: "SATURDAYS" as const, trades: own, ...hands, plan: working(plan, ids, saturdays) }]
        : []),
    ]),
    ...sentOut(plan),
  ];
}

/** Trades that an operation still takes hands of. */
const tradesOf = ({ state, handsNeeded }: OperationRow): string[] =>
  state === "DONE" ? [] : handsNeeded.flatMap(({ trade }) => (trade === "" ? [] : [trade]));

const oneMoreId = (trade: string): string => `one more ${trade}`;

/** What the one more would work, and what that is charged at. */
function worked(rows: ExposureRows, trade: string, loads: readonly HandLoad[]): HandGain["theirs"] {
  const own = loads.find(({ hand }) => hand.id === oneMoreId(trade));
  const hours = own === undefined ? 0 : totalHours(own.weeks.map(({ booked }) => ({ hours: booked })));
  const { rateMinor, labourMinor } = costOfOption(rows, 0, hours, [{ trade, hands: 1 }]);
  return { hours, wagesMinor: rateMinor === null ? null : labourMinor };
}

/** Somebody else, for one trade, by the shop's hours. */
const oneMore = ({ weekdayHours }: PlanRows, trade: string): HandRow => ({
  id: oneMoreId(trade),
  name: "",
  people: 1,
  trades: [trade],
  weekdayHours,
  absences: [],
  joinsOn: null,
  leavesOn: null,
});

/** Trades whose work the same people do, with those people. */
function peopleOf({ hands }: PlanRows, trades: readonly string[]): { trades: string[]; ids: ReadonlySet<string> }[] {
  const byPeople = new Map<string, { trades: string[]; ids: ReadonlySet<string> }>();
  for (const trade of trades) {
    const ids = hands.filter((hand) => hand.trades.includes(trade)).map(({ id }) => id);
    if (ids.length === 0) continue;
    const key = ids.join(" ");
    const known = byPeople.get(key);
    if (known === undefined) byPeople.set(key, { trades: [trade], ids: new Set(ids) });
    else known.trades.push(trade);
  }
  return [...byPeople.values()];
}

const working = (plan: PlanRows, ids: ReadonlySet<string>, week: (hours: readonly number[]) => number[]): PlanRows => ({
  ...plan,
  hands: plan.hands.map((hand) => (ids.has(hand.id) ? { ...hand, weekdayHours: week(hand.weekdayHours) } : hand)),
});

/** An hour more on each day of work. */
const hourMore = (week: readonly number[]): number[] => week.map((hours) => (hours > 0 ? Math.min(24, hours + 1) : 0));

/** Saturdays as long as their longest day, where they do not work then. */
const saturdays = (week: readonly number[]): number[] =>
  week.map((hours, day) => (day === SATURDAY && hours === 0 ? Math.max(...week) : hours));

/** Each way by which work that has not begun goes out of the shop, and is not chosen. */
function sentOut(plan: PlanRows): Changed[] {
  const chosen = chosenWays(plan);
  const declined = new Declined(plan);
  const operations = new Map(plan.operations.map((operation) => [operation.id, operation]));
  const goesOut = ({ id, operationId, days }: OperationWayRow): boolean =>
    days > 0 &&
    operations.get(operationId)?.state === "NOT_STARTED" &&
    chosen.get(operationId)?.id !== id &&
    !declined.has(id);
  return plan.ways.filter(goesOut).map(({ id, operationId }) => ({
    kind: "SENT_OUT",
    trades: [operations.get(operationId)!.trade].filter((trade) => trade !== ""),
    operationId,
    wayId: id,
    plan: { ...plan, operations: changed(plan, operationId, { chosenWayId: id }) },
  }));
}

const changed = (plan: PlanRows, id: string, change: Partial<OperationRow>): OperationRow[] =>
  plan.operations.map((operation) => (operation.id === id ? { ...operation, ...change } : operation));
