/** A server that has too much to do: the sheet asks again by itself, and a save that is refused says that nothing was changed. */
import type { Page, Route } from "playwright-core";
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES } from "../support/demo.ts";

const demo = demoInBrowser();

const MESSAGE =
  "The server has more to do just now than it can keep up with. Nothing of this was done: try again in a moment.";

/** Refuses so many requests that hold a word, as the server does, and counts those that came. */
async function refuse(page: Page, word: string, many: number): Promise<{ came: number }> {
  const counted = { came: 0 };
  await page.route("**/graphql", async (route: Route) => {
    if (!route.request().postData()?.includes(word)) return route.continue();
    counted.came++;
    if (counted.came > many) return route.continue();
    return route.fulfill({
      status: 503,
      headers: { "retry-after": "0.1" },
      json: { code: "TOO_BUSY", message: MESSAGE, errors: [{ message: MESSAGE, extensions: { code: "TOO_BUSY" } }] },
    });
  });
  return counted;
}

describe("a server that has too much to do", () => {
  it("is asked again by the sheet, which then stands there as ever", async () => {
    const { page } = await demo.open(demo.at("restoration"));
    const counted = await refuse(page, "query Parts", 2);
    await page.goto(demo.at("parts"));
    await page.getByRole("table").first().waitFor();
    expect(counted.came).toBe(3);
    await page.context().close();
  });

  it("and that stays so is told in words, with a way to try again", async () => {
    const { page } = await demo.open(demo.at("restoration"));
    await refuse(page, "query Snags", 4);
    await page.goto(demo.at("work/snags"));
    await page.getByText(MESSAGE).waitFor();
    for (const { viewport, colorScheme } of SIZES) {
      await page.setViewportSize(viewport);
      await page.emulateMedia({ colorScheme });
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
    }
    expect(await findingsOf(page)).toEqual([]);
    await page.getByRole("button", { name: "Try again" }).click();
    await page.getByRole("table").first().waitFor();
    await page.context().close();
  });

  it("has a save sent again that it refused, and the part is there once; what it goes on refusing is kept as typed", async () => {
    const empty = await demo.addEmpty();
    const { page } = await demo.open(demo.at("parts", empty));
    const refusing = await refuse(page, "mutation SavePart", 2);
    await page.getByRole("button", { name: "Add a part" }).click();
    await page.getByLabel("Name", { exact: true }).fill("Exhaust flange");
    await page.getByRole("button", { name: "Add the part" }).click();
    await page.getByRole("link", { name: "Exhaust flange" }).waitFor();
    expect(refusing.came).toBe(3);
    expect(await demo.server.store.part.count({ where: { restorationId: empty } })).toBe(1);

    await page.unroute("**/graphql");
    await refuse(page, "mutation SavePart", 4);
    await page.getByRole("button", { name: "Add a part" }).click();
    await page.getByLabel("Name", { exact: true }).fill("Silencer strap");
    await page.getByRole("button", { name: "Add the part" }).click();
    const told = page.getByText(`Not saved. ${MESSAGE} What you typed is still here.`);
    await told.first().waitFor();
    expect(await told.count()).toBe(1);
    expect(await page.getByLabel("Name", { exact: true }).inputValue()).toBe("Silencer strap");
    expect(await demo.server.store.part.count({ where: { restorationId: empty } })).toBe(1);
    for (const { viewport, colorScheme } of SIZES) {
      await page.setViewportSize(viewport);
      await page.emulateMedia({ colorScheme });
      expect(await offThePage(page)).toBeLessThanOrEqual(0);
    }
    expect(await findingsOf(page)).toEqual([]);
    await page.getByRole("button", { name: "Add the part" }).click();
    await page.getByRole("link", { name: "Silencer strap" }).waitFor();
    await page.context().close();
  });
});
