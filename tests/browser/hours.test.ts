/** Hours at the bench: two taps and what remains, with or without a connection, and entries on the operation's sheet. */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { today } from "../../server/plan/days/today.ts";
import { findingsOf } from "../support/axe.ts";
import { launchBrowser, openPage } from "../support/browser.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let browser: Browser;
let restoration: string;
let sheet: string;

const PHONE = { viewport: { width: 390, height: 844 } };

beforeAll(async () => {
  server = await startServer({ fill: seedDemo });
  // The demo's own hours are out of the way: what is counted here is what is booked here. First what corrects another.
  await server.store.hoursBooked.deleteMany({ where: { correctsId: { not: null } } });
  await server.store.hoursBooked.deleteMany();
  browser = await launchBrowser();
  restoration = (await server.store.restoration.findFirstOrThrow()).id;
  sheet = `${server.address}/restorations/${restoration}/work/hours`;
});
afterAll(async () => {
  await browser?.close();
  await server?.close();
});

const work = (page: Page) => page.locator(".hours-work button");

async function openSheet(options: Parameters<typeof openPage>[2] = PHONE) {
  const opened = await openPage(browser, sheet, options);
  await work(opened.page).first().waitFor();
  return opened;
}

/** Starts the last operation of the list, and returns its row. */
async function start(page: Page) {
  const button = work(page).last();
  const code = (await button.locator(".hours-facts").textContent())!.split(",")[0]!;
  await button.click();
  await page.getByRole("timer").waitFor();
  return server.store.operation.findFirstOrThrow({ where: { restorationId: restoration, code } });
}

