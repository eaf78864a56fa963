/** The program beside a simulator of its own: the same to the day where all is certain, and as often right as it says where not. */
import { describe, expect, test } from "vitest";
import { daysBetween } from "../../server/engine/time/date.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { type Claims, claimsOf, keptOrder } from "../support/calibration/claims.ts";
import { DAY, enteredRows } from "../support/calibration/entered.ts";
import { simulate } from "../support/calibration/simulate.ts";
import { drawWorkshop, type Offer, type Workshop } from "../support/calibration/workshop.ts";

/** The same workshop where makers keep their promises, nothing fails or is looked for, and work takes what is likely. */
function certain(shop: Workshop): Workshop {
  const kept = (offer: Offer): Offer => ({ ...offer, takes: offer.promised, failure: 0, fails: false });
  return {
    ...shop,
    parts: shop.parts.map(({ offer, fallback, placed }) => ({
      offer: kept(offer ?? fallback!),
      fallback: null,
      hunt: null,
      placed,
    })),
    work: shop.work.map((work) => ({ ...work, takes: work.estimate[1] })),
  };
}

describe("the plan and the simulator", () => {
  test("end on the same day where all is certain", async () => {
    for (let seed = 1; seed <= 60; seed++) {
      const shop = certain(drawWorkshop(seed));
      const rows = await enteredRows(shop);
      const { date } = computePlan(rows, { figuresFor: DAY, confidence: null }).completion;
      expect([seed, daysBetween(DAY, date!)]).toEqual([seed, simulate(shop, keptOrder(shop, rows)).endDay]);
    }
  });
});

describe("what the program says of workshops drawn from its own priors", () => {
  test("comes true about as often as it says", async () => {
    const size = 120;
    const all: Claims[] = [];
    for (let seed = 1; seed <= size; seed++) all.push(await claimsOf(drawWorkshop(seed), 512));
    const within = (of: (claims: Claims) => boolean, chance: number): void => {
      const share = all.filter(of).length / size;
      // Four standard errors of a share.
      expect(Math.abs(share - chance)).toBeLessThan(4 * Math.sqrt((chance * (1 - chance)) / size));
    };
    within(({ even }) => even, 0.5);
    within(({ fourInFive }) => fourInFive, 0.8);
    within(({ money }) => money, 0.8);
    // Ranks of the truth among the runs are spread evenly: their mean is a half, with a variance of a twelfth.
    for (const rank of ["dateRank", "moneyRank"] as const) {
      const mean = all.reduce((sum, claims) => sum + claims[rank], 0) / size;
      expect(Math.abs(mean - 0.5)).toBeLessThan(4 * Math.sqrt(1 / 12 / size));
    }
  });
});
