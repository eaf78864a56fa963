/** Work that is free to start: which it is, and its sum by trade. */
import type { Network } from "../../engine/network/network.ts";
import type { FreeToStart } from "../plan.ts";
import type { OperationRow } from "../rows/rows.ts";

/**
 * It is not begun and waits for nothing but hands: nothing unfinished is before it, its parts are in hand, no snag is open.
 * What is under way is not free to start, whatever it waits for.
 */
export const isFreeToStart = (
  { state }: Pick<OperationRow, "state">,
  { inStart, release }: Pick<Network, "inStart" | "release">,
  position: number,
): boolean =>
  state === "NOT_STARTED" && position >= 0 && inStart[position] === inStart[position + 1] && !(release[position]! > 0);

export interface TradeHours {
  trade: string;
  operations: number;
  hours: number;
}

/** Operations and hours that can be worked on now, by trade, most hours first. */
export function workByTrade(freeToStart: readonly FreeToStart[]): TradeHours[] {
  const trades = new Map<string, TradeHours>();
  for (const { trade, hours } of freeToStart) {
    const sum = trades.get(trade) ?? { trade, operations: 0, hours: 0 };
    trades.set(trade, { trade, operations: sum.operations + 1, hours: sum.hours + hours });
  }
  return [...trades.values()].sort((a, b) => b.hours - a.hours || a.trade.localeCompare(b.trade));
}
