/**
 * Rows to plan: builds the network of a restoration, runs the engine, and says on the rows what came out.
 * Pure: the same rows and options give the same plan.
 */

import { lineByLine } from "../engine/hands/lineByLine.ts";
import { backwardPass, type CriticalPath, criticalPath, forwardPass } from "../engine/network/criticalPath.ts";
import { chainFrom, following, type Ladder, ladder } from "../engine/network/ladder.ts";
import { Network, NetworkFault } from "../engine/network/network.ts";
import { endsWith } from "../engine/network/sideBySide.ts";
import { type OrderDaysFound, type OrderDaysWork, orderDaysOf } from "../engine/odds/orderDays.ts";
import type { ShopCalendar } from "../engine/time/calendar.ts";
import { addDays, daysBetween } from "../engine/time/date.ts";
import { days, hours, SAME_INSTANT } from "../engine/time/units.ts";
import { codeInWords, compareCodes } from "../store/codes.ts";
import type { Fault } from "../store/fault.ts";
import { shopCalendar } from "./days/shopDays.ts";
import { type HandLoad, type HandTask, handLoad } from "./hands/handLoad.ts";
import { totalHours } from "./hands/hours.ts";
import { type Freed, type OrderOfWork, onHands, orderOfWork } from "./hands/orderOfWork.ts";
import { isFreeToStart } from "./network/freeToStart.ts";
import { type HeldByMark, heldByMarks } from "./network/heldByMarks.ts";
import { type Away, awayOf, chosenWays, nodesOf, operationNode, returnNode } from "./network/work.ts";
import { RUNS } from "./odds/odds.ts";
import { listed } from "./odds/oddsWords.ts";
import { type OrderDaysAsked, orderDaysOn, orderDaysWork } from "./odds/orderDays.ts";
import {
  type Acquisition,
  acquisitionsOf,
  fittedQuote,
  groupBy,
  huntIsOn,
  stateWhenHere,
} from "./parts/acquisition.ts";
import { Declined } from "./parts/declined.ts";
import { clearedOf, lackOf } from "./parts/openWords.ts";
import { quoteDoubts } from "./parts/quoteDoubts.ts";
import { RuledOut } from "./parts/ruledOut.ts";
import type {
  ChainStep,
  Chase,
  Completion,
  FreeToStart,
  HoldUp,
  HoursToDo,
  OrderDays,
  OtherWork,
  PartOutlook,
  Plan,
  PlanHands,
  ScheduledOperation,
  Waiting,
} from "./plan.ts";
import { readAlike } from "./rows/readAlike.ts";
import type { HandRow, OperationRow, OperationWayRow, PlanRows } from "./rows/rows.ts";

export interface PlanOptions {
  figuresFor: string;
  /** Chance with which order-by dates are to hold; null: as promised. */
  confidence: number | null;
}

/** Rows that make no plan: a cycle with its path, a link to an unknown row, hours that are negative or absent. */
export class PlanFault extends Error {
  readonly code = "PLAN_FAULT";
  constructor(readonly faults: readonly Fault[]) {
    super(faults[0]?.message ?? "What is entered makes no plan.");
    this.name = "PlanFault";
  }
}

/** The plan of a restoration's rows; order-by dates at a chance are drawn at once. Throws {@link PlanFault}. */
export function computePlan(rows: PlanRows, options: PlanOptions): Plan {
  if (options.confidence === null) return promised(rows, options.figuresFor);
  const asked = orderDaysAsked(rows, options);
  return planWith(rows, options, asked, asked && orderDaysOf(asked.work, RUNS));
}

/** Draws order-by dates at a chance; where the work is large that takes seconds. */
export type OrderDaysDraw = (work: OrderDaysWork) => Promise<OrderDaysFound[]>;

/** The same plan, its order-by dates drawn by another. Throws {@link PlanFault}, and what `draw` throws. */
export async function drawnPlan(rows: PlanRows, options: PlanOptions, draw: OrderDaysDraw): Promise<Plan> {
  const asked = orderDaysAsked(rows, options);
  return planWith(rows, options, asked, asked && (await draw(asked.work)));
}

function orderDaysAsked(rows: PlanRows, { figuresFor, confidence }: PlanOptions): OrderDaysAsked | null {
  if (confidence === null) return null;
  const { completion, toOrder } = promised(rows, figuresFor);
  if (!completion.entered) return null;
  return orderDaysWork(rows, { figuresFor, confidence, end: completion.dateWithOpenInHand }, toOrder);
}