describe("hours at the bench", () => {
  it("are booked by a tap, a tap, and what remains; the clock outlasts a reload", async () => {
    const { page, errors } = await openSheet();
    const operation = await start(page);
    await page.reload();
    await page.getByRole("timer").waitFor();
    await expect.poll(() => work(page).first().isDisabled()).toBe(true);
    await page.getByRole("button", { name: /^Stop/ }).click();
    await page.getByLabel("Hours worked").fill("1.5");
    const left = page.getByLabel("Hours still to do");
    await expect.poll(() => left.inputValue()).toBe(String(Math.max(0, operation.hoursLikely - 1.5)));
    await left.fill("2.25");
    await page.getByRole("button", { name: "Book the hours" }).click();
    await page.getByRole("timer").waitFor({ state: "detached" });
    await page.getByText("Booked lately").waitFor();
    await expect
      .poll(() => server.store.hoursBooked.findMany())
      .toMatchObject([{ operationId: operation.id, hours: 1.5, remainingHours: 2.25 }]);
    await expect
      .poll(() => server.store.operation.findUniqueOrThrow({ where: { id: operation.id } }))
      .toMatchObject({
        state: "UNDER_WAY",
        remainingHours: 2.25,
      });
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("are kept without a connection, over a reload, and sent once when it is back", async () => {
    await server.store.hoursBooked.deleteMany();
    const { page } = await openSheet();
    await page.evaluate(async () => navigator.serviceWorker.ready);
    await page.context().setOffline(true);
    await page.reload();
    await page.getByText("Without a connection").waitFor();
    const operation = await start(page);
    await page.getByRole("button", { name: /^Stop/ }).click();
    await page.getByLabel("Hours worked").fill("0.75");
    await page.getByRole("button", { name: "Book the hours" }).click();
    await page.locator("#not-sent").getByText("0.75 h").waitFor();
    await page.reload();
    await page.locator("#not-sent").getByText("0.75 h").waitFor();
    await expect.poll(() => server.store.hoursBooked.count()).toBe(0);
    await page.context().setOffline(false);
    await page.locator("#not-sent").waitFor({ state: "detached" });
    await expect
      .poll(() => server.store.hoursBooked.findMany())
      .toMatchObject([{ operationId: operation.id, hours: 0.75 }]);
    const lately = page.locator("#lately");
    await lately.getByText("0.75 h").waitFor();
    expect(await lately.textContent()).not.toContain("as read on");
    await page.context().setOffline(true);
    for (const shown of ["on the page that is open", "after a reload"]) {
      if (shown === "after a reload") await page.reload();
      await page.getByText("Without a connection").waitFor();
      await lately.getByText("This list is as read on").waitFor();
      await lately.getByText("0.75 h").waitFor();
    }
    await page.context().close();
  });

  it("of work that was finished meanwhile are kept with the reason, and booked when that is asked", async () => {
    await server.store.hoursBooked.deleteMany();
    const { page } = await openSheet();
    const operation = await start(page);
    await server.store.operation.update({
      where: { id: operation.id },
      data: { state: "DONE", finishedOn: "2026-11-20", revision: { increment: 1 } },
    });
    await page.getByRole("button", { name: /^Stop/ }).click();
    await page.getByRole("button", { name: "Book the hours" }).click();
    await page.locator("#not-sent").getByText("is done already").waitFor();
    await expect.poll(() => server.store.hoursBooked.count()).toBe(0);
    await page.getByRole("button", { name: "Book them all the same" }).click();
    await page.locator("#not-sent").waitFor({ state: "detached" });
    await expect.poll(() => server.store.hoursBooked.count()).toBe(1);
    await expect
      .poll(async () => (await server.store.operation.findUniqueOrThrow({ where: { id: operation.id } })).state)
      .toBe("DONE");
    await page.context().close();
  });

  it("of a restoration without work say that none is entered, and lead to it", async () => {
    const { data } = await server.query<{ saveRestoration: { id: string } }>(
      `mutation { saveRestoration(input: { machine: "Stationary engine" }) { ... on Saved { id } } }`,
    );
    const empty = `${server.address}/restorations/${data!.saveRestoration.id}/work`;
    const { page } = await openPage(browser, `${empty}/hours`, PHONE);
    await page.getByText("No work is entered yet").waitFor();
    await page.getByRole("link", { name: "Enter the work" }).click();
    await page.waitForURL(empty);
    await page.context().close();
  });

  it("begin on the workshop's day, wherever the browser stands", async () => {
    const { workshopId } = await server.store.restoration.findUniqueOrThrow({ where: { id: restoration } });
    const { timeZone: before } = await server.store.workshop.findUniqueOrThrow({ where: { id: workshopId } });
    // There is no hour at which these two are on one date.
    await server.store.workshop.update({ where: { id: workshopId }, data: { timeZone: "Pacific/Kiritimati" } });
    const operation = await server.store.operation.findFirstOrThrow({
      where: { restorationId: restoration, state: "NOT_STARTED" },
    });
    const { page } = await openPage(browser, `${server.address}/restorations/${restoration}/work/${operation.id}`, {
      timezoneId: "Pacific/Pago_Pago",
    });
    const section = page.locator("#hours");
    await section.getByRole("button", { name: "Book hours" }).click();
    const there = [today("Pacific/Kiritimati")];
    const said = await section.getByLabel("Worked on").inputValue();
    // Midnight may pass there while this runs.
    expect([...there, today("Pacific/Kiritimati")]).toContain(said);
    expect(said).not.toBe(today("Pacific/Pago_Pago"));
    await page.context().close();
    await server.store.workshop.update({ where: { id: workshopId }, data: { timeZone: before } });
  });

  it("stand on the operation's sheet, are booked there by hand, and put right by an entry of their own", async () => {
    const operation = await server.store.operation.findFirstOrThrow({
      where: { restorationId: restoration, state: "NOT_STARTED" },
    });
    const { page } = await openPage(browser, `${server.address}/restorations/${restoration}/work/${operation.id}`);
    const section = page.locator("#hours");
    await section.getByText("No hours are booked to it").waitFor();
    await section.getByRole("button", { name: "Book hours" }).click();
    await section.getByLabel("Hours worked").fill("4");
    await section.getByRole("button", { name: "Book the hours" }).click();
    await section.getByText("4 h booked").waitFor();
    await section.getByRole("button", { name: /^Correct/ }).click();
    await section.getByLabel("Hours there should be").fill("3");
    await section.getByRole("button", { name: "Book the correction" }).click();
    await section.getByText("3 h booked").waitFor();
    await expect.poll(() => section.locator("tbody tr").count()).toBeGreaterThanOrEqual(2);
    await section.getByText("2 entries").waitFor();
    await page.context().close();
  });

  for (const [width, height] of [
    [1280, 900],
    [390, 844],
  ] as const)
    for (const colorScheme of ["light", "dark"] as const)
      it(`can be read by everyone, at ${width} pixels in ${colorScheme}`, async () => {
        const { page } = await openSheet({ viewport: { width, height }, colorScheme });
        expect(await findingsOf(page)).toEqual([]);
        await start(page);
        await page.getByRole("button", { name: /^Stop/ }).click();
        expect(await findingsOf(page)).toEqual([]);
        await expect
          .poll(() => page.evaluate(() => document.documentElement.scrollWidth <= window.innerWidth))
          .toBe(true);
        await page.context().close();
      });
});
