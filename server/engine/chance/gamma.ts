/** The gamma distribution. */
import { logGamma } from "./beta.ts";

/**
 * Chance that a gamma variable of this shape and of rate 1 is more than x: the upper regularised incomplete gamma
 * function (series DLMF 8.7.1 below the mean, continued fraction DLMF 8.9.2 above it).
 */
export function gammaTail(shape: number, x: number): number {
  if (x <= 0) return 1;
  const front = Math.exp(shape * Math.log(x) - x - logGamma(shape));
  if (x < shape + 1) {
    let term = 1 / shape;
    let sum = term;
    for (let k = 1; k < 1_000 && term > sum * 1e-17; k++) {
      term *= x / (shape + k);
      sum += term;
    }
    return 1 - front * sum;
  }
  const tiny = 1e-300;
  let b = x + 1 - shape;
  let c = 1 / tiny;
  let d = 1 / b;
  let value = d;
  for (let k = 1; k < 1_000; k++) {
    const a = -k * (k - shape);
    b += 2;
    d = a * d + b;
    d = 1 / (Math.abs(d) < tiny ? tiny : d);
    c = b + a / c;
    if (Math.abs(c) < tiny) c = tiny;
    const step = d * c;
    value *= step;
    if (Math.abs(step - 1) < 1e-16) break;
  }
  return front * value;
}