const planWith = (
  rows: PlanRows,
  options: PlanOptions,
  asked: OrderDaysAsked | null,
  found: readonly OrderDaysFound[] | null,
): Plan =>
  options.confidence === null
    ? promised(rows, options.figuresFor)
    : new ComputedPlan(rows, options, asked && found && orderDaysOn(options.figuresFor, asked, found));

/** Plans as promised, the newest last: money, choices and the plan itself ask for the same one. */
const made: ComputedPlan[] = [];
const MOST_MADE = 8;

function promised(rows: PlanRows, figuresFor: string): Plan {
  const at = made.findIndex((plan) => plan.isOf(rows, figuresFor));
  const [plan = new ComputedPlan(rows, { figuresFor, confidence: null }, null)] = at < 0 ? [] : made.splice(at, 1);
  made.push(plan);
  if (made.length > MOST_MADE) made.shift();
  return plan;
}

class ComputedPlan implements Plan {
  readonly figuresFor: string;
  readonly confidence: number | null;
  readonly operations: ReadonlyMap<string, ScheduledOperation>;
  readonly quoteInForce: ReadonlyMap<string, string>;
  readonly quoteToOrder: ReadonlyMap<string, string>;
  readonly remedyInForce: ReadonlyMap<string, string>;
  readonly wayInForce: ReadonlyMap<string, string>;

  private readonly calendar: ShopCalendar;
  private readonly acquisitions: readonly Acquisition[];
  private readonly byHoldUp: ReadonlyMap<string, Acquisition>;
  private readonly work: ReturnType<typeof nodesOf>;
  private readonly network: Network;
  /** The same work with hands enough at all times: what waits for what. */
  private readonly links: Network;
  private readonly order: OrderOfWork | null;
  private readonly handsEnough = once(() => this.finishDate(forwardPass(this.links).end));
  private held: readonly HeldByMark[] | undefined;
  private readonly late: ReturnType<typeof acquisitionsOf>["late"];
  private readonly path: CriticalPath;
  private readonly target: { start: Float64Array } | null;
  /** What money and choices do not ask for is worked out when it first is. */
  private readonly rungs = once(() => this.ladderOn(this.network));
  private readonly end = once(() => this.completionOf(this.rows));
  /** Every outstanding part and snag. */
  private readonly outstanding = once(() => this.holdUps(this.rows));
  private readonly lines = once(() => this.sorted());
  private readonly free = once(() => this.freeOf(this.rows));
  private readonly outlooks = once(() => this.outlooksOf(this.rows));
  private readonly operationById: ReadonlyMap<string, OperationRow>;
  /** By operation id: the way chosen for it. */
  private readonly ways: ReadonlyMap<string, OperationWayRow>;

  constructor(
    private readonly rows: PlanRows,
    options: PlanOptions,
    readonly orderDays: OrderDays | null,
  ) {
    this.figuresFor = options.figuresFor;
    this.confidence = options.confidence;
    this.calendar = shopCalendar(rows, options.figuresFor);
    this.operationById = new Map(rows.operations.map((operation) => [operation.id, operation]));
    this.ways = chosenWays(rows);
    const found = acquisitionsOf(rows, options.figuresFor, this.calendar);
    this.acquisitions = found.outstanding;
    this.byHoldUp = new Map(found.outstanding.map((a) => [a.id, a]));
    this.work = nodesOf(rows, this.ways, this.acquisitions, this.calendar);
    const { work } = this;
    this.links = this.compile(work);
    this.order = orderOfWork(rows, options.figuresFor);
    this.network = this.order === null ? this.links : this.compile(onHands(work, this.order));
    this.path = criticalPath(this.network);
    const { targetDate } = rows.restoration;
    this.target = targetDate === null ? null : backwardPass(this.network, this.lastHourOf(targetDate));
    this.late = found.late;
    this.operations = this.schedule(rows);
    this.quoteInForce = this.quotes(rows);
    this.quoteToOrder = this.quotesToOrder(rows);
    this.remedyInForce = this.remedies(rows);
    this.wayInForce = new Map(Array.from(this.ways, ([operation, { id }]) => [operation, id]));
  }

  /** Whether it is the plan of these rows too. */
  isOf(rows: PlanRows, figuresFor: string): boolean {
    const undecided = (partId: string): boolean => this.byHoldUp.get(`part:${partId}`)?.decided === false;
    return this.figuresFor === figuresFor && readAlike(this.rows, rows, undecided);
  }

  get completion(): Completion {
    return this.end();
  }

  get ladder(): readonly HoldUp[] {
    return this.lines();
  }

  get toOrder(): readonly HoldUp[] {
    return this.outstanding()
      .filter((h) => !h.open && h.orderId === null)
      .sort(byUrgency);
  }

