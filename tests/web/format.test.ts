import { describe, expect, it } from "vitest";
import { oddsInWords } from "../../server/plan/days/summaryWords.ts";
import {
  dateInFull,
  dateOfDay,
  dateWithWeekday,
  dayNumber,
  daysBetween,
  dayWord,
  hours,
  inDays,
  lateBy,
  listed,
  majorText,
  minorOfText,
  momentInFull,
  money,
  odds,
  oddsOfRuns,
  oddsTimes,
  percent,
  today,
} from "../../web/shared/format.ts";

describe("dates", () => {
  it("are given in full, with the weekday where it helps", () => {
    expect(dateInFull("2027-08-02")).toBe("2 Aug 2027");
    expect(dateWithWeekday("2026-11-23")).toBe("Mon 23 Nov 2026");
  });

  it("count days over leap days, summer time and the turn of the year", () => {
    expect(daysBetween("2028-02-28", "2028-03-01")).toBe(2);
    expect(daysBetween("2027-03-27", "2027-03-29")).toBe(2);
    expect(daysBetween("2026-12-31", "2027-01-01")).toBe(1);
    expect(daysBetween("2027-08-02", "2027-06-19")).toBe(-44);
  });

  it("come back from their day number unchanged", () => {
    for (const date of ["1970-01-01", "2000-02-29", "2026-11-23", "2099-12-31"])
      expect(dateOfDay(dayNumber(date))).toBe(date);
  });

  it("ahead, today and gone are told apart in words", () => {
    expect(inDays(9)).toBe("in 9 days");
    expect(inDays(1)).toBe("tomorrow");
    expect(inDays(0)).toBe("today");
    expect(inDays(-4)).toBe("4 days ago");
  });

  it("of a day that is looked at and is not today nothing is called so", () => {
    expect([9, 0, -4].map((count) => inDays(count, false))).toEqual([
      "9 days later",
      "that same day",
      "4 days earlier",
    ]);
    expect([true, false].map(dayWord)).toEqual(["today", "that day"]);
    expect(lateBy(44)).toBe("44 days late");
    expect(lateBy(-1)).toBe("1 day early");
    expect(lateBy(0)).toBe("on the day");
  });

  it("with the time of day are of the clock of whoever reads, whatever language the browser speaks", () => {
    expect(momentInFull(new Date(2026, 10, 3, 9, 5).toISOString())).toBe("3 Nov 2026, 09:05");
    expect(momentInFull(new Date(2026, 11, 31, 23, 59).toISOString())).toBe("31 Dec 2026, 23:59");
  });
});

describe("money", () => {
  // Decimals by currency: ISO 4217, list one.
  it("is written with its currency and as many decimals as the currency has", () => {
    expect(money({ minor: 124050, currency: "GBP", decimals: 2 })).toBe("£1,240.50");
    expect(money({ minor: 9000, currency: "JPY", decimals: 0 })).toBe("JP¥9,000");
    expect(money({ minor: 1250, currency: "KWD", decimals: 3 })).toMatch(/^KWD\s1\.250$/);
  });

  it("keeps every minor unit of sums that a float would round", () => {
    expect(money({ minor: 9007199254740991, currency: "GBP", decimals: 2 })).toBe("£90,071,992,547,409.91");
    expect(majorText(9007199254740991, 2)).toBe("90071992547409.91");
    expect(minorOfText("90071992547409.91", 2)).toBe(9007199254740991);
  });

  it("typed in the major unit becomes minor units and back without loss", () => {
    for (const minor of [0, 1, 9, 10, 99, 100, 101, 123456, 8589934592]) {
      for (const decimals of [0, 2, 3]) expect(minorOfText(majorText(minor, decimals), decimals)).toBe(minor);
    }
    expect(minorOfText("-3.10", 2)).toBe(-310);
    expect(minorOfText("0.10", 2)).toBe(10);
    expect(minorOfText("4.000", 2)).toBe(400);
  });

  it("is refused where it is no amount, or finer than the currency", () => {
    for (const typed of ["", "abc", "1.234", " 12 ", "1.2.3", "£5", "--1", "1e3"])
      expect(minorOfText(typed, 2)).toBeNull();
    expect(minorOfText("9.5", 0)).toBeNull();
    expect(minorOfText("90071992547409.92", 2)).toBeNull();
  });

  it("below zero keeps its sign", () => {
    expect(majorText(-5, 2)).toBe("-0.05");
    expect(money({ minor: -5, currency: "GBP", decimals: 2 })).toBe("-£0.05");
  });
});

