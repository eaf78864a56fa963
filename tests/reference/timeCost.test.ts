import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import type { Way } from "../../server/engine/choice/input.ts";
import { quoteChoice } from "../../server/engine/choice/quoteChoice.ts";
import { Network } from "../../server/engine/network/network.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";

interface Construction {
  source: string;
  before: Record<string, string[]>;
  crash: Record<string, { normal: number; crash: number; normalCost: number; crashCost: number }>;
  frontier: [number, number][];
}
interface Eighteen {
  source: string;
  before: Record<string, string[]>;
  modes: Record<string, [number, number][]>;
  frontier: [number, number][];
}
const { construction, eighteen } = JSON.parse(
  readFileSync(new URL("fixtures/timeCost.json", import.meta.url), "utf8"),
) as { construction: Construction; eighteen: Eighteen };

const calendar = new ShopCalendar({ weekdayHours: [8, 8, 8, 8, 8, 0, 0], closedDates: [], figuresFor: "2026-11-23" });

/** The source's unit of time is one hour here, so that ends compare in it. */
function frontier(before: Record<string, string[]>, waysOf: Record<string, Way[]>, withPoints: boolean) {
  const network = new Network(
    Object.keys(before).map((id) => ({ id, hours: 0 })),
    Object.entries(before).flatMap(([after, all]) => all.map((b) => ({ before: b, after, lag: 0, lagInDays: false }))),
    calendar,
  );
  const operations = Object.entries(waysOf).map(([id, options]) => ({
    id,
    section: null,
    position: network.position(id),
    options,
  }));
  const choice = quoteChoice({ network, arrivals: [], operations, sectionCaps: [] }, { end: "hour", withPoints });
  return [...choice.end].map((end, plan) => [Math.round(end * 1e6) / 1e6, choice.cost[plan]!]);
}

const way = (time: number, cost: number): Way => ({ id: `in ${time}`, time, inDays: false, cost, points: 0 });

describe(construction.source, { timeout: 120_000 }, () => {
  // A day's crash cost is not a whole number everywhere; sixths of a thousand dollars are.
  const ways = Object.fromEntries(
    Object.entries(construction.crash).map(([id, { normal, crash, normalCost, crashCost }]) => [
      id,
      Array.from({ length: normal - crash + 1 }, (_, days) =>
        way(
          normal - days,
          6 * normalCost + (normal === crash ? 0 : (days * 6 * (crashCost - normalCost)) / (normal - crash)),
        ),
      ),
    ]),
  );
  const published = construction.frontier.map(([end, cost]) => [end, 6 * cost]).reverse();

  it("costs what the source says at every length from 44 down to 28", () =>
    expect(frontier(construction.before, ways, false)).toEqual(published));

  it("costs the same when points are counted and nothing loses any", () =>
    expect(frontier(construction.before, ways, true)).toEqual(published));
});

describe(eighteen.source, () => {
  const ways = Object.fromEntries(
    Object.entries(eighteen.modes).map(([id, modes]) => [id, modes.map(([time, cost]) => way(time, cost))]),
  );

  it("has its 44 undominated points, from (100, 133320) to (169, 99740)", () => {
    const found = frontier(eighteen.before, ways, false);
    expect(found).toEqual(eighteen.frontier);
    expect(found).toHaveLength(44);
  });
});
