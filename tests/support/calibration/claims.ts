/** What the program says of a workshop on the day of the figures, and where among its runs the truth then falls. */
import { contingency } from "../../../server/engine/money/contingency.ts";
import { dayQuantile } from "../../../server/engine/odds/days.ts";
import { oddsOf } from "../../../server/engine/odds/odds.ts";
import { daysBetween } from "../../../server/engine/time/date.ts";
import { shopCalendar } from "../../../server/plan/days/shopDays.ts";
import { orderOfWork } from "../../../server/plan/hands/orderOfWork.ts";
import { Rates } from "../../../server/plan/money/exchange.ts";
import { exposureOf } from "../../../server/plan/money/exposure.ts";
import type { ExposureRows, OrderAccount } from "../../../server/plan/money/exposureLoad.ts";
import { costOfRuns } from "../../../server/plan/money/exposureRuns.ts";
import { oddsModel } from "../../../server/plan/odds/odds.ts";
import { acquisitionsOf } from "../../../server/plan/parts/acquisition.ts";
import type { PlanRows } from "../../../server/plan/rows/rows.ts";
import { DAY, enteredRows } from "./entered.ts";
import { type KeptOrder, simulate } from "./simulate.ts";
import type { Offer, Workshop } from "./workshop.ts";

export interface Claims {
  /** Truth by the day that was given: at even odds, 4 in 5 and 19 in 20. */
  even: boolean;
  fourInFive: boolean;
  nineteenInTwenty: boolean;
  /** Truth within what the plan costs with 4 in 5 set aside. */
  money: boolean;
  /** Share of the runs below the truth, ties halved. */
  dateRank: number;
  moneyRank: number;
}

/** @param runs a workshop, for dates and money */
export async function claimsOf(shop: Workshop, runs: number): Promise<Claims> {
  const rows = await enteredRows(shop);
  const truth = simulate(shop, keptOrder(shop, rows));
  const options = { seed: 1, tolerance: 0, maxSamples: runs };
  const { ends, samples } = oddsOf(oddsModel(rows, DAY), options);
  let below = 0;
  let equal = 0;
  for (const { day, runs: of } of ends) {
    if (day < truth.endDay) below += of;
    else if (day === truth.endDay) equal += of;
  }
  const by = (chance: number): boolean => truth.endDay <= dayQuantile(ends, chance);

  const money = moneyRows(shop, rows);
  const { buckets } = exposureOf(money);
  const planned = buckets.OWED.planned + buckets.CHOSEN.planned + buckets.LABOUR_TO_GO.planned;
  const { beyondPlan } = costOfRuns(money, rows, { seed: 1, samples: runs });
  const beyond = truth.cost - planned;
  return {
    even: by(0.5),
    fourInFive: by(0.8),
    nineteenInTwenty: by(0.95),
    money: beyond <= contingency(beyondPlan, 0, 0.8)!,
    dateRank: (below + equal / 2) / samples,
    moneyRank: beyondPlan.filter((amount) => amount < beyond).length / beyondPlan.length,
  };
}

/** The order of work and the days of ordering, as the plan has them. */
export function keptOrder(shop: Workshop, rows: PlanRows): KeptOrder {
  const order = orderOfWork(rows, DAY)!;
  const workOf = (node: string): number => Number(node.slice("operation:W-".length));
  const before: number[][] = shop.work.map(() => []);
  for (const { before: from, after } of order.handovers) before[workOf(after)]!.push(workOf(from));
  const { outstanding } = acquisitionsOf(rows, DAY, shopCalendar(rows, DAY));
  const ordered = new Map(outstanding.map(({ code, orderOn }) => [code, orderOn]));
  return {
    person: shop.work.map((_, w) => Number(order.hands.get(`operation:W-${w}`)![0]!.name.slice("Hand ".length))),
    before,
    orderDay: shop.parts.map((_, i) => {
      const day = ordered.get(`P-${i}`);
      return day == null ? null : daysBetween(DAY, day);
    }),
  };
}

/** What money rests on: each part at its price alone, work at one rate an hour. */
function moneyRows(shop: Workshop, plan: PlanRows): ExposureRows {
  const offers = new Map<string, Offer | null>(
    shop.parts.flatMap(({ offer, fallback }, i) => [[`Q-${i}`, offer] as const, [`F-${i}`, fallback] as const]),
  );
  const plain = { customsBasis: "CIF", carriageTaxed: true, pricePerDayMinor: null, pricePerPointMinor: null } as const;
  const quote = (id: string) => ({
    provenance: "REMADE" as const,
    pointsByHand: 0,
    currency: "GBP",
    unitPriceMinor: offers.get(id)?.price ?? 0,
    depositMinor: offers.get(id)?.deposit ?? 0,
    minimumQuantity: 1,
    priceBreaks: [],
    carriageMinor: 0,
    insuranceMinor: 0,
    dutyRate: 0,
    taxRate: 0,
    incoterm: "EXW" as const,
    coreChargeMinor: 0,
    coreReturned: false,
    weightGrams: null,
    knockOns: [],
    supplier: { name: "", currency: "GBP", carriageMinor: 0, minimumMinor: 0, shareBy: "VALUE" as const },
  });
  const account = (order: PlanRows["orders"][number]): OrderAccount =>
    ({
      ...order,
      code: order.id,
      currency: "GBP",
      // What has come is paid for.
      totalMinor: order.arrivedOn === null ? (offers.get(order.quoteId)?.price ?? 0) : 0,
      payments: [],
      part: { code: "", name: "", group: "" },
      quote: { supplier: { id: "", name: "" } },
    }) as unknown as OrderAccount;
  return {
    plan,
    figuresFor: DAY,
    planRevision: 1,
    restoration: { currency: "GBP", capMinor: null, ...plain },
    rates: new Rates([], DAY),
    sheet: { sections: [], floors: [], step: null },
    parts: new Map(
      plan.parts.map(({ id }) => [
        id,
        {
          quantity: 1,
          estimateMinor: null,
          kept: false,
          group: "",
          visible: true,
          judgingSectionId: null,
          judgingLineId: null,
        },
      ]),
    ),
    quotes: new Map(plan.quotes.map(({ id }) => [id, quote(id)])),
    remedies: new Map(),
    ways: new Map(),
    groups: new Map(),
    workLines: new Map(),
    money: {
      capCoversLabour: true,
      hourlyRateMinor: shop.hourPrice,
      countOwnHours: true,
      consentOverMinor: null,
      confidence: null,
    },
    tradeRates: new Map(),
    accounts: plan.orders.map(account),
    paid: new Map(),
    hours: [],
    invoices: [],
    ratesOn: (day) => new Rates([], day),
  };
}
