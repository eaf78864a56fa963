/** What the orders behind shared rows say of a delivery, and of a supplier over all of them. */
import { daysBetween } from "../../engine/time/date.ts";
import type { Order } from "../../generated/prisma/client.ts";
import type { Store } from "../../store/client.ts";

type Delivered = Pick<Order, "state" | "placedOn" | "promisedOn" | "arrivedOn" | "fitRating">;

/** An accepted order's days from the order, promised and taken; null where none stands behind the row. */
export function clubDelivery(
  order: Delivered | null,
): { promisedDays: number; takenDays: number; fitRating: number | null } | null {
  if (order === null || order.state !== "ACCEPTED" || order.arrivedOn === null) return null;
  return {
    promisedDays: daysBetween(order.placedOn, order.promisedOn),
    takenDays: daysBetween(order.placedOn, order.arrivedOn),
    fitRating: order.fitRating,
  };
}

/** A row that says its maker failed says so while its order is there and was not accepted after all. */
export const clubFailure = (row: { failed: boolean; order: Pick<Order, "state"> | null }): boolean =>
  row.failed && row.order !== null && row.order.state !== "ACCEPTED";

export interface ClubRecord {
  deliveries: number;
  late: number;
  failed: number;
  /** Mean of the ratings given; null without one. */
  fitRating: number | null;
}

/** Suppliers' records over a club, by the suppliers' names; an order shared twice counts once. */
export async function clubRecords(
  store: Store,
  clubId: string,
  suppliers: readonly string[],
): Promise<Map<string, ClubRecord>> {
  const rows = await store.clubSource.findMany({
    where: { clubId, supplier: { in: [...suppliers] }, withheldReason: null, orderId: { not: null } },
    select: {
      supplier: true,
      orderId: true,
      failed: true,
      order: { select: { state: true, placedOn: true, promisedOn: true, arrivedOn: true, fitRating: true } },
    },
  });
  const bySupplier = new Map<string, typeof rows>(suppliers.map((supplier) => [supplier, []]));
  for (const row of rows) bySupplier.get(row.supplier)!.push(row);
  return new Map([...bySupplier].map(([supplier, of]) => [supplier, recordOf(of)]));
}

function recordOf(rows: readonly { orderId: string | null; failed: boolean; order: Delivered | null }[]): ClubRecord {
  const orders = new Map(rows.map((row) => [row.orderId, row]));
  const deliveries = [...orders.values()].map(({ order }) => clubDelivery(order)).filter((one) => one !== null);
  const ratings = deliveries.map(({ fitRating }) => fitRating).filter((rating) => rating !== null);
  return {
    deliveries: deliveries.length,
    late: deliveries.filter(({ promisedDays, takenDays }) => takenDays > promisedDays).length,
    failed: [...orders.values()].filter(clubFailure).length,
    fitRating: ratings.length === 0 ? null : ratings.reduce((a, b) => a + b, 0) / ratings.length,
  };
}
