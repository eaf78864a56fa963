import { describe, expect, it } from "vitest";
import type { RungRow } from "../../web/holdups/rows.ts";
import { tiesOf } from "../../web/holdups/rows.ts";
import { monthsOf, scaleOf } from "../../web/holdups/scale.ts";

const rung = (id: string, tie: number, open = false) => ({ id, tie, open }) as RungRow;

describe("the axis of the ladder", () => {
  const scale = scaleOf("2026-11-23", ["2027-08-02", null, "2027-06-19"]);

  it("begins on the day of the figures and ends past the latest end", () => {
    expect(scale.at("2026-11-23")).toBe(0);
    expect(scale.at("2027-08-02")).toBeGreaterThan(0.9);
    expect(scale.at("2027-08-02")).toBeLessThan(1);
    expect(scale.end > "2027-08-02").toBe(true);
  });

  it("holds what was ordered before the day of the figures at its left edge", () => {
    expect(scale.at("2026-08-01")).toBe(0);
  });

  it("gives every day the same width, whatever its month", () => {
    const february = scale.at("2027-03-01") - scale.at("2027-02-01");
    const july = scale.at("2027-08-01") - scale.at("2027-07-01");
    expect(february / 28).toBeCloseTo(july / 31, 10);
  });

  it("shows at least a fortnight where nothing is outstanding", () => {
    expect(scaleOf("2026-11-23", [null]).end > "2026-12-06").toBe(true);
  });

  it("names each month where there is room, with the year where it changes", () => {
    const names = monthsOf(scale, 900).map((month) => month.label);
    expect(names.slice(0, 3)).toEqual(["Dec 2026", "Jan 2027", "Feb"]);
  });

  it("never lets two names of months touch on a phone, and still marks every month", () => {
    const months = monthsOf(scaleOf("2026-11-23", ["2031-01-01"]), 340);
    expect(months).toHaveLength(51);
    const named = months.filter((month) => month.label !== "").map((month) => month.at * 340);
    expect(named.length).toBeGreaterThan(2);
    for (let place = 1; place < named.length; place++)
      expect((named[place] as number) - (named[place - 1] as number)).toBeGreaterThan(40);
  });
});

describe("tied rungs", () => {
  it("stand together, and those without a source each alone", () => {
    const rungs = [rung("a", 0, true), rung("b", 0, true), rung("c", 1), rung("d", 1), rung("e", 2)];
    expect(tiesOf(rungs).map((group) => group.map(({ id }) => id))).toEqual([["a"], ["b"], ["c", "d"], ["e"]]);
  });
});
