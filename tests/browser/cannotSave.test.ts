import { afterEach, describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES } from "../support/demo.ts";

const demo = demoInBrowser();
/** SQLite's own switch does to its writing connection what a disk does that may only be read. */
const readOnly = (on: boolean) => demo.server.store.$queryRawUnsafe(`PRAGMA query_only = ${on ? "ON" : "OFF"}`);
afterEach(() => readOnly(false));

const LINE = /may not write to its data folder: until somebody lets it, nothing can be saved\./;

describe("a server that can write nothing", () => {
  it("is told above the sheet; what is typed stays, and is saved once the server can", async () => {
    const { page } = await demo.open(demo.at(`parts/${demo.part("TR-02")}`), {}, "form");
    const line = page.locator("main").getByText(LINE);
    await expect.poll(() => line.count()).toBe(0);
    await readOnly(true);
    const form = page.locator("form").first();
    await form.getByLabel("Notes").fill("Bearing seat worn on the left");
    await form.getByRole("button", { name: "Save" }).first().click();
    await line.waitFor();
    expect(await form.getByLabel("Notes").inputValue()).toBe("Bearing seat worn on the left");
    await readOnly(false);
    await line.waitFor({ state: "detached" });
    await form.getByRole("button", { name: "Save" }).first().click();
    await expect
      .poll(async () => (await demo.server.store.part.findUnique({ where: { id: demo.part("TR-02") } }))?.notes)
      .toBe("Bearing seat worn on the left");
    await page.context().close();
  });

  it.each(SIZES)("is told at %o, with nothing off the page and no finding of axe", async (size) => {
    await readOnly(true);
    const { page } = await demo.open(demo.at("parts"), size);
    await page.locator("main").getByText(LINE).waitFor();
    expect(await offThePage(page)).toBe(0);
    expect(await findingsOf(page)).toEqual([]);
    await page.context().close();
  });
});
