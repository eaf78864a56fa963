/** Who does what, when: the weeks of each hand, drawn and in words. */
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, sentenceOf } from "../support/demo.ts";

const demo = demoInBrowser();

describe("the sheet by hand", () => {
  it("draws the weeks of each of the five, and says who works on what in one of them", async () => {
    const { page, errors } = await demo.open(demo.at("work/by-hand"));
    const hands = page.locator("ul.by-hand > li");
    await hands.first().waitFor();
    expect(await hands.locator("strong").allTextContents()).toEqual(["Hester", "Ivy", "Jory", "Ned", "Wat"]);
    await expect.poll(() => sentenceOf(page)).toMatch(/^Ned has the most to do: \d+(\.\d+)? h, to the week of /);
    const rows = page.locator("#week tbody tr");
    await expect.poll(() => rows.count()).toBeGreaterThanOrEqual(5);
    // What one works in a week is no more than they have.
    const booked = await rows.evaluateAll((all) =>
      all.map((row) => [
        row.querySelector('[data-label="Who"]')?.textContent ?? "",
        Number.parseFloat(row.querySelector('[data-label="Hours"]')?.textContent ?? ""),
      ]),
    );
    const sums = new Map<string, number>();
    for (const [who, hours] of booked as [string, number][]) sums.set(who, (sums.get(who) ?? 0) + hours);
    for (const sum of sums.values()) expect(sum).toBeLessThanOrEqual(37.5 + 0.1);
    await page.getByRole("button", { name: "Week after" }).click();
    await page.waitForURL(/week=2026-11-30/);
    await page.getByRole("heading", { name: "The week of 30 Nov 2026" }).waitFor();
    await hands
      .nth(4)
      .locator("svg")
      .click({ position: { x: 4, y: 20 } });
    await page.waitForURL(/week=2026-11-23/);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says what more hands would gain, best first, and Hold-ups says the first of it and leads there", async () => {
    const { page, errors } = await demo.open(demo.at("hold-ups"));
    const first = page.locator(".first-gain");
    await expect
      .poll(() => saidIn(first))
      .toMatch(/^(One more hand|An hour more a day|Saturdays worked) for .+ would gain \d+ days?\./);
    const said = (await saidIn(first)).split(" would gain ")[0]!;
    await first.getByRole("link").click();
    const rows = page.locator("#more-hands tbody tr");
    await rows.first().waitFor();
    expect(await rows.first().locator('[data-label="What"]').textContent()).toBe(said);
    const gained = await rows.locator('[data-label="Sooner by"]').allTextContents();
    const counts = gained.map((words) => (words === "no day" ? 0 : Number.parseInt(words, 10)));
    expect(counts[0]).toBeGreaterThan(0);
    expect(counts).toEqual(counts.toSorted((a, b) => b - a));
    // Nothing is marked in the demo to be done first, or not before a day.
    expect(await page.locator("#order-marks").count()).toBe(0);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says how to begin where no work is entered, and asks for nobody where some are", async () => {
    const { page, errors } = await demo.open(demo.at("work/by-hand", await demo.addEmpty()));
    await page.getByText("No work is entered yet").waitFor();
    await page.getByRole("link", { name: "Enter the work" }).waitFor();
    expect(await page.getByRole("link", { name: "Say who works" }).count()).toBe(0);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      const { page } = await demo.open(demo.at("work/by-hand"), size);
      await page.locator("ul.by-hand > li").first().waitFor();
      await page.locator("#week tbody tr").first().waitFor();
      await page.locator("#more-hands tbody tr").first().waitFor();
      expect(await saidIn(page.locator(".on-hands"))).toContain("the hands of the shop can keep");
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      if (process.env["SHOTS"])
        await page.screenshot({
          path: `${process.env["SHOTS"]}/byhand-${size.viewport.width}-${size.colorScheme}.png`,
          fullPage: true,
        });
      await page.context().close();
    });
});
