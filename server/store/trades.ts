/** Names of trades and hands are compared without heed of capitals and of the spaces around them. */
import type { Tx } from "./client.ts";
import { textsOf } from "./texts.ts";

/** By what such a name is compared. */
export const alike = (name: string): string => name.trim().toLowerCase();

/** The rows whose own spelling does not bind them: those about to be changed. */
interface Besides {
  besides: readonly string[];
}

/** How the trades of a workshop are spelt already: a trade as its other rows have it, else as it was typed. */
export async function speller(tx: Tx, workshopId: string, { besides }: Besides): Promise<(trade: string) => string> {
  const id = { notIn: [...besides] };
  const rows = { where: { restoration: { workshopId }, id }, select: { trade: true } } as const;
  const [operations, rates, hands] = await Promise.all([
    tx.operation.findMany({ ...rows, distinct: ["trade"], orderBy: { trade: "asc" } }),
    tx.tradeRate.findMany({ ...rows, orderBy: { trade: "asc" } }),
    tx.hand.findMany({ where: { workshopId, id }, orderBy: { id: "asc" } }),
  ]);
  const known = new Map<string, string>();
  for (const trade of [
    ...operations.map(({ trade: one }) => one),
    ...hands.flatMap(({ trades }) => textsOf(trades)),
    ...rates.map(({ trade: one }) => one),
  ])
    if (!known.has(alike(trade))) known.set(alike(trade), trade);
  return (trade) => known.get(alike(trade)) ?? trade.trim();
}
