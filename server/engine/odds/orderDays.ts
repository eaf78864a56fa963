/** Days by which to order that hold together with the chance asked, for each of several ends. */

import { dayQuantile } from "./days.ts";
import { type OddsOptions, oddsOf } from "./odds.ts";
import { chanceKept, type OrderPolicy, orderPolicy } from "./orderPolicy.ts";
import { orderSlack } from "./orderSlack.ts";
import { NEVER, type UncertainModel } from "./uncertainty.ts";

export interface OrderDaysWork {
  model: UncertainModel;
  /** Nodes of what is to be ordered, and the first day on which each can be; days count from the day of the figures. */
  nodes: readonly string[];
  firstDays: readonly number[];
  /** The chance asked. */
  confidence: number;
  /** Ends to be kept. */
  endDays: readonly number[];
  /**
   * By end, the day of each node by which it keeps that end as promised. None is given a later one: an end that is given up
   * for one much later would else let everything wait, and the end as promised go with it.
   */
  promisedDays: readonly (readonly number[])[];
}

/** How an end can be kept by ordering in time. */
export interface OrderDaysFound {
  /** Chance that it is kept where everything is ordered on its first day. */
  chanceAtOnce: number;
  /** Whether that is the chance asked or more. */
  held: boolean;
  /** The end that the policy keeps: the one asked where it is held, else the first that is; NEVER where none is. */
  heldDay: number;
  /** Of the nodes in order; null where no end is held. */
  policy: OrderPolicy | null;
}

/**
 * At the very end that ordering everything at once just holds nothing may wait, so this much of the chance is given up
 * there.
 */
const GIVEN_UP = 0.01;

/** Nodes times runs up to which the slack is taken of every run: the days do not need as many as the end does. */
const MOST_DRAWN = 8_000_000;
const LEAST_RUNS = 1024;

/** @param runs those of the odds, so that what is held is what they say. Throws UncertainFault and NetworkFault. */
export function orderDaysOf(
  { model, nodes, firstDays, confidence, endDays, promisedDays }: OrderDaysWork,
  runs: OddsOptions,
): OrderDaysFound[] {
  const { ends, samples } = oddsOf(model, runs);
  const chanceBy = (day: number): number => ends.reduce((sum, at) => sum + (at.day <= day ? at.runs : 0), 0) / samples;
  const first = dayQuantile(ends, confidence);
  // An end that is not held is given up for the one that is.
  const heldDays = endDays.map((day) => (chanceBy(day) >= confidence ? day : first));
  const judged = [...new Set(heldDays)].filter((day) => day !== NEVER);
  const drawn = Math.max(LEAST_RUNS, Math.floor(MOST_DRAWN / Math.max(1, model.nodes.length)));
  const slacks = orderSlack(model, nodes, judged, { seed: runs.seed, samples: Math.min(samples, drawn) });
  const policyOf = (end: number): OrderPolicy | null => {
    const slack = slacks[judged.indexOf(heldDays[end]!)];
    if (slack === undefined) return null;
    const atOnce = chanceKept(slack, firstDays);
    return orderPolicy(slack, firstDays, atOnce > confidence ? confidence : atOnce - GIVEN_UP, promisedDays[end]);
  };
  return endDays.map((day, i) => ({
    chanceAtOnce: chanceBy(day),
    held: chanceBy(day) >= confidence,
    heldDay: heldDays[i]!,
    policy: policyOf(i),
  }));
}
