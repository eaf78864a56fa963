/** A restoration's plan: the engine's figures on the restoration's rows. Rows are named by id. */

import type { LagUnit } from "../generated/prisma/enums.ts";
import type { HandLoad, HandTask } from "./hands/handLoad.ts";
import type { TradeWithoutHands } from "./hands/orderOfWork.ts";
import type { HeldByMark } from "./network/heldByMarks.ts";
import type { SupplyState } from "./parts/acquisition.ts";
import type { HandRow } from "./rows/rows.ts";

export interface Plan {
  figuresFor: string;
  /** Chance with which order-by dates hold together; null: as promised. */
  confidence: number | null;
  /** How the plan's own end and the target are kept by ordering on the order-by dates; null as promised. */
  orderDays: OrderDays | null;
  completion: Completion;
  /** Open ones first, then what gains most where all above it are cleared: parts and snags, and hands for whom work waits. */
  readonly ladder: readonly HoldUp[];
  /** Sourced but not ordered (parts), or not yet carried out (snags), the most urgent first; where the owner declined what was asked last, another is first to be chosen. */
  toOrder: readonly HoldUp[];
  /** What the owner declined and for which nothing else is chosen, those first for which nothing is left, then the most urgent. */
  declined: readonly HoldUp[];
  readonly chase: readonly Chase[];
  freeToStart: readonly FreeToStart[];
  /** By operation id, in the rows' order. */
  operations: ReadonlyMap<string, ScheduledOperation>;
  /** By part id, in the rows' order. */
  readonly parts: ReadonlyMap<string, PartOutlook>;
  /** By part id: the quote ordered, chosen or standing in, or the one by which the part came. */
  quoteInForce: ReadonlyMap<string, string>;
  /** Of these, what is still to be ordered and is not ruled out. */
  quoteToOrder: ReadonlyMap<string, string>;
  /** By snag id: the remedy chosen or standing in. */
  remedyInForce: ReadonlyMap<string, string>;
  /** By operation id: the way chosen for it, unless it was declined before it was begun. */
  wayInForce: ReadonlyMap<string, string>;
  /** The hands that all dates rest on; null where none are entered, or all is done: every date is then with hands enough at all times. */
  readonly hands: PlanHands | null;
  readonly hoursToDo: HoursToDo;
  /** What is said of an operation and holds the end: not to begin before a day, or to be done first. */
  heldByMarks(): readonly HeldByMark[];
  /** Null where other work of the hands holds nothing up. */
  otherWork(): OtherWork | null;
  /** What each hand has to do, week by week; empty where {@link hands} is null. */
  handLoad(): readonly HandLoad[];
  /** What a hand does on all machines, in the order in which they do it; nothing where no hands are entered. */
  tasksOf(hand: string): readonly HandTask[];
  /** From the hold-up's arrival to the end of the machine. */
  chain(holdUp: HoldUp): ChainStep[];
  /**
   * Latest dates on which a part may arrive that then takes so many shop hours before it fits: to leave completion where
   * it is, and to meet the target date (null without one). Null for a part that is not outstanding.
   */
  latestArrivals(partId: string, preparationHours: number): { needBy: string; target: string | null } | null;
  /** Operations and hours that wait for it. */
  waiting(holdUp: HoldUp): Waiting;
  /** When the machine would be finished if one outstanding part or snag, here on this date, and the work alone constrained it; null for what is not outstanding. */
  completionWith(holdUpId: string, arrivesOn: string): string | null;
  /** Open parts and snags that this operation waits for, directly or through others. */
  waitsForOpen(operationId: string): Pick<HoldUp, "kind" | "title">[];
}

/** Shop hours still to do. */
export interface HoursToDo {
  operations: number;
  /** What parts and remedies bring with them before they fit. */
  brought: number;
}

/** The hands on which the dates of a plan rest. */
export interface PlanHands {
  /** The end with hands enough at all times, for comparison: with what has no source taken as in hand. */
  handsEnough: string;
  /** No order of work ends before it on these hands. */
  notBefore: string;
  hoursNotBefore: number;
  /** With how many there are who can do the trade: more than none are too few, or never work at the same time as those of another. */
  nobodyFor: readonly (TradeWithoutHands & { people: number })[];
}

/** Other machines' work of the same hands, without which the end would be days sooner: the last day of it that work here waits for. */
export interface OtherWork {
  until: string;
  days: number;
}

/** The order day of one part or snag. */
export interface OrderDay {
  /** Days from the day of the figures. */
  day: number;
  /** Chance of the end where it alone is ordered a week later. */
  weekLater: number;
}

/** How an end can be kept by ordering in time. */
export interface EndKept {
  /** The end that was asked for. */
  end: string;
  /** Chance that it is kept where everything is ordered as soon as can be. */
  chanceAtOnce: number;
  /** Whether that is the chance asked or more. */
  held: boolean;
  /** The end that the days keep: the one asked where it is held, else the first that is; null where none is. */
  heldEnd: string | null;
  /** Chance with which they keep it; null without one. */
  chance: number | null;
  /** By node. */
  days: ReadonlyMap<string, OrderDay>;
}

export interface OrderDays {
  /** Of the plan's own end. */
  own: EndKept;
  /** Of the target date; null without one. Where it is not held there are no days for it. */
  target: EndKept | null;
}

