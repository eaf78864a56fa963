import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { criticalPath } from "../../server/engine/network/criticalPath.ts";
import { Network } from "../../server/engine/network/network.ts";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";

interface Activity {
  before: string[];
  duration: number;
  earlyStart: number;
  earlyFinish: number;
  lateStart: number;
  lateFinish: number;
  totalFloat: number;
  freeFloat: number;
  drag: number;
}
const cases = JSON.parse(readFileSync(new URL("fixtures/networks.json", import.meta.url), "utf8")) as Record<
  string,
  { source: string; end: number; activities: Record<string, Activity> }
>;
const calendar = new ShopCalendar({ weekdayHours: [8, 8, 8, 8, 8, 0, 0], closedDates: [], figuresFor: "2026-11-23" });

describe.each(Object.values(cases))("published network: $source", ({ end, activities }) => {
  const nodes = Object.entries(activities).map(([id, a]) => ({ id, hours: a.duration }));
  const links = Object.entries(activities).flatMap(([after, a]) =>
    a.before.map((before) => ({ before, after, lag: 0, lagInDays: false })),
  );
  const network = new Network(nodes, links, calendar);
  const path = criticalPath(network);

  it("ends when the source says", () => expect(path.forward.end).toBe(end));

  it.each(Object.entries(activities))("gives %s its published dates, floats and drag", (id, a) => {
    const { critical, ...place } = path.place(network.position(id));
    expect(place).toEqual({
      earlyStart: a.earlyStart,
      earlyFinish: a.earlyFinish,
      lateStart: a.lateStart,
      lateFinish: a.lateFinish,
      totalFloat: a.totalFloat,
      freeFloat: a.freeFloat,
      drag: a.drag,
    });
    expect(critical).toBe(a.totalFloat === 0);
  });
});
