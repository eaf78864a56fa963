/**
 * What there is to choose from: a restoration's rows as the engine's choice of quotes, remedies and ways,
 * with what each option is on the rows. Pure: the same rows give the same problem.
 */

import type { ChoiceLimits, OnOrder, Option } from "../../engine/choice/input.ts";
import { chargedOn } from "../../engine/choice/orders.ts";
import type { ChoiceWork, PlainArrival, PlainOperation } from "../../engine/choice/work.ts";
import { capLeaves } from "../../engine/money/exposure.ts";
import type { OrderTerms } from "../../engine/money/orderCharge.ts";
import type { ShopCalendar } from "../../engine/time/calendar.ts";
import { days } from "../../engine/time/units.ts";
import { codeInWords } from "../../store/codes.ts";
import { computePlan } from "../compute.ts";
import { shopCalendar, shopDays } from "../days/shopDays.ts";
import { onHands, orderOfWork } from "../hands/orderOfWork.ts";
import { huntCost } from "../hunt/cost.ts";
import { inCurrency } from "../money/exchange.ts";
import { exposureOf } from "../money/exposure.ts";
import type { ExposureRows } from "../money/exposureLoad.ts";
import { leftOf, paidOn } from "../money/exposurePaid.ts";
import { type Landed, type LandedQuote, orderTerms } from "../money/landed.ts";
import { type OrdersAhead, ordersAheadOf } from "../money/ordersAhead.ts";
import { chosenWays, operationNode, workOf } from "../network/work.ts";
import { type Acquisition, acquisitionsOf, firstOrderDay, groupBy, huntIsOn, isExpired } from "../parts/acquisition.ts";
import { Declined, keepsQuote } from "../parts/declined.ts";
import { RuledOut } from "../parts/ruledOut.ts";
import type { Plan } from "../plan.ts";
import type { QuoteRow } from "../rows/rows.ts";
import { type ChoiceAsked, onFreeHands, type TakingSubject } from "./onHands.ts";
import { costOfOption } from "./optionCost.ts";
import {
  countedAt,
  hundredths,
  type Loss,
  type Place,
  placeOf,
  pointsLost,
  type Sheet,
  sheetInChoice,
  sheetLosses,
} from "./points.ts";
import type { ChoiceSubject, OptionInfo } from "./subject.ts";

/** What nothing can be chosen for. */
export type OpenSubject = Pick<Acquisition, "kind" | "rowId" | "title">;

export interface ChoiceNotice {
  /** Code of the row. */
  row: string;
  message: string;
}

export interface InForce {
  date: string;
  /** Null where something in force cannot be worked out. */
  costMinor: number | null;
  /** Of that, what is bought, and what of all of it counts against the cap. */
  landedMinor: number | null;
  countedMinor: number | null;
  pointsLost: number;
  disqualified: boolean;
}

export interface ChoiceProblem {
  restorationId: string;
  planRevision: number;
  figuresFor: string;
  currency: string;
  targetDate: string | null;
  targetName: string;
  capMinor: number | null;
  /** Paid and owed, each payment at its own rate. */
  committedMinor: number;
  /** What else counts against the cap and is not chosen here: estimates of parts without a source, and labour where the cap covers it. */
  heldBackMinor: number;
  /** What the cap leaves for these choices; negative when it is passed already. */
  capLeftMinor: number | null;
  sheet: Sheet;
  /** Whether the owner puts a price on a day and on a point. */
  said: { perDay: boolean; perPoint: boolean };
  /** With the order of work in force kept, as prices of offers are worked out. */
  work: ChoiceWork;
  /** What the plans are worked out from. */
  asked: ChoiceAsked;
  /** One for each choice of the engine: parts and snags, then operations. */
  subjects: readonly ChoiceSubject[];
  /** Parts without a source and snags without a remedy: cleared for the purpose, and completion stays open. */
  open: readonly OpenSubject[];
  inForce: InForce;
  /** Of the cost of what is in force, what suppliers charge on whole orders. */
  chargedMinor: number;
  notices: readonly ChoiceNotice[];
}