export interface Completion {
  /** False where no operation, part or snag is entered: the dates then say nothing. */
  entered: boolean;
  open: boolean;
  /** What the open ones are without, and what would have become of them, in words; null where nothing is open. */
  lacking: string | null;
  cleared: string | null;
  /** Null while open. */
  date: string | null;
  hours: number | null;
  dateWithOpenInHand: string;
  hoursWithOpenInHand: number;
  workOnlyDate: string;
  workOnlyHours: number;
  targetDate: string | null;
  targetName: string;
  /** Calendar days of dateWithOpenInHand past the target date; negative is early; null without a target. */
  daysLate: number | null;
}

export interface HoldUp {
  /** "part:ID", "snag:ID" or "hand:ID" */
  id: string;
  kind: "PART" | "SNAG" | "HAND";
  /** Id of the part, the snag or the hand. */
  rowId: string;
  /** A hand has none. */
  code: string;
  /** Of a hand its trades: who it is, is not for everybody. */
  title: string;
  /** Null of a part or a snag. */
  handName: string | null;
  /** Of a hand: the last day of other machines' work that something without float waits for; null: of none. */
  otherWorkUntil: string | null;
  quoteId: string | null;
  orderId: string | null;
  remedyId: string | null;
  /** The decision by which the owner declined what was asked last about it; null once another is chosen or it is ordered. */
  declinedId: string | null;
  open: boolean;
  decided: boolean;
  /** Null of a hand. */
  state: SupplyState | null;
  /** The end if this alone, with the work on its hands, constrained it; null when open, and of a hand. */
  completionDate: string | null;
  completionHours: number | null;
  /** The end with all above it on the ladder cleared; null when open, and off the ladder. */
  heldTo: string | null;
  /** The end with this and all above it cleared. */
  nextCompletionDate: string;
  tie: number;
  tieSize: number;
  orderOn: string | null;
  arrivalDate: string | null;
  /** A hunt for it is on: each run draws the day of its find. */
  hunted: boolean;
  /** Its stop date; null without a hunt that is on, or where it has none. */
  huntedUntil: string | null;
  /** What speaks against the quote that is counted on and not ordered yet, each as the rest of a sentence: "is ruled out". */
  quoteDoubts: readonly string[];
  usableDate: string | null;
  needBy: string | null;
  /**
   * Last day to order: as promised, with which the plan's end stays where it is; at a chance, with which the end that is
   * held (see `orderDays`) is kept where everything else is ordered on its own such day.
   */
  orderBy: string | null;
  daysLeft: number | null;
  needByTarget: string | null;
  /** The same for the target date; null where that is not held. */
  orderByTarget: string | null;
  /** Chance of the end where this alone is ordered a week after `orderBy`; null as promised. */
  chanceWeekLater: number | null;
  floatDays: number | null;
  daysGained: number;
}

export interface ChainStep {
  kind: "PREPARATION" | "OPERATION";
  code: string;
  title: string;
  operationId: string | null;
  startDate: string;
  finishDate: string;
  hours: number;
  /** Lag before this step. */
  lag: number;
  lagUnit: LagUnit | null;
}

export interface Waiting {
  directOperations: number;
  waitingOperations: number;
  waitingHours: number;
}

export interface Chase {
  orderId: string;
  partId: string;
  daysLate: number;
  holdsUp: boolean;
}

export interface FreeToStart {
  operationId: string;
  /** Who does it; empty where nobody is entered. */
  hands: readonly HandRow[];
  /** The day on which they begin it. */
  from: string;
  trade: string;
  hours: number;
  critical: boolean;
  floatHours: number;
}

export interface ScheduledOperation {
  operationId: string;
  earlyStart: number;
  /** Of work sent out: its return. */
  earlyFinish: number;
  lateStart: number;
  lateFinish: number;
  totalFloat: number;
  freeFloat: number;
  drag: number;
  critical: boolean;
  earlyStartDate: string;
  earlyFinishDate: string;
  lateStartDate: string;
  lateFinishDate: string;
  floatToTarget: number | null;
  /** Still to do: of the way in force, as judged last where it is begun; 0 once it is done. */
  hoursToDo: number;
  /** Who does it; empty where it needs nobody, or nobody is entered. */
  hands: readonly HandRow[];
  /** Under way, the schedule puts it down: the day on which it goes on, and the work here that its hands do before. Null: it goes on at once. */
  putDown: { until: string; titles: readonly string[] } | null;
}

export interface PartOutlook {
  partId: string;
  /** The quote ordered, chosen or standing in, by which it arrives; null in hand or without one. */
  quoteId: string | null;
  state: SupplyState;
  arrivalDate: string | null;
  needBy: string | null;
  orderBy: string | null;
  floatDays: number | null;
  daysGained: number | null;
  holdsUp: boolean;
  /** Its quote is the fallback of a hunt, and goes out on a day to come when that stops. */
  waitsForHunt: boolean;
}

/** Id of the part or snag that a hold-up's id names; null where it is of another kind. */
export const rowOfHoldUp = (id: string, kind: "part" | "snag"): string | null =>
  id.startsWith(`${kind}:`) ? id.slice(kind.length + 1) : null;
