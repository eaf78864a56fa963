/** What lies ahead of the owner's money: parts and snags not yet ordered or put right, work sent out, hours still to do. */

import { type AheadEntry, into, type LabourAhead, type OrderEntry, wages } from "../../engine/money/exposure.ts";
import { type Currency, roundedMinor } from "../../engine/money/money.ts";
import { type OpenOption, type OpenPart, priceEnds } from "../../engine/money/priceEnds.ts";
import { addDays } from "../../engine/time/date.ts";
import { grouped } from "../choice/load.ts";
import { hourlyRateOf, hourlyRateOfHands } from "../choice/optionCost.ts";
import { computePlan } from "../compute.ts";
import { shopCalendar } from "../days/shopDays.ts";
import { WorkRecords } from "../hands/workRecord.ts";
import { findPrice, type HuntCost, huntCost } from "../hunt/cost.ts";
import { chosenWays } from "../network/work.ts";
import { type Acquisition, acquisitionsOf, huntIsOn, isExpired } from "../parts/acquisition.ts";
import { Declined } from "../parts/declined.ts";
import { lackOf } from "../parts/openWords.ts";
import { RuledOut } from "../parts/ruledOut.ts";
import type { Plan } from "../plan.ts";
import type { OperationRow, QuoteRow } from "../rows/rows.ts";
import { currencyOf, rateOf } from "./exchange.ts";
import type { ExposureRows } from "./exposureLoad.ts";
import { entriesOf, leftOf, paidOn } from "./exposurePaid.ts";
import { type Landed, orderTerms } from "./landed.ts";
import { type OrdersAhead, ordersAheadOf } from "./ordersAhead.ts";

/** A row that has no price, and why. */
export interface Unpriced {
  kind: "PART" | "SNAG" | "OPERATION" | "ORDER" | "PAYMENT" | "HOURS" | "INVOICE";
  rowId: string;
  /** Code of the row, or of the row that it stands on. */
  code: string;
  title: string;
  why: string;
}

/** A way or a remedy that costs money and is paid without an order: in force, or paid for. Amounts are of its own currency. */
export interface PaidDirectly {
  is: "WAY" | "REMEDY";
  /** Of the way or the remedy. */
  id: string;
  /** The operation or the snag. */
  rowId: string;
  code: string;
  title: string;
  currency: string;
  priceMinor: number;
  paidMinor: number;
  /** Still to be paid; null where a payment in another currency has no rate. */
  leftMinor: number | null;
  /** It has gone out, or is put right: what is left is owed, and not only chosen. */
  owed: boolean;
  /** False: no longer chosen, and nothing more is to be paid; it is listed until what was paid has come back. */
  inForce: boolean;
}

/** Goes through the rows once; what it found stands in its lists. */
export class Ahead {
  readonly entries: AheadEntry[] = [];
  /** What is paid without an order: work sent out, remedies, deposits of batches. */
  readonly accounts: OrderEntry[] = [];
  readonly direct: PaidDirectly[] = [];
  /** By part id: what was paid of its chosen quote already, as a batch's deposit. */
  readonly deposited = new Map<string, number>();
  readonly toGo: LabourAhead[] = [];
  /** What the hours to go come to as that work usually takes, in minor units; those without a rate count for nothing. */
  labourExpectedMinor = 0;
  readonly unpriced: Unpriced[] = [];
  private readonly plan: Plan;
  /** By part id. */
  private readonly quotesOf: ReadonlyMap<string, readonly QuoteRow[]>;
  /** By quote id. */
  private readonly supplierOf: ReadonlyMap<string, string>;
  private readonly home: Currency;
  /** Undecided parts whose ends depend on each other. */
  private readonly openParts: {
    entry: Pick<AheadEntry, "id" | "group" | "dueOn" | "bucket" | "currency">;
    planned: number;
    unknown: boolean;
    part: OpenPart;
  }[] = [];
  /** Ids of ways and remedies whose accounts stand in the list. */
  private readonly inForce = new Set<string>();
  private readonly declined: Declined;
  private readonly ruledOut: RuledOut;
  private readonly orders: OrdersAhead;