/** The problem of a restoration's rows. Throws PlanFault where they make no plan. */
export function choiceProblem(rows: ExposureRows): ChoiceProblem {
  return new ProblemBuilder(rows).problem();
}

class ProblemBuilder {
  private readonly calendar: ShopCalendar;
  private readonly arrivals: PlainArrival[] = [];
  private readonly operations: PlainOperation[] = [];
  private readonly arriving: ChoiceSubject[] = [];
  private readonly working: ChoiceSubject[] = [];
  private readonly open: OpenSubject[] = [];
  private readonly notices: ChoiceNotice[] = [];
  /** What is lost whatever is chosen, and what the choices in force lose. */
  private readonly settled: Loss[] = [];
  private readonly losses: Loss[] = [];
  private readonly declined: Declined;
  private readonly ruledOut: RuledOut;
  private readonly plan: Plan;
  /** By part id. */
  private readonly chosenQuotes: ReadonlyMap<string, string | null>;
  private readonly orders: OrdersAhead;
  /** Suppliers who charge on a whole order, and the place of each. */
  private readonly terms: OrderTerms[] = [];
  private readonly places = new Map<string, number>();
  private readonly judging: ReturnType<typeof sheetInChoice>;
  /** Suppliers from whom one part alone may come: what they charge on its order is its own. */
  private readonly alone: ReadonlySet<string>;

  constructor(private readonly rows: ExposureRows) {
    this.declined = new Declined(rows.plan);
    this.ruledOut = new RuledOut(rows.plan);
    this.chosenQuotes = new Map(rows.plan.parts.map(({ id, chosenQuoteId }) => [id, chosenQuoteId]));
    this.judging = sheetInChoice(rows.sheet);
    this.calendar = shopCalendar(rows.plan, rows.figuresFor);
    this.plan = computePlan(rows.plan, { figuresFor: rows.figuresFor, confidence: null });
    this.orders = ordersAheadOf(rows, this.plan);
    const offered = groupBy(rows.plan.quotes, ({ supplierId }) => supplierId);
    const one = [...offered].filter(([, quotes]) => new Set(quotes.map(({ partId }) => partId)).size === 1);
    this.alone = new Set(one.map(([supplierId]) => supplierId));
  }

  problem(): ChoiceProblem {
    const { plan: planRows, figuresFor, restoration, sheet } = this.rows;
    const { plan } = this;
    const choosing = this.waysToChoose();
    const { outstanding } = acquisitionsOf(planRows, figuresFor, this.calendar);
    const taken = new Set<string>();
    for (const acquisition of outstanding) {
      const chosen = acquisition.kind === "PART" ? this.part(acquisition) : this.snag(acquisition);
      if (chosen) taken.add(acquisition.rowId);
    }
    this.settle(plan, taken, choosing);
    const work = workOf(planRows, chosenWays(planRows), this.calendar, { choosing });
    const { targetDate, targetName } = planRows.restoration;
    const { capMinor, currency } = restoration;
    const subjects = [...this.arriving, ...this.working];
    const spent = this.spent(subjects);
    const { capLeftMinor } = spent;
    const limits: ChoiceLimits = {
      end: targetDate === null ? undefined : this.calendar.day(targetDate),
      cost: capLeftMinor ?? undefined,
    };
    const costs = subjects.map(({ inForce }) => inForce.costMinor);
    const shared = chargedOn(
      this.terms,
      subjects.map(({ inForce }) => inForce.order),
    );
    const added = (amounts: readonly (number | null)[]): number | null =>
      amounts.includes(null) ? null : amounts.reduce<number>((sum, amount) => sum + amount!, shared);
    const atRisk = sheetLosses(sheet, [...this.settled, ...this.losses]);
    const free: ChoiceWork = {
      calendar: shopDays(planRows, figuresFor),
      ...work,
      arrivals: this.arrivals,
      operations: this.operations,
      sectionCaps: this.judging.sectionCaps,
      lines: this.judging.lines,
      ...(this.terms.length === 0 ? {} : { orders: this.terms }),
      limits,
      worth: {
        perDay: restoration.pricePerDayMinor ?? 0,
        perPoint: restoration.pricePerPointMinor ?? 0,
        from: limits.end ?? 0,
      },
    };
    const order = orderOfWork(planRows, figuresFor);
    const onFree = (): ChoiceAsked => ({
      work: { ...free, ...onFreeHands(free, planRows, outstanding, this.calendar) },
      hands: { rows: planRows, figuresFor, subjects: subjects.map(takingOf) },
    });
    return {
      restorationId: planRows.restoration.id,
      planRevision: this.rows.planRevision,
      figuresFor,
      currency,
      targetDate,
      targetName,
      capMinor,
      ...spent,
      sheet,
      said: { perDay: restoration.pricePerDayMinor !== null, perPoint: restoration.pricePerPointMinor !== null },
      work: { ...free, ...onHands(work, order) },
      asked: order === null ? { work: free, hands: null } : onFree(),
      subjects,
      open: this.open,
      inForce: {
        date: plan.completion.dateWithOpenInHand,
        costMinor: added(costs),
        landedMinor: added(subjects.map(({ inForce }) => inForce.landedMinor)),
        countedMinor: added(subjects.map(({ inForce }) => this.countedOf(inForce))),
        pointsLost: atRisk.total,
        disqualified: atRisk.disqualifiedBy.length > 0,
      },
      chargedMinor: subjects.reduce((sum, { inForce }) => sum + inForce.chargeMinor, shared),
      notices: this.notices,
    };
  }

