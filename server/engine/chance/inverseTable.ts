/**
 * Quantiles as tables: cubic pieces through exact quantiles, for drawing by inversion.
 *
 * One uniform number gives one draw, and the draw never falls when the number rises, so that two plans drawn from the
 * same numbers can be compared run by run. From each end the pieces halve in width, 16 to a halving, down to a chance of
 * 2^-17; beyond, the quantile itself is solved. A quantile near an end behaves like a power of the chance, on which a
 * piece that starts at j widths from the end errs by less than 2.2e-3 / j^4 of the quantile (C. de Boor, "A Practical
 * Guide to Splines": h^4 / 384 times the fourth derivative), here with j of 16 or more: under 4e-8.
 */
import { betaQuantile, type Estimate, logGamma } from "./beta.ts";
import { normalDensity, quantileOfTail } from "./normal.ts";
import { chanceOf } from "./random.ts";

export const OCTAVES = 16;
export const PIECES = 16;
/** Pieces of one side. */
export const SIDE = OCTAVES * PIECES;
/** Numbers in a table: four coefficients for each piece, the lower side first, the pieces nearest the middle first. */
export const LENGTH = 2 * SIDE * 4;

/** Scale that brings half an octave's leading bit to 16 pieces, by count of leading zeros. */
export const TO_PIECES = Float64Array.from({ length: 33 }, (_, zeros) => 2 ** (zeros - 27));

/** Bounds of the pieces of one side by ascending place, as chances: from 1/2 downwards in the octaves, upwards within. */
const boundsOf = (octave: number, piece: number): number => (2 ** -(octave + 2) * (PIECES + piece)) / PIECES;

/** A distribution that can be drawn from. */
export interface InverseTable {
  readonly pieces: Float64Array;
  /** The exact quantile, for what lies beyond the pieces. */
  exact(p: number): number;
}

/** The quantile that belongs to a drawn number, 32 bits. */
export function drawFrom(table: InverseTable, drawn: number): number {
  const y = (drawn ^ (drawn >> 31)) & 0x7fffffff;
  const zeros = Math.clz32(y);
  if (zeros > OCTAVES) return table.exact(chanceOf(drawn));
  const place = (y + 0.5) * TO_PIECES[zeros]!;
  const piece = place | 0;
  const f = place - piece;
  const { pieces } = table;
  const at = ((drawn >>> 31) * SIDE + (zeros - 2) * PIECES + piece) << 2;
  return pieces[at]! + f * (pieces[at + 1]! + f * (pieces[at + 2]! + f * pieces[at + 3]!));
}

/** The same for `count` numbers: `out[to + i]` becomes low + width times the quantile of `drawn[i]`. */
export function drawRow(
  table: InverseTable,
  drawn: Int32Array,
  count: number,
  low: number,
  width: number,
  out: Float64Array,
  to: number,
): void {
  const { pieces } = table;
  const scale = TO_PIECES;
  for (let i = 0; i < count; i++) {
    const d = drawn[i]!;
    const y = (d ^ (d >> 31)) & 0x7fffffff;
    const zeros = Math.clz32(y);
    if (zeros > OCTAVES) {
      out[to + i] = low + width * table.exact(chanceOf(d));
      continue;
    }
    const place = (y + 0.5) * scale[zeros]!;
    const piece = place | 0;
    const f = place - piece;
    const at = ((d >>> 31) * SIDE + (zeros - 2) * PIECES + piece) << 2;
    out[to + i] = low + width * (pieces[at]! + f * (pieces[at + 1]! + f * (pieces[at + 2]! + f * pieces[at + 3]!)));
  }
}

/** Writes the four coefficients of a piece through two values with their slopes (a slope counts a whole width). */
function setPiece(pieces: Float64Array, at: number, q0: number, q1: number, d0: number, d1: number): void {
  pieces[at] = q0;
  pieces[at + 1] = d0;
  pieces[at + 2] = 3 * (q1 - q0) - 2 * d0 - d1;
  pieces[at + 3] = 2 * (q0 - q1) + d0 + d1;
}

let normal: InverseTable | undefined;

/** The standard normal distribution. */
export function normalTable(): InverseTable {
  if (normal !== undefined) return normal;
  const pieces = new Float64Array(LENGTH);
  for (let octave = 0; octave < OCTAVES; octave++)
    for (let piece = 0; piece < PIECES; piece++) {
      const from = boundsOf(octave, piece);
      const to = boundsOf(octave, piece + 1);
      const [z0, z1] = [quantileOfTail(from), quantileOfTail(to)];
      const [d0, d1] = [(to - from) / normalDensity(z0), (to - from) / normalDensity(z1)];
      const at = (octave * PIECES + piece) << 2;
      setPiece(pieces, at, -z0, -z1, d0, d1);
      setPiece(pieces, at + SIDE * 4, z0, z1, -d0, -d1);
    }
  normal = { pieces, exact: (p) => (p < 0.5 ? -quantileOfTail(p) : quantileOfTail(1 - p)) };
  return normal;
}

