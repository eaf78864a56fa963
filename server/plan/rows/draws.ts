/** Who draws runs for a store: long work that the planning asks for and that another may do beside this thread. */
import { huntStopOdds } from "../../engine/hunt/stopOdds.ts";
import { orderDaysOf } from "../../engine/odds/orderDays.ts";
import type { Store } from "../../store/client.ts";
import type { OrderDaysDraw } from "../compute.ts";
import { type HuntOdds, huntOdds, STOP_RUNS } from "../hunt/odds.ts";
import { RUNS } from "../odds/odds.ts";
import { loadRows } from "./load.ts";

/** What the odds of a hunt's stop dates are asked with. */
export interface HuntOddsAsked {
  dates: readonly string[];
  confidence: number;
  figuresFor: string;
}

export interface Draws {
  orderDays: OrderDaysDraw;
  /** Null where the hunt decides nothing about a target date. */
  huntOdds(
    store: Store,
    hunt: { partId: string; restorationId: string },
    asked: HuntOddsAsked,
  ): Promise<HuntOdds | null>;
}

const HERE: Draws = {
  orderDays: async (work) => orderDaysOf(work, RUNS),
  huntOdds: async (store, { restorationId, partId }, asked) =>
    huntOdds(await loadRows(store, restorationId), partId, asked, async (work) => huntStopOdds(work, STOP_RUNS)),
};

const draws = new WeakMap<Store, Draws>();

/** From now on others draw for the store. */
export const drawBy = (store: Store, by: Draws): unknown => draws.set(store, by);

/** Without any they are drawn at once. */
export const drawsOf = (store: Store): Draws => draws.get(store) ?? HERE;
