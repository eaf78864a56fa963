/**
 * The owner's money: a restoration's rows as entries of the engine's exposure, and its sums named by the rows.
 * Pure: the same rows give the same figures.
 */
import { contingency } from "../../engine/money/contingency.ts";
import type { CostOfRuns } from "../../engine/money/costRuns.ts";
import {
  type AtRisk,
  type Exposure,
  exposure,
  isLabour,
  type LabourEntry,
  type OrderEntry,
  type OwnerEntry,
} from "../../engine/money/exposure.ts";
import {
  byCurrency,
  byGroup,
  byMonth,
  type CurrencyGroup,
  type ExposureGroup,
} from "../../engine/money/exposureGroups.ts";
import type { Currency } from "../../engine/money/money.ts";
import type { Ratio } from "../../engine/money/ratio.ts";
import { chosenWays } from "../network/work.ts";
import { orderDaysLate } from "../parts/dates.ts";
import { currencyOf, rateOf } from "./exchange.ts";
import { Ahead, type PaidDirectly, sentence, type Unpriced } from "./exposureAhead.ts";
import type { ExposureRows, OrderAccount } from "./exposureLoad.ts";
import { entriesOf } from "./exposurePaid.ts";

export interface RestorationExposure extends Exposure {
  figuresFor: string;
  currency: string;
  capMinor: number | null;
  capCoversLabour: boolean;
  consentOverMinor: number | null;
  byGroup: readonly ExposureGroup[];
  byMonth: readonly ExposureGroup[];
  byCurrency: readonly CurrencyGroup[];
  atRisk: readonly AtRiskOrder[];
  unpriced: readonly Unpriced[];
  direct: readonly PaidDirectly[];
  /** No rate is known for some of the labour. */
  labourUnrated: boolean;
  /** What labour to go comes to by how long work really takes, minor units. */
  labourExpectedMinor: number;
  contingency: Contingency | null;
}

export interface AtRiskOrder extends AtRisk {
  code: string;
  partId: string;
  partName: string;
  supplierName: string;
  currency: string;
  promisedOn: string;
  daysLate: number;
}

/** What to set aside, with the chance to which it holds. */
export interface Contingency {
  amountMinor: number;
  chance: number;
  runs: number;
  /** Share of all runs that never end, and so have no cost; the figure is of the others. */
  never: number;
  /** What hours alone, and what parts and prices alone would need with the same chance: together they need less, for both seldom come at once. */
  labourMinor: number;
  partsMinor: number;
  /** All of it as planned, with the amount set aside. */
  totalMinor: number;
  /** What the cap leaves once what counts against it is set aside too; null without a cap, less than zero where it does not fit. */
  capLeftMinor: number | null;
}

/** Cost of each run of the simulation beyond the plan in force, minor units of the restoration's currency, and the chance asked. */
export interface CostRuns extends CostOfRuns {
  chance: number;
}

/** The exposure of a restoration's rows. Without runs there is no contingency. Throws PlanFault where the rows make no plan. */
export function exposureOf(rows: ExposureRows, runs: CostRuns | null = null): RestorationExposure {
  return new ExposureBuilder(rows).result(runs);
}

function contingencyOf(
  runs: CostRuns,
  { total, capLeftMinor }: Exposure,
  capCoversLabour: boolean,
): Contingency | null {
  const { beyondPlan, labour, parts, never, chance } = runs;
  const [all, hours, prices] = [beyondPlan, labour, parts].map((amounts) => contingency(amounts, 0, chance));
  if (all === undefined || hours === undefined || prices === undefined) return null;
  return {
    amountMinor: all,
    labourMinor: hours,
    partsMinor: prices,
    totalMinor: total.planned + all,
    capLeftMinor: capLeftMinor === null ? null : capLeftMinor - (capCoversLabour ? all : prices),
    chance,
    runs: beyondPlan.length,
    never: never / (never + beyondPlan.length),
  };
}

class ExposureBuilder {
  private readonly ahead: Ahead;
  private readonly home: Currency;

  constructor(private readonly rows: ExposureRows) {
    this.ahead = new Ahead(rows);
    this.home = currencyOf(rows.restoration.currency);
  }

  result(runs: CostRuns | null): RestorationExposure {
    const { rows, home } = this;
    const { capMinor } = rows.restoration;
    const { capCoversLabour, consentOverMinor } = rows.money;
    const sums = exposure({
      currency: home,
      capMinor,
      capCoversLabour,
      orders: [...rows.accounts.map((account) => this.order(account)), ...this.ahead.accounts],
      ahead: this.ahead.entries,
      labourDone: [...this.booked(), ...this.done()],
      labourToGo: this.ahead.toGo,
      owner: rows.invoices.map((invoice) => this.owner(invoice)),
    });
    this.withoutRate(sums.withoutRate);
    const accounts = new Map(rows.accounts.map((account) => [account.id, account]));
    return {
      ...sums,
      figuresFor: rows.figuresFor,
      currency: home.code,
      capMinor,
      capCoversLabour,
      consentOverMinor,
      byGroup: byGroup(sums.lines),
      byMonth: byMonth(sums.lines),
      byCurrency: byCurrency(sums.lines),
      atRisk: sums.atRisk.map((risk) => this.risk(risk, accounts.get(risk.orderId)!)),
      unpriced: this.ahead.unpriced,
      direct: this.ahead.direct,
      labourUnrated: sums.lines.some(({ bucket, unknown }) => unknown && isLabour(bucket)),
      labourExpectedMinor: this.ahead.labourExpectedMinor,
      contingency: runs === null ? null : contingencyOf(runs, sums, capCoversLabour),
    };
  }

