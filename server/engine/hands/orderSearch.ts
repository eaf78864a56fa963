/** The search for an order of work, from plain data: it can be asked of another thread. */
import { type CalendarInput, ShopCalendar } from "../time/calendar.ts";
import { lowerBounds } from "./bound.ts";
import { listBy } from "./priorityRules.ts";
import { Search } from "./search.ts";
import { Shop, type ShopInput } from "./shop.ts";

export interface OrderWork extends Omit<ShopInput, "calendar"> {
  calendar: CalendarInput;
  /** The order that is kept: by operation, the least place first. What has none comes before the first of what waits for it, else last. */
  places: ReadonlyMap<string, number>;
}

export class OrderSearch {
  readonly shop: Shop;
  /** By restoration: the hour before which none of its orders of work ends. */
  readonly bounds: Float64Array;
  readonly search: Search;

  /** @param daysAlone see {@link Search} */
  constructor({ calendar, places, ...work }: OrderWork, daysAlone = false) {
    this.shop = new Shop({ ...work, calendar: new ShopCalendar(calendar) });
    this.bounds = lowerBounds(this.shop, work.operations);
    this.search = new Search(this.shop, 1, keptList(this.shop, places), this.bounds, daysAlone);
  }
}

/** Schedules between two reports. */
const AT_ONCE = 100;

/** Ids of the operations in the order in which they take their hands, the best of so many schedules. */
export function searchedOrder(work: OrderWork, schedules: number, follow: (share: number) => void): string[] {
  const { search, shop } = new OrderSearch(work);
  for (let most = 0; most < schedules && !search.atBound; ) {
    most = Math.min(schedules, most + AT_ONCE);
    search.run(most);
    follow(most / schedules);
  }
  return Array.from(search.schedule().list, (v) => shop.network.ids[v]!);
}

/** Positions in the order that is kept, each after all that comes before it; null where none is. */
export function keptList(shop: Shop, places: ReadonlyMap<string, number>): Int32Array | null {
  if (places.size === 0) return null;
  const { network, size } = shop;
  const value = new Float64Array(size);
  for (let v = size - 1; v >= 0; v--) {
    value[v] = places.get(network.ids[v]!) ?? Number.POSITIVE_INFINITY;
    if (value[v]! < Number.POSITIVE_INFINITY) continue;
    for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++)
      value[v] = Math.min(value[v]!, value[network.outTo[k]!]!);
  }
  return listBy(shop, value);
}
