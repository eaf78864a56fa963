import { readFileSync } from "node:fs";
import { beforeAll, describe, expect, it } from "vitest";
import { hoursQuantile, type Odds, oddsOf } from "../../server/engine/odds/odds.ts";
import { LANES, runCounts, runRows } from "../../server/engine/odds/runs.ts";
import { UncertaintySampler } from "../../server/engine/odds/sampler.ts";
import { follows, uncertain } from "../support/uncertain.ts";

/**
 * Hillier and Lieberman, Introduction to Operations Research: the construction project of 14 activities. The
 * three-point estimates are from memory; they reproduce the printed mean 44 and variance 9 of the path that is
 * critical on the means. The figures below are of four million PERT-beta draws by an independent script.
 */
const estimates: Record<string, [number, number, number]> = {
  A: [1, 2, 3],
  B: [2, 3.5, 8],
  C: [6, 9, 18],
  D: [4, 5.5, 10],
  E: [1, 4.5, 5],
  F: [4, 4, 10],
  G: [5, 6.5, 11],
  H: [5, 8, 17],
  I: [3, 7.5, 9],
  J: [3, 9, 9],
  K: [4, 4, 4],
  L: [1, 5.5, 7],
  M: [1, 2, 3],
  N: [5, 5.5, 9],
};
const published = JSON.parse(readFileSync(new URL("fixtures/networks.json", import.meta.url), "utf8")) as Record<
  string,
  { source: string; activities: Record<string, { before: string[] }> }
>;
const activities = Object.values(published).find(({ source }) => source.includes("Hillier"))!.activities;
const model = uncertain({
  nodes: Object.entries(estimates).map(([id, [low, likely, high]]) => ({ id, hours: { low, likely, high } })),
  links: Object.entries(activities).flatMap(([after, { before }]) => before.map((b) => follows(b, after))),
});

describe("the construction project with PERT-beta estimates", () => {
  let odds: Odds;
  beforeAll(() => {
    odds = oddsOf(model, { seed: 1913, tolerance: 0, maxSamples: 300_000 });
  });
  const n = 300_000;
  const share = (by: number): number => odds.runs.endHours.filter((h) => h <= by).length / odds.samples;

  it("has the mean and deviation of the independent draws, within four standard errors of both", () => {
    const { meanHours, deviationHours } = odds;
    expect(odds.samples).toBeGreaterThanOrEqual(n);
    expect(Math.abs(meanHours - 44.327)).toBeLessThan(4 * (2.933 / Math.sqrt(n) + 2.933 / 2_000) + 0.0005);
    expect(Math.abs(deviationHours - 2.933)).toBeLessThan(4 * (2.933 / Math.sqrt(2 * n)) + 0.0005);
  });

  it.each([
    [44, 0.4736],
    [47, 0.8163],
  ])("ends by week %d with chance %d", (by, chance) => {
    expect(Math.abs(share(by) - chance)).toBeLessThan(4 * Math.sqrt((chance * (1 - chance)) / n) + 0.0005);
  });

  it.each([
    [0.1, 40.634],
    [0.5, 44.198],
    [0.8, 46.812],
    [0.9, 48.21],
  ])("has the quantile of %d", (p, value) => {
    // The density at these quantiles is above 0.05 a week: four standard errors.
    expect(Math.abs(hoursQuantile(odds.runs, p) - value)).toBeLessThan((4 * Math.sqrt((p * (1 - p)) / n)) / 0.05);
  });

  it("finds E and F critical in .8307 of the runs, J and N in .9016", () => {
    const sampler = new UncertaintySampler(model);
    const counts = runCounts(0, sampler.network.size);
    const rows = runRows(0, 512 * 400);
    for (let strip = 0; strip < rows.capacity / LANES; strip++) sampler.run(7, strip, rows, counts);
    const index = (id: string): number => counts.critical[sampler.network.position(id)]! / rows.capacity;
    for (const id of ["E", "F"]) expect(Math.abs(index(id) - 0.8307)).toBeLessThan(0.004);
    for (const id of ["J", "N"]) expect(Math.abs(index(id) - 0.9016)).toBeLessThan(0.003);
    for (const id of ["A", "B", "C"]) expect(index(id)).toBe(1);
  });
});
