/** Numbers and amounts as people type them: one rule for every field. */
import { describe, expect, it } from "vitest";
import { TypedList } from "../../web/parts/typedList.ts";
import { amountTyped, numberTyped } from "../../web/shared/typedNumber.ts";
import { measuredIn } from "../../web/threads/measured.ts";

const amount = (text: string, decimals = 2): number | string => {
  const read = amountTyped(text, "EUR", decimals);
  return "value" in read ? read.value : read.fault;
};
const number = (text: string, whole = false): number | string => {
  const read = numberTyped(text, whole);
  return "value" in read ? read.value : read.fault;
};

describe("an amount", () => {
  it.each([
    ["38,50", 3850],
    ["38.50", 3850],
    ["12,5", 1250],
    ["1.240,00", 124000],
    ["1,240.00", 124000],
    ["1.250,50", 125050],
    ["1,240.5", 124050],
    ["1 240,50", 124050],
    ["1\u202f240,50", 124050],
    ["1'240.50", 124050],
    ["1’240’000.50", 124000050],
    ["1,240,000", 124000000],
    ["1.240.000,5", 124000050],
    [" 12 000 ", 1200000],
    ["-3,10", -310],
    ["−3.10", -310],
    ["38,", 3800],
    [",5", 50],
    ["1240", 124000],
  ])("is taken from “%s”", (text, minor) => {
    expect(amount(text)).toBe(minor);
  });

  it("is refused where a mark before three digits may be either, with both readings said", () => {
    for (const text of ["1,234", "1.234"])
      expect(amount(text)).toBe(`“${text}” may be 1234 or 1.234: write 1234.00, or with at most 2 decimals.`);
    expect(amount("-1.234")).toContain("may be -1234 or -1.234");
    expect(amount("1,234", 3)).toBe("“1,234” may be 1234 or 1.234: write 1234.000, or 1.234.");
  });

  it("leaves no doubt where the currency has no decimals, or has three and a point stands before them", () => {
    expect(amount("1,234", 0)).toBe(1234);
    expect(amount("1.234", 0)).toBe(1234);
    expect(amount("1.234", 3)).toBe(1234);
    expect(amount("0,125", 3)).toBe(125);
  });

  it("is refused where it is none, is finer than the currency, or is more than is taken", () => {
    for (const text of ["", "abc", "1.2.3", "1,2,3", "12,34.5", "1.24,567.8", "£5", "--1", "1e3", "1 2", "1234,567"])
      expect(amount(text)).toBe("Must be an amount in EUR with at most 2 decimals, such as 1240.50.");
    expect(amount("9,5", 0)).toBe("Must be an amount in whole EUR.");
    expect(amount("21.474.836,48")).toBe("Must be at most 21474836.47 EUR.");
  });
});

describe("a number", () => {
  it("has a comma or a point before its decimals, as far as there is no doubt", () => {
    for (const [text, value] of [
      ["12,5", 12.5],
      ["12.5", 12.5],
      [".5", 0.5],
      ["0,125", 0.125],
      ["24.125", 24.125],
      ["1.250,5", 1250.5],
      ["1 250", 1250],
    ] as const)
      expect(number(text)).toBe(value);
    expect(number("24,125")).toBe("“24,125” may be 24125 or 24.125: write one of them.");
    expect(number("many")).toBe("Must be a number, such as 12.5 or 12,5.");
  });

  it("that is whole may have marks between its thousands and no decimals", () => {
    expect(number("1.234", true)).toBe(1234);
    expect(number("1,234", true)).toBe(1234);
    expect(number("12,5", true)).toBe("Must be a whole number.");
  });
});

describe("what is read by it", () => {
  it("are the cells of lists and the lengths of a thread, also as fractions", () => {
    const list = new TypedList("prices");
    expect(list.minor(0, "unit", "38,50", "EUR", 2)).toBe(3850);
    expect(list.number(0, "hours", "1,5")).toBe(1.5);
    expect(list.whole(0, "size", "1 000")).toBe(1000);
    expect(list.outcome()).toBeNull();
    list.whole(1, "size", "-3");
    expect(list.faults).toMatchObject([{ field: "prices.1.size", message: "A whole number is needed." }]);
    const { asked, faults } = measuredIn(new URLSearchParams({ diameter: "6,35", pitch: "1 1/4" }));
    expect(asked).toEqual({ diameter: 6.35, pitch: 1.25, unit: "MM" });
    expect(faults).toEqual([]);
  });
});
