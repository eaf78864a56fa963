/** The same data in two databases: every row has another id, and every figure of chance is the same. */
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { oddsOf } from "../../server/engine/odds/odds.ts";
import { computePlan } from "../../server/plan/compute.ts";
import { dayFor } from "../../server/plan/days/day.ts";
import { oddsModel, SEED } from "../../server/plan/odds/odds.ts";
import type { Plan } from "../../server/plan/plan.ts";
import { loadRows } from "../../server/plan/rows/load.ts";
import type { PlanRows } from "../../server/plan/rows/rows.ts";
import { ordered as orderedOn } from "../support/orderedOn.ts";
import { type TestStore, testStore } from "../support/store.ts";
import { arrivalsOf } from "../support/uncertain.ts";

const RUNS = 4096;
let stores: TestStore[];
let rows: PlanRows[];
let figuresFor: string;
let plans: Plan[];

beforeAll(async () => {
  stores = await Promise.all([testStore(), testStore()]);
  rows = [];
  for (const { store } of stores) {
    await seedDemo(store);
    const { id } = await store.restoration.findFirstOrThrow({ orderBy: { machine: "asc" } });
    figuresFor = await dayFor(store, id);
    rows.push(await loadRows(store, id));
  }
  plans = rows.map((own) => computePlan(own, { figuresFor, confidence: 0.8 }));
}, 120_000);
afterAll(() => Promise.all(stores.map((own) => own.close())));

describe("the demo in two databases", () => {
  test("has no id in common, and the same odds of every day and arrival", () => {
    const [here, there] = rows as [PlanRows, PlanRows];
    const ids = new Set(here.parts.map(({ id }) => id));
    expect(there.parts.some(({ id }) => ids.has(id))).toBe(false);
    const [one, other] = rows.map((own) => {
      const odds = oddsOf(oddsModel(own, figuresFor), { seed: SEED, tolerance: 0, maxSamples: RUNS });
      const { never, ends, holdUps } = odds;
      return { never, ends, arrivals: holdUps.map(({ meanDays }, h) => ({ meanDays, days: arrivalsOf(odds, h) })) };
    });
    expect(one!.ends.length).toBeGreaterThan(50);
    expect(other).toEqual(one);
  });

  test("has the same order-by dates at a chance", () => {
    const [one, other] = plans.map((plan) => ({
      orders: plan.toOrder.map(({ code, orderBy, chanceWeekLater }) => ({ code, orderBy, chanceWeekLater })),
      chance: plan.orderDays!.own.chance,
      heldEnd: plan.orderDays!.own.heldEnd,
    }));
    expect(one!.orders.length).toBeGreaterThan(5);
    expect(other).toEqual(one);
  });
});

describe("the demo's order-by dates at 4 in 5", () => {
  test("keep the end that they name together, in fresh runs, and say that the plan's own end is not held", () => {
    const [plan] = plans as [Plan];
    const { own } = plan.orderDays!;
    expect(own).toMatchObject({ end: plan.completion.dateWithOpenInHand, held: false });
    expect(own.heldEnd! > own.end).toBe(true);
    expect(own.chance).toBeGreaterThanOrEqual(0.79);
    const model = orderedOn(oddsModel(rows[0]!, figuresFor), own, figuresFor);
    const { onTarget } = oddsOf(model, { seed: 77, tolerance: 0, maxSamples: 8 * RUNS });
    expect(Math.abs(onTarget! - own.chance!)).toBeLessThan(1.5 / Math.sqrt(RUNS) + 1.5 / Math.sqrt(8 * RUNS));
    // Nothing goes out before the day, and not everything today.
    const days = [...own.days.values()].map(({ day }) => day);
    expect(Math.min(...days)).toBeGreaterThanOrEqual(0);
    expect(days.filter((day) => day > 0).length).toBeGreaterThan(days.length / 2);
  });
});