  get declined(): readonly HoldUp[] {
    return this.outstanding()
      .filter((h) => h.declinedId !== null)
      .sort(byUrgency);
  }

  get freeToStart(): readonly FreeToStart[] {
    return this.free();
  }

  get chase(): Chase[] {
    const holding = new Set(this.ladder.map(({ id }) => id));
    return this.late
      .map(({ order, daysLate }) => ({
        orderId: order.id,
        partId: order.partId,
        daysLate,
        holdsUp: holding.has(`part:${order.partId}`),
      }))
      .sort((a, b) => Number(b.holdsUp) - Number(a.holdsUp) || b.daysLate - a.daysLate);
  }

  get parts(): ReadonlyMap<string, PartOutlook> {
    return this.outlooks();
  }

  get hands(): PlanHands | null {
    if (this.order === null) return null;
    const { notBefore, hoursNotBefore, nobodyFor } = this.order;
    const here = this.rows.hands.filter(
      ({ weekdayHours, leavesOn }) =>
        weekdayHours.some((open) => open > 0) && (leavesOn === null || leavesOn >= this.figuresFor),
    );
    const peopleFor = (trade: string): number =>
      here.reduce((sum, { trades, people }) => (trades.includes(trade) ? sum + people : sum), 0);
    return {
      handsEnough: this.handsEnough(),
      notBefore,
      hoursNotBefore,
      nobodyFor: nobodyFor.map((one) => ({ ...one, people: peopleFor(one.trade) })),
    };
  }

  heldByMarks(): readonly HeldByMark[] {
    this.held ??= heldByMarks(this.rows, this.figuresFor, this.completion.dateWithOpenInHand);
    return this.held;
  }

  get hoursToDo(): HoursToDo {
    const brought = this.acquisitions.reduce((sum, { preparationHours }) => sum + preparationHours, 0);
    return {
      operations: totalHours([...this.operations.values()].map(({ hoursToDo: hours }) => ({ hours }))),
      brought,
    };
  }

  handLoad(): HandLoad[] {
    const { order } = this;
    if (order === null) return [];
    const daysGained = (hand: string): number => this.soonerWithout(order, { hands: new Set([hand]) });
    return handLoad(order.spans(), this.rows.hands, this.calendar, daysGained);
  }

  tasksOf(hand: string): HandTask[] {
    const theirs = (this.order?.spans() ?? []).filter(({ hands }) => hands.some(({ id }) => id === hand));
    return theirs
      .toSorted((a, b) => a.start - b.start)
      .map(({ node, title, machine, start, finish, own }) => ({
        node,
        title,
        machine,
        hours: own.before(finish) - own.before(start),
        startDate: this.startDate(start, finish),
        finishDate: this.finishDate(finish),
      }));
  }

  /** Days by which the end is sooner where nothing waits for what is freed. */
  private soonerWithout(order: OrderOfWork, freed: Freed): number {
    const { end } = forwardPass(this.compile(onHands(this.work, order, freed)));
    return daysBetween(this.finishDate(end), this.finishDate(this.rungs().end));
  }

  otherWork(): OtherWork | null {
    const { order } = this;
    if (order === null || order.takenUntil.size === 0) return null;
    const gained = this.soonerWithout(order, "OF_OTHER_MACHINES");
    const until = gained <= 0 ? null : this.othersUntil(order, this.network, this.path);
    return until === null ? null : { until, days: gained };
  }

  /** The last day of other machines' work, of one hand or of all, that something without float begins right after; null: none. */
  private othersUntil(
    { takenUntil }: OrderOfWork,
    network: Network,
    { forward, backward }: Pick<CriticalPath, "forward" | "backward">,
    hand?: string,
  ): string | null {
    const held = [...takenUntil].flatMap(([node, taken]) => {
      const v = network.position(node);
      const theirs = taken.filter((one) => hand === undefined || one.hand === hand);
      const until = Math.max(0, ...theirs.map((one) => one.until));
      return v >= 0 &&
        theirs.length > 0 &&
        backward.start[v]! - forward.start[v]! < SAME_INSTANT &&
        until >= network.release[v]! - SAME_INSTANT
        ? [until]
        : [];
    });
    return held.length === 0 ? null : this.finishDate(Math.max(...held));
  }

