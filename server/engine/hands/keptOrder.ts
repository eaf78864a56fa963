/**
 * A schedule as a network: who does what, and in which order on each hand, is kept, and only the dates move. What was last
 * on each of its hands is a further predecessor of an operation (Artigues, Michelon & Reusser 2003). With the order kept
 * an earlier arrival never makes any end later.
 */
import { SAME_INSTANT } from "../time/units.ts";
import type { Schedule } from "./search.ts";
import type { Shop } from "./shop.ts";

/** Positions of work that is done one after the other by a hand of the same line; of several alike, whoever was free last goes on. */
export function handovers(
  shop: Shop,
  { start, finish, team, order }: Schedule,
): [before: number, after: number, line: number][] {
  const last = Array.from(shop.capacity, (count) => new Int32Array(count).fill(-1));
  const pairs: [number, number, number][] = [];
  const freedAt = (v: number): number => (v < 0 ? Number.NEGATIVE_INFINITY : finish[v]!);
  for (const v of order) {
    if (team[v]! < 0 || !Number.isFinite(finish[v]!)) continue;
    const { lines, counts } = shop.teams[v]![team[v]!]!;
    lines.forEach((line, i) => {
      const before = new Set<number>();
      const hands = last[line]!;
      const free = [...hands.keys()]
        .filter((h) => freedAt(hands[h]!) <= start[v]! + SAME_INSTANT)
        .sort((a, b) => freedAt(hands[b]!) - freedAt(hands[a]!) || a - b);
      for (const h of free.slice(0, counts[i]!)) {
        if (hands[h]! >= 0) before.add(hands[h]!);
        hands[h] = v;
      }
      for (const u of before) pairs.push([u, v, line]);
    });
  }
  return pairs;
}