  constructor(private readonly rows: ExposureRows) {
    const { figuresFor } = rows;
    const calendar = shopCalendar(rows.plan, figuresFor);
    this.plan = computePlan(rows.plan, { figuresFor, confidence: null });
    this.declined = new Declined(rows.plan);
    this.ruledOut = new RuledOut(rows.plan);
    this.orders = ordersAheadOf(rows, this.plan);
    this.home = currencyOf(rows.restoration.currency);
    this.supplierOf = new Map(rows.plan.quotes.map(({ id, supplierId }) => [id, supplierId]));
    this.quotesOf = grouped(rows.plan.quotes, ({ partId }) => partId);
    const { outstanding } = acquisitionsOf(rows.plan, figuresFor, calendar);
    for (const acquisition of outstanding) {
      if (acquisition.kind === "SNAG") this.snag(acquisition);
      else if (acquisition.orderId === null) this.part(acquisition);
      this.preparation(acquisition);
    }
    this.ends();
    this.remediesDone(new Set(outstanding.map(({ rowId }) => rowId)));
    this.outside();
    this.notInForce();
    this.work();
  }

  /** The quotes in force that are still to be ordered, by part id. */
  get toOrder(): ReadonlyMap<string, string> {
    return this.plan.quoteToOrder;
  }

  /** A quote for as many as its part needs. */
  landed(partId: string, quoteId: string, later?: boolean): Landed {
    const named = this.quotesOf.get(partId)!.find(({ id }) => id === quoteId)!;
    const { quotes, parts } = this.rows;
    return this.orders.landed(named, quotes.get(quoteId)!, parts.get(partId)!.quantity, { later });
  }

  /** What a part that is looked for is expected to cost, less what was paid of its fallback; null of any other. */
  hunted(a: Acquisition): HuntCost | null {
    if (a.state !== "HUNTED") return null;
    const { totalMinor } = this.landed(a.rowId, a.quoteId!);
    return huntCost(this.rows, a, totalMinor === null ? null : totalMinor - this.depositOf(a.quoteId!));
  }

  /** What an hour of work is charged at, of all hands that it takes or, null, of one of no trade; null when not said. */
  hourOf(hands: OperationRow["handsNeeded"] | null): number | null {
    return hands === null ? hourlyRateOf(this.rows, null) : hourlyRateOfHands(this.rows, hands);
  }

  /** A part that is not ordered: as chosen, from the lowest to the highest feasible quote, or by its estimate. */
  private part(a: Acquisition): void {
    const { rows } = this;
    const group = rows.parts.get(a.rowId)?.group ?? "";
    const dueOn = this.arrivalOf(a);
    const base = { id: a.rowId, group, dueOn };
    if (a.open || a.quoteId === null) {
      const estimate = this.findOf(a) ?? rows.parts.get(a.rowId)?.estimateMinor ?? null;
      if (estimate === null) this.lacks("PART", a, "nobody quotes it, and there is no estimate");
      this.range({ ...base, dueOn: null, bucket: "UNSOURCED", currency: null }, [estimate], estimate);
      return;
    }
    const landed = (quoteId: string): Landed => this.landed(a.rowId, quoteId);
    const left = (quoteId: string, { totalMinor }: Landed): number | null =>
      totalMinor === null ? null : totalMinor - this.depositOf(quoteId);
    const inForce = this.landed(a.rowId, a.quoteId!);
    if (a.decided) {
      if (inForce.totalMinor === null) this.lacks("PART", a, sentence(inForce.problem));
      const hunt = this.hunted(a);
      if (hunt === null) this.chosen(a, base, inForce);
      else {
        const fallback = left(a.quoteId, inForce);
        const unknown = hunt.landedMinor === null;
        if (unknown && fallback !== null) this.lacks("PART", a, "there is no rate for the price of a find");
        const ends = unknown ? [null] : [hunt.findMinor ?? fallback, fallback];
        this.range({ ...base, bucket: "CHOSEN", currency: null }, ends, hunt.landedMinor);
      }
      return;
    }
    const allowed = (this.quotesOf.get(a.rowId) ?? []).filter((q) => !this.ruledOut.has(q) && !this.declined.has(q.id));
    const valid = allowed.filter((quote) => !isExpired(quote, rows.figuresFor));
    const taken = valid.length > 0 ? valid : allowed;
    const all = taken.map(({ id }) => landed(id));
    const missing = all.find(({ totalMinor }) => totalMinor === null);
    if (missing !== undefined) this.lacks("PART", a, sentence(missing.problem));
    const entry = { ...base, bucket: "UNDECIDED" as const, currency: null };
    const planned = left(a.quoteId, inForce);
    const prices = [planned, ...all.map((one, i) => left(taken[i]!.id, one))];
    const quoteIds = [a.quoteId, ...taken.map(({ id }) => id)];
    const options = [inForce, ...all].flatMap((one, i): OpenOption[] => {
      const minor = prices[i]!;
      return minor === null ? [] : [{ minor: minor - one.chargeMinor, order: this.onOrder(quoteIds[i]!, one) }];
    });
    if (planned === null || options.every(({ order }) => order === null)) this.range(entry, prices, planned);
    else this.openParts.push({ entry, planned, unknown: prices.includes(null), part: { inForce: 0, options } });
  }