  chain(holdUp: HoldUp): ChainStep[] {
    const acquisition = this.byHoldUp.get(holdUp.id);
    const arrival = acquisition === undefined ? -1 : this.network.position(acquisition.id);
    if (acquisition === undefined || arrival < 0) return [];
    const from = acquisition.open ? this.path.backward.start[arrival]! : this.network.release[arrival]!;
    const steps = chainFrom(this.network, arrival, from).slice(1);
    return steps.flatMap((step, i): ChainStep[] => {
      const id = this.network.ids[step.position]!;
      // A return is the end of the step that was sent out.
      if (id.startsWith("return:")) return [];
      const operation = this.operationById.get(id.slice(id.indexOf(":") + 1));
      const before = i === 0 ? arrival : steps[i - 1]!.position;
      const { lag, inDays } = this.lagBetween(before, step.position);
      return [
        {
          kind: id.startsWith("operation:") ? "OPERATION" : "PREPARATION",
          code: operation?.code ?? acquisition.code,
          title: operation?.title ?? acquisition.preparationTitle,
          operationId: operation?.id ?? null,
          startDate: this.startDate(step.start, step.finish),
          finishDate: operation === undefined ? this.finishDate(step.finish) : this.backDate(operation, step.finish),
          hours: this.network.hours[step.position]!,
          lag,
          lagUnit: lag === 0 ? null : inDays ? "DAYS" : "HOURS",
        },
      ];
    });
  }

  latestArrivals(partId: string, preparationHours: number): { needBy: string; target: string | null } | null {
    const acquisition = this.byHoldUp.get(`part:${partId}`);
    if (acquisition === undefined) return null;
    const position = this.network.position(acquisition.id);
    const later = acquisition.preparationHours - preparationHours;
    const latest = (start: Float64Array): string =>
      this.calendar.date(days(this.calendar.latestArrival(hours(start[position]! + later))));
    return {
      needBy: latest(this.path.backward.start),
      target: this.target === null ? null : latest(this.target.start),
    };
  }

  completionWith(holdUpId: string, arrivesOn: string): string | null {
    const position = this.network.position(holdUpId);
    if (!this.byHoldUp.has(holdUpId) || position < 0) return null;
    const usable = this.calendar.usableAfterArrival(this.calendar.day(arrivesOn));
    const held = chainFrom(this.network, position, Math.max(0, usable)).at(-1)!.finish;
    return this.finishDate(Math.max(held, this.rungs().work.end));
  }

  waiting(holdUp: HoldUp): Waiting {
    const acquisition = this.byHoldUp.get(holdUp.id);
    if (acquisition === undefined) return { directOperations: 0, waitingOperations: 0, waitingHours: 0 };
    const direct = acquisition.operationIds
      .map((id) => this.links.position(operationNode(id)))
      .filter((position) => position >= 0);
    const all = [...direct, ...following(this.links, direct)].filter((v) =>
      this.links.ids[v]!.startsWith("operation:"),
    );
    return {
      directOperations: direct.length,
      waitingOperations: all.length,
      waitingHours: all.reduce((sum, v) => sum + this.links.hours[v]!, 0),
    };
  }

  waitsForOpen(operationId: string): Pick<HoldUp, "kind" | "title">[] {
    const position = this.links.position(operationNode(operationId));
    if (position < 0) return [];
    return this.acquisitions
      .filter((a) => a.open && following(this.links, [this.links.position(a.id)]).includes(position))
      .map(({ kind, title }) => ({ kind, title }));
  }

  /** The ladder of what arrives, on the hands or with some of them free. */
  private ladderOn(network: Network): Ladder {
    return ladder(
      network,
      this.acquisitions.map((a) => network.position(a.id)).filter((p) => p >= 0),
    );
  }

  private compile({ nodes, links }: ReturnType<typeof nodesOf>): Network {
    try {
      return new Network(nodes, links, this.calendar);
    } catch (error) {
      if (!(error instanceof NetworkFault)) throw error;
      throw new PlanFault([this.faultOf(error)]);
    }
  }

  private away(o: OperationRow): Away | null {
    return awayOf(o, this.ways.get(o.id), this.calendar);
  }

  /** The date on which an operation is finished, or back, when its hours are done at `finish`. */
  private backDate(o: OperationRow, finish: number): string {
    const away = this.away(o);
    if (away === null) return this.finishDate(finish);
    return away.backOn === null ? addDays(this.finishDate(finish), away.days) : this.calendar.date(days(away.backOn));
  }

  private faultOf(error: NetworkFault): Fault {
    const operationOf = (node: string) => this.operationById.get(node.slice(node.indexOf(":") + 1));
    const codes = error.rows.map((node) => (operationOf(node) ?? this.byHoldUp.get(node))?.code ?? node);
    const words = (node: string): string => {
      const [operation, holdUp] = [operationOf(node), this.byHoldUp.get(node)];
      return operation ? codeInWords("operation", operation.code) : holdUp ? acquisitionInWords(holdUp) : node;
    };
    const message = error.rows.reduce((text, node) => text.replaceAll(node, words(node)), error.message);
    return { code: error.code, message, row: codes[0], rows: codes, field: error.field };
  }

