/** What a fault says: of any field of any row, in words that a form can put after its own label. */
import { expect, it } from "vitest";
import { clubRules } from "../../server/store/clubRules.ts";
import { type Fault, noLongerThere } from "../../server/store/fault.ts";
import { complaintOf, faultsBy, rules } from "../../server/store/rules.ts";

/** Values that most fields refuse. */
const BAD = [undefined, null, "", " ", "x".repeat(6_000), -1, 1e12, 0.5, Number.NaN, false];

it.each(Object.entries({ ...rules, ...clubRules }))(
  "every fault of a %s begins with its field, and the rest stands alone",
  (_noun, rule) => {
    const { shape } = rule;
    const rows = BAD.map((value) => Object.fromEntries(Object.keys(shape).map((field) => [field, value])));
    // What is of another type never comes so far: the schema of the API and the reader of files see to that.
    const faults = rows
      .flatMap((row) => faultsBy(rule, row))
      .filter(({ message }) => !message.includes("Invalid input"));
    expect(faults.length).toBeGreaterThan(0);
    for (const fault of faults) {
      expect([fault.message, complaintOf(fault)]).toEqual([fault.message, expect.stringMatching(/^[a-z].*[^. ]$/)]);
      expect(complaintOf(fault)).not.toContain("(it is");
      // It reads as English after a name in the plural too: "Trades must be given".
      expect(complaintOf(fault)).not.toMatch(/^(is|has|does|was) /);
      expect(fault.message).toContain(complaintOf(fault)!);
    }
  },
);

it.each([
  [
    { code: "OUT_OF_RANGE", field: "kept", value: "900", message: "kept must be at most 100 (it is 900)." },
    "must be at most 100",
  ],
  [
    {
      code: "NEGATIVE",
      field: "priceBreaks.2.unitPriceMinor",
      value: "-5",
      message: "unit price must not be negative (it is -5).",
    },
    "must not be negative",
  ],
  [
    { code: "REQUIRED", field: "priceMinor", message: "priceMinor must be given: give the one agreed." },
    "must be given: give the one agreed",
  ],
  [{ code: "REQUIRED", field: "email", message: "An e-mail is needed: you sign in with it." }, null],
  [{ code: "UNKNOWN_ROW", field: "part", message: noLongerThere("part") }, null],
  [{ code: "UNREADABLE", message: "The request holds no zip." }, null],
] satisfies [Fault, string | null][])("%j leaves %s", (fault, complaint) => {
  expect(complaintOf(fault)).toBe(complaint);
});
