/** What is believed of groups, against the joint posterior of the same model worked out another way. */
import { describe, expect, test } from "vitest";
import { type Crowd, crowdOfLogs, groupRecord, recordSplit } from "../../server/engine/makers/logRecord.ts";

const USUAL = { mean: 0, meanDeviation: 0.2, within: 0.25, between: 0.15, worth: 4 };

/** Solves a x = b by elimination. */
function solved(a: number[][], b: number[]): number[] {
  const rows = a.map((row, i) => [...row, b[i]!]);
  const n = b.length;
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) {
      const share = rows[j]![i]! / rows[i]![i]!;
      for (let k = i; k <= n; k++) rows[j]![k]! -= share * rows[i]![k]!;
    }
  }
  const x = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i--) {
    let sum = rows[i]![n]!;
    for (let k = i + 1; k < n; k++) sum -= rows[i]![k]! * x[k]!;
    x[i] = sum / rows[i]![i]!;
  }
  return x;
}

/**
 * The joint normal posterior of the shop's factor and of each trade's own (in logs), given known variances: its precision
 * matrix is written down from the density, and solved. First the shop, then one for each group.
 */
function joint(
  groups: readonly number[][],
  { shop, between, within }: { shop: number; between: number; within: number },
) {
  const size = groups.length + 1;
  const precision = Array.from({ length: size }, () => new Array<number>(size).fill(0));
  const right = new Array<number>(size).fill(0);
  precision[0]![0]! += 1 / shop ** 2;
  groups.forEach((values, g) => {
    // The group's mean about the shop, and each value about the group's mean.
    precision[0]![0]! += 1 / between ** 2;
    precision[g + 1]![g + 1]! += 1 / between ** 2 + values.length / within ** 2;
    precision[0]![g + 1]! -= 1 / between ** 2;
    precision[g + 1]![0]! -= 1 / between ** 2;
    right[g + 1] = values.reduce((sum, y) => sum + y, 0) / within ** 2;
  });
  const mean = solved(precision, right);
  const covariance = mean.map((_, i) =>
    solved(
      precision,
      Array.from({ length: size }, (__, k) => (k === i ? 1 : 0)),
    ),
  );
  return { mean, covariance };
}

describe("the record of groups", () => {
  const groups = [[0.3, 0.1, 0.45, 0.2], [-0.1], [0.05, 0.5], []];

  test("with variances known is the joint normal posterior, means and covariances alike", () => {
    const [shop, between, within] = [0.2, 0.15, 0.25];
    const { mean, covariance } = joint(groups, { shop, between, within });
    // So many groups and values are worth that what was seen says nothing of the variances.
    const crowd = { ...crowdOfLogs(groups, { ...USUAL, worth: 1e12 }), degrees: 1e12 };
    expect(crowd.mean).toBeCloseTo(mean[0]!, 9);
    expect(crowd.meanDeviation).toBeCloseTo(Math.sqrt(covariance[0]![0]!), 9);
    const splits = groups.map((values) => recordSplit(groupRecord(values, crowd), crowd));
    splits.forEach((split, g) => {
      expect(split.mean).toBeCloseTo(mean[g + 1]!, 9);
      expect(split.crowd ** 2 + split.common ** 2).toBeCloseTo(covariance[g + 1]![g + 1]!, 9);
      // What two trades have together in a run is the shop's.
      splits.forEach((other, h) => {
        if (g !== h) expect(split.crowd * other.crowd).toBeCloseTo(covariance[g + 1]![h + 1]!, 9);
      });
      expect(split.each).toBeCloseTo(within, 9);
    });
  });

  test("is the prior where nothing was seen", () => {
    const crowd = crowdOfLogs([], USUAL);
    const { mean, meanDeviation } = crowd;
    expect([mean, meanDeviation]).toEqual([0, 0.2]);
    const split = recordSplit(groupRecord([], crowd), crowd);
    expect(split.mean).toBe(0);
    expect(split.crowd).toBe(0.2);
    // A Student t with 6 degrees has a variance of 6 / 4 times its scale's square.
    expect(split.common).toBeCloseTo(0.15 * Math.sqrt(6 / 4), 12);
  });

  test("weighs one piece of work by hand", () => {
    // Variance of one trade's work about the shop: 0.15^2 + 0.25^2 = 0.085; the shop's own 0.04. log 1.5 = 0.405.
    const crowd = crowdOfLogs([[Math.log(1.5)]], USUAL);
    expect(crowd.mean).toBeCloseTo((Math.log(1.5) * 0.04) / 0.125, 12);
    expect(crowd.meanDeviation ** 2).toBeCloseTo((0.04 * 0.085) / 0.125, 12);
    // Its trade goes on towards it by 0.0225 / 0.085 of what is left.
    const record = groupRecord([Math.log(1.5)], crowd);
    expect(record.mean).toBeCloseTo(crowd.mean + (0.0225 / 0.085) * (Math.log(1.5) - crowd.mean), 12);
  });

  test("without a spread of its own the default counts as one group", () => {
    const { meanDeviation: _, ...usual } = USUAL;
    expect(crowdOfLogs([], usual).meanDeviation).toBeCloseTo(Math.hypot(0.25, 0.15), 12);
  });

  test("goes by its groups alone once they are many and agree", () => {
    const crowd: Crowd = crowdOfLogs(
      Array.from({ length: 200 }, () => [0.3, 0.3, 0.3]),
      USUAL,
    );
    expect(crowd.mean).toBeCloseTo(0.3, 2);
    expect(crowd.meanDeviation).toBeLessThan(0.01);
  });
});
