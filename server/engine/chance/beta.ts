/** The beta distribution and the PERT-beta estimate built on it. */

/** Natural logarithm of the gamma function for x > 0 (Lanczos's approximation, g = 7, nine terms; relative error under 1e-14). */
export function logGamma(x: number): number {
  if (x < 0.5) return Math.log(Math.PI / Math.sin(Math.PI * x)) - logGamma(1 - x);
  const y = x - 1;
  let sum = LANCZOS[0]!;
  for (let i = 1; i < LANCZOS.length; i++) sum += LANCZOS[i]! / (y + i);
  const t = y + 7.5;
  return 0.5 * Math.log(2 * Math.PI) + (y + 0.5) * Math.log(t) - t + Math.log(sum);
}

const LANCZOS = [
  0.99999999999980993, 676.5203681218851, -1259.1392167224028, 771.32342877765313, -176.61502916214059,
  12.507343278686905, -0.13857109526572012, 9.9843695780195716e-6, 1.5056327351493116e-7,
] as const;

/** Chance that a beta(a, b) variable is at most x: the regularised incomplete beta function, by its continued fraction (DLMF 8.17.22). */
export function betaProbability(x: number, a: number, b: number): number {
  if (x <= 0) return 0;
  if (x >= 1) return 1;
  const front = Math.exp(logGamma(a + b) - logGamma(a) - logGamma(b) + a * Math.log(x) + b * Math.log1p(-x));
  // The fraction converges quickly below the mean; above it the symmetric one does.
  return x < (a + 1) / (a + b + 2) ? (front * betaFraction(x, a, b)) / a : 1 - (front * betaFraction(1 - x, b, a)) / b;
}

/** Continued fraction of the incomplete beta function, evaluated by Lentz's method. */
function betaFraction(x: number, a: number, b: number): number {
  const tiny = 1e-300;
  let c = 1;
  let d = 1 - ((a + b) * x) / (a + 1);
  d = 1 / (Math.abs(d) < tiny ? tiny : d);
  let value = d;
  for (let m = 1; m <= 500; m++) {
    const even = (m * (b - m) * x) / ((a + 2 * m - 1) * (a + 2 * m));
    d = 1 + even * d;
    c = 1 + even / c;
    d = 1 / (Math.abs(d) < tiny ? tiny : d);
    if (Math.abs(c) < tiny) c = tiny;
    value *= d * c;
    const odd = (-(a + m) * (a + b + m) * x) / ((a + 2 * m) * (a + 2 * m + 1));
    d = 1 + odd * d;
    c = 1 + odd / c;
    d = 1 / (Math.abs(d) < tiny ? tiny : d);
    if (Math.abs(c) < tiny) c = tiny;
    const step = d * c;
    value *= step;
    if (Math.abs(step - 1) < 1e-16) break;
  }
  return value;
}

/** The x that a beta(a, b) variable stays under with chance p, by Newton's steps kept inside a halving bracket. */
export function betaQuantile(p: number, a: number, b: number): number {
  if (p <= 0) return 0;
  if (p >= 1) return 1;
  const scale = logGamma(a + b) - logGamma(a) - logGamma(b);
  let low = 0;
  let high = 1;
  let x = a / (a + b);
  for (let i = 0; i < 200; i++) {
    const miss = betaProbability(x, a, b) - p;
    if (miss === 0) return x;
    if (miss < 0) low = x;
    else high = x;
    const density = Math.exp(scale + (a - 1) * Math.log(x) + (b - 1) * Math.log1p(-x));
    let next = x - miss / density;
    if (!(next > low && next < high)) next = (low + high) / 2;
    if (Math.abs(next - x) <= 1e-15 * Math.max(x, 1e-3)) return next;
    x = next;
  }
  return x;
}

/** A three-point estimate in any unit; low <= likely <= high. */
export interface Estimate {
  low: number;
  likely: number;
  high: number;
}

/** Mean (low + 4 likely + high) / 6 of a PERT-beta estimate (Malcolm, Roseboom, Clark and Fazar 1959). */
export function pertMean({ low, likely, high }: Estimate): number {
  return (low + 4 * likely + high) / 6;
}

/**
 * What a PERT-beta estimate stays under with chance p: low + (high - low) times a beta(a, b) quantile with
 * a = 1 + 4 (likely - low) / (high - low) and b = 1 + 4 (high - likely) / (high - low), whose mean is {@link pertMean}.
 */
export function pertQuantile(estimate: Estimate, p: number): number {
  const { low, likely, high } = estimate;
  const width = high - low;
  if (!(width > 0)) return likely;
  const a = 1 + (4 * (likely - low)) / width;
  const b = 1 + (4 * (high - likely)) / width;
  return low + width * betaQuantile(p, a, b);
}