  /** Work that has not begun and can be done in several ways. */
  private waysToChoose(): Set<string> {
    const { plan, ways: priced } = this.rows;
    const waysOf = groupBy(plan.ways, (way) => way.operationId);
    const choosing = new Set<string>();
    for (const o of plan.operations) {
      const ways = (waysOf.get(o.id) ?? []).filter(({ id }) => !this.declined.has(id));
      if (o.state !== "NOT_STARTED" || ways.length === 0) continue;
      const place = this.placeOfWork(o.id);
      const all = [
        {
          info: { ...OWN_WAY, ...costOfOption(this.rows, 0, o.hoursLikely, o.handsNeeded) },
          hours: o.hoursLikely,
          days: 0,
          chosen: o.chosenWayId === null,
        },
        ...ways.map((way) => {
          const { priceMinor, currency, points } = priced.get(way.id)!;
          const info: OptionInfo = {
            ...OWN_WAY,
            ...costOfOption(this.rows, this.leftToPay(way.id, priceMinor, currency), way.hours, o.handsNeeded),
            id: way.id,
            code: way.code,
            words: way.title,
            points: countedAt(this.rows.sheet, place, points),
            wayId: way.id,
          };
          return { info, hours: way.hours, days: way.days, chosen: o.chosenWayId === way.id };
        }),
      ];
      const inForce = (all.find(({ chosen }) => chosen) ?? all[0]!).info;
      const known = all.filter(({ info }) => info.costMinor !== null);
      for (const { info } of all)
        if (info.costMinor === null)
          this.notice(
            "way",
            info.code!,
            `${info.words}, a way to do ${o.title},`,
            "is left out: there is no rate for its currency.",
          );
      // What is in force stands first, so that of two that are alike it stays.
      known.sort((a, b) => Number(b.chosen) - Number(a.chosen));
      choosing.add(o.id);
      this.operations.push({
        id: `operation:${o.id}`,
        node: operationNode(o.id),
        ...this.judging.judgedAt(place),
        options: known.map(({ info, hours, days: away }) => ({
          ...this.option(info),
          time: away > 0 ? away : hours,
          inDays: away > 0,
          ...(away > 0 && hours > 0 ? { before: hours } : {}),
        })),
      });
      this.working.push({
        kind: "OPERATION",
        rowId: o.id,
        code: o.code,
        title: o.title,
        place,
        options: known.map(({ info }) => info),
        inForce,
        decided: true,
      });
      this.lose(place, inForce);
    }
    return choosing;
  }

