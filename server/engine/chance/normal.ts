/** The normal distribution and the lognormal one built on it. */
import { gammaTail } from "./gamma.ts";

/** Chance that a standard normal variable is more than z (half the upper incomplete gamma function of shape 1/2, DLMF 7.11.2). */
export function normalTail(z: number): number {
  const half = gammaTail(0.5, (z * z) / 2) / 2;
  return z >= 0 ? half : 1 - half;
}

/** Density of the standard normal distribution. */
export const normalDensity = (z: number): number => Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI);

/**
 * The z that a standard normal variable stays under with chance p; minus and plus infinity for 0 and 1.
 * Start: Abramowitz and Stegun 26.2.23 (error under 4.5e-4), then Halley's steps on the tail itself.
 */
export function normalQuantile(p: number): number {
  if (p <= 0) return Number.NEGATIVE_INFINITY;
  if (p >= 1) return Number.POSITIVE_INFINITY;
  return p < 0.5 ? -quantileOfTail(p) : quantileOfTail(1 - p);
}

/** The z of 0 or more that is passed with chance q, q at most a half and more than 0. */
export function quantileOfTail(q: number): number {
  if (q >= 0.5) return 0;
  const t = Math.sqrt(-2 * Math.log(q));
  let z = t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
  for (let i = 0; i < 4; i++) {
    const miss = (normalTail(z) - q) / normalDensity(z);
    const step = miss / (1 - (z * miss) / 2);
    z += step;
    if (Math.abs(step) <= 1e-15 * Math.max(1, z)) break;
  }
  return z;
}

/** What a lognormal variable, whose logarithm has mean mu and standard deviation sigma, stays under with chance p. */
export const lognormalQuantile = (mu: number, sigma: number, p: number): number =>
  Math.exp(mu + sigma * normalQuantile(p));
