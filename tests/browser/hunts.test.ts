/** A hunt on the part's sheet: begun, given a stop date and a fallback, found, and taken back. */
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, undoNewest } from "../support/demo.ts";

const demo = demoInBrowser();
/** Gearbox casing: quotes, and none of them ordered. */
const PART = "TR-01";

describe("a hunt for a part", () => {
  it("is begun with a stop date and a fallback, says what each stop date gives, and ends in a find that undo takes back", async () => {
    const { page, errors } = await demo.open(demo.at(`parts/${demo.part(PART)}`));
    const section = page.locator("#hunt");
    await section.getByRole("button", { name: "Begin a hunt" }).click();
    await section.getByLabel("Begun on").fill("2026-10-26");
    await section.getByLabel("Chance in a week").fill("0.05");
    await section.getByLabel("Stop date").fill("2026-12-14");
    await section.getByLabel("A find costs about").fill("400");
    await section.getByRole("button", { name: "Begin the hunt" }).click();
    await section.locator(".stop-dates svg").waitFor();
    await section.getByLabel("Fallback").selectOption({ index: 1 });
    await section.getByText(/the fallback is ordered on 14 Dec 2026/).waitFor();
    expect(await saidIn(section)).toContain("4 weeks without a find");
    expect(await section.locator("tbody td[data-label='Expected cost']").last().textContent()).toMatch(/^£\d/);
    expect(await section.locator("tbody tr").count()).toBeGreaterThan(5);
    await section.getByRole("button", { name: "Found, and in hand" }).click();
    await section.waitFor({ state: "detached" });
    await undoNewest(page);
    await section.getByRole("button", { name: "Edit the hunt" }).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      const { page } = await demo.open(demo.at(`parts/${demo.part(PART)}`), size);
      await page.locator("#hunt .stop-dates svg").waitFor();
      expect(await findingsOf(page)).toEqual([]);
      expect(await offThePage(page)).toBeLessThanOrEqual(0);
      if (size.colorScheme === "light") await page.context().close();
    });
});
