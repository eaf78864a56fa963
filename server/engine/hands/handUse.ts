/**
 * How much of each hand line is taken over time: a step function for each line, in hours of the shop.
 * Steps of line `l` stand at l x width; a step's use holds until the next.
 */
import { SAME_INSTANT } from "../time/units.ts";

export class HandUse {
  private readonly width: number;
  private readonly counts: Int32Array;
  private readonly at: Float64Array;
  private readonly used: Int32Array;

  /** @param most operations that any line can hold */
  constructor(
    private readonly capacity: Int32Array,
    most: number,
  ) {
    this.width = 2 * most + 2;
    this.counts = new Int32Array(capacity.length);
    this.at = new Float64Array(capacity.length * this.width);
    this.used = new Int32Array(capacity.length * this.width);
  }

  clear(): void {
    this.counts.fill(0);
  }

  /** Nothing stands in the way of `need` more from s to f: -Infinity; else the end of the last step that does. */
  blockedUntil(line: number, s: number, f: number, need: number): number {
    const from = line * this.width;
    const count = this.counts[line]!;
    const room = this.capacity[line]! - need;
    const { at, used } = this;
    // Of the steps that begin before f, the latest first: the first found that is too full is the last in the way.
    for (let i = this.stepBefore(from, count, f); i >= 0; i--) {
      const end = i + 1 < count ? at[from + i + 1]! : Number.POSITIVE_INFINITY;
      if (end <= s + SAME_INSTANT) return Number.NEGATIVE_INFINITY;
      if (used[from + i]! > room) return end;
    }
    return Number.NEGATIVE_INFINITY;
  }

  /** Nothing stands in the way: Infinity; else the begin of the first step that does. */
  blockedFrom(line: number, s: number, f: number, need: number): number {
    const from = line * this.width;
    const count = this.counts[line]!;
    const room = this.capacity[line]! - need;
    const { at, used } = this;
    let i = Math.max(0, this.stepBefore(from, count, s + 2 * SAME_INSTANT));
    for (; i < count && at[from + i]! < f - SAME_INSTANT; i++) {
      const end = i + 1 < count ? at[from + i + 1]! : Number.POSITIVE_INFINITY;
      if (used[from + i]! > room && end > s + SAME_INSTANT) return at[from + i]!;
    }
    return Number.POSITIVE_INFINITY;
  }

  /** How long the line has been free before an instant; Infinity when it was never taken. */
  idleBefore(line: number, s: number): number {
    const from = line * this.width;
    for (let i = this.stepBefore(from, this.counts[line]!, s + 2 * SAME_INSTANT); i >= 0; i--)
      if (this.used[from + i]! === 0 && (i === 0 || this.used[from + i - 1]! > 0))
        return i === 0 ? Number.POSITIVE_INFINITY : s - this.at[from + i]!;
    return Number.POSITIVE_INFINITY;
  }

  take(line: number, s: number, f: number, need: number): void {
    const a = this.cut(line, s);
    const b = this.cut(line, f);
    for (let i = a; i < b; i++) this.used[i]! += need;
  }

  /** The last step that begins before an instant; -1 for none. */
  private stepBefore(from: number, count: number, t: number): number {
    const { at } = this;
    let low = 0;
    let high = count;
    const limit = t - SAME_INSTANT;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (at[from + middle]! < limit) low = middle + 1;
      else high = middle;
    }
    return low - 1;
  }

  /** Place of the step that begins at an instant, made where there is none. */
  private cut(line: number, t: number): number {
    const from = line * this.width;
    const count = this.counts[line]!;
    const before = this.stepBefore(from, count, t);
    const next = from + before + 1;
    if (before + 1 < count && this.at[next]! <= t + SAME_INSTANT) return next;
    this.at.copyWithin(next + 1, next, from + count);
    this.used.copyWithin(next + 1, next, from + count);
    this.at[next] = t;
    this.used[next] = before >= 0 ? this.used[next - 1]! : 0;
    this.counts[line] = count + 1;
    return next;
  }
}