  /** What a find is expected to cost of a part that is looked for while nobody quotes it; null: not looked for, or not said. */
  private findOf({ kind, rowId }: Acquisition): number | null {
    const { plan, figuresFor, restoration, rates } = this.rows;
    const hunt = kind === "PART" ? plan.hunts.find(({ partId }) => partId === rowId) : undefined;
    return hunt !== undefined && huntIsOn(hunt, figuresFor) ? findPrice(hunt, restoration.currency, rates) : null;
  }

  private onOrder(quoteId: string, { order: line }: Landed): OpenOption["order"] {
    if (line === null) return null;
    const { supplier } = this.rows.quotes.get(quoteId)!;
    const terms = orderTerms(supplier, this.home.code, this.rows.rates);
    return terms ? { supplier: this.supplierOf.get(quoteId)!, terms, line } : null;
  }

  /** Undecided parts whose suppliers charge on whole orders: what one leaves to the others of its order is in its ends. */
  private ends(): void {
    if (this.openParts.length === 0) return;
    const open = new Set(this.openParts.map(({ entry }) => entry.id));
    const found = priceEnds(
      this.orders.standing().filter(({ partId }) => !open.has(partId)),
      this.openParts.map(({ part }) => part),
    );
    this.openParts.forEach(({ entry, planned, unknown }, i) => {
      const { less, more } = found[i]!;
      this.entries.push({ ...entry, low: planned + less, planned, high: planned + more, unknown });
    });
  }

  /** A chosen quote: its deposit falls due with the order, the rest on arrival; duty and tax are paid at home. */
  private chosen(a: Acquisition, base: { id: string; group: string; dueOn: string | null }, landed: Landed): void {
    const quote = this.rows.quotes.get(a.quoteId!)!;
    if (landed.totalMinor === null) {
      this.range({ ...base, bucket: "CHOSEN", currency: quote.currency }, [null], null);
      return;
    }
    const amounts = new Map<string, number>();
    const add = (currency: string, amount: number) => amounts.set(currency, (amounts.get(currency) ?? 0) + amount);
    const brought = new Map<string, string>(quote.knockOns.map(({ title, currency }) => [title, currency]));
    for (const { kind, words, amountMinor } of landed.lines)
      add(
        kind === "KNOCK_ON"
          ? (brought.get(words) ?? this.home.code)
          : AT_HOME.has(kind)
            ? this.home.code
            : ON_ORDER.has(kind)
              ? quote.supplier.currency
              : quote.currency,
        amountMinor,
      );
    const deposit = this.at(quote.depositMinor, quote.currency);
    const paid = this.depositOf(a.quoteId!);
    if (paid !== 0) {
      this.deposited.set(a.rowId, paid);
      add(quote.currency, -paid);
    }
    const first = Math.max(0, Math.min((deposit ?? 0) - paid, amounts.get(quote.currency) ?? 0));
    const put = (dueOn: string | null, currency: string, amount: number): void => {
      if (amount !== 0) this.range({ ...base, dueOn, bucket: "CHOSEN", currency }, [amount], amount);
    };
    put(a.orderOn, quote.currency, first);
    for (const [currency, amount] of amounts)
      put(base.dueOn, currency, currency === quote.currency ? amount - first : amount);
  }

