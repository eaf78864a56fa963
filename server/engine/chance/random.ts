/**
 * Chance from a seed: the same seed, block and stream always give the same numbers, on whichever thread they are drawn.
 * Generator: sfc32 (C. Doty-Humphrey, PractRand): 128 bits of state with a counter in it, so that no state comes back
 * before 2^32 draws. Each stream starts from its own words, spread by the finalizer of MurmurHash3.
 */

/** Draws thrown away after a start, so that close starts have parted (as PractRand does). */
export const WARM_UP = 12;

/** What numbers are for: two words that stand for its name. */
export type Stream = readonly [number, number];

/** The stream of a name: the same name draws the same numbers whatever else is drawn beside it. */
export function streamOf(name: string): Stream {
  let a = 0x811c9dc5;
  let b = 0x9747b28c;
  for (let i = 0; i < name.length; i++) {
    const code = name.charCodeAt(i);
    a = Math.imul(a ^ code, 0x01000193);
    b = Math.imul((b << 13) | (b >>> 19), 5) + spread(code + b);
  }
  return [spread(a), spread(b)];
}

/** The three words from which a block of a stream starts. */
export function randomStart(seed: number, block: number, stream: Stream): [number, number, number] {
  const a = spread(seed ^ spread(block + 0x1b873593)) ^ stream[0];
  const b = spread(Math.floor(seed / 4294967296) ^ spread(stream[1] + 0x85ebca6b));
  return [a, b, spread(a ^ spread(b + block))];
}

/**
 * Fills the first `count` of `out` with numbers of 32 bits, all equally likely.
 * @param seed a whole number from 0 to 2^53 - 1
 * @param block number of the block of samples
 */
export function fillRandom(out: Int32Array, count: number, seed: number, block: number, stream: Stream): void {
  let [a, b, c] = randomStart(seed, block, stream);
  let counter = 1;
  for (let i = -WARM_UP; i < count; i++) {
    const t = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (((c << 21) | (c >>> 11)) + t) | 0;
    if (i >= 0) out[i] = t;
  }
}

/** Every bit of the word reaches every other (MurmurHash3's 32-bit finalizer). */
function spread(word: number): number {
  let w = word | 0;
  w = Math.imul(w ^ (w >>> 16), 0x85ebca6b);
  w = Math.imul(w ^ (w >>> 13), 0xc2b2ae35);
  return w ^ (w >>> 16);
}

/** The chance that a drawn number stands for: the middle of its 2^-32, strictly between 0 and 1. */
export const chanceOf = (drawn: number): number => ((drawn >>> 0) + 0.5) / 4294967296;
