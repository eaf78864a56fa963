import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
import { findingsOf } from "../support/axe.ts";
import { launchBrowser, openPage } from "../support/browser.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let browser: Browser;
let demo: string;

beforeAll(async () => {
  server = await startServer({ fill: seedDemo });
  browser = await launchBrowser();
  demo = (await server.store.restoration.findFirstOrThrow()).id;
});

afterAll(async () => {
  await browser?.close();
  await server?.close();
});

type Options = Parameters<typeof openPage>[2];

async function open(options: Options = {}, restoration = demo) {
  const opened = await openPage(browser, `${server.address}/r/${restoration}/restoration`, options);
  await opened.page.waitForSelector("main .sentence");
  await opened.page.waitForSelector(".year");
  await opened.page.waitForLoadState("networkidle");
  return opened;
}

const sentenceOf = async (page: Page) => ((await page.locator("p.sentence").textContent()) ?? "").replace(/\s+/g, " ");
const undoNewest = (page: Page) => page.locator(".notice").getByRole("button", { name: "Undo" }).click();

describe("the restoration sheet", () => {
  it("says what is to be finished, by when, within what money, and for which day the figures stand", async () => {
    const { page, errors } = await open();
    expect(await sentenceOf(page)).toMatch(
      /^1913 Tallow & Wren 8 h\.p\. V-twin cyclecar, of Odile Farrant, is to be finished for Midsummer Concours of the Hedgerow Light Car Register on 19 Jun 2027 within £[\d,]+\.\d\d\. Figures stand for 23 Nov 2026, with deliveries as promised\.$/,
    );
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("takes the confidence as odds and the cap to the penny, and undo brings both back", async () => {
    const { page } = await open();
    await page.getByLabel("Order-by dates are to hold").selectOption({ label: "4 in 5" });
    await page.getByLabel("Money cap").fill("21,000.55");
    await page.getByRole("button", { name: "Save the restoration" }).click();
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.includes("4 in 5"));
    expect(await sentenceOf(page)).toContain("£21,000.55");
    expect(await server.store.restoration.findUniqueOrThrow({ where: { id: demo } })).toMatchObject({
      confidence: 0.8,
      capMinor: 2100055,
    });
    await undoNewest(page);
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.includes("as promised"));
    await page.context().close();
  });

  it("sets the data date to today with one press", async () => {
    const { page } = await open();
    await page.getByRole("button", { name: "Set to today" }).click();
    const today = await page.evaluate(() => {
      const now = new Date();
      return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, "0")}-${String(now.getDate()).padStart(2, "0")}`;
    });
    expect(await page.getByLabel("Figures stand for").inputValue()).toBe(today);
    await page.context().close();
  });

  it("shows on the year strip every day that the plan works, and a day closed in the form is shown closed at once", async () => {
    const { page } = await open();
    const worked = () => page.locator(".year rect.worked").count();
    const before = await worked();
    // Every closed date of the demo falls on a Monday to Friday.
    const closed = await server.store.closedDate.count({
      where: { restorationId: demo, date: { gte: "2026-11-01", lte: "2027-10-31" } },
    });
    let weekdays = 0;
    for (let day = Date.parse("2026-11-01"); day <= Date.parse("2027-10-31"); day += 86_400_000)
      if (![0, 6].includes(new Date(day).getUTCDay())) weekdays += 1;
    expect(before).toBe(weekdays - closed);
    await page.getByLabel("Closed on", { exact: true }).fill("2027-02-08");
    await page.getByLabel("to (blank: one day)").fill("2027-02-12");
    await page.getByLabel("Reason").fill("Boiler out");
    await page.getByRole("button", { name: "Add to the list" }).click();
    expect(await worked()).toBe(before - 5);
    await page.getByRole("button", { name: "Save the calendar" }).click();
    await page.locator(".notice", { hasText: "Changed" }).waitFor();
    expect(await server.store.closedDate.count({ where: { restorationId: demo, reason: "Boiler out" } })).toBe(5);
    await undoNewest(page);
    await page.waitForFunction((n) => document.querySelectorAll(".year rect.worked").length === n, before);
    await page.context().close();
  });

  it("refuses a week without working hours and keeps what was typed", async () => {
    const { page } = await open();
    for (const day of ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday"]) await page.getByLabel(day).fill("0");
    await page.getByRole("button", { name: "Save the calendar" }).click();
    await page.locator(".fault", { hasText: "working hours" }).waitFor();
    expect(await page.getByLabel("Friday").inputValue()).toBe("0");
    await page.context().close();
  });

  it("keeps hands by trade, and a judging section with its lines and floors", async () => {
    const { page } = await open();
    const hands = page.locator("section#hands");
    await hands.getByRole("button", { name: "Add a trade" }).click();
    await hands.getByRole("combobox", { name: "Trade" }).fill("plating");
    await hands.getByLabel("Hours a day each").fill("2");
    await hands.getByRole("button", { name: "Save the hands" }).click();
    await hands.locator("li", { hasText: "plating" }).getByText("1 person, 2 h a day each").waitFor();

    const judging = page.locator("section#judging");
    await judging.getByRole("button", { name: "Add a section" }).click();
    await judging.getByLabel("Section", { exact: true }).fill("Papers");
    await judging.getByLabel("Points at most").fill("12");
    await judging.getByRole("button", { name: "Add a line" }).click();
    await judging.getByLabel("Line 1", { exact: true }).fill("Build record shown");
    await judging.getByLabel("Points of line 1").fill("7.5");
    await judging.getByLabel("lost whole").check();
    await judging.getByRole("button", { name: "Save the section" }).click();
    const section = judging.locator(".sections > li", {
      has: page.getByRole("heading", { name: "Papers", exact: true }),
    });
    await section.getByText("Build record shown").waitFor();
    expect(await section.textContent()).toContain("The lines add up to 7.5; the section gives at most 12.");
    await judging.getByRole("button", { name: "Add an award" }).click();
    await judging.getByLabel("Award", { exact: true }).fill("Bronze Dog Rose");
    await judging.getByLabel("Points from").fill("110");
    await judging.getByRole("button", { name: "Save the award" }).click();
    await judging.getByText("from 110 points").waitFor();
    await section.getByRole("button", { name: /^Remove/ }).click();
    await section.waitFor({ state: "detached" });
    await page.context().close();
  });

  it("lists every change with who and when, and takes any of them back", async () => {
    const { page } = await open();
    await page.getByRole("textbox", { name: "Owner" }).fill("O. Farrant");
    await page.getByRole("button", { name: "Save the restoration" }).click();
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.includes("O. Farrant"));
    const newest = page.locator("section#changes tbody tr").first();
    expect(await newest.textContent()).toContain("Changed");
    await newest.getByRole("button", { name: /^Undo/ }).click();
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.includes("Odile Farrant"));
    await page.locator("section#changes tbody tr").nth(1).getByText("undone").waitFor();
    await page.context().close();
  });

  it("lets two changes of one row be settled value by value", async () => {
    const { page } = await open();
    await page.getByLabel("Target", { exact: true }).fill("Autumn Rally");
    const { revision } = await server.store.restoration.findUniqueOrThrow({ where: { id: demo } });
    await server.query(
      `mutation($id: ID!, $revision: Int!) { saveRestoration(input: { id: $id, revision: $revision, targetName: "Spring Rally" }) { __typename } }`,
      { id: demo, revision },
    );
    await page.getByRole("button", { name: "Save the restoration" }).click();
    const dialog = page.getByRole("dialog", { name: "Changed elsewhere meanwhile" });
    await dialog.getByText("Spring Rally").waitFor();
    await dialog.getByRole("button", { name: "Save what is marked" }).click();
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.includes("Autumn Rally"));
    await page.context().close();
  });

  it("is removed after asking, and only where another restoration can keep the record", async () => {
    const { page } = await open();
    await page.getByRole("button", { name: /^Remove 1913/ }).click();
    await page
      .getByRole("dialog")
      .getByRole("button", { name: /^Remove/ })
      .click();
    await page.locator(".notice", { hasText: "Not done" }).waitFor();
    const { data } = await server.query<{ saveRestoration: { id: string } }>(
      `mutation { saveRestoration(input: { machine: "Stationary engine" }) { ... on Saved { id } } }`,
    );
    const second = data?.saveRestoration.id ?? "";
    await page.context().close();
    const other = await open({}, second);
    await other.page.getByRole("button", { name: /^Remove Stationary engine/ }).click();
    await other.page
      .getByRole("dialog")
      .getByRole("button", { name: /^Remove/ })
      .click();
    await other.page.waitForURL(`${server.address}/`);
    expect(await server.store.restoration.count({ where: { id: second } })).toBe(0);
    await undoNewest(other.page);
    await other.page.getByText("Stationary engine").first().waitFor();
    await other.page.context().close();
  });

  const SIZES = [
    { viewport: { width: 1280, height: 900 }, colorScheme: "light" },
    { viewport: { width: 390, height: 844 }, colorScheme: "dark" },
    { viewport: { width: 1280, height: 900 }, colorScheme: "dark" },
    { viewport: { width: 390, height: 844 }, colorScheme: "light" },
  ] as const;

  it.each(SIZES)(
    "has no accessibility findings and nothing off the page at $viewport.width in $colorScheme",
    async (options) => {
      const { page } = await open(options);
      for (const name of [/^Edit the section/, /^Edit the hands/])
        await page.getByRole("button", { name }).first().click();
      expect(await findingsOf(page)).toEqual([]);
      expect(
        await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth),
      ).toBeLessThanOrEqual(0);
      await page.context().close();
    },
  );
});
