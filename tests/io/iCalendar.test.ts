/** iCalendar text, read back by another program's parser, and held against the letter of RFC 5545. */
import fc from "fast-check";
import ICAL from "ical.js";
import { describe, expect, test } from "vitest";
import { type DayEvent, iCalendar } from "../../server/io/iCalendar.ts";

const STAMP = new Date("2027-01-04T08:09:10.123Z");
const event = (over: Partial<DayEvent> = {}): DayEvent => ({
  uid: "target-1@lastbolt",
  date: "2027-06-19",
  title: "Midsummer Concours",
  description: "",
  ...over,
});
const read = (text: string) =>
  new ICAL.Component(ICAL.parse(text)).getAllSubcomponents("vevent").map((one) => new ICAL.Event(one));

describe("a calendar", () => {
  test("holds whole days, whose end is the day after", () => {
    const [one] = read(iCalendar("Cyclecar", [event({ date: "2028-02-28" }), event({ date: "2027-12-31" })], STAMP));
    expect(one!.startDate.isDate).toBe(true);
    expect([one!.startDate.toString(), one!.endDate.toString()]).toEqual(["2028-02-28", "2028-02-29"]);
    const [, other] = read(iCalendar("Cyclecar", [event(), event({ date: "2027-12-31" })], STAMP));
    expect(other!.endDate.toString()).toBe("2028-01-01");
  });

  test("stamps each event in UTC, to the second", () => {
    expect(iCalendar("Cyclecar", [event()], STAMP)).toContain("\r\nDTSTAMP:20270104T080910Z\r\n");
  });

  test("gives back any text as it was, in lines of at most 75 octets that end in CR LF", () => {
    const words = fc
      .string({ unit: "grapheme", maxLength: 300 })
      // biome-ignore lint/suspicious/noControlCharactersInRegex: the standard forbids these in text
      .map((text) => text.replace(/[\u0000-\u0008\u000b-\u001f\u007f\r]/g, ""));
    fc.assert(
      fc.property(words, words, (title, description) => {
        const text = iCalendar("Tallow & Wren; the cyclecar, 1913", [event({ title, description })], STAMP);
        expect(text.endsWith("\r\n")).toBe(true);
        expect(text.replaceAll("\r\n", "")).not.toMatch(/[\r\n]/);
        for (const line of text.split("\r\n")) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
        const [one] = read(text);
        expect(one!.summary ?? "").toBe(title);
        expect(one!.description ?? "").toBe(description);
        expect(one!.uid).toBe("target-1@lastbolt");
      }),
    );
  });
});