  private completionOf({ operations, parts, snags, restoration }: PlanRows): Completion {
    const { targetDate, targetName } = restoration;
    const without = [
      ...this.acquisitions.filter((a) => a.open),
      ...(this.order?.nobodyFor.map(() => ({ kind: "TRADE" as const })) ?? []),
    ];
    const open = without.length > 0;
    const end = this.rungs().end;
    const date = this.finishDate(end);
    return {
      entered: operations.length + parts.length + snags.length > 0,
      open,
      lacking: lackOf(without),
      cleared: clearedOf(without),
      date: open ? null : date,
      hours: open ? null : end,
      dateWithOpenInHand: date,
      hoursWithOpenInHand: end,
      workOnlyDate: this.finishDate(this.rungs().work.end),
      workOnlyHours: this.rungs().work.end,
      targetDate,
      targetName,
      daysLate: targetDate === null ? null : daysBetween(targetDate, date),
    };
  }

  /** Every outstanding part and snag with its dates; lengths and ties are filled in for those on the ladder. */
  private holdUps(rows: PlanRows): HoldUp[] {
    const hunts = new Map(
      rows.hunts.filter((hunt) => huntIsOn(hunt, this.figuresFor)).map((hunt) => [hunt.partId, hunt]),
    );
    const quotes = new Map(rows.quotes.map((quote) => [quote.id, quote]));
    const said = { declined: new Declined(rows), ruledOut: new RuledOut(rows) };
    const lengths = new Map(this.rungs().rungs.map((rung) => [rung.position, rung.length]));
    const first = this.rungs().rungs[0];
    const second = this.rungs().rungs[1]?.length ?? this.rungs().work.end;
    return this.acquisitions.map((a): HoldUp => {
      const hunt = a.kind === "PART" ? hunts.get(a.rowId) : undefined;
      const quote = a.orderId === null ? quotes.get(a.quoteId ?? "") : undefined;
      const position = this.network.position(a.id);
      const needBy = this.calendar.latestArrival(hours(this.path.backward.start[position]!));
      const needByTarget =
        this.target === null ? null : this.calendar.latestArrival(hours(this.target.start[position]!));
      const own = this.orderDays?.own.days.get(a.id);
      const toTarget = this.orderDays?.target;
      const promised = (latest: number | null): number | null =>
        latest === null || a.leadDays === null || a.orderId !== null ? null : latest - a.leadDays;
      const orderBy = this.orderDays === null ? promised(needBy) : (own?.day ?? null);
      const orderByTarget =
        this.orderDays === null
          ? promised(needByTarget)
          : ((toTarget?.held ? toTarget.days.get(a.id)?.day : undefined) ?? null);
      const length = a.open ? null : (lengths.get(position) ?? this.rungs().work.end);
      const date = (day: number | null): string | null => (day === null ? null : this.calendar.date(days(day)));
      return {
        id: a.id,
        kind: a.kind,
        rowId: a.rowId,
        code: a.code,
        title: a.title,
        handName: null,
        otherWorkUntil: null,
        quoteId: a.quoteId,
        orderId: a.orderId,
        remedyId: a.remedyId,
        declinedId: a.declinedId,
        open: a.open,
        hunted: hunt !== undefined,
        huntedUntil: hunt?.stopDate ?? null,
        quoteDoubts: quote === undefined ? [] : quoteDoubts(quote, said, a.orderOn!, this.figuresFor),
        decided: a.decided,
        state: a.state,
        completionDate: length === null ? null : this.finishDate(length),
        completionHours: length,
        heldTo: null,
        nextCompletionDate: this.finishDate(this.rungs().end),
        tie: 0,
        tieSize: 1,
        orderOn: a.orderOn,
        arrivalDate: date(a.arrival),
        usableDate:
          a.arrival === null ? null : date(this.calendar.startDay(this.calendar.usableAfterArrival(days(a.arrival)))),
        needBy: date(needBy),
        orderBy: date(orderBy),
        daysLeft: orderBy,
        needByTarget: date(needByTarget),
        orderByTarget: date(orderByTarget),
        chanceWeekLater: own?.weekLater ?? null,
        floatDays: a.arrival === null ? null : needBy - a.arrival,
        daysGained:
          position === first?.position ? daysBetween(this.finishDate(second), this.finishDate(first.length)) : 0,
      };
    });
  }

