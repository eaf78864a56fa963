import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { addDays, dateOf, dayNumber, daysBetween, weekday } from "../../server/engine/time/date.ts";
import { days, hours } from "../../server/engine/time/units.ts";

const week = [7.5, 7.5, 7.5, 7.5, 7.5, 0, 0];
const shop = (closedDates: string[] = [], figuresFor = "2026-11-23") =>
  new ShopCalendar({ weekdayHours: week, closedDates, figuresFor });

describe("dates", () => {
  it("count as the host's calendar does, over four centuries", () => {
    fc.assert(
      fc.property(fc.integer({ min: -150_000, max: 150_000 }), (n) => {
        const host = new Date(n * 86_400_000).toISOString().slice(0, 10);
        expect(dateOf(n)).toBe(host);
        expect(dayNumber(host)).toBe(n);
        expect(weekday(n)).toBe((new Date(n * 86_400_000).getUTCDay() + 6) % 7);
      }),
    );
  });

  it("know that 31 December 2026 is a Thursday (ISO 8601 week date 2026-W53-4)", () =>
    expect(weekday(dayNumber("2026-12-31"))).toBe(3));

  it("cross a leap day", () => {
    expect(addDays("2028-02-28", 2)).toBe("2028-03-01");
    expect(daysBetween("2027-02-28", "2027-03-01")).toBe(1);
  });

  it("end with the year 9999, so that every date is ten signs and sorts as text", () => {
    expect(addDays("9999-12-31", 1)).toBe("9999-12-31");
    expect(addDays("9999-12-30", 1)).toBe("9999-12-31");
    expect(daysBetween("9999-12-31", "+10000-06-19")).toBe(0);
  });
});

describe("working days", () => {
  // Published figures for a count with both ends in it (spreadsheet function documentation, from memory): 110, and 107
  // with three holidays. numpy.busday_count, whose end is left out, gives 109 and 106 for the same dates.
  const dayLong = (closedDates: string[]) =>
    new ShopCalendar({ weekdayHours: [1, 1, 1, 1, 1, 0, 0], closedDates, figuresFor: "2012-10-01" });
  it("number 110 from 2012-10-01 to 2013-03-01, both included", () => {
    const c = dayLong([]);
    expect(c.hoursBefore(c.day("2013-03-01"))).toBe(109);
    expect(c.hoursBefore(c.day("2013-03-02"))).toBe(110);
  });
  it("number 107 with three of them closed", () => {
    const c = dayLong(["2012-11-22", "2012-12-25", "2013-01-01"]);
    expect(c.hoursBefore(c.day("2013-03-02"))).toBe(107);
  });
});

describe("arrivals", () => {
  it("on a Saturday can be fitted on Monday", () => {
    const c = shop();
    const usable = c.usableAfterArrival(c.day("2026-11-28"));
    expect(c.date(c.startDay(usable))).toBe("2026-11-30");
  });
  it("on a Monday can be fitted on Tuesday", () => {
    const c = shop();
    expect(c.date(c.startDay(c.usableAfterArrival(c.day("2026-11-23"))))).toBe("2026-11-24");
  });
  it("before a closed week wait for it to end", () => {
    const closed = ["2026-12-24", "2026-12-25", "2026-12-28", "2026-12-29", "2026-12-30", "2026-12-31", "2027-01-01"];
    const c = shop(closed);
    expect(c.date(c.startDay(c.usableAfterArrival(c.day("2026-12-23"))))).toBe("2027-01-04");
  });
  it("may come as late as the day before the part is needed, days off included", () => {
    const c = shop();
    const monday = c.hoursBefore(c.day("2026-11-30"));
    expect(c.date(c.latestArrival(monday))).toBe("2026-11-29");
  });
});

describe("waits in calendar days", () => {
  it("over a weekend cost no working hours: paint done on Friday evening has cured two days by Monday morning", () => {
    const c = shop();
    const friday = hours(37.5);
    expect(c.date(c.finishDay(friday))).toBe("2026-11-27");
    expect(c.afterDays(friday, 2)).toBe(37.5);
    expect(c.afterDays(friday, 3)).toBe(45);
  });
  it("keep the time of day where both ends are working days", () => {
    const c = shop();
    expect(c.afterDays(hours(3), 2)).toBe(18);
  });
  it("begun as the day of the figures opens count from then: what would have had to begin on the days off before is too late", () => {
    const c = shop();
    // Three days from Monday's opening are over on Thursday morning; by Wednesday morning there is no time left.
    expect(c.afterDays(hours(0), 3)).toBe(22.5);
    expect(c.latestBeforeDays(hours(22.5), 3)).toBe(0);
    expect(c.latestBeforeDays(hours(15), 3)).toBeLessThan(0);
  });
  it("of no days change nothing, and negative ones lead", () => {
    const c = shop();
    expect(c.afterDays(hours(20), 0)).toBe(20);
    expect(c.afterDays(hours(20), -1)).toBe(12.5);
  });
});

