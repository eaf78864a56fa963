/** Student's t distribution. */
import { betaProbability, betaQuantile, logGamma } from "./beta.ts";

/** Chance that a t variable of so many degrees of freedom is more than t (DLMF 8.17, by the incomplete beta function). */
export function studentTail(t: number, degrees: number): number {
  const outer = betaProbability(degrees / (degrees + t * t), degrees / 2, 0.5) / 2;
  return t >= 0 ? outer : 1 - outer;
}

/** Its density. */
export function studentDensity(t: number, degrees: number): number {
  const scale = logGamma((degrees + 1) / 2) - logGamma(degrees / 2) - Math.log(degrees * Math.PI) / 2;
  return Math.exp(scale - ((degrees + 1) / 2) * Math.log1p((t * t) / degrees));
}

/** What it stays under with chance p; minus and plus infinity for 0 and 1. */
export function studentQuantile(p: number, degrees: number): number {
  if (p <= 0) return Number.NEGATIVE_INFINITY;
  if (p >= 1) return Number.POSITIVE_INFINITY;
  if (p === 0.5) return 0;
  const tail = 2 * Math.min(p, 1 - p);
  // Near the middle the place of t is read from its own side, far out from the other, so that neither loses figures.
  const near = betaQuantile(1 - tail, 0.5, degrees / 2);
  const far = near < 0.5 ? 1 - near : betaQuantile(tail, degrees / 2, 0.5);
  let t = Math.sqrt((degrees * (near < 0.5 ? near : 1 - far)) / far);
  // Far out the place is too near zero to carry all figures: Halley's steps on the tail itself bring them back.
  for (let i = 0; i < 3; i++) {
    const miss = (studentTail(t, degrees) - tail / 2) / studentDensity(t, degrees);
    t += miss / (1 - (miss * (degrees + 1) * t) / (2 * (degrees + t * t)));
  }
  return p < 0.5 ? -t : t;
}

/**
 * Mean of a t variable given that it is more than t: density(t) (degrees + t^2) / ((degrees - 1) tail(t)), by
 * integrating t times the density; degrees must be more than 1.
 */
export function studentMeanAbove(t: number, degrees: number): number {
  return (studentDensity(t, degrees) * (degrees + t * t)) / ((degrees - 1) * studentTail(t, degrees));
}
