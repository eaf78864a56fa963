/** Chance that is the same each time: a value for every point of space, smooth between the points of a grid. */

/** 0 to 1 for whole numbers. */
export function chance(x: number, y: number, z = 0): number {
  let h = (Math.imul(x | 0, 0x27d4eb2d) ^ Math.imul(y | 0, 0x165667b1) ^ Math.imul(z | 0, 0x9e3779b1)) >>> 0;
  h = Math.imul(h ^ (h >>> 15), 0x85ebca6b);
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35);
  return ((h ^ (h >>> 16)) >>> 0) / 4_294_967_296;
}

const eased = (t: number): number => t * t * (3 - 2 * t);
const between = (a: number, b: number, t: number): number => a + (b - a) * t;

/** 0 to 1. */
export function noise(x: number, y: number, z: number): number {
  const i = Math.floor(x);
  const j = Math.floor(y);
  const k = Math.floor(z);
  const u = eased(x - i);
  const v = eased(y - j);
  const near = between(
    between(chance(i, j, k), chance(i + 1, j, k), u),
    between(chance(i, j + 1, k), chance(i + 1, j + 1, k), u),
    v,
  );
  const far = between(
    between(chance(i, j, k + 1), chance(i + 1, j, k + 1), u),
    between(chance(i, j + 1, k + 1), chance(i + 1, j + 1, k + 1), u),
    v,
  );
  return between(near, far, eased(z - k));
}

/** Noise over finer and finer grids, 0 to 1. */
export function grain(x: number, y: number, z: number, octaves = 4): number {
  let sum = 0;
  let whole = 0;
  let weight = 0.5;
  for (let i = 0, s = 1; i < octaves; i++, s *= 2.03, weight /= 2) {
    sum += weight * noise(x * s + i * 7.1, y * s, z * s - i * 3.7);
    whole += weight;
  }
  return sum / whole;
}