const anyCalendar = fc
  .record({
    weekdayHours: fc
      .array(fc.constantFrom(0, 0, 0.5, 4, 7.5, 8, 24), { minLength: 7, maxLength: 7 })
      .filter((w) => w.some((h) => h > 0)),
    closed: fc.uniqueArray(fc.integer({ min: -60, max: 200 }), { maxLength: 25 }),
    dataDay: fc.integer({ min: 18_000, max: 24_000 }),
  })
  .map(({ weekdayHours, closed, dataDay }) => ({
    weekdayHours,
    figuresFor: dateOf(dataDay),
    closedDates: closed.map((offset) => dateOf(dataDay + offset)),
  }));

describe("any calendar", () => {
  it("counts hours as adding them up day by day does", () => {
    fc.assert(
      fc.property(anyCalendar, (input) => {
        const c = new ShopCalendar(input);
        const closed = new Set(input.closedDates);
        let sum = 0;
        for (let day = 0; day < 260; day++) {
          expect(c.hoursBefore(days(day))).toBeCloseTo(sum, 8);
          const date = addDays(input.figuresFor, day);
          sum += closed.has(date) ? 0 : input.weekdayHours[weekday(dayNumber(date))]!;
        }
        sum = 0;
        for (let day = -1; day > -120; day--) {
          const date = addDays(input.figuresFor, day);
          sum -= closed.has(date) ? 0 : input.weekdayHours[weekday(dayNumber(date))]!;
          expect(c.hoursBefore(days(day))).toBeCloseTo(sum, 8);
        }
      }),
    );
  });

  it("finds the day on which work starts and the day on which it is finished", () => {
    fc.assert(
      fc.property(anyCalendar, fc.double({ min: -200, max: 1500, noNaN: true }), (input, at) => {
        const c = new ShopCalendar(input);
        const w = hours(at);
        const s = c.startDay(w);
        expect(c.hoursBefore(s)).toBeLessThanOrEqual(w + 1e-6);
        expect(c.hoursBefore(days(s + 1))).toBeGreaterThan(w);
        const f = c.finishDay(w);
        expect(c.hoursBefore(f)).toBeLessThan(w);
        expect(c.hoursBefore(days(f + 1))).toBeGreaterThanOrEqual(w - 1e-6);
      }),
      { numRuns: 500 },
    );
  });

  it("has waits whose latest beginning is exact: one begun then is over in time, one begun later is not", () => {
    fc.assert(
      fc.property(
        anyCalendar,
        fc.double({ min: 1, max: 900, noNaN: true }),
        fc.integer({ min: -10, max: 60 }),
        (input, at, wait) => {
          const c = new ShopCalendar(input);
          const latest = c.latestBeforeDays(hours(at), wait);
          // Before the opening of the day of the figures nothing begins.
          fc.pre(latest > 1e-3);
          expect(c.afterDays(latest, wait)).toBeLessThanOrEqual(at + 1e-4);
          expect(c.afterDays(hours(latest + 0.01), wait)).toBeGreaterThan(at - 1e-4);
        },
      ),
      { numRuns: 500 },
    );
  });

  it("never lets a later start of a wait end earlier", () => {
    fc.assert(
      fc.property(
        anyCalendar,
        fc.double({ min: 0, max: 600, noNaN: true }),
        fc.double({ min: 0, max: 50, noNaN: true }),
        fc.integer({ min: 0, max: 60 }),
        (input, at, more, wait) => {
          const c = new ShopCalendar(input);
          expect(c.afterDays(hours(at + more), wait)).toBeGreaterThanOrEqual(c.afterDays(hours(at), wait) - 1e-4);
        },
      ),
      { numRuns: 500 },
    );
  });

  it("refuses a week without work", () =>
    expect(
      () => new ShopCalendar({ weekdayHours: [0, 0, 0, 0, 0, 0, 0], closedDates: [], figuresFor: "2026-11-23" }),
    ).toThrow(/at least one weekday/));
});
