/** What the orders behind shared rows say of a delivery, and of a supplier over all of them. */
import { daysBetween } from "../engine/date.ts";
import type { Order } from "../generated/prisma/client.ts";
import type { Store } from "../store/client.ts";

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

export interface ClubRecord {
  deliveries: number;
  late: number;
  failed: number;
  /** Mean of the ratings given; null without one. */
  fitRating: number | null;
}

/** A supplier's record over the club, by the supplier's name; an order shared twice counts once. */
export async function clubRecord(store: Store, clubId: string, supplier: string): Promise<ClubRecord> {
  const rows = await store.clubSource.findMany({
    where: { clubId, supplier, hiddenReason: null, orderId: { not: null } },
    select: {
      orderId: true,
      failed: true,
      order: { select: { state: true, placedOn: true, promisedOn: true, arrivedOn: true, fitRating: true } },
    },
  });
  const orders = new Map(rows.map((row) => [row.orderId, row]));
  const deliveries = [...orders.values()].map(({ order }) => clubDelivery(order)).filter((one) => one !== null);
  const ratings = deliveries.map(({ fitRating }) => fitRating).filter((rating) => rating !== null);
  return {
    deliveries: deliveries.length,
    late: deliveries.filter(({ promisedDays, takenDays }) => takenDays > promisedDays).length,
    failed: [...orders.values()].filter(({ failed }) => failed).length,
    fitRating: ratings.length === 0 ? null : ratings.reduce((a, b) => a + b, 0) / ratings.length,
  };
}
