/** The makers of a restoration's quotes, each with what its deliveries say. */

import type { Crowd } from "../../engine/makers/logRecord.ts";
import {
  crowdOf,
  type Delivery,
  type OpenOrder,
  type SupplierRecord,
  supplierRecord,
  USUAL_CROWD,
} from "../../engine/makers/supplierRecord.ts";
import { daysBetween } from "../../engine/time/date.ts";
import { groupBy } from "../parts/acquisition.ts";
import type { OrderRow, PlanRows } from "../rows/rows.ts";

/** The makers of a restoration's quotes, each with its record against all makers who delivered to the workshop. */
export class MakerRecords {
  readonly crowd: Crowd;
  private readonly deliveries: ReadonlyMap<string, readonly Delivery[]>;
  private readonly known = new Map<string, SupplierRecord>();

  private readonly out: ReadonlyMap<string, readonly OpenOrder[]>;

  /**
   * @param figuresFor the day up to which an order that has not come is out, whichever restoration it is for
   * @param weighed ids of orders whose lateness is drawn given that they are still out: they count there, and not here too
   */
  constructor(
    rows: Pick<PlanRows, "orders" | "quotes" | "deliveriesElsewhere" | "ordersOutElsewhere">,
    figuresFor: string,
    weighed: ReadonlySet<string> = new Set(),
  ) {
    const supplierOf = new Map(rows.quotes.map(({ id, supplierId }) => [id, supplierId]));
    const own = rows.orders.flatMap((order) => {
      const supplierId = supplierOf.get(order.quoteId);
      return supplierId === undefined || order.arrivedOn === null ? [] : [{ supplierId, ...deliveryOf(order) }];
    });
    this.deliveries = groupBy([...own, ...rows.deliveriesElsewhere], ({ supplierId }) => supplierId);
    const out = rows.orders.flatMap((order) => {
      const supplierId = supplierOf.get(order.quoteId);
      return supplierId === undefined || order.arrivedOn !== null || weighed.has(order.id)
        ? []
        : [{ supplierId, ...outOf(order, figuresFor) }];
    });
    for (const { supplierId, ...order } of rows.ordersOutElsewhere ?? [])
      out.push({ supplierId, ...outOf(order, figuresFor) });
    this.out = groupBy(out, ({ supplierId }) => supplierId);
    this.crowd = crowdOf([...this.deliveries.values()], USUAL_CROWD);
  }

  of(supplierId: string): SupplierRecord {
    const known =
      this.known.get(supplierId) ??
      supplierRecord(this.deliveries.get(supplierId) ?? [], this.crowd, this.out.get(supplierId));
    this.known.set(supplierId, known);
    return known;
  }
}

/** What was promised and what it took, in calendar days from the order. */
export const deliveryOf = ({
  placedOn,
  promisedOn,
  arrivedOn,
}: Pick<OrderRow, "placedOn" | "promisedOn" | "arrivedOn">): Delivery => ({
  promisedDays: Math.max(0, daysBetween(placedOn, promisedOn)),
  actualDays: Math.max(0, daysBetween(placedOn, arrivedOn!)),
});

/** What was promised of an order that has not come, and how long it has been out, in calendar days. */
export const outOf = ({ placedOn, promisedOn }: Pick<OrderRow, "placedOn" | "promisedOn">, on: string): OpenOrder => ({
  promisedDays: Math.max(0, daysBetween(placedOn, promisedOn)),
  daysOut: Math.max(0, daysBetween(placedOn, on)),
});