describe("odds", () => {
  it("are the simplest that say the chance", () => {
    expect(odds(0.8)).toBe("4 in 5");
    expect(odds(0.5)).toBe("1 in 2");
    expect(odds(0.75)).toBe("3 in 4");
    expect(odds(0.9)).toBe("9 in 10");
    expect(odds(0.95)).toBe("19 in 20");
    expect(odds(0.67)).toBe("2 in 3");
  });

  it("never call certain what is not", () => {
    expect(odds(0.999)).toBe("more than 199 in 200");
    expect(odds(0.001)).toBe("less than 1 in 200");
    expect(odds(0.97)).toBe("97 in 100");
    expect(odds(1)).toBe("certain");
    expect([0.49, 0.45, 1 / 3, 1].map((chance) => odds(chance, true))).toEqual([
      "49 in 100",
      "45 in 100",
      "33 in 100",
      "certain",
    ]);
    expect(odds(11 / 13)).toBe("17 in 20");
    expect(odds(0.87)).toBe("87 in 100");
    // The server's own sentences and the screens use the same words for every chance.
    for (let k = 0; k <= 2_000; k++) expect(oddsInWords(k / 2_000)).toBe(odds(k / 2_000));
    expect(odds(0)).toBe("no chance");
  });

  it("of none and of all are said in whole words: never, every time, no run", () => {
    expect([0, 0.85, 1].map(oddsTimes)).toEqual(["never", "17 in 20 times", "every time"]);
    expect([0, 0.85, 1].map((chance) => oddsOfRuns(chance))).toEqual(["no run", "17 in 20 runs", "every run"]);
  });

  it("stay within half of one in a hundred of the chance", () => {
    for (let hundredths = 1; hundredths < 100; hundredths++) {
      const [, ins, of] = /^(\d+) in (\d+)$/.exec(odds(hundredths / 100)) ?? [];
      expect(Math.abs(Number(ins) / Number(of) - hundredths / 100)).toBeLessThan(0.005);
    }
  });
});

describe("figures in sentences", () => {
  it("have their unit, and no more decimals than they need", () => {
    expect(hours(37.5)).toBe("37.5 h");
    expect(hours(1240)).toBe("1,240 h");
    expect(percent(0.025)).toBe("2.5 %");
    expect(percent(0.07)).toBe("7 %");
  });

  it("and names are joined as they are spoken", () => {
    expect(listed(["the chain"])).toBe("the chain");
    expect(listed(["the chain", "the horn", "the axle"])).toBe("the chain, the horn and the axle");
    expect(listed(["hopper lid, cast", "the chain"])).toBe("hopper lid, cast; and the chain");
    expect(listed(["a, b", "c", "d", "e"], 2)).toBe("a, b; c; and 2 more");
    expect(listed(["a", "b", "c", "d"], 3)).toBe("a, b, c and 1 more");
    expect(listed(["a", "b"], 3)).toBe("a and b");
  });
});

describe("the date of a moment", () => {
  it("is the one of the zone asked: on either side of the date line another", () => {
    const at = Date.parse("2027-01-04T10:30:00Z");
    expect(today("Pacific/Kiritimati", at)).toBe("2027-01-05");
    expect(today("Europe/London", at)).toBe("2027-01-04");
    expect(today("Pacific/Pago_Pago", at)).toBe("2027-01-03");
  });
});