  /** True when the part takes part in the choice. */
  private part(a: Acquisition): boolean {
    const { plan, parts, quotes: weighed, figuresFor, sheet } = this.rows;
    const part = parts.get(a.rowId)!;
    const place = placeOf(sheet, part);
    const quotes = plan.quotes.filter(
      ({ id, partId }) => partId === a.rowId && (a.orderId !== null || !this.declined.has(id)),
    );
    const infoOf = (quote: QuoteRow, when: "NOW" | "ORDERED" | "AFTER_HUNT"): OptionInfo => {
      const details = weighed.get(quote.id)!;
      const later = when === "AFTER_HUNT" && a.orderOn! > this.rows.figuresFor;
      const landed = when === "ORDERED" ? null : this.orders.landed(quote, details, part.quantity, { later });
      // What is ruled out goes on no order with others, nor does what follows a hunt or is all that its supplier offers: its
      // own charge is in its price.
      const alone =
        landed === null || when === "AFTER_HUNT" || this.ruledOut.has(quote) || this.alone.has(quote.supplierId);
      const order = alone ? undefined : this.onOrder(quote.supplierId, details, landed);
      const minor = landed === null ? 0 : this.lessDeposit(quote.id, withoutCharge(landed, order));
      const { landedMinor, hours, points } =
        when === "AFTER_HUNT"
          ? huntCost(this.rows, a, minor)
          : {
              landedMinor: minor,
              hours: this.coming(quote).preparation,
              points: pointsLost(sheet, part, details),
            };
      return {
        id: quote.id,
        code: quote.code,
        words: details.supplier.name,
        ...costOfOption(this.rows, landedMinor, hours, null),
        ...(order === undefined ? {} : { order }),
        chargeMinor: order === undefined && when === "NOW" ? (landed?.chargeMinor ?? 0) : 0,
        points,
        expected: when === "AFTER_HUNT" ? true : undefined,
        quoteId: quote.id,
        remedyId: null,
        wayId: null,
      };
    };
    const inForceRow = quotes.find(({ id }) => id === a.quoteId);
    if (a.orderId !== null) {
      // What is ordered comes when it comes, and is paid for already.
      const info = inForceRow === undefined ? { ...OWN_WAY, id: a.orderId } : infoOf(inForceRow, "ORDERED");
      this.arrival(a, place, [{ info, arrival: a.arrival!, preparation: a.preparationHours }], info);
      return true;
    }
    if (a.open || inForceRow === undefined) {
      this.open.push(a);
      return false;
    }
    // A hunt that is on: at its expected cost, and as quoted its fallback, ordered on the stop date. Ordering that same
    // quote now is another option.
    const hunted = a.state === "HUNTED";
    const own = infoOf(inForceRow, hunted ? "AFTER_HUNT" : "NOW");
    const inForce = hunted ? { ...own, id: `hunt:${own.id}`, words: `a find, else ${own.words}` } : own;
    const comes = { ...this.coming(inForceRow), ...(hunted ? { arrival: a.arrival! } : {}) };
    const settled = { info: this.withoutPrice(inForce), ...comes };
    const chosenQuoteId = this.chosenQuotes.get(a.rowId) ?? null;
    if (keepsQuote({ kept: part.kept, chosenQuoteId }, (id) => this.declined.has(id))) {
      if (inForce.costMinor === null) this.uncounted(a);
      this.arrival(a, place, [settled], inForce);
      return true;
    }
    const allowed = quotes.filter((quote) => !this.ruledOut.has(quote));
    if (allowed.length === 0 && !hunted) {
      this.notice(
        "part",
        a.code,
        a.title,
        "has only quotes that are ruled out: it counts as in hand, and there is no completion date yet.",
      );
      this.open.push(a);
      return false;
    }
    const priced = allowed
      .map((row) => ({ row, info: infoOf(row, "NOW"), ...this.coming(row) }))
      .filter(({ row, info }) => {
        if (info.costMinor !== null) return true;
        const { problem } = this.orders.landed(row, weighed.get(row.id)!, part.quantity);
        this.notice(
          "quote",
          row.code,
          `${codeInWords("Quote", row.code)} for ${a.title}`,
          `is left out: ${problem ?? "its cost cannot be worked out."}`,
        );
        return false;
      });
    if (priced.length === 0) {
      if (inForce.costMinor === null) this.uncounted(a);
      this.arrival(a, place, [settled], inForce);
      return true;
    }
    const valid = priced.filter(({ row }) => !isExpired(row, figuresFor));
    if (valid.length === 0)
      this.notice("part", a.code, a.title, "has only quotes that are past their validity: ask again.");
    const waiting = hunted && inForce.costMinor !== null ? [{ row: inForceRow, info: inForce, ...comes }] : [];
    const options = [...waiting, ...(valid.length > 0 ? valid : priced)];
    // What is in force stands first, so that of two that are alike it stays.
    options.sort((x, y) => Number(y.info.id === inForce.id) - Number(x.info.id === inForce.id));
    this.arrival(a, place, options, inForce);
    return true;
  }