  private risk(risk: AtRisk, account: OrderAccount): AtRiskOrder {
    const { code, partId, part, quote, currency, promisedOn } = account;
    return {
      ...risk,
      code,
      partId,
      partName: part.name,
      supplierName: quote.supplier.name,
      currency,
      promisedOn,
      daysLate: orderDaysLate(account, this.rows.figuresFor),
    };
  }

  private order(account: OrderAccount): OrderEntry {
    const { figuresFor } = this.rows;
    const own = currencyOf(account.currency);
    const expected = account.expectedOn ?? account.promisedOn;
    return {
      id: account.id,
      group: account.part.group,
      currency: own,
      totalMinor: account.totalMinor,
      sentBack: account.state === "SENT_BACK",
      late: orderDaysLate(account, figuresFor) > 0,
      // What has come is due; what is late is due when it comes, which is not before the figures' own day.
      dueOn: account.arrivedOn !== null || expected < figuresFor ? figuresFor : expected,
      rate: rateOf(null, own.code, this.home.code, this.rows.rates),
      payments: entriesOf(account.payments, own.code, this.home.code, this.rows.ratesOn),
    };
  }

  private booked(): LabourEntry[] {
    return this.rows.hours.map(({ id, workedOn, hours, rateMinor, currency, operation }) => ({
      id,
      group: operation.group,
      day: workedOn,
      hours,
      rateMinor,
      currency: currencyOf(currency),
      rate: rateOf(null, currency, this.home.code, this.rows.ratesOn(workedOn)),
    }));
  }

  /** Work that is done and has no hours booked counts with the hours it was estimated at, at today's rate of its trade. */
  private done(): LabourEntry[] {
    const { rows, home } = this;
    const ways = chosenWays(rows.plan);
    const booked = new Set(rows.hours.map(({ operationId }) => operationId));
    return rows.plan.operations.flatMap((o) => {
      if (booked.has(o.id) || o.state === "NOT_STARTED") return [];
      const all = ways.get(o.id)?.hours ?? o.hoursLikely;
      const hours = o.state === "DONE" ? all : Math.max(0, all - (o.remainingHours ?? all));
      const group = rows.groups.get(o.id) ?? "";
      const day = o.finishedOn ?? o.startedOn;
      return [
        { id: o.id, group, day, hours, rateMinor: this.ahead.hourOf(o.handsNeeded), currency: home, rate: ONE_TO_ONE },
      ];
    });
  }

  private owner(invoice: ExposureRows["invoices"][number]): OwnerEntry {
    const { id, kind, amountMinor, currency, day } = invoice;
    const rate = rateOf(null, currency, this.home.code, this.rows.ratesOn(day));
    return { id, kind, amountMinor, currency: currencyOf(currency), rate };
  }

  /** Names the entries of the ledger that no rate is known for. */
  private withoutRate(ids: readonly string[]): void {
    const lacking = new Set(ids);
    const why = (currency: string, day: string) => sentence(this.rows.ratesOn(day).missing(currency, this.home.code));
    for (const account of this.rows.accounts) {
      const { id, code, currency, part } = account;
      if (lacking.has(id))
        this.ahead.lacks("ORDER", { rowId: id, code, title: part.name }, why(currency, this.rows.figuresFor));
      for (const payment of account.payments)
        if (lacking.has(payment.id))
          this.ahead.lacks(
            "PAYMENT",
            { rowId: payment.id, code, title: part.name },
            why(payment.currency, payment.paidOn),
          );
    }
    for (const { code, title, payments } of this.rows.paid.values())
      for (const { id, currency, paidOn } of payments)
        if (lacking.has(id)) this.ahead.lacks("PAYMENT", { rowId: id, code, title }, why(currency, paidOn));
    for (const { id, currency, workedOn, operation } of this.rows.hours)
      if (lacking.has(id)) this.ahead.lacks("HOURS", { rowId: id, ...operation }, why(currency, workedOn));
    for (const { id, code, currency, day } of this.rows.invoices)
      if (lacking.has(id)) this.ahead.lacks("INVOICE", { rowId: id, code, title: code }, why(currency, day));
  }
}

const ONE_TO_ONE: Ratio = { top: 1n, bottom: 1n };