  private snag(a: Acquisition): void {
    const { rows } = this;
    const base = { id: a.rowId, group: rows.groups.get(a.operationIds[0]!) ?? "", dueOn: this.arrivalOf(a) };
    const remedies = rows.plan.remedies
      .filter(({ id, snagId }) => snagId === a.rowId && !this.declined.has(id))
      .map(({ id }) => id);
    const priceOf = (id: string): number | null => {
      const { priceMinor, currency } = rows.remedies.get(id)!;
      const left = leftOf(rows, id, priceMinor);
      return left === null ? null : this.at(left, currency);
    };
    if (a.remedyId === null) {
      this.lacks("SNAG", a, `it has ${lackOf([a])}`);
      this.range({ ...base, dueOn: null, bucket: "UNSOURCED", currency: null }, [null], null);
      return;
    }
    if (a.decided) {
      this.account(a, a.remedyId, rows.remedies.get(a.remedyId)!, { ...base, rest: "CHOSEN" });
      return;
    }
    const prices = remedies.map(priceOf);
    if (prices.includes(null)) this.lacks("SNAG", a, "there is no rate for its currency");
    this.range({ ...base, bucket: "UNDECIDED", currency: null }, prices, priceOf(a.remedyId));
  }

  /** Remedies of snags that were put right: the money is owed until it is paid. */
  private remediesDone(outstanding: ReadonlySet<string>): void {
    const { rows } = this;
    for (const { id, code, title, operationId, clearedOn, chosenRemedyId } of rows.plan.snags) {
      const remedy = rows.remedies.get(chosenRemedyId ?? "");
      if (outstanding.has(id) || remedy === undefined) continue;
      const group = rows.groups.get(operationId) ?? "";
      const named = { rowId: id, code, title };
      this.account(named, chosenRemedyId!, remedy, { id, group, dueOn: clearedOn, rest: "OWED" }, "SNAG");
    }
  }

  /** Work that is chosen to be sent out: owed once it has gone. */
  private outside(): void {
    const { rows } = this;
    const ways = chosenWays(rows.plan);
    for (const { id, code, title, state, finishedOn } of rows.plan.operations) {
      const wayId = ways.get(id)?.id ?? "";
      const way = rows.ways.get(wayId);
      if (way === undefined) continue;
      const back = this.plan.operations.get(id)?.earlyFinishDate ?? null;
      const entry = {
        id,
        group: rows.groups.get(id) ?? "",
        dueOn: state === "DONE" ? (finishedOn ?? back) : back,
        rest: state === "NOT_STARTED" ? ("CHOSEN" as const) : ("OWED" as const),
      };
      this.account({ rowId: id, code, title }, wayId, way, entry, "OPERATION");
    }
  }

  /** A way or a remedy in force at its price: what was paid on it is paid, and the rest is owed or chosen. */
  private account(
    { rowId, code, title }: Pick<Acquisition, "rowId" | "code" | "title">,
    paidFor: string,
    { priceMinor, currency }: { priceMinor: number; currency: string },
    entry: Pick<OrderEntry, "id" | "group" | "dueOn" | "rest">,
    kind: Unpriced["kind"] = "SNAG",
  ): void {
    const { rows, home } = this;
    const named = { rowId, code, title };
    this.inForce.add(paidFor);
    const payments = rows.paid.get(paidFor)?.payments ?? [];
    if (priceMinor === 0 && payments.length === 0) return;
    const left = leftOf(rows, paidFor, priceMinor);
    const rate = rateOf(null, currency, home.code, rows.rates);
    if (left === null || (left !== 0 && rate === null)) this.lacks(kind, named, "there is no rate for its currency");
    this.direct.push({
      ...named,
      is: kind === "OPERATION" ? "WAY" : "REMEDY",
      id: paidFor,
      currency,
      priceMinor,
      paidMinor: paidOn(rows, paidFor),
      leftMinor: left,
      owed: entry.rest === "OWED",
      inForce: true,
    });
    this.accounts.push({
      ...entry,
      currency: currencyOf(currency),
      totalMinor: priceMinor,
      sentBack: false,
      late: false,
      rate,
      payments: entriesOf(payments, currency, home.code, rows.ratesOn),
    });
  }

  /** What was paid for a way or a remedy that is no longer chosen, and deposits of batches, which lessen their quotes. */
  private notInForce(): void {
    const { rows, home } = this;
    for (const { id, is, rowId, code, title, group, currency, payments } of rows.paid.values()) {
      if (this.inForce.has(id)) continue;
      const paidMinor = paidOn(rows, id);
      if (is !== "QUOTE" && paidMinor !== 0) {
        const { priceMinor } = (is === "WAY" ? rows.ways : rows.remedies).get(id)!;
        const direct = { is, id, rowId, code, title, currency, priceMinor, paidMinor };
        this.direct.push({ ...direct, leftMinor: 0, owed: false, inForce: false });
      }
      this.accounts.push({
        id,
        group,
        currency: currencyOf(currency),
        totalMinor: 0,
        sentBack: true,
        late: false,
        dueOn: null,
        rate: null,
        payments: entriesOf(payments, currency, home.code, rows.ratesOn),
      });
    }
  }