  private snag(a: Acquisition): boolean {
    const { plan, remedies: priced } = this.rows;
    const place = this.placeOfWork(a.operationIds[0]!);
    const all = plan.remedies
      .filter(({ id, snagId }) => snagId === a.rowId && !this.declined.has(id))
      .map(({ id, code, days: away, hours: preparation }) => {
        const { title, priceMinor, currency, points } = priced.get(id)!;
        const cost = costOfOption(this.rows, this.leftToPay(id, priceMinor, currency), preparation, null);
        const counted = countedAt(this.rows.sheet, place, points);
        const info: OptionInfo = { ...OWN_WAY, ...cost, id, code, words: title, points: counted, remedyId: id };
        // A remedy that needs nothing from outside can begin at once.
        return { info, arrival: away === 0 ? -1 : away, preparation };
      });
    const inForce = all.find(({ info }) => info.id === a.remedyId);
    if (inForce === undefined) {
      this.open.push(a);
      return false;
    }
    const known = all.filter(({ info }) => info.costMinor !== null);
    for (const { info } of all)
      if (info.costMinor === null)
        this.notice(
          "remedy",
          info.code!,
          `${info.words}, a remedy of ${a.title},`,
          "is left out: there is no rate for its currency.",
        );
    if (known.length === 0) {
      this.notice("snag", a.code, a.title, "keeps its remedy, and its cost is not counted.");
      const settled = { ...inForce, info: this.withoutPrice(inForce.info) };
      this.arrival(a, place, [settled], settled.info);
      return true;
    }
    known.sort((x, y) => Number(y === inForce) - Number(x === inForce));
    this.arrival(a, place, known, inForce.info);
    return true;
  }

  private arrival(
    a: Acquisition,
    place: Place,
    options: readonly { info: OptionInfo; arrival: number; preparation: number }[],
    inForce: OptionInfo,
  ): void {
    this.arrivals.push({
      id: a.id,
      ...this.judging.judgedAt(place),
      needs: a.operationIds.map(operationNode),
      options: options.map(({ info, arrival, preparation }) => ({
        ...this.option(info),
        usable: this.calendar.usableAfterArrival(days(arrival)),
        preparation,
      })),
    });
    const { kind, rowId, code, title } = a;
    const { plan, figuresFor } = this.rows;
    // While it is looked for, what stands in is no choice that waits to be made.
    const decided = a.decided || plan.hunts.some((hunt) => hunt.partId === rowId && huntIsOn(hunt, figuresFor));
    this.arriving.push({ kind, rowId, code, title, place, options: options.map(({ info }) => info), inForce, decided });
    this.lose(place, inForce);
  }

  /** What of an option counts against the cap; without a cap, all of its cost. */
  private countedOf({ costMinor, landedMinor, labourMinor }: OptionInfo): number | null {
    const { capCoversLabour, countOwnHours } = this.rows.money;
    if (this.rows.restoration.capMinor === null || capCoversLabour === countOwnHours) return costMinor;
    return landedMinor === null ? null : landedMinor + (capCoversLabour ? labourMinor : 0);
  }

