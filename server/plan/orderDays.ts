/** Days by which to order that hold together with the chance asked: of the plan's own end, and of the target. */
import { daysBetween } from "../engine/date.ts";
import { type OrderPolicy, orderPolicy } from "../engine/orderPolicy.ts";
import { orderSlack } from "../engine/orderSlack.ts";
import { NEVER } from "../engine/uncertainty.ts";
import { dayQuantile } from "../engine/uncertaintyDays.ts";
import { oddsOf } from "../engine/uncertaintyOdds.ts";
import { dateOfDay, oddsModel, SEED } from "./odds.ts";
import type { PlanRows } from "./rows.ts";

/** The order day of one part or snag. */
export interface OrderDay {
  /** Days from the data date. */
  day: number;
  /** Chance of the end where it alone is ordered a week later. */
  weekLater: number;
}

/** How an end can be kept by ordering in time. */
export interface EndKept {
  /** The end that was asked for. */
  end: string;
  /** Chance that it is kept where everything is ordered as soon as can be. */
  chanceAtOnce: number;
  /** Whether that is the chance asked or more. */
  held: boolean;
  /** The end that the days keep: the one asked where it is held, else the first that is; null where none is. */
  heldEnd: string | null;
  /** Chance with which they keep it; null without one. */
  chance: number | null;
  /** By node. */
  days: ReadonlyMap<string, OrderDay>;
}

export interface OrderDays {
  /** Of the plan's own end. */
  own: EndKept;
  /** Of the target date; null without one. Where it is not held there are no days for it. */
  target: EndKept | null;
}

/**
 * At the very end that ordering everything at once just holds nothing may wait, so this much of the chance is given up
 * there.
 */
const GIVEN_UP = 0.01;

/** Runs: as many as the odds look at first, fewer where the work is so large that they would take seconds. */
const MOST_RUNS = 4096;
const LEAST_RUNS = 1024;
const MOST_DRAWN = 8_000_000;

/**
 * @param nodes of what is to be ordered
 * @param end the plan's own, as quoted
 */
export function orderDays(
  rows: PlanRows,
  { dataDate, confidence, end }: { dataDate: string; confidence: number; end: string },
  nodes: readonly string[],
): OrderDays {
  const model = oddsModel(rows, dataDate);
  const drawn = Math.floor(MOST_DRAWN / Math.max(1, model.nodes.length));
  const samples = 512 * Math.floor(Math.min(MOST_RUNS, Math.max(LEAST_RUNS, drawn)) / 512);
  const runs = { seed: SEED, samples };
  const { ends } = oddsOf(model, { seed: SEED, tolerance: 0, maxSamples: samples });
  const chanceBy = (day: number): number => ends.reduce((sum, at) => sum + (at.day <= day ? at.runs : 0), 0) / samples;
  const routes = new Map(model.holdUps.map(({ node, route }) => [node, route]));
  const ordered = nodes.filter((node) => routes.get(node)?.kind === "ORDER");
  const firstDays = ordered.map((node) => (routes.get(node) as { orderDay: number }).orderDay);

  const held = dayQuantile(ends, confidence);
  const { targetDate } = rows.restoration;
  const dayOf = (date: string): number => daysBetween(dataDate, date);
  const ownDay = dayOf(end);
  const asked = [ownDay, ...(targetDate === null ? [] : [dayOf(targetDate)])];
  // An end that is not held is given up for the one that is.
  const judged = [...new Set(asked.map((day) => (chanceBy(day) >= confidence ? day : held)))].filter(
    (d) => d !== NEVER,
  );
  const slacks = orderSlack(model, ordered, judged, runs);
  const policies = new Map(judged.map((day, i) => [day, slacks[i]!]));

  const kept = (date: string): EndKept => {
    const day = dayOf(date);
    const chanceAtOnce = chanceBy(day);
    const isHeld = chanceAtOnce >= confidence;
    const slack = policies.get(isHeld ? day : held);
    const policy: OrderPolicy | null =
      slack === undefined ? null : orderPolicy(slack, firstDays, isHeld ? confidence : confidence - GIVEN_UP);
    return {
      end: date,
      chanceAtOnce,
      held: isHeld,
      heldEnd: isHeld ? date : dateOfDay(dataDate, held),
      chance: policy?.chance ?? null,
      days: new Map(
        policy === null
          ? []
          : ordered.map((node, p) => [node, { day: policy.days[p]!, weekLater: policy.weekLater[p]! }]),
      ),
    };
  };
  return { own: kept(end), target: targetDate === null ? null : kept(targetDate) };
}
