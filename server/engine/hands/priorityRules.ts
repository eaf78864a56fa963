/** Orders of work by one rule each (Kolisch 1996; Alvarez-Valdes & Tamarit 1989 for greatest rank weight). */
import { earliest, endsOf, latest } from "./ownPass.ts";
import type { Shop } from "./shop.ts";

/** A value for each position: the least goes first. */
export function priorities(shop: Shop): Record<string, Float64Array> {
  const { network, hours } = shop;
  const { earlyStart, earlyFinish } = earliest(shop);
  const finite = earlyFinish.map((t) => (Number.isFinite(t) ? t : 0));
  const { lateStart, lateFinish } = latest(shop, endsOf(shop, finite));
  const leastFloat = lateStart.map((t, v) => t - earlyStart[v]!);
  const rankWeight = new Float64Array(shop.size);
  const followers = followersOf(shop);
  for (let v = 0; v < shop.size; v++) {
    let sum = hours[v]!;
    for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++) sum += hours[network.outTo[k]!]!;
    rankWeight[v] = -sum;
  }
  return {
    latestFinish: lateFinish,
    latestStart: lateStart,
    leastFloat,
    rankWeight,
    mostFollowers: followers.map((n) => -n),
  };
}

/** How many come after each, directly or through others. */
function followersOf({ network, size }: Shop): Float64Array {
  const words = (size + 31) >> 5;
  const after = new Int32Array(size * words);
  const counts = new Float64Array(size);
  for (let v = size - 1; v >= 0; v--) {
    const own = v * words;
    for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++) {
      const w = network.outTo[k]!;
      const its = w * words;
      for (let i = 0; i < words; i++) after[own + i]! |= after[its + i]!;
      after[own + (w >> 5)]! |= 1 << (w & 31);
    }
    for (let i = 0; i < words; i++) for (let bits = after[own + i]!; bits !== 0; bits &= bits - 1) counts[v]!++;
  }
  return counts;
}

/** Positions by value, each after all that come before it; equal values in topological order. */
export function listBy(shop: Shop, value: ArrayLike<number>): Int32Array {
  const { network, size } = shop;
  const waits = new Int32Array(size);
  for (let v = 0; v < size; v++) waits[v] = network.inStart[v + 1]! - network.inStart[v]!;
  const heap = new Int32Array(size);
  let count = 0;
  const before = (a: number, b: number): boolean =>
    value[a]! < value[b]! || (value[a]! === value[b]! ? a < b : Number.isNaN(value[b]!) && a < b);
  const push = (v: number): void => {
    let i = count++;
    while (i > 0) {
      const up = (i - 1) >> 1;
      if (!before(v, heap[up]!)) break;
      heap[i] = heap[up]!;
      i = up;
    }
    heap[i] = v;
  };
  const pop = (): number => {
    const top = heap[0]!;
    const last = heap[--count]!;
    let i = 0;
    for (let down = 1; down < count; down = 2 * i + 1) {
      if (down + 1 < count && before(heap[down + 1]!, heap[down]!)) down++;
      if (!before(heap[down]!, last)) break;
      heap[i] = heap[down]!;
      i = down;
    }
    heap[i] = last;
    return top;
  };
  for (let v = 0; v < size; v++) if (waits[v] === 0) push(v);
  const list = new Int32Array(size);
  for (let i = 0; i < size; i++) {
    const v = pop();
    list[i] = v;
    for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++)
      if (--waits[network.outTo[k]!]! === 0) push(network.outTo[k]!);
  }
  return list;
}
