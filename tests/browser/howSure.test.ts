/** The date by its odds, on the hold-ups sheet. */
import { describe, expect, it } from "vitest";
import { threads } from "../../server/worker/threads.ts";
import { findingsOf } from "../support/axe.ts";
import { openPage } from "../support/browser.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, sentenceOf } from "../support/demo.ts";
import { largeRestoration } from "../support/largeRestoration.ts";

const demo = demoInBrowser();

describe("how sure the date is", () => {
  it("is said with even odds, 4 in 5 and the odds of the target, beside the date as quoted", async () => {
    const { page, errors } = await demo.open(demo.at("hold-ups"));
    const section = page.locator("#how-sure");
    await section.locator(".weeks").waitFor();
    await expect
      .poll(() => saidIn(section.locator("p.said")))
      .toMatch(
        /^(If .+ were in hand, e|E)ven odds by \d+ \w+ \d{4}, 4 in 5 by \d+ \w+ \d{4}\. As quoted it is 4 Aug 2027\. Low-speed brake band anchor is looked for with nothing to order instead; when it is found is counted by the chances of its hunt\. The target of 19 Jun 2027: .+\.$/,
      );
    await expect.poll(() => section.locator("tbody tr").count()).toBeGreaterThan(1);
    await section.locator("tbody th a").first().click();
    await page.waitForURL(/\/parts\//);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("stands in the opening sentence, and as a band behind the end of each line of the ladder", async () => {
    const { page } = await demo.open(demo.at("hold-ups"));
    await page.locator(".rung-drawing .band").first().waitFor();
    await expect
      .poll(() => sentenceOf(page))
      .toMatch(
        /If Magneto drive coupling housing were in hand, the .+ would have even odds of being ready by \d+ \w+ \d{4}, 4 in 5 by \d+ \w+ \d{4}; none of the runs keeps the target date\. Low-speed brake band anchor is looked for with nothing to order instead; when it is found is counted by the chances of its hunt\. As quoted, with them in hand that day, it would be ready on 4 Aug 2027, 46 days late\./,
      );
    const rung = page.locator("a.rung-line", { hasText: "Gearbox casing" });
    await expect.poll(() => rung.textContent()).toMatch(/even odds by \d+ \w+ 2027, 4 in 5 by \d+ \w+ 2027/);
    await page.getByText("The ladder as a table").click();
    const cell = page.locator("tr", { hasText: "Gearbox casing" }).first().locator("td").last();
    await expect.poll(() => saidIn(cell)).toMatch(/^\d+ \w+ 2027; \d+ \w+ 2027$/);
    await page.context().close();
  });

  it("stands beside what the same runs say without the order of work, with no warning where they agree", async () => {
    const { page } = await demo.open(demo.at("hold-ups"));
    const section = page.locator("#how-sure");
    const check = section.locator("p", { hasText: "All this is with the order of work kept." });
    await expect
      .poll(() => saidIn(check))
      .toMatch(
        /If whoever is free took the next that can be started instead, even odds would come on the same day and 4 in 5 would come (on the same day|\d+ days? (sooner|later))\.$/,
      );
    expect(await section.locator(".caution").count()).toBe(0);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      const { page } = await demo.open(demo.at("hold-ups"), size);
      await page.locator("#how-sure .weeks").waitFor();
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    });
});

describe("runs that take a while", () => {
  it("say how far they are and the date so far, stop when asked, and go on", async () => {
    const { store } = demo.server;
    // So much work of unsure length that all runs are needed, and that a stop comes long before the last.
    const { id } = await largeRestoration(store, { parts: 40, operations: 10_000 });
    await store.operation.updateMany({ where: { restorationId: id }, data: { hoursLeast: 1, hoursMost: 90 } });
    const { page, errors } = await openPage(demo.browser, demo.at("hold-ups", id));
    const run = page.locator("#how-sure .odds-run");
    await run.getByRole("progressbar", { name: "Drawing runs of the plan" }).waitFor();
    await run.getByText(/: 4 in 5 by \d+ \w+ \d{4} so far/).waitFor();
    for (const { viewport, colorScheme } of SIZES) {
      await page.setViewportSize(viewport);
      await page.emulateMedia({ colorScheme });
      await expect.poll(() => offThePage(page)).toBe(0);
    }
    await run.getByRole("button", { name: "Stop" }).click();
    await run.getByText("Stopped.").waitFor();
    await expect
      .poll(() => saidIn(run.getByRole("status")))
      .toMatch(
        /^Stopped\. [\d,]+ runs drawn, of about [\d,]+: 4 in 5 by \d+ \w+ \d{4} so far, with a standard error of [\d.]+ days\.$/,
      );
    // What more hands would gain is worked out beside, and ends by itself.
    await expect.poll(() => threads.busy, { timeout: 240_000 }).toBe(0);
    await expect.poll(() => page.locator("#how-sure .weeks").count()).toBe(0);
    await expect.poll(() => sentenceOf(page)).not.toContain("4 in 5 by");
    expect(await findingsOf(page)).toEqual([]);
    await run.getByRole("button", { name: "Go on" }).click();
    await page.locator("#how-sure .weeks").waitFor({ timeout: 240_000 });
    await run.waitFor({ state: "detached" });
    await expect.poll(() => sentenceOf(page)).toContain("4 in 5 by");
    expect(errors).toEqual([]);
    await page.context().close();
  });
});
