/** How makers have kept to what they promised, and what that says of the next delivery: the model the odds draw from. */

import type { Crowd } from "../../engine/makers/logRecord.ts";
import {
  crowdOf,
  type Delivery,
  lateness,
  nextDensity,
  nextRatio,
  type OpenOrder,
  type SupplierRecord,
  supplierRecord,
  USUAL_CROWD,
} from "../../engine/makers/supplierRecord.ts";
import { daysBetween } from "../../engine/time/date.ts";
import type { Store } from "../../store/client.ts";
import { deliveryOf, outOf } from "./makerWait.ts";

/** An order with a maker. */
export interface PlacedOrder {
  id: string;
  placedOn: string;
  promisedOn: string;
  arrivedOn: string | null;
}

/** What came of one order. */
export interface MadeDelivery extends Delivery {
  orderId: string;
  /** Actual over promised, in days. */
  ratio: number;
}

/** All makers of a workshop. */
export interface Makers {
  /** By supplier id, the first placed first. */
  orders: ReadonlyMap<string, readonly PlacedOrder[]>;
  /** By supplier id: lead times they quote, in days. */
  leads: ReadonlyMap<string, readonly number[]>;
  crowd: Crowd;
  /** Makers who delivered anything, and their deliveries: what the crowd rests on. */
  makers: number;
  deliveries: number;
}

export interface MakerRecord {
  orders: number;
  arrived: number;
  /** Arrived on or before the day promised. */
  onTime: number;
  /** Calendar days past the promise, an early arrival counted as zero; null while nothing has arrived. */
  averageDaysLate: number | null;
  /** The first placed first. */
  deliveries: readonly MadeDelivery[];
  /** What is believed of this maker, and of any maker of whom nothing is known. */
  own: SupplierRecord;
  general: SupplierRecord;
  crowdMakers: number;
  crowdDeliveries: number;
  /** Days of a typical promise of theirs: the middle one of their orders, else of their quotes; null without either. */
  usualPromise: number | null;
}

/** Days within which a promise is kept by chance: the lower tenth, even odds, 4 in 5 and 9 in 10. */
export interface NextDelivery {
  promisedDays: number;
  oneInTen: number;
  evenOdds: number;
  fourInFive: number;
  nineInTen: number;
}

/** One place of the two predictive curves: densities by the logarithm of `ratio`. */
export interface RecordPoint {
  ratio: number;
  maker: number;
  general: number;
}

function deliveriesOf(orders: readonly PlacedOrder[]): MadeDelivery[] {
  return orders
    .filter(({ arrivedOn }) => arrivedOn !== null)
    .map((order) => {
      const delivery = deliveryOf(order);
      return { orderId: order.id, ...delivery, ratio: Math.exp(lateness(delivery)) };
    });
}

/** Every order of a workshop, by supplier id. */
async function loadPlacedOrders(store: Store, workshopId: string): Promise<Map<string, PlacedOrder[]>> {
  const rows = await store.order.findMany({
    where: { restoration: { workshopId } },
    select: {
      id: true,
      placedOn: true,
      promisedOn: true,
      arrivedOn: true,
      quote: { select: { supplierId: true } },
    },
    orderBy: [{ placedOn: "asc" }, { id: "asc" }],
  });
  const found = new Map<string, PlacedOrder[]>();
  for (const { quote, ...order } of rows) {
    const known = found.get(quote.supplierId) ?? [];
    known.push(order);
    found.set(quote.supplierId, known);
  }
  return found;
}

export async function loadMakers(store: Store, workshopId: string): Promise<Makers> {
  const [orders, quotes] = await Promise.all([
    loadPlacedOrders(store, workshopId),
    store.quote.findMany({ where: { restoration: { workshopId } }, select: { supplierId: true, leadDays: true } }),
  ]);
  const leads = new Map<string, number[]>();
  for (const { supplierId, leadDays } of quotes) leads.set(supplierId, [...(leads.get(supplierId) ?? []), leadDays]);
  return makersOf(orders, leads);
}

/** The makers that orders and quoted lead times tell of. */
export function makersOf(
  orders: Makers["orders"],
  leads: Makers["leads"] = new Map<string, readonly number[]>(),
): Makers {
  const delivered = [...orders.values()].map(deliveriesOf).filter(({ length }) => length > 0);
  return {
    orders,
    leads,
    crowd: crowdOf(delivered, USUAL_CROWD),
    makers: delivered.length,
    deliveries: delivered.reduce((sum, { length }) => sum + length, 0),
  };
}

/**
 * One maker's record: its deliveries, and orders out past their promise, against what all makers do.
 * @param day until which an order that has not come is out, whichever restoration it is for
 */
export function makerRecord(makers: Makers, supplierId: string, day: string): MakerRecord {
  const orders = makers.orders.get(supplierId) ?? [];
  const late = orders.flatMap(({ promisedOn, arrivedOn }) =>
    arrivedOn === null ? [] : [Math.max(0, daysBetween(promisedOn, arrivedOn))],
  );
  const deliveries = deliveriesOf(orders);
  const out: OpenOrder[] = orders.filter(({ arrivedOn }) => arrivedOn === null).map((order) => outOf(order, day));
  const promises = orders.map(({ placedOn, promisedOn }) => Math.max(0, daysBetween(placedOn, promisedOn)));
  return {
    orders: orders.length,
    arrived: late.length,
    onTime: late.filter((days) => days === 0).length,
    averageDaysLate: late.length === 0 ? null : late.reduce((sum, days) => sum + days, 0) / late.length,
    deliveries,
    own: supplierRecord(deliveries, makers.crowd, out),
    general: supplierRecord([], makers.crowd),
    crowdMakers: makers.makers,
    crowdDeliveries: makers.deliveries,
    usualPromise: middle(promises) ?? middle(makers.leads.get(supplierId) ?? []),
  };
}

/** The lower of the two middle ones where their number is even. */
function middle(days: readonly number[]): number | null {
  return days.toSorted((a, b) => a - b)[Math.floor((days.length - 1) / 2)] ?? null;
}

/** What a promise of so many days comes to: whole days, rounded up, since what comes in the course of a day counts on it. */
export function nextDelivery(record: SupplierRecord, promisedDays: number): NextDelivery {
  const within = (chance: number): number => Math.ceil(Math.max(1, promisedDays) * nextRatio(record, chance) - 1e-9);
  return {
    promisedDays,
    oneInTen: within(0.1),
    evenOdds: within(0.5),
    fourInFive: within(0.8),
    nineInTen: within(0.9),
  };
}

/** Places of a curve. */
const PLACES = 97;
/** How far into its tails a curve is drawn. */
const TAIL = 0.01;

/** The two predictive densities, at places evenly apart in the logarithm, over both curves and all deliveries. */
export function recordCurve({ own, general, deliveries }: MakerRecord): RecordPoint[] {
  const ratios = deliveries.map(({ ratio }) => ratio);
  const from = Math.log(Math.min(nextRatio(own, TAIL), nextRatio(general, TAIL), ...ratios));
  const to = Math.log(Math.max(nextRatio(own, 1 - TAIL), nextRatio(general, 1 - TAIL), ...ratios));
  return Array.from({ length: PLACES }, (_, place) => {
    const ratio = Math.exp(from + ((to - from) * place) / (PLACES - 1));
    return { ratio, maker: nextDensity(own, ratio), general: nextDensity(general, ratio) };
  });
}
