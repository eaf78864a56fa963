/**
 * What really happens in a workshop, in whole minutes, day by day: orders go out on the plan's days, and the work is done
 * in the order that the plan keeps. It shares no code with the program.
 */
import type { Workshop } from "./workshop.ts";

/** What the plan lays down: by the number of a piece of work, who does it, and what its hand does before it. */
export interface KeptOrder {
  person: readonly number[];
  before: readonly (readonly number[])[];
  /** By part: the day on which it is ordered; null where it is looked for, in hand or out already. */
  orderDay: readonly (number | null)[];
}

export interface Outcome {
  /** Day on which the last work is done. */
  endDay: number;
  /** All that is paid for parts and for work from now on, in minor units. */
  cost: number;
}

interface Instant {
  day: number;
  /** Minutes since opening. */
  minute: number;
}

const later = (a: Instant, b: Instant): Instant => (a.day > b.day || (a.day === b.day && a.minute > b.minute) ? a : b);

/** Day on which a part is here (null: it is in hand), and what is paid for it from now on. */
export function arrivalOf(
  { offer, fallback, hunt, placed }: Workshop["parts"][number],
  orderDay: number | null,
): { day: number | null; paid: number } {
  if (hunt !== null) {
    if (hunt.found < 0) return { day: null, paid: 0 };
    if (hunt.found <= hunt.stop) return { day: hunt.found + hunt.lead, paid: hunt.price };
    return { day: hunt.stop + fallback!.takes, paid: fallback!.price };
  }
  const due = (placed ?? orderDay!) + offer!.takes;
  if (placed !== null && due < 0) return { day: null, paid: 0 };
  if (!offer!.fails) return { day: due, paid: offer!.price };
  // What was paid in advance of an order that is still to go out is lost with it; of one that is out nothing was paid.
  return { day: due + fallback!.takes, paid: fallback!.price + (placed === null ? offer!.deposit : 0) };
}

export function simulate(shop: Workshop, { person, before, orderDay }: KeptOrder): Outcome {
  let cost = 0;
  const usable = shop.parts.map((part, i): Instant => {
    const { day, paid } = arrivalOf(part, orderDay[i]!);
    cost += paid;
    // What comes in the course of a day can be used from the next morning.
    return day === null ? { day: 0, minute: 0 } : { day: day + 1, minute: 0 };
  });
  const finish = new Array<Instant | undefined>(shop.work.length);
  const finishOf = (w: number): Instant => {
    const known = finish[w];
    if (known !== undefined) return known;
    const { takes, after, parts } = shop.work[w]!;
    let at: Instant = { day: 0, minute: 0 };
    for (const other of [...after, ...before[w]!]) at = later(at, finishOf(other));
    for (const part of parts) at = later(at, usable[part]!);
    let left = Math.round(takes * 60);
    const { minutes } = shop.people[person[w]!]!;
    let { day, minute } = at;
    for (;;) {
      // Day 0 is a Monday.
      const open = Math.max(0, minutes[day % 7]! - minute);
      if (left <= open) break;
      left -= open;
      day++;
      minute = 0;
    }
    const end = { day, minute: minute + left };
    finish[w] = end;
    return end;
  };
  let endDay = 0;
  shop.work.forEach(({ takes }, w) => {
    cost += takes * shop.hourPrice;
    endDay = Math.max(endDay, finishOf(w).day);
  });
  return { endDay, cost };
}
