/** Waits in calendar days as working hours, for bounds that know of working hours alone. */
import type { ShopCalendar } from "../time/calendar.ts";
import { days, hours, SAME_INSTANT } from "../time/units.ts";

/** The fewest working hours that waits in calendar days can take, whenever they begin up to an hour. */
export class ShortestWaits {
  private readonly known = new Map<number, number>();

  constructor(
    private readonly calendar: ShopCalendar,
    private readonly latest: number,
  ) {}

  of(wait: number): number {
    let least = this.known.get(wait);
    if (least === undefined) {
      least = this.compute(wait);
      this.known.set(wait, least);
    }
    return least;
  }

  private compute(wait: number): number {
    if (wait === 0) return 0;
    const { calendar } = this;
    let least: number = calendar.afterDays(hours(0), wait);
    const lastDay = calendar.finishDay(hours(Math.max(this.latest, 1))) + 1;
    for (let day = 0; day <= lastDay; day++) {
      const work = calendar.hoursOf(day);
      if (work === 0) continue;
      // Within a day the hours of a wait change evenly, so they are fewest at one end of it.
      const opens = calendar.hoursBefore(days(day));
      for (const w of [opens + 10 * SAME_INSTANT, opens + work])
        least = Math.min(least, calendar.afterDays(hours(w), wait) - w);
    }
    // A little less, for what lies between the opening and the first instant tried.
    return least - 100 * SAME_INSTANT;
  }
}
