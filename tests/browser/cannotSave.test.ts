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
    const { page } = await demo.open(demo.at("parts", await demo.addEmpty()));
    const line = page.locator("main").getByText(LINE);
    await page.getByRole("button", { name: "Add a part" }).click();
    const name = page.getByLabel("Name", { exact: true });
    await name.fill("Exhaust flange");
    expect(await line.count()).toBe(0);
    await readOnly(true);
    await page.getByRole("button", { name: "Add the part" }).click();
    await line.waitFor();
    expect(await name.inputValue()).toBe("Exhaust flange");
    await readOnly(false);
    await line.waitFor({ state: "detached" });
    await page.getByRole("button", { name: "Add the part" }).click();
    await page.getByRole("link", { name: "Exhaust flange" }).waitFor();
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