  /** As the engine takes it; what counts against the cap stands beside the cost where one has the hours in it and the other not. */
  private option(info: OptionInfo): Pick<Option, "id" | "cost" | "counted" | "points" | "order"> {
    const against = this.countedOf(info)!;
    const counted = against === info.costMinor ? {} : { counted: against };
    const onOrder = info.order === undefined ? {} : { order: info.order };
    return { id: info.id, cost: info.costMinor!, ...counted, points: hundredths(info.points), ...onOrder };
  }

  /** Where a quote stands on the order of its supplier; undefined where nothing is charged on it. */
  private onOrder(supplierId: string, { supplier }: LandedQuote, { order }: Landed): OnOrder | undefined {
    if (order === null) return undefined;
    let place = this.places.get(supplierId);
    if (place === undefined) {
      const { restoration, rates } = this.rows;
      place = this.terms.push(orderTerms(supplier, restoration.currency, rates)!) - 1;
      this.places.set(supplierId, place);
    }
    return { supplier: place, ...order };
  }

  /** An option that stays whatever it costs: where that cannot be worked out, its hours alone count. */
  private withoutPrice(info: OptionInfo): OptionInfo {
    return info.costMinor === null ? { ...info, ...costOfOption(this.rows, 0, info.hours, null) } : info;
  }

  /** When a quote brings the part if it is ordered as soon as can be, and the hours that it takes then. */
  private coming(quote: QuoteRow): { arrival: number; preparation: number } {
    const { figuresFor, plan } = this.rows;
    const brought = plan.knockOns
      .filter(({ quoteId }) => quoteId === quote.id)
      .reduce((sum, { hours }) => sum + hours, 0);
    return {
      arrival: this.calendar.day(firstOrderDay(quote, figuresFor)) + quote.leadDays,
      preparation: quote.preparationHours + brought,
    };
  }

  /** Points that are lost whatever is chosen: a choice of one for each place on the sheet. */
  private settle(
    { quoteInForce, remedyInForce, wayInForce }: Plan,
    taken: ReadonlySet<string>,
    choosing: ReadonlySet<string>,
  ): void {
    const { plan, parts, quotes: weighed, remedies: priced, ways: waysPriced, sheet } = this.rows;
    const lost = (place: Place, points: number): void => {
      if (points > 0) this.settled.push({ ...place, points: countedAt(sheet, place, points) });
    };
    for (const { id } of plan.parts) {
      const quote = weighed.get(quoteInForce.get(id) ?? "");
      if (quote === undefined || taken.has(id)) continue;
      const part = parts.get(id)!;
      lost(placeOf(sheet, part), pointsLost(sheet, part, quote));
    }
    for (const { id, operationId } of plan.snags) {
      const remedy = priced.get(remedyInForce.get(id) ?? "");
      if (remedy !== undefined && !taken.has(id)) lost(this.placeOfWork(operationId), remedy.points);
    }
    for (const [operation, way] of wayInForce)
      if (!choosing.has(operation)) lost(this.placeOfWork(operation), waysPriced.get(way)?.points ?? 0);
    const keyOf = ({ sectionId, lineId }: Place): string => [sectionId, lineId].filter(Boolean).join(" ");
    for (const [key, losses] of groupBy(this.settled, keyOf)) {
      const place = losses[0]!;
      const points = losses.reduce((sum, loss) => sum + loss.points, 0);
      const info: OptionInfo = { ...OWN_WAY, id: "settled", points };
      this.arrivals.push({
        id: `settled:${key}`,
        ...this.judging.judgedAt(place),
        needs: [],
        options: [{ ...this.option(info), usable: 0, preparation: 0 }],
      });
      const settled = { code: "", title: "", place, options: [info], inForce: info, decided: true };
      this.arriving.push({ kind: "SETTLED", rowId: key, ...settled });
    }
  }