  /** The ladder: open ones first, by need-by date; then what is cleared next, with ties by completion date. */
  private sorted(): HoldUp[] {
    const open = this.outstanding()
      .filter((h) => h.open)
      .sort((a, b) => daysBetween(b.needBy!, a.needBy!) || compareCodes(a.code, b.code));
    const result = open.map((h, tie) => ({ ...h, tie }));
    const byId = new Map(this.outstanding().map((h) => [h.id, h]));
    const { order } = this;
    const waited = new Set(
      order === null ? [] : [...order.handovers, ...[...order.takenUntil.values()].flat()].map(({ hand }) => hand),
    );
    const hands = this.rows.hands.filter(({ id }) => waited.has(id));
    const free = new Set<string>();
    const dayOf = (w: number): number => daysBetween(this.figuresFor, this.finishDate(w));
    const lines = lineByLine(
      hands.map(({ id }) => id),
      (freed) => {
        const network = this.freed(freed);
        const { rungs, work } = freed.size === 0 ? this.rungs() : this.ladderOn(network);
        return {
          rungs: rungs.map(({ position, length }) => ({ id: network.ids[position]!, day: dayOf(length) })),
          work: dayOf(work.end),
        };
      },
    );
    const inHand = new Set<string>();
    lines.forEach((line, place) => {
      const date = (day: number): string => addDays(this.figuresFor, day);
      const last = line.arrivals.length + line.hands.length - 1;
      const told = [
        ...line.arrivals.map((id) => byId.get(id)!),
        ...hands.filter(({ id }) => line.hands.includes(id)).map((hand) => this.waitedFor(hand, { free, inHand })),
      ];
      told.forEach((h, k) => {
        result.push({
          ...h,
          tie: open.length + place,
          tieSize: last + 1,
          heldTo: date(line.heldTo),
          nextCompletionDate: date(k === last ? line.next : line.heldTo),
        });
      });
      for (const id of line.arrivals) inHand.add(id);
      for (const id of line.hands) free.add(id);
    });
    return result;
  }

  /** The work on its hands where nothing waits for some of them. */
  private freed(hands: ReadonlySet<string>): Network {
    return hands.size === 0 ? this.network : this.compile(onHands(this.work, this.order, { hands }));
  }

  /** A hand for whom work waits, with what is cleared above. */
  private waitedFor(hand: HandRow, above: { free: ReadonlySet<string>; inHand: ReadonlySet<string> }): HoldUp {
    const order = this.order!;
    const network = this.freed(above.free);
    const release = network.release.map((at, v) => (above.inHand.has(network.ids[v]!) ? 0 : at));
    const forward = forwardPass(network, release);
    const path = { forward, backward: backwardPass(network, forward.end) };
    return {
      id: `hand:${hand.id}`,
      kind: "HAND",
      rowId: hand.id,
      code: "",
      title: `Whoever does ${listed(hand.trades)} work`,
      handName: hand.name,
      otherWorkUntil: this.othersUntil(order, network, path, hand.id),
      quoteId: null,
      orderId: null,
      remedyId: null,
      declinedId: null,
      open: false,
      hunted: false,
      huntedUntil: null,
      quoteDoubts: [],
      decided: true,
      state: null,
      completionDate: null,
      completionHours: null,
      heldTo: null,
      nextCompletionDate: "",
      tie: 0,
      tieSize: 1,
      orderOn: null,
      arrivalDate: null,
      usableDate: null,
      needBy: null,
      orderBy: null,
      daysLeft: null,
      needByTarget: null,
      orderByTarget: null,
      chanceWeekLater: null,
      floatDays: null,
      daysGained: this.soonerWithout(order, { hands: new Set([hand.id]) }),
    };
  }

  private schedule(rows: PlanRows): Map<string, ScheduledOperation> {
    const result = new Map<string, ScheduledOperation>();
    const drags = this.dragsAway(rows);
    for (const o of rows.operations) {
      const v = this.network.position(operationNode(o.id));
      if (v < 0) {
        result.set(o.id, this.doneOperation(o));
        continue;
      }
      const place = this.path.place(v);
      const back = this.network.position(returnNode(o.id));
      const returned = back < 0 ? null : this.path.place(back);
      result.set(o.id, {
        operationId: o.id,
        ...place,
        ...(returned === null
          ? {}
          : {
              earlyFinish: returned.earlyFinish,
              lateFinish: returned.lateFinish,
              freeFloat: returned.freeFloat,
              drag: drags.get(back) ?? 0,
            }),
        earlyStartDate:
          o.state === "UNDER_WAY" && o.startedOn !== null
            ? o.startedOn
            : this.startDate(place.earlyStart, place.earlyFinish),
        earlyFinishDate: this.backDate(o, place.earlyFinish),
        lateStartDate: this.startDate(place.lateStart, place.lateFinish),
        lateFinishDate: this.finishDate((returned ?? place).lateFinish),
        floatToTarget: this.target === null ? null : this.target.start[v]! - place.earlyStart,
        hoursToDo: this.network.hours[v]!,
        hands: this.handsOf(o),
        putDown: this.putDown(o, rows),
      });
    }
    return result;
  }