/** Shapes at which the PERT-beta tables are worked out exactly; between them they are interpolated in the shape. */
const SHAPES = 32;
const BOUNDS = OCTAVES * (PIECES + 1);

interface Base {
  /** Place of the likely value between low (0) and high (1), Chebyshev points. */
  skew: Float64Array;
  weight: Float64Array;
  /** Per shape: quantiles at the bounds of the lower side, then their slopes times the piece's width. */
  values: Float64Array[];
}

let base: Base | undefined;

/** Exact quantiles of the lower side at each of the shapes. */
function pertBase(): Base {
  if (base !== undefined) return base;
  const skew = new Float64Array(SHAPES);
  const weight = new Float64Array(SHAPES);
  const values: Float64Array[] = [];
  for (let k = 0; k < SHAPES; k++) {
    skew[k] = (1 - Math.cos((Math.PI * k) / (SHAPES - 1))) / 2;
    weight[k] = (k % 2 === 0 ? 1 : -1) * (k === 0 || k === SHAPES - 1 ? 0.5 : 1);
    const a = 1 + 4 * skew[k]!;
    const b = 1 + 4 * (1 - skew[k]!);
    const scale = logGamma(a + b) - logGamma(a) - logGamma(b);
    const own = new Float64Array(2 * BOUNDS);
    for (let octave = 0, i = 0; octave < OCTAVES; octave++) {
      const width = 2 ** -(octave + 2) / PIECES;
      for (let piece = 0; piece <= PIECES; piece++, i++) {
        const x = betaQuantile(boundsOf(octave, piece), a, b);
        own[i] = x;
        own[BOUNDS + i] = width / Math.exp(scale + (a - 1) * Math.log(x) + (b - 1) * Math.log1p(-x));
      }
    }
    values.push(own);
  }
  base = { skew, weight, values };
  return base;
}

/** Quantiles and slopes of the lower side for one skew, by the barycentric formula (Berrut and Trefethen 2004). */
function lowerSide(at: number): Float64Array {
  const { skew, weight, values } = pertBase();
  // So close to one of the shapes that the formula would divide by next to nothing.
  const exact = skew.findIndex((s) => Math.abs(s - at) < 1e-12);
  if (exact >= 0) return values[exact]!;
  const out = new Float64Array(2 * BOUNDS);
  let total = 0;
  for (let k = 0; k < SHAPES; k++) total += weight[k]! / (at - skew[k]!);
  for (let k = 0; k < SHAPES; k++) {
    const share = weight[k]! / (at - skew[k]!) / total;
    const own = values[k]!;
    for (let i = 0; i < 2 * BOUNDS; i++) out[i] = out[i]! + share * own[i]!;
  }
  return out;
}

/** Tables kept, 16 KiB each: more shapes than these are worked out again when they are asked for. */
const MOST_KEPT = 4096;
const kept = new Map<number, InverseTable>();

/**
 * The PERT-beta distribution between 0 and 1 whose likely value lies at `skew`: beta(1 + 4 skew, 5 - 4 skew). An
 * estimate's draw is low + (high - low) times what {@link drawFrom} gives.
 */
export function pertTable(skew: number): InverseTable {
  const known = kept.get(skew);
  if (known !== undefined) return known;
  const pieces = new Float64Array(LENGTH);
  const lower = lowerSide(skew);
  const upper = lowerSide(1 - skew);
  for (let octave = 0; octave < OCTAVES; octave++)
    for (let piece = 0; piece < PIECES; piece++) {
      const i = octave * (PIECES + 1) + piece;
      const at = (octave * PIECES + piece) << 2;
      setPiece(pieces, at, lower[i]!, lower[i + 1]!, lower[BOUNDS + i]!, lower[BOUNDS + i + 1]!);
      setPiece(pieces, at + SIDE * 4, 1 - upper[i]!, 1 - upper[i + 1]!, -upper[BOUNDS + i]!, -upper[BOUNDS + i + 1]!);
    }
  const a = 1 + 4 * skew;
  const b = 5 - 4 * skew;
  // Far in the upper tail the chance left over is the precise one.
  const table = { pieces, exact: (p: number) => (p < 0.5 ? betaQuantile(p, a, b) : 1 - betaQuantile(1 - p, b, a)) };
  if (kept.size < MOST_KEPT) kept.set(skew, table);
  return table;
}

/** Place of the likely value between low and high; only where high is more than low. */
export const skewOf = ({ low, likely, high }: Estimate): number => (likely - low) / (high - low);
