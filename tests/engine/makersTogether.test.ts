/** How late all makers are is not known either: in a run they are late together by it. */
import { describe, expect, test } from "vitest";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import type { Maker, UncertainModel } from "../../server/engine/odds/uncertainty.ts";
import { uncertain } from "../support/uncertain.ts";

const SAMPLES = 16_384;
const LONG = Math.log(2_000);
/** Two makers with an order each that takes 2,000 days but for what the maker is late; the first out since `waited` days. */
const model = (makers: Omit<Maker, "id">, waited = 0): UncertainModel =>
  uncertain({
    nodes: ["a", "b"].map((id) => ({ id, hours: 0 })),
    makers: ["a", "b"].map((id) => ({ id, ...makers })),
    holdUps: ["a", "b"].map((node) => ({
      node,
      route: {
        kind: "ORDER",
        orderDay: node === "a" ? -waited : 0,
        wait: { kind: "LOGNORMAL", mu: LONG, sigma: 0.05 },
        maker: node,
      },
    })),
  });
/** Logs of how long each of the two orders took over what is usual, run by run. */
function logsOf(makers: Omit<Maker, "id">, waited = 0): [number[], number[]] {
  const { arrivalDay, capacity } = oddsOf(model(makers, waited), { seed: 5, tolerance: 0, maxSamples: SAMPLES }).runs;
  const logs = (h: number, from: number): number[] =>
    Array.from(arrivalDay.subarray(h * capacity, h * capacity + SAMPLES), (day) => Math.log(day + from) - LONG);
  return [logs(0, waited), logs(1, 0)];
}
const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;
const together = (a: readonly number[], b: readonly number[]): number => {
  const [ma, mb] = [mean(a), mean(b)];
  return mean(a.map((value, i) => (value - ma) * (b[i]! - mb)));
};

describe("what all makers share", () => {
  const makers = { lateness: 0.1, crowd: 0.2 };
  const variance = 0.05 ** 2 + 0.1 ** 2 + 0.2 ** 2;
  const error = (4 * variance * Math.SQRT2) / Math.sqrt(SAMPLES);

  test("makes two makers late together, and each as uncertain as both doubts are", () => {
    const [a, b] = logsOf(makers);
    expect(Math.abs(together(a, b) - 0.2 ** 2)).toBeLessThan(error);
    for (const one of [a, b]) expect(Math.abs(together(one, one) - variance)).toBeLessThan(error);
  });

  test("is nothing where the crowd is known: each maker is late by itself", () => {
    const [a, b] = logsOf({ lateness: 0.1 });
    expect(Math.abs(together(a, b))).toBeLessThan((4 * (0.05 ** 2 + 0.1 ** 2)) / Math.sqrt(SAMPLES));
  });

  test("leaves what an order still out says as it is: the later it is, the later it will be, and the other maker with it", () => {
    const [alone] = logsOf({ lateness: Math.hypot(0.1, 0.2) }, 2_200);
    const [out, other] = logsOf(makers, 2_200);
    expect(Math.min(...out)).toBeGreaterThanOrEqual(Math.log(2_199) - LONG);
    expect(Math.abs(mean(out) - mean(alone))).toBeLessThan(0.01);
    expect(together(out, other)).toBeGreaterThan(0);
  });
});
