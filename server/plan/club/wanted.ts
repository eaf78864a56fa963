/** Parts that several members look for: how many pieces, which open batch is for them, and what the asker would save. */
import type { BatchTerms } from "../../engine/club/batch.ts";
import { wantedBatch } from "../../engine/club/batchWanted.ts";
import type { Store } from "../../store/client.ts";
import { loadRates } from "../money/exchange.ts";
import { LANDING, landedOf, ORDER_TERMS } from "../money/landed.ts";
import type { ClubIndex, WantedListed } from "./index.ts";
import { keysOf, known } from "./match.ts";

export interface WantedTogether {
  /** That of its newest want. */
  id: string;
  wants: readonly WantedListed[];
  members: number;
  pieces: number;
  /** Pieces wanting for the smallest size; 0: a batch would be filled. */
  needed: number;
}

/**
 * Parts that at least two members want: those first that would fill a batch of the smallest size, then those nearest
 * to it; amongst equals by members and pieces. No order or count depends on what anybody's quotes say.
 */
export function wantedTogether(index: ClubIndex, smallest: number): WantedTogether[] {
  const together: WantedTogether[] = [];
  for (const wants of index.wantedParts()) {
    if (wants.length < 2) continue;
    const members = new Set(wants.map(({ memberId }) => memberId)).size;
    if (members < 2) continue;
    const pieces = wants.reduce((sum, { quantity }) => sum + quantity, 0);
    together.push({ id: wants[0]!.id, wants, members, pieces, needed: Math.max(0, smallest - pieces) });
  }
  return together.sort(
    (a, b) => a.needed - b.needed || b.members - a.members || b.pieces - a.pieces || (a.id < b.id ? -1 : 1),
  );
}

/** Keys by which a batch and wants are for one part. */
export const batchKeys = (batch: { part: string; machine: string; references: string }): string[] =>
  keysOf(known(batch));

/** True where the wants are for the part that has these keys. */
export const areFor = (wants: readonly WantedListed[], keys: readonly string[]): boolean =>
  wants.some((want) => want.keys.some((key) => keys.includes(key)));

export interface WantedPrice {
  size: number;
  totalMinor: number;
  pieceMinor: number;
  /** The asker's best quotes for the pieces it wants, landed; null without one for each of its wants. */
  ownBestMinor: number | null;
  /** What the asker would save on these pieces; negative: dearer; null as above. */
  ownSavingMinor: number | null;
}

/** A batch of the wanted pieces under terms, with what it would save the asker alone. */
export function wantedPrice(
  terms: BatchTerms,
  { wants }: WantedTogether,
  memberId: string,
  /** Best quote for all pieces of a want, by its id. */
  best: ReadonlyMap<string, number>,
): WantedPrice {
  const own = wants.filter((want) => want.memberId === memberId);
  const mine = own.map((want) => ({ ...want, bestMinor: best.get(want.id) ?? null }));
  const others = wants.filter((want) => want.memberId !== memberId);
  const batch = wantedBatch(terms, [...mine, ...others]);
  const savings = batch.savings.slice(0, mine.length);
  const complete = mine.length > 0 && savings.every((saved) => saved !== null);
  return {
    size: batch.size,
    totalMinor: batch.totalMinor,
    pieceMinor: batch.pieceMinor,
    ownBestMinor: complete ? mine.reduce((sum, { bestMinor }) => sum + bestMinor!, 0) : null,
    ownSavingMinor: complete ? savings.reduce<number>((sum, saved) => sum + saved!, 0) : null,
  };
}

/**
 * What a workshop's best quote comes to, landed, for all the pieces of each of a member's open wants that stands for a
 * part of its own; by want. Quotes that are ruled out, no longer valid or stand for a batch are left out.
 */
export async function bestQuotes(
  store: Store,
  { workshopId, memberId }: { workshopId: string; memberId: string },
  index: ClubIndex,
  { currency, day }: { currency: string; day: string },
): Promise<Map<string, number>> {
  const wants = [...index.wants.values()].filter((want) => want.memberId === memberId && want.partId !== null);
  const best = new Map<string, number>();
  if (wants.length === 0) return best;
  const [rates, quotes] = await Promise.all([
    loadRates(store, workshopId, day),
    store.quote.findMany({
      where: {
        partId: { in: wants.map(({ partId }) => partId!) },
        restoration: { workshopId },
        ruledOut: false,
        batchId: null,
        OR: [{ validUntil: null }, { validUntil: { gte: day } }],
      },
      include: {
        priceBreaks: true,
        knockOns: true,
        supplier: { select: ORDER_TERMS },
        restoration: { select: LANDING },
      },
    }),
  ]);
  for (const { id, partId, quantity } of wants)
    for (const quote of quotes) {
      if (quote.partId !== partId) continue;
      const { totalMinor } = landedOf(quote, quantity, { ...quote.restoration, currency }, rates);
      if (totalMinor !== null) best.set(id, Math.min(totalMinor, best.get(id) ?? totalMinor));
    }
  return best;
}
