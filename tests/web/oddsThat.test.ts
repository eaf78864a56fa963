import { expect, it } from "vitest";
import { oddsThat } from "../../web/shared/format.ts";

it("a chance stands in a sentence as odds, as certain, or as none", () => {
  expect(oddsThat("it goes ahead", 0.85)).toBe("the odds that it goes ahead are 17 in 20");
  expect(oddsThat("it goes ahead", 1)).toBe("it is certain that it goes ahead");
  expect(oddsThat("it goes ahead", 0)).toBe("there is no chance that it goes ahead");
});
