/** The plans by which it is told what more hands would gain: each made again with one thing changed, by the functions that made the plan. */
import { computePlan } from "../compute.ts";
import { chosenWays } from "../network/work.ts";
import { Declined } from "../parts/declined.ts";
import type { Completion } from "../plan.ts";
import type { HandRow, OperationRow, OperationWayRow, PlanRows } from "../rows/rows.ts";
import type { HandLoad } from "./handLoad.ts";
import { totalHours } from "./hours.ts";

export const HAND_GAIN_KINDS = ["ONE_MORE", "HOUR_MORE", "SATURDAYS", "SENT_OUT"] as const;

/** One thing that could be changed. */
export interface HandChange {
  kind: (typeof HAND_GAIN_KINDS)[number];
  /** Whose hands: those of these trades are the same people. Of work that is sent out, its own trade. */
  trades: readonly string[];
  operationId: string | null;
  wayId: string | null;
}

interface Changed extends HandChange {
  plan: PlanRows;
}

const SATURDAY = 5;

/** The end of a plan that was made. */
export interface EndFound extends Pick<Completion, "dateWithOpenInHand" | "targetDate"> {
  nobodyFor: string[];
  /** Hours of the one more, where there is one. */
  theirs: number;
}

/** The end by the plan as it is then; with what is changed of it, where something is. Pure. */
export function endOf(plan: PlanRows, figuresFor: string, change?: HandChange): EndFound {
  const made = computePlan(plan, { figuresFor, confidence: null });
  const { dateWithOpenInHand, targetDate } = made.completion;
  return {
    dateWithOpenInHand,
    targetDate,
    nobodyFor: (made.hands?.nobodyFor ?? []).map(({ trade }) => trade),
    theirs: change?.kind === "ONE_MORE" ? hoursOf(oneMoreId(change.trades[0]!), made.handLoad()) : 0,
  };
}

/** What could be changed, with the rows as they then are. */
export function changes(plan: PlanRows): Changed[] {
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

function hoursOf(hand: string, loads: readonly HandLoad[]): number {
  const own = loads.find((load) => load.hand.id === hand);
  return own === undefined ? 0 : totalHours(own.weeks.map(({ booked }) => ({ hours: booked })));
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
