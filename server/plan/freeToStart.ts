/** Work that is free to start, summed by trade. */
import type { FreeToStart } from "./plan.ts";

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
