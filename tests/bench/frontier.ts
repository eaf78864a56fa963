/** The choice of quotes: the whole front, and an exact solver of mixed-integer programmes on the same points. */

import { ChoiceModel } from "../../server/engine/choice/model.ts";
import { quoteChoice } from "../../server/engine/choice/quoteChoice.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { highs } from "../../server/worker/solver.ts";
import { leastCost, programme, solver } from "../support/choiceMilp.ts";
import { seeded, shopCalendar } from "../support/networks.ts";
import { frontierCase } from "./frontierCase.ts";
import { figure, median, timings } from "./measure.ts";

/** Longest that the solver is given, milliseconds; what it does not reach is scaled from the points it did. */
const SOLVER_TIME = 150_000;

export async function frontier(): Promise<void> {
  const shop = shopCalendar();
  // Waits in days are linear only where all days are alike, and the solver needs them linear.
  const even = new ShopCalendar({ weekdayHours: [8, 8, 8, 8, 8, 8, 8], closedDates: [], figuresFor: "2026-11-23" });

  const small = frontierCase({ operations: 60, parts: 60, quotes: 5, withWays: 0, seed: 7 }, shop);
  figure("frontier.60x5.median", median(timings(() => quoteChoice(small), { least: 5 })), "ms");
  figure("frontier.60x5.points", quoteChoice(small).end.length, "points");

  const size = { operations: 300, parts: 300, quotes: 8, withWays: 40, seed: 7 };
  const weeks = frontierCase(size, shop);
  const onWeeks = timings(() => quoteChoice(weeks, { withPoints: false }), { least: 1, forMs: 0, warm: 0 });
  figure("frontier.300x8.shop_calendar", median(onWeeks), "ms");

  const large = frontierCase(size, even);
  const found = quoteChoice(large, { withPoints: false });
  const ours = median(timings(() => quoteChoice(large, { withPoints: false }), { least: 3, forMs: 0, warm: 0 }));
  figure("frontier.300x8.median", ours, "ms");
  figure("frontier.300x8.points", found.end.length, "points");

  const highs = await solver();
  const model = new ChoiceModel(large, "date", false);
  let spent = 0;
  let solved = 0;
  for (const plan of spread(found.end.length)) {
    if (spent > SOLVER_TIME) break;
    const text = programme(model, model.lastHour(found.end[plan]!), 8);
    const began = performance.now();
    const cost = leastCost(highs, text);
    spent += performance.now() - began;
    solved++;
    if (cost !== found.cost[plan]) throw new Error(`the two disagree at point ${plan}: ${found.cost[plan]}, ${cost}`);
  }
  figure("frontier.300x8.highs_sample", solved, "points");
  figure("frontier.300x8.vs_highs", (spent * found.end.length) / solved / ours, "ratio");
}

/** The same choice where each quote is one of twenty suppliers', all of whom charge carriage and a minimum on an order. */
export async function charges(): Promise<void> {
  const plain = frontierCase({ operations: 60, parts: 150, quotes: 4, withWays: 0, seed: 7 }, shopCalendar());
  const random = seeded(11);
  const orders = Array.from({ length: SUPPLIERS }, (_, i) => ({ carriage: 800 + 100 * i, minimum: 10_000 }));
  const arrivals = plain.arrivals.map((arrival) => ({
    ...arrival,
    options: arrival.options.map((option) => ({
      ...option,
      order: { supplier: Math.floor(random() * SUPPLIERS), goods: option.cost, carried: true },
    })),
  }));
  const solve = await highs();
  const choose = () => quoteChoice({ ...plain, arrivals, orders }, { withPoints: false, solve });
  figure("choices.charges.150parts.median", median(timings(choose, { least: 3, forMs: 0, warm: 0 })), "ms");
  figure("choices.charges.150parts.points", choose().end.length, "points");
}

const SUPPLIERS = 20;

/** All indexes below a count, in an order of which every beginning is spread evenly (van der Corput's, in base 2). */
function spread(count: number): number[] {
  let bits = 0;
  while (1 << bits < count) bits++;
  const order: number[] = [];
  for (let i = 0; i < 1 << bits; i++) {
    let turned = 0;
    for (let b = 0; b < bits; b++) if ((i >> b) & 1) turned |= 1 << (bits - 1 - b);
    if (turned < count) order.push(turned);
  }
  return order;
}
