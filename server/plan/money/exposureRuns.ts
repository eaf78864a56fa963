/** What the runs that give the dates cost, on a restoration's rows: what to set aside rests on it. */
import {
  type CostOfRuns,
  costRuns,
  type PriceRange,
  type RunPrices,
  type StepCost,
} from "../../engine/money/costRuns.ts";
import { into, paidOf } from "../../engine/money/exposure.ts";
import type { Route, UncertainModel } from "../../engine/odds/uncertainty.ts";
import { codeInWords } from "../../store/codes.ts";
import { hourlyRateOfHands } from "../choice/optionCost.ts";
import { shopCalendar } from "../days/shopDays.ts";
import { operationNode } from "../network/work.ts";
import { oddsModel } from "../odds/odds.ts";
import { type Acquisition, acquisitionsOf } from "../parts/acquisition.ts";
import type { PlanRows } from "../rows/rows.ts";
import { currencyOf, rateOf } from "./exchange.ts";
import { Ahead } from "./exposureAhead.ts";
import type { ExposureRows } from "./exposureLoad.ts";

/** The cost of each run beyond the plan. Pure. */
export function costOfRuns(rows: ExposureRows, odds: PlanRows, runs: { seed: number; samples: number }): CostOfRuns {
  const { model, prices } = pricedModel(rows, odds);
  return costRuns(model, prices, runs);
}

/** The model of the runs, with what its hours and routes cost. What has no price counts as planned. */
export function pricedModel(rows: ExposureRows, odds: PlanRows): { model: UncertainModel; prices: RunPrices } {
  const { plan, figuresFor } = rows;
  const model = oddsModel(odds, figuresFor);
  const rates = new Map(
    plan.operations.flatMap(({ id, handsNeeded }) => {
      const rate = hourlyRateOfHands(rows, handsNeeded);
      return rate === null ? [] : [[operationNode(id), rate] as const];
    }),
  );
  const calendar = shopCalendar(plan, figuresFor);
  const routeOf = new Map(model.holdUps.map(({ node, route }) => [node, route]));
  const ahead = new Ahead(rows);
  const prices = new Prices(rows, ahead);
  const routes = new Map(
    acquisitionsOf(plan, figuresFor, calendar).outstanding.flatMap((a) => {
      const route = routeOf.get(a.id) ?? null;
      return route === null || a.kind === "SNAG" ? [] : [[a.id, prices.steps(a, route)] as const];
    }),
  );
  return { model, prices: { rates, routes, undecided: pricesUndecided(rows, ahead) } };
}

/** Least, planned and most of every part and snag that nobody has decided on, or that has no source. */
function pricesUndecided(rows: ExposureRows, ahead: Ahead): PriceRange[] {
  const { parts, snags } = rows.plan;
  const codes = new Map([
    ...parts.map(({ id, code }) => [id, codeInWords("part", code)] as const),
    ...snags.map(({ id, code }) => [id, codeInWords("snag", code)] as const),
  ]);
  return ahead.entries.flatMap(({ id, bucket, low, planned, high }) =>
    (bucket === "UNDECIDED" || bucket === "UNSOURCED") && high > low
      ? [{ name: codes.get(id) ?? id, low, likely: planned, high }]
      : [],
  );
}

/** What each step of a part's route costs beyond what the plan counts for the part. */
class Prices {
  constructor(
    private readonly rows: ExposureRows,
    private readonly ahead: Ahead,
  ) {}

  steps(a: Acquisition, route: Route): StepCost[] {
    const steps: StepCost[] = [];
    const own = a.orderId === null ? this.landed(a, a.quoteId) : this.order(a.orderId).total;
    if (own === null) return steps;
    const hunt = this.ahead.hunted(a);
    if (hunt?.landedMinor === null) return steps;
    const planned = hunt === null ? own : hunt.landedMinor! + this.ahead.depositOf(a.quoteId!);
    const labour = (hours: number): number =>
      hunt === null ? 0 : (this.ahead.hourOf(null) ?? 0) * (hours - hunt.hours);
    const next = this.rows.plan.parts.find(({ id }) => id === a.rowId)?.fallbackQuoteId ?? null;
    // Until the plan's own way is given up, its cost is in the plan; what follows it comes on top of what was lost.
    let inForce = true;
    for (let at: Route | undefined = route; at !== undefined; at = at.fallback) {
      if (at.kind === "HUNT") {
        steps.push({ brings: (hunt?.findMinor ?? own) - planned, labour: labour(hunt?.findHours ?? 0), fails: 0 });
      } else if (inForce) {
        const lost = a.orderId === null ? this.deposit(a.quoteId) : this.order(a.orderId).paid;
        steps.push({ brings: own - planned, labour: labour(a.preparationHours), fails: (lost ?? 0) - planned });
        inForce = false;
      } else steps.push({ brings: this.landed(a, next) ?? planned, fails: this.deposit(next) ?? 0 });
    }
    return steps;
  }

  private landed(a: Acquisition, quoteId: string | null): number | null {
    return this.rows.quotes.has(quoteId ?? "") ? this.ahead.landed(a.rowId, quoteId!).totalMinor : null;
  }

  private deposit(quoteId: string | null): number | null {
    const quote = this.rows.quotes.get(quoteId ?? "");
    return quote === undefined ? null : this.home(quote.depositMinor, quote.currency);
  }

  /** An order in the restoration's currency: what it comes to, and what was paid on it in its own currency. */
  private order(id: string): { total: number | null; paid: number | null } {
    const { totalMinor, currency, payments } = this.rows.accounts.find((account) => account.id === id)!;
    const own = payments.filter((payment) => payment.currency === currency);
    return { total: this.home(totalMinor, currency), paid: this.home(paidOf(own), currency) };
  }

  private home(minor: number, from: string): number | null {
    const to = this.rows.restoration.currency;
    return into(minor, currencyOf(from), currencyOf(to), rateOf(null, from, to, this.rows.rates));
  }
}
