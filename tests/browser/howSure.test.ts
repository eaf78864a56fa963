/** The date by its odds, on the hold-ups sheet. */
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn } from "../support/demo.ts";

const demo = demoInBrowser();

describe("how sure the date is", () => {
  it("is said with even odds, 4 in 5 and the odds of the target, beside the date as quoted", async () => {
    const { page, errors } = await demo.open(demo.at("hold-ups"));
    const section = page.locator("#how-sure");
    await section.locator(".weeks").waitFor();
    expect(await saidIn(section.locator("p.said"))).toMatch(
      /^With everything in hand that has no source yet: even odds on \d+ \w+ \d{4}, 4 in 5 by \d+ \w+ \d{4}; as quoted it is 2 Aug 2027\. The target of 19 Jun 2027: .+\.$/,
    );
    expect(await section.locator("tbody tr").count()).toBeGreaterThan(1);
    await section.locator("tbody th a").first().click();
    await page.waitForURL(/\/parts\//);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      const { page } = await demo.open(demo.at("hold-ups"), size);
      await page.locator("#how-sure .weeks").waitFor();
      expect(await findingsOf(page)).toEqual([]);
      expect(await offThePage(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    });
});