  /** What was paid of a quote as a batch's deposit, in the restoration's currency. */
  depositOf(quoteId: string): number {
    const account = this.rows.paid.get(quoteId);
    return account === undefined ? 0 : (this.at(paidOn(this.rows, quoteId), account.currency) ?? 0);
  }

  private work(): void {
    const { rows } = this;
    const ways = chosenWays(rows.plan);
    const records = new WorkRecords(rows.plan, rows.figuresFor);
    for (const o of rows.plan.operations) {
      if (o.state === "DONE") continue;
      const way = ways.get(o.id);
      const planned = this.plan.operations.get(o.id)!.hoursToDo;
      const estimated = way === undefined && planned === o.hoursLikely;
      this.toGo.push({
        id: o.id,
        group: rows.groups.get(o.id) ?? "",
        day: this.plan.operations.get(o.id)?.earlyFinishDate ?? null,
        hours: {
          low: estimated ? (o.hoursLeast ?? planned) : planned,
          planned,
          high: estimated ? (o.hoursMost ?? planned) : planned,
        },
        rateMinor: this.hourOf(o.handsNeeded),
      });
      this.expect(records.expected(o.trade, planned), o.handsNeeded);
    }
  }

  private expect(hours: number, hands: OperationRow["handsNeeded"] | null): void {
    this.labourExpectedMinor += roundedMinor(wages(hours, this.hourOf(hands) ?? 0));
  }

  /** Work that a part or a remedy brings before the operation can go on. */
  private preparation(a: Acquisition): void {
    const hunt = this.hunted(a);
    const planned = hunt?.hours ?? a.preparationHours;
    const low = Math.min(hunt?.findHours ?? planned, a.preparationHours);
    const high = Math.max(hunt?.findHours ?? planned, a.preparationHours);
    if (high === 0) return;
    const { groups, parts } = this.rows;
    const group = (a.kind === "PART" ? parts.get(a.rowId)?.group : groups.get(a.operationIds[0] ?? "")) ?? "";
    const hours = { low, planned, high };
    this.toGo.push({ id: a.rowId, group, day: this.arrivalOf(a), hours, rateMinor: this.hourOf(null) });
    this.expect(planned, null);
  }

  /** One entry from several prices; what has none makes it at least so much. */
  private range(
    entry: Pick<AheadEntry, "id" | "group" | "dueOn" | "bucket" | "currency">,
    prices: readonly (number | null)[],
    planned: number | null,
  ): void {
    const known = prices.filter((price) => price !== null);
    const low = Math.min(...known);
    const ends = known.length === 0 ? NOTHING : { low, planned: planned ?? low, high: Math.max(...known) };
    this.entries.push({ ...entry, ...ends, unknown: prices.includes(null) });
  }

  /** In the restoration's currency at the rate of the day of the figures; null without one. */
  private at(minor: number, from: string): number | null {
    return into(minor, currencyOf(from), this.home, rateOf(null, from, this.home.code, this.rows.rates));
  }

  private arrivalOf({ arrival }: Acquisition): string | null {
    return arrival === null ? null : addDays(this.rows.figuresFor, Math.max(0, arrival));
  }

  lacks(kind: Unpriced["kind"], { rowId, code, title }: Pick<Acquisition, "rowId" | "code" | "title">, why: string) {
    this.unpriced.push({ kind, rowId, code, title, why });
  }
}

const NOTHING = { low: 0, planned: 0, high: 0 };
const AT_HOME: ReadonlySet<string> = new Set(["DUTY", "TAX", "ONWARD", "CORE_CARRIAGE"]);
const ON_ORDER: ReadonlySet<string> = new Set(["ORDER_CARRIAGE", "ORDER_MINIMUM"]);

/** The beginning of a sentence as the middle of one. */
export const sentence = (words: string | null): string =>
  (words ?? "its cost cannot be worked out").replace(/^[A-Z](?=[a-z])/, (c) => c.toLowerCase()).replace(/\.$/, "");
