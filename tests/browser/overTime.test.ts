/** The end as it stood on each day, and what moved it. */
import { describe, expect, it } from "vitest";
import { keepDay } from "../../server/plan/days/dayFigures.ts";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, sentenceOf } from "../support/demo.ts";

const demo = demoInBrowser();

describe("the sheet over time", () => {
  it("opens by saying what moved the end in the last week, and leads to it", async () => {
    await keepDay(demo.server.store, demo.restoration);
    const { page, errors } = await demo.open(demo.at("hold-ups/over-time"));
    await page.locator("p.sentence strong").waitFor();
    await expect
      .poll(() => sentenceOf(page))
      .toBe(
        "Since 16 Nov 2026 the end has moved 7 days later, to 4 Aug 2027. Gearbox casing, two halves made it later by 7 days.",
      );
    await page.locator("p.sentence a").click();
    await page.waitForURL(/\/parts\//);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("counts from another day, by the field or by a click on the drawing, and keeps it in the address", async () => {
    const { page } = await demo.open(demo.at("hold-ups/over-time"));
    await page.getByLabel("What moved since").fill("2026-10-28");
    await page.locator("h2", { hasText: "What moved it since 26 Oct 2026" }).waitFor();
    await expect.poll(() => sentenceOf(page)).toContain("21 days later, to 4 Aug 2027");
    // What the sentence ends with stands as the newest row too.
    const newest = page.locator("#rows tbody tr").first();
    await newest.getByText("23 Nov 2026").waitFor();
    await expect.poll(() => newest.textContent()).toContain("4 Aug 2027");
    await page.locator(".line > svg").click({ position: { x: 120, y: 100 } });
    await page.waitForURL(/since=2026-09-\d\d/);
    await page.locator("h2", { hasText: /What moved it since \d+ Sep 2026/ }).waitFor();
    await page.reload();
    await page.locator("h2", { hasText: /What moved it since \d+ Sep 2026/ }).waitFor();
    await page.context().close();
  });

  it("says so where no day is kept, and how days come to be kept", async () => {
    const { page } = await demo.open(demo.at("hold-ups/over-time", await demo.addEmpty()));
    await page.getByText("No day is kept yet").waitFor();
    await page.context().close();
  });

  it("compares no day with now where nothing is entered any more", async () => {
    const empty = await demo.addEmpty();
    await demo.server.store.dayFigures.create({
      data: {
        restorationId: empty,
        day: "2026-11-16",
        planRevision: 0,
        open: false,
        completion: "2027-02-01",
        currency: "GBP",
        holdUps: JSON.stringify([{ key: "work", title: "The work alone", date: "2027-02-01" }]),
      },
    });
    const { page } = await demo.open(demo.at("hold-ups/over-time", empty));
    await expect
      .poll(() => sentenceOf(page))
      .toBe("No work and no part is entered, so there is no end that could have moved.");
    await page.getByText("Nothing is entered that could move it.").waitFor();
    // The day that was kept stands as it was, and today is none.
    expect(await page.locator("#rows tbody tr").count()).toBe(1);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      const { page } = await demo.open(demo.at("hold-ups/over-time?since=2026-09-07"), size);
      await page.locator(".line > svg").waitFor();
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    });
});
