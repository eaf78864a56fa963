/** How long work really takes: drawn by trade, in words where hours are entered, and how to begin where nothing is known. */
import { describe, expect, it } from "vitest";
import { lookAt, undo } from "../api/shop.ts";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, sentenceOf } from "../support/demo.ts";

const demo = demoInBrowser();

describe("the sheet of how long it takes", () => {
  it("draws booked hours against estimates by trade, and says what the odds take", async () => {
    const { page, errors } = await demo.open(demo.at("work/how-long"));
    await page.locator(".trade-plot").first().waitFor();
    expect(await sentenceOf(page)).toMatch(
      /^Work has taken (as long as|[\d.]+ times) its estimates, from \d+ operations? in \d+ trades?\./,
    );
    const plots = await page.locator(".trade-plot").count();
    expect(await page.locator("#trades tbody tr").count()).toBe(plots);
    const finished = page.locator("#finished tbody tr");
    expect(await page.locator(".trade-plot circle").count()).toBe(await finished.count());
    expect(await saidIn(page.locator("#trades"))).toContain(
      "Dates as quoted, hold-ups and float are by the hours as they were estimated",
    );
    await finished.getByRole("link").first().click();
    await page.locator(".has-taken, .hours-of-operation, #hours").first().waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("stands in words where hours are entered, for the trade that is typed", async () => {
    const { page, errors } = await demo.open(demo.at("work"));
    await page.getByRole("button", { name: "Add an operation" }).click();
    const said = page.locator("dialog .has-taken");
    await said.waitFor();
    await page.getByRole("dialog").getByLabel("Trade").fill("chassis");
    await expect
      .poll(() => saidIn(said))
      .toMatch(
        /^Your chassis work has taken (as long as|[\d.]+ times) its estimates?, from 4 operations: the odds count ([\d.]+ times )?what is entered, [\d.]+ to [\d.]+ times in 8 of 10 runs/,
      );
    await page.getByRole("dialog").getByLabel("Hours, likely").fill("20");
    await expect.poll(() => saidIn(said)).toMatch(/20 h are counted as [\d.]+ h\. Enter what you think it takes\./);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("sets what is expected before anything is known", async () => {
    const { page, errors } = await demo.open(demo.at("work/how-long"));
    const ofShop = page.getByLabel("All work of a shop");
    await ofShop.fill("300");
    const save = page.getByRole("button", { name: "Save how near" });
    await save.click();
    await page.getByText("must be between 0 and 170").waitFor();
    await ofShop.fill("30");
    await save.click();
    await page.getByText("within 30 per cent of its estimates in 2 of 3 shops").waitFor();
    const workshop = await demo.server.store.workshop.findFirstOrThrow();
    expect(workshop.shopSpread).toBeCloseTo(Math.log(1.3), 12);
    expect(workshop.tradeSpread).toBe(0.15);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("goes by the whole shop's work on a machine that has none yet, and says how to begin on a day before any was finished", async () => {
    const empty = await demo.addEmpty();
    const { page, errors } = await demo.open(demo.at("work/how-long", empty));
    await expect
      .poll(() => sentenceOf(page))
      .toMatch(/^Work has taken (as long as|[\d.]+ times) its estimates, from 9 operations in 4 trades/);
    expect(await saidIn(page.locator("#finished tbody"))).toContain("cyclecar");
    const { change } = await lookAt(demo.server, "2026-06-01");
    await page.reload();
    await page.getByText("Nothing finished has hours booked").waitFor();
    expect(await sentenceOf(page)).toMatch(/^No finished work has hours booked yet/);
    expect(await page.getByRole("link", { name: "Book hours" }).getAttribute("href")).toContain("/work/hours");
    await undo(demo.server, change.id);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      const { page } = await demo.open(demo.at("work/how-long"), size);
      await page.locator(".trade-plot").first().waitFor();
      await page.getByText("Before anything is known, all work").waitFor();
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      if (process.env["SHOTS"])
        await page.screenshot({
          path: `${process.env["SHOTS"]}/howlong-${size.viewport.width}-${size.colorScheme}.png`,
          fullPage: true,
        });
      await page.context().close();
    });
});
