/** The machines of one shop on screen: in what order, what another order changes, and the order of their work. */
import { describe, expect, it } from "vitest";
import { seedDemo, seedEngine } from "../../seed/load.ts";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES } from "../support/demo.ts";

const demo = demoInBrowser(async (store) => {
  await seedDemo(store);
  await seedEngine(store);
});

describe("the machines of the shop", () => {
  it("stand by rank with their ends; what moving one up changes is told before, done and taken back", async () => {
    const { page, errors } = await demo.open(`${demo.server.address}/`);
    const rows = page.locator("#in-order tbody tr");
    await expect.poll(() => rows.count()).toBe(2);
    const named = () => rows.locator('[data-label="Machine"]').allTextContents();
    expect(await named()).toEqual([
      "1913 Tallow & Wren 8 h.p. V-twin cyclecar",
      "1911 Thripp & Daughter 3 h.p. stationary engine",
    ]);
    await expect
      .poll(() => rows.first().textContent())
      .toMatch(/4 Aug 2027 once what is open is in hand, 46 days late/);
    await page.locator("#week-0 dd li").first().waitFor();
    await page.getByRole("button", { name: "Move up 1911 Thripp & Daughter" }).click();
    const effect = page.locator("#in-order .state");
    await expect.poll(() => effect.locator("li").count()).toBe(2);
    await page.getByRole("button", { name: "Do them in that order" }).click();
    await expect.poll(async () => (await named())[0]).toContain("Thripp & Daughter");
    await page
      .getByRole("button", { name: /Undo|Take it back/ })
      .first()
      .click();
    await expect.poll(async () => (await named())[0]).toContain("Tallow & Wren");
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("have their order of work looked for and kept", async () => {
    const { page, errors } = await demo.open(demo.at("work/by-hand"));
    const section = page.locator("#order-of-work");
    await section.getByRole("button", { name: "Look for a better order" }).click();
    await section.getByRole("button", { name: /^Keep (this order|one)/ }).click({ timeout: 60_000 });
    await expect
      .poll(() => demo.server.store.operation.count({ where: { place: { not: null } } }), { timeout: 20_000 })
      .toBeGreaterThan(50);
    await section.getByText("An order of work is kept.").waitFor();
    await section.getByRole("button", { name: "Let it go" }).click();
    await expect.poll(() => demo.server.store.operation.count({ where: { place: { not: null } } })).toBe(0);
    expect(errors).toEqual([]);
    await page.context().close();
  }, 90_000);

  for (const size of SIZES)
    it(`have no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      for (const [name, address] of [
        ["machines", `${demo.server.address}/`],
        ["by-hand", demo.at("work/by-hand")],
      ] as const) {
        const { page } = await demo.open(address, size);
        await page.locator("#in-order tbody tr, #order-of-work button").first().waitFor();
        await page.waitForLoadState("networkidle");
        if (process.env["SHOTS"])
          await page.screenshot({
            path: `${process.env["SHOTS"]}/${name}-${size.viewport.width}-${size.colorScheme}.png`,
            fullPage: true,
          });
        expect(await findingsOf(page)).toEqual([]);
        await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
        await page.context().close();
      }
    }, 60_000);
});