  private putDown(o: OperationRow, rows: PlanRows): ScheduledOperation["putDown"] {
    if (o.state !== "UNDER_WAY" || !o.mayBePutDown) return null;
    const placeOf = ({ id }: OperationRow) => {
      const position = this.network.position(operationNode(id));
      return position < 0 ? null : this.path.place(position);
    };
    const { earlyStart, earlyFinish } = placeOf(o)!;
    const hands = new Set(this.handsOf(o));
    const before = rows.operations.filter((other) => {
      const place = other === o ? null : placeOf(other);
      return place !== null && place.earlyStart < earlyStart && this.handsOf(other).some((hand) => hands.has(hand));
    });
    const until = this.startDate(earlyStart, earlyFinish);
    // A day on which its hands are away puts nothing down.
    return before.length === 0 || until === this.figuresFor
      ? null
      : { until, titles: before.map(({ title }) => title) };
  }

  /** By the return's position: hours by which the end were earlier if the critical work that is sent out were back when it begins. */
  private dragsAway(rows: PlanRows): Map<number, number> {
    const back = rows.operations
      .map(({ id }) => ({
        work: this.network.position(operationNode(id)),
        back: this.network.position(returnNode(id)),
      }))
      .filter(({ work, back }) => back >= 0 && this.path.place(work).critical)
      .sort((a, b) => a.back - b.back);
    const idle = back.map(({ work, back: position }) => ({
      position,
      release: this.path.forward.start[work]!,
      fixed: true,
      work: 0,
    }));
    const { forward } = this.path;
    const ends = endsWith(this.network, forward, this.network.release, idle);
    return new Map(back.map(({ back: position }, i) => [position, forward.end - ends[i]!]));
  }

  /** Done work stands at its actual dates, in hours before the day of the figures. */
  private doneOperation(o: OperationRow): ScheduledOperation {
    const finishDate = o.finishedOn ?? o.startedOn ?? addDays(this.figuresFor, -1);
    const startDate = o.startedOn ?? finishDate;
    const start = this.calendar.hoursBefore(this.calendar.day(startDate));
    const finish = this.calendar.usableAfterArrival(this.calendar.day(finishDate));
    return {
      operationId: o.id,
      earlyStart: start,
      earlyFinish: finish,
      lateStart: start,
      lateFinish: finish,
      totalFloat: 0,
      freeFloat: 0,
      drag: 0,
      critical: false,
      earlyStartDate: startDate,
      earlyFinishDate: finishDate,
      lateStartDate: startDate,
      lateFinishDate: finishDate,
      floatToTarget: null,
      hoursToDo: 0,
      hands: [],
      putDown: null,
    };
  }

  /** Operations that are free to start; and from when, by whose hands. */
  private freeOf(rows: PlanRows): FreeToStart[] {
    const result: FreeToStart[] = [];
    for (const o of rows.operations) {
      const v = this.links.position(operationNode(o.id));
      if (!isFreeToStart(o, this.links, v)) continue;
      const { critical, totalFloat, earlyStart, earlyFinish } = this.operations.get(o.id)!;
      result.push({
        operationId: o.id,
        hands: this.handsOf(o),
        from: this.startDate(earlyStart, earlyFinish),
        trade: o.trade,
        hours: this.links.hours[v]!,
        critical,
        floatHours: totalFloat,
      });
    }
    return result.sort((a, b) => daysBetween(b.from, a.from) || a.floatHours - b.floatHours);
  }

  private handsOf({ id }: OperationRow): readonly HandRow[] {
    return [...new Set(this.order?.hands.get(operationNode(id)))];
  }

