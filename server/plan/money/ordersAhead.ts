/**
 * Orders still to go out: the quotes of one supplier that are in force and not ordered yet go on one order, and share what
 * the supplier charges on it. What is ordered already bears what was paid for it.
 */
import type { OrderLine } from "../../engine/money/orderCharge.ts";
import type { Store } from "../../store/client.ts";
import { compareCodes } from "../../store/codes.ts";
import type { ChoiceRows } from "../choice/load.ts";
import { computePlan } from "../compute.ts";
import type { PartOutlook, Plan } from "../plan.ts";
import type { Rates } from "./exchange.ts";
import { ALONE, type Landed, type LandedQuote, type Landing, landedOf, ORDER_TERMS, type Together } from "./landed.ts";

/** Which quote it is, and of whom. */
export interface QuoteNamed {
  id: string;
  code: string;
  partId: string;
  supplierId: string;
}

/** A quote in force that is not ordered yet, with the pieces that the machine needs. */
export interface ToOrder extends QuoteNamed {
  quote: LandedQuote;
  quantity: number;
}

type InForce = Pick<Plan, "quoteInForce" | "quoteToOrder"> & {
  parts: ReadonlyMap<string, Pick<PartOutlook, "state" | "waitsForHunt">>;
};

/** What a quote that shares no charge came to last, and on what: rows are kept, and most changes leave most quotes alone. */
const lastLanded = new WeakMap<LandedQuote, { on: readonly unknown[]; landed: Landed }>();

export class OrdersAhead {
  /** By supplier, in the order of their codes. */
  private readonly lines = new Map<string, { code: string; partId: string; line: OrderLine }[]>();

  /** @param quotes those to order, of suppliers who charge on an order */
  constructor(
    private readonly plan: InForce,
    quotes: readonly ToOrder[],
    private readonly landing: Landing,
    private readonly rates: Rates,
  ) {
    for (const { code, partId, supplierId, quote, quantity } of quotes) {
      const line = landedOf(quote, quantity, landing, rates).order;
      if (line === null) continue;
      const there = this.lines.get(supplierId) ?? [];
      this.lines.set(supplierId, there);
      there.push({ code, partId, line });
    }
    for (const lines of this.lines.values()) lines.sort((a, b) => compareCodes(a.code, b.code));
  }

  /**
   * What a quote costs landed, with its share of what its supplier charges on the order.
   * @param cores see {@link landedOf}
   * @param later ordered on a later day, and so on no order with what goes out now; by itself so for the fallback of a
   * hunt that has still to stop
   */
  landed(
    named: QuoteNamed,
    quote: LandedQuote,
    quantity: number,
    { cores, later = this.waits(named) }: { cores?: number; later?: boolean | undefined } = {},
  ): Landed {
    const { landing, rates } = this;
    if (chargesOnOrders(quote))
      return landedOf(quote, quantity, landing, rates, { cores, together: later ? ALONE : this.beside(named) });
    const { currency, customsBasis, carriageTaxed } = landing;
    const on = [quantity, cores, currency, customsBasis, carriageTaxed, rates];
    const last = lastLanded.get(quote);
    if (last?.on.every((one, i) => one === on[i])) return last.landed;
    const landed = landedOf(quote, quantity, landing, rates, { cores });
    lastLanded.set(quote, { on, landed });
    return landed;
  }

  private waits({ id, partId }: QuoteNamed): boolean {
    return this.plan.quoteInForce.get(partId) === id && this.plan.parts.get(partId)?.waitsForHunt === true;
  }

  /** What is in force and goes on orders with a charge. */
  standing(): { supplier: string; partId: string; line: OrderLine }[] {
    return [...this.lines].flatMap(([supplier, lines]) =>
      lines.map(({ partId, line }) => ({ supplier, partId, line })),
    );
  }

  /** Ids of the parts that would share an order with a quote, in the order of their quotes' codes. */
  sharing(named: QuoteNamed): string[] {
    return this.beside(named) === ALONE ? [] : this.others(named).map(({ partId }) => partId);
  }

  private others({ partId, supplierId }: Pick<QuoteNamed, "partId" | "supplierId">) {
    return (this.lines.get(supplierId) ?? []).filter((one) => one.partId !== partId);
  }

  /**
   * What would be on one order with a quote if it were the one for its part and ordered now: the others in force of its
   * supplier. One that is in force and not to be ordered, being ordered already or ruled out, stands alone; a fallback that
   * waits for its hunt would go out with them.
   */
  private beside({ id, code, partId, supplierId }: QuoteNamed): Together {
    const { quoteInForce, quoteToOrder } = this.plan;
    if (
      quoteInForce.get(partId) === id &&
      quoteToOrder.get(partId) !== id &&
      this.plan.parts.get(partId)?.state !== "HUNTED"
    )
      return ALONE;
    const others = this.others({ partId, supplierId });
    return {
      before: others.filter((one) => compareCodes(one.code, code) < 0).map(({ line }) => line),
      after: others.filter((one) => compareCodes(one.code, code) > 0).map(({ line }) => line),
    };
  }
}

/** Nothing shares anything. */
const NONE: InForce = { quoteInForce: new Map(), quoteToOrder: new Map(), parts: new Map() };

const chargesOnOrders = ({ supplier: { carriageMinor, minimumMinor } }: LandedQuote): boolean =>
  carriageMinor > 0 || minimumMinor > 0;

/** The orders of a restoration's rows. @param known its plan, where there is one already. Throws PlanFault */
export function ordersAheadOf(rows: ChoiceRows, known?: InForce): OrdersAhead {
  const { plan: planRows, quotes, parts, restoration, rates, figuresFor } = rows;
  if (![...quotes.values()].some(chargesOnOrders)) return new OrdersAhead(NONE, [], restoration, rates);
  const plan = known ?? computePlan(planRows, { figuresFor, confidence: null });
  const toOrder = planRows.quotes.flatMap(({ id, code, partId, supplierId }): ToOrder[] => {
    const quote = quotes.get(id)!;
    if (plan.quoteToOrder.get(partId) !== id || !chargesOnOrders(quote)) return [];
    return [{ id, code, partId, supplierId, quote, quantity: parts.get(partId)!.quantity }];
  });
  return new OrdersAhead(plan, toOrder, restoration, rates);
}

/** The same from the store, in one query, for a plan that is known. */
export async function loadOrdersAhead(
  store: Store,
  { id: restorationId, ...landing }: { id: string } & Landing,
  plan: InForce,
  rates: Rates,
): Promise<OrdersAhead> {
  const quotes = await store.quote.findMany({
    where: {
      restorationId,
      supplier: { OR: [{ carriageMinor: { gt: 0 } }, { minimumMinor: { gt: 0 } }] },
    },
    include: {
      part: { select: { quantity: true } },
      priceBreaks: true,
      knockOns: { select: { title: true, priceMinor: true, currency: true } },
      supplier: { select: ORDER_TERMS },
    },
  });
  const toOrder = quotes
    .filter(({ id, partId }) => plan.quoteToOrder.get(partId) === id)
    .map(({ id, code, partId, supplierId, part, ...quote }) => ({
      id,
      code,
      partId,
      supplierId,
      quote,
      quantity: part.quantity,
    }));
  return new OrdersAhead(plan, toOrder, landing, rates);
}
