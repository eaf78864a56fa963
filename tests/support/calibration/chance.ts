/** Chance for the generated workshops: a generator and distributions of their own, none of the program's. */

/** Weyl sequence and a mixing of bits (splitmix32). */
export class Chance {
  private state: number;
  private spare: number | null = null;

  constructor(seed: number) {
    this.state = seed >>> 0;
  }

  /** Between 0 and 1, both left out. */
  uniform(): number {
    this.state = (this.state + 0x9e3779b9) >>> 0;
    let z = this.state;
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
    return (((z ^ (z >>> 15)) >>> 0) + 0.5) / 4294967296;
  }

  /** A whole number from `low` to `high`. */
  whole(low: number, high: number): number {
    return low + Math.floor(this.uniform() * (high - low + 1));
  }

  among<T>(all: readonly T[]): T {
    return all[this.whole(0, all.length - 1)]!;
  }

  happens(chance: number): boolean {
    return this.uniform() < chance;
  }

  /** Standard normal: polar method of G. Marsaglia. */
  normal(): number {
    if (this.spare !== null) {
      const z = this.spare;
      this.spare = null;
      return z;
    }
    for (;;) {
      const [u, v] = [2 * this.uniform() - 1, 2 * this.uniform() - 1];
      const s = u * u + v * v;
      if (s >= 1 || s === 0) continue;
      const scale = Math.sqrt((-2 * Math.log(s)) / s);
      this.spare = v * scale;
      return u * scale;
    }
  }

  /** Gamma of a shape and rate 1: G. Marsaglia and W. W. Tsang (2000); below shape 1 by its power of a uniform. */
  gamma(shape: number): number {
    if (shape < 1) return this.gamma(shape + 1) * this.uniform() ** (1 / shape);
    const d = shape - 1 / 3;
    const c = 1 / Math.sqrt(9 * d);
    for (;;) {
      const x = this.normal();
      const v = (1 + c * x) ** 3;
      if (v > 0 && Math.log(this.uniform()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v;
    }
  }

  chiSquare(degrees: number): number {
    return 2 * this.gamma(degrees / 2);
  }

  /** PERT-beta between three points. */
  pert([least, likely, most]: readonly [number, number, number]): number {
    const a = this.gamma(1 + (4 * (likely - least)) / (most - least));
    const b = this.gamma(1 + (4 * (most - likely)) / (most - least));
    return least + ((most - least) * a) / (a + b);
  }
}