  private outlooksOf(rows: PlanRows): Map<string, PartOutlook> {
    const byPart = new Map(
      this.outstanding()
        .filter((h) => h.kind === "PART")
        .map((h) => [h.rowId, h]),
    );
    // The ladder takes long: it is climbed where somebody asks what holds the end up.
    const holding = once(() => new Set(this.ladder.map(({ id }) => id)));
    const orders = groupBy(rows.orders, (order) => order.partId);
    return new Map(
      rows.parts.map(({ id, stateOnHand }): [string, PartOutlook] => {
        const h = byPart.get(id);
        return [
          id,
          {
            partId: id,
            quoteId: h?.quoteId ?? null,
            state:
              h?.state ??
              (stateOnHand === "IN_HAND" ? "IN_HAND" : stateWhenHere(orders.get(id) ?? [], this.figuresFor)),
            arrivalDate: h?.arrivalDate ?? null,
            needBy: h?.needBy ?? null,
            orderBy: h?.orderBy ?? null,
            floatDays: h?.floatDays ?? null,
            daysGained: h === undefined || h.open ? null : h.daysGained,
            get holdsUp() {
              return h !== undefined && holding().has(h.id);
            },
            waitsForHunt: h?.state === "HUNTED" && h.orderOn! > this.figuresFor,
          },
        ];
      }),
    );
  }

  private quotes(rows: PlanRows): Map<string, string> {
    const result = new Map<string, string>();
    const orders = groupBy(rows.orders, (order) => order.partId);
    const outstanding = new Map(this.acquisitions.map((a) => [a.id, a.quoteId]));
    const declined = new Declined(rows);
    for (const part of rows.parts) {
      const coming = outstanding.get(`part:${part.id}`);
      const quote = coming === undefined ? fittedQuote(part, orders.get(part.id) ?? [], declined) : coming;
      if (quote !== null) result.set(part.id, quote);
    }
    return result;
  }

  private quotesToOrder(rows: PlanRows): Map<string, string> {
    const result = new Map<string, string>();
    const quoteById = new Map(rows.quotes.map((quote) => [quote.id, quote]));
    const ruledOut = new RuledOut(rows);
    for (const { rowId, quoteId, orderId, open, state } of this.acquisitions) {
      const quote = quoteById.get(quoteId ?? "");
      // What is looked for is ordered when the hunt stops, if at all, and on no order with others.
      if (quote === undefined || orderId !== null || open || state === "HUNTED") continue;
      if (!ruledOut.has(quote)) result.set(rowId, quote.id);
    }
    return result;
  }

  private remedies(rows: PlanRows): Map<string, string> {
    const result = new Map<string, string>();
    for (const { id, chosenRemedyId } of rows.snags) {
      // What a snag was cleared by is done, whatever was said of it.
      const outstanding = this.byHoldUp.get(`snag:${id}`);
      const remedy = outstanding === undefined ? chosenRemedyId : outstanding.remedyId;
      if (remedy !== null) result.set(id, remedy);
    }
    return result;
  }

  private lagBetween(before: number, after: number): { lag: number; inDays: boolean } {
    const { outStart, outTo, outLag, outDays } = this.network;
    for (let k = outStart[before]!; k < outStart[before + 1]!; k++)
      if (outTo[k] === after) return { lag: outLag[k]!, inDays: outDays[k] === 1 };
    return { lag: 0, inDays: false };
  }

  private finishDate(w: number): string {
    return this.calendar.date(
      w <= 0 ? days(Math.min(0, this.calendar.startDay(hours(w)))) : this.calendar.finishDay(hours(w)),
    );
  }

  /** Work that takes no time starts on the day it finishes. */
  private startDate(start: number, finish: number): string {
    return finish - start > 0 ? this.calendar.date(this.calendar.startDay(hours(start))) : this.finishDate(finish);
  }

  private lastHourOf(date: string): number {
    return this.calendar.usableAfterArrival(this.calendar.day(date));
  }
}

/** What is made when it is first asked for, and kept. */
function once<T>(make: () => T): () => T {
  let made: { is: T } | undefined;
  return () => {
    made ??= { is: make() };
    return made.is;
  };
}

/** The code of a part or a snag, a number with its noun. */
const acquisitionInWords = ({ kind, code }: Pick<Acquisition, "kind" | "code">): string =>
  codeInWords(kind.toLowerCase(), code);

/** What no day is sure enough for comes first; a hunt has a day to decide by instead, and comes last. Of one day what was declined: another is still to be chosen. */
const byUrgency = (a: HoldUp, b: HoldUp): number =>
  byDays(urgency(a), urgency(b)) ||
  Number(b.declinedId !== null) - Number(a.declinedId !== null) ||
  compareCodes(a.code, b.code);

const byDays = (a: number, b: number): number => (a === b ? 0 : a - b);

const urgency = ({ daysLeft, state }: HoldUp): number =>
  daysLeft ?? (state === "HUNTED" ? Number.POSITIVE_INFINITY : Number.NEGATIVE_INFINITY);
