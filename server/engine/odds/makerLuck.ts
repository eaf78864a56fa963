/** The factor by which a maker's open orders are all late together, run by run. */
import { drawFrom, normalTable } from "../chance/inverseTable.ts";
import { normalDensity, normalTail } from "../chance/normal.ts";
import { chanceOf, fillRandom, type Stream, streamOf } from "../chance/random.ts";

/** Half the width, in standard deviations, and the steps of the grid on which lateness is weighed against what is still out. */
const REACH = 8;
const STEPS = 4096;

/** What all makers share. */
const CROWD: Stream = streamOf("all makers' lateness");

export class MakerDraw {
  private readonly stream: Stream;
  /** Standard deviation of the factor's log. */
  private readonly whole: number;
  /** Chance that the factor's standard score lies below each point of the grid; null: plainly normal. */
  private readonly below: Float64Array | null;
  private readonly drawn: Int32Array;
  private readonly shared: Int32Array;

  /**
   * @param lateness and `crowd`: standard deviations of the factor's log, the maker's own and what all makers share
   * @param waiting for each of the maker's orders that are out, the chance that it would still be out given the factor.
   *   That none has come yet makes a late run likelier: the standard score's density is the normal one times these.
   */
  constructor(
    id: string,
    private readonly lateness: number,
    private readonly crowd: number,
    waiting: readonly ((factor: number) => number)[],
    lanes: number,
  ) {
    this.stream = streamOf(`${id} lateness`);
    this.whole = Math.hypot(lateness, crowd);
    this.drawn = new Int32Array(lanes);
    this.shared = new Int32Array(lanes);
    this.below = this.whole > 0 && waiting.length > 0 ? this.weigh(waiting) : null;
  }

  /** Factors in `count` runs of a block. */
  fill(out: Float64Array, count: number, seed: number, block: number): void {
    const { lateness, crowd, whole, below, drawn, shared } = this;
    if (whole === 0) {
      out.fill(1, 0, count);
      return;
    }
    fillRandom(drawn, count, seed, block, this.stream);
    const table = normalTable();
    if (crowd === 0) {
      for (let i = 0; i < count; i++) {
        const z = below === null ? drawFrom(table, drawn[i]!) : scoreAt(below, chanceOf(drawn[i]!));
        out[i] = Math.exp(whole * z);
      }
      return;
    }
    fillRandom(shared, count, seed, block, CROWD);
    for (let i = 0; i < count; i++) {
      const log = lateness * drawFrom(table, drawn[i]!) + crowd * drawFrom(table, shared[i]!);
      // Weighed by what is still out, a run keeps its place among the runs.
      out[i] = Math.exp(below === null ? log : whole * scoreAt(below, 1 - normalTail(log / whole)));
    }
  }

  private weigh(waiting: readonly ((factor: number) => number)[]): Float64Array | null {
    const below = new Float64Array(STEPS + 1);
    let before = 0;
    for (let k = 0; k <= STEPS; k++) {
      const z = -REACH + (2 * REACH * k) / STEPS;
      const factor = Math.exp(this.whole * z);
      let weight = normalDensity(z);
      for (const tail of waiting) weight *= tail(factor);
      below[k] = k === 0 ? 0 : below[k - 1]! + (before + weight) / 2;
      before = weight;
    }
    const total = below[STEPS]!;
    // All have been out for longer than anything allows: nothing is learnt.
    if (!(total > 0)) return null;
    for (let k = 0; k <= STEPS; k++) below[k]! /= total;
    return below;
  }
}

/** Standard score that is passed with chance 1 - p: halving on the grid, straight between its points. */
function scoreAt(below: Float64Array, p: number): number {
  let low = 0;
  let high = below.length - 1;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (below[middle]! <= p) low = middle;
    else high = middle;
  }
  const rise = below[high]! - below[low]!;
  return -REACH + ((2 * REACH) / STEPS) * (low + (rise > 0 ? (p - below[low]!) / rise : 0));
}
