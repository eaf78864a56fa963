import { expect, it } from "vitest";
import { saidByAll, withoutSaid } from "../../web/field/fieldSheet.ts";

const ALL = "Local codes come first; nothing is certified.";
const LININGS = `Old linings may hold asbestos. ${ALL}`;

it("what every part's caution says is said once, and what is its own stays with the part", () => {
  const said = saidByAll([LININGS, `No hot work on a tank. ${ALL}`, ALL]);
  expect(said).toEqual([ALL]);
  expect(withoutSaid(LININGS, said)).toBe("Old linings may hold asbestos.");
  expect(withoutSaid(ALL, said)).toBe("");
});

it("a single part keeps all of its own, and a price is no end of a sentence", () => {
  expect(saidByAll([LININGS])).toEqual([]);
  const price = "Walk away above GBP 1,204.50: 3 days earlier.";
  expect(withoutSaid(`${price} No price is set on a day.`, ["No price is set on a day."])).toBe(price);
});
