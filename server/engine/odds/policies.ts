/**
 * What keeping the order of work costs or spares: the same runs once with the order kept, and once with whoever is free
 * taking the next of the list. The numbers drawn are those of the runs that give the dates.
 */

import { ListPolicy } from "../hands/listPolicy.ts";
import { keptList, type OrderWork } from "../hands/orderSearch.ts";
import { Shop } from "../hands/shop.ts";
import { ShopCalendar } from "../time/calendar.ts";
import { days } from "../time/units.ts";
import { countDays, dayQuantile } from "./days.ts";
import { UncertainRows } from "./modelRows.ts";
import { UncertainPass } from "./pass.ts";
import { LANES, runCounts, runRows } from "./runs.ts";
import { endDayOf, UncertaintySampler } from "./sampler.ts";
import { NEVER, type UncertainModel } from "./uncertainty.ts";

/** The work of a model before any order of it is kept; its hold-ups are among the operations and need no hand. */
export interface ListWork extends Omit<OrderWork, "targets"> {
  /** Hours of the shop in which so many hands of a line are at work of higher rank. */
  busy: readonly { hand: string; from: number; until: number; count: number }[];
}

/** What is asked of a thread. */
export interface PoliciesAsked {
  model: UncertainModel;
  work: ListWork;
  seed: number;
  /** Whole strips of {@link LANES}. */
  samples: number;
}

/** Days from the day of the figures; NEVER where the share of the runs does not end. */
export interface PolicyDays {
  evenOdds: number;
  fourInFive: number;
}

export interface Policies {
  samples: number;
  kept: PolicyDays;
  list: PolicyDays;
}

/** Throws UncertainFault and NetworkFault. */
export function policiesOf(
  model: UncertainModel,
  work: ListWork,
  { seed, samples }: Pick<PoliciesAsked, "seed" | "samples">,
): Policies {
  const sampler = new UncertaintySampler(model);
  const holdUps = model.holdUps.length;
  const kept = runRows(holdUps, samples);
  const counts = runCounts(holdUps, model.nodes.length);
  const rows = new UncertainRows(model);
  const { rowDraw, hoursDraw } = new UncertainPass(rows);

  const calendar = new ShopCalendar(work.calendar);
  const shop = new Shop({ ...work, calendar, targets: [Number.POSITIVE_INFINITY] });
  const position = (id: string): number => shop.network.position(id);
  const lineOf = new Map(work.hands.map(({ id }, line) => [id, line]));
  const policy = new ListPolicy(
    shop,
    keptList(shop, work.places) ?? Int32Array.from({ length: shop.size }, (_, v) => v),
    work.busy.map(({ hand, ...busy }) => ({ ...busy, line: lineOf.get(hand)! })),
  );
  /** By row of the model, where it stands in the shop. */
  const placeOf = Int32Array.from(rows.nodes, (v) => position(rows.network.ids[v]!));
  const placeOfHoldUp = model.holdUps.map(({ node, route }) => (route === null ? -1 : position(node)));
  const drawn = new Float64Array(LANES * rows.size);
  const hours = Float64Array.from(shop.hours);
  const release = Float64Array.from(shop.release);
  const ends = new Int32Array(samples);
  for (let strip = 0; strip * LANES < samples; strip++) {
    sampler.run(seed, strip, kept, counts);
    hoursDraw.begin(seed, strip);
    for (let r = 0; r < rows.size; r++) {
      hoursDraw.fill(r, seed, strip);
      drawn.set(rowDraw.values, r * LANES);
    }
    for (let i = 0; i < LANES; i++) {
      const run = strip * LANES + i;
      placeOf.forEach((v, r) => {
        hours[v] = drawn[r * LANES + i]!;
      });
      placeOfHoldUp.forEach((v, h) => {
        if (v < 0) return;
        const day = kept.arrivalDay[h * samples + run]!;
        release[v] = Math.max(
          shop.release[v]!,
          day === NEVER ? Number.POSITIVE_INFINITY : calendar.usableAfterArrival(days(day)),
        );
      });
      policy.run(hours, release);
      ends[run] = endDayOf(
        calendar,
        policy.finish.reduce((end, f) => Math.max(end, f), 0),
      );
    }
  }
  return { samples, kept: byOdds(kept.endDay), list: byOdds(ends) };
}

function byOdds(ends: Int32Array): PolicyDays {
  const counted = countDays(ends);
  return { evenOdds: dayQuantile(counted, 0.5), fourInFive: dayQuantile(counted, 0.8) };
}