  /** What is spent, owed and held back, by the same figures as the owner's money. */
  private spent(
    subjects: readonly ChoiceSubject[],
  ): Pick<ChoiceProblem, "committedMinor" | "heldBackMinor" | "capLeftMinor"> {
    const { lines, buckets, counted, unpriced, capMinor, capCoversLabour } = exposureOf(this.rows);
    const choosing = new Set(subjects.filter(({ kind }) => kind !== "SETTLED").map(({ rowId }) => rowId));
    const committedMinor = buckets.PAID.planned + buckets.OWED.planned;
    // What a cap of zero leaves, turned round, is what stands against any.
    const held = -capLeaves(lines, { minor: 0, coversLabour: capCoversLabour }, choosing)!;
    if (capMinor !== null && counted.unknown > 0)
      for (const { kind, rowId, code, title, why } of unpriced) {
        if (kind === "INVOICE" || choosing.has(rowId) || (kind === "HOURS" && !capCoversLabour)) continue;
        this.notice(
          kind === "HOURS" ? "operation" : kind.toLowerCase(),
          code,
          title,
          `is not counted against the cap: ${why}.`,
        );
      }
    return {
      committedMinor,
      heldBackMinor: held - committedMinor,
      capLeftMinor: capMinor === null ? null : capMinor - held,
    };
  }

  private uncounted({ code, title }: Acquisition): void {
    this.notice("part", code, title, "keeps its quote, of which the cost cannot be worked out and is not counted.");
  }

  /** @param name by which people know the row */
  private notice(noun: string, code: string, name: string, what: string): void {
    this.notices.push({ row: codeInWords(noun, code), message: `${name} ${what}` });
  }

  private lose(place: Place, { points, expected }: OptionInfo): void {
    if (points > 0) this.losses.push({ ...place, points, expected });
  }

  private placeOfWork(operationId: string): Place {
    const { sheet, groups, workLines } = this.rows;
    return placeOf(sheet, {
      group: groups.get(operationId) ?? "",
      judgingLineId: workLines.get(operationId) ?? null,
    });
  }

  /** What a way or a remedy still costs: its price less what was paid on it; less than zero where that was more, as with the owner's money. */
  private leftToPay(id: string, priceMinor: number, currency: string): number | null {
    const left = leftOf(this.rows, id, priceMinor);
    return left === null ? null : this.priceOf(left, currency);
  }

  /** A quote's landed cost less what was paid of it as a batch's deposit. */
  private lessDeposit(id: string, landed: number | null): number | null {
    const account = this.rows.paid.get(id);
    if (landed === null || account === undefined) return landed;
    return landed - (this.priceOf(paidOn(this.rows, id), account.currency) ?? 0);
  }

  /** In the restoration's currency; null without a rate. */
  private priceOf(minor: number, from: string): number | null {
    return inCurrency(minor, from, this.rows.restoration.currency, this.rows.rates);
  }
}

/** What is written where an option of a subject is taken. */
function takingOf({ kind, rowId, options, inForce }: ChoiceSubject): TakingSubject {
  const taking = ({ id, quoteId, remedyId, wayId }: OptionInfo) => ({ id, quoteId, remedyId, wayId });
  return { kind, rowId, options: options.map(taking), inForce: taking(inForce) };
}

/** The operation as it says itself, at no price; the cost of its hours is put beside it. */
const OWN_WAY: OptionInfo = {
  id: "own",
  code: null,
  words: "as it stands",
  landedMinor: 0,
  hours: 0,
  rateMinor: null,
  labourMinor: 0,
  costMinor: 0,
  points: 0,
  chargeMinor: 0,
  quoteId: null,
  remedyId: null,
  wayId: null,
};

/** Landed without the share of what is charged on the order, where that is counted by itself. */
const withoutCharge = ({ totalMinor, chargeMinor }: Landed, order: OnOrder | undefined): number | null =>
  totalMinor === null || order === undefined ? totalMinor : totalMinor - chargeMinor;
