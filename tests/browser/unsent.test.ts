/** What is noted without a connection goes to the server once, as soon as the server answers, whatever the browser says of its connection. */
import type { BrowserContext, Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { demoInBrowser } from "../support/demo.ts";

const demo = demoInBrowser();
const PHONE = { viewport: { width: 390, height: 844 } };

/** A browser that says the same of its connection whatever becomes of it, and tells of no change. */
const alwaysSays = (context: BrowserContext, onLine: boolean) =>
  context.addInitScript((says) => {
    Object.defineProperty(Navigator.prototype, "onLine", { get: () => says });
    for (const change of ["online", "offline"])
      window.addEventListener(change, (event) => event.stopImmediatePropagation(), true);
  }, onLine);

const finds = (page: Page) => page.locator("#finds .finds > li");

async function noteFind(page: Page, what: string) {
  await page.locator("#finds").getByRole("button", { name: "Note a find" }).click();
  const form = page.getByRole("form", { name: "A find" });
  await form.getByLabel("What it is").fill(what);
  await form.getByRole("button", { name: "Keep the find" }).click();
  await finds(page).filter({ hasText: what }).waitFor();
}

async function bookHours(page: Page, worked: string) {
  await page.locator(".hours-work button").last().click();
  await page.getByRole("button", { name: /^Stop/ }).click();
  await page.getByLabel("Hours worked").fill(worked);
  await page.getByRole("button", { name: "Book the hours" }).click();
  await page.locator("#not-sent").getByText(`${worked} h`).waitFor();
}

for (const onLine of [true, false])
  describe(`in a browser that always says it is ${onLine ? "on" : "off"} line`, () => {
    it("a find noted after a reload without a connection is sent when the server answers again", async () => {
      const { page } = await demo.open(demo.at("field-sheet"), PHONE, ".field-parts > li");
      const context = page.context();
      await page.getByText("Kept on this device").waitFor();
      await alwaysSays(context, onLine);
      await context.setOffline(true);
      await page.reload();
      await page.getByText("Without a connection").waitFor();
      const what = `Lamp bracket, ${onLine}`;
      await noteFind(page, what);
      await finds(page).filter({ hasText: what }).filter({ hasText: "not yet sent" }).waitFor();
      await context.setOffline(false);
      await finds(page).filter({ hasText: what }).filter({ hasText: "Seen on" }).waitFor();
      expect(await demo.server.store.find.count({ where: { what } })).toBe(1);
      await context.close();
    });

    it("hours booked after a reload without a connection are sent when the server answers again", async () => {
      const before = await demo.server.store.hoursBooked.count();
      const { page } = await demo.open(demo.at("hours"), PHONE, ".hours-work button");
      const context = page.context();
      await page.evaluate(async () => navigator.serviceWorker.ready);
      await alwaysSays(context, onLine);
      await context.setOffline(true);
      await page.reload();
      await page.getByText("Without a connection").waitFor();
      await bookHours(page, "0.75");
      await context.setOffline(false);
      await page.locator("#not-sent").waitFor({ state: "detached" });
      expect(await demo.server.store.hoursBooked.count()).toBe(before + 1);
      await context.close();
    });
  });
