/** The demo as each of its people sees it: where each begins, which sheets are named, and that no sheet asks for more than may be read. */
import { expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn } from "../support/demo.ts";

const demo = demoInBrowser();

const lookOnAs = async (page: import("playwright-core").Page, person: string) => {
  // It stands in the panel of the box that says who looks on.
  await page.locator(".box-panel > button[aria-expanded=false]").click();
  await page.getByLabel("Demo, seen by").selectOption({ label: person });
  await page.getByLabel("Demo, seen by").locator(`option:checked:text-is("${person}")`).waitFor({ state: "attached" });
};

it("shows the owner the hold-ups of the own machine, without a way to reach suppliers or to change anything", async () => {
  const { page, errors } = await demo.open(demo.at("hold-ups"));
  await page.locator("#chase summary").click();
  await expect.poll(() => page.getByRole("columnheader", { name: "Contact" }).count()).toBe(1);
  await lookOnAs(page, "Odile Farrant, owner");
  await page.waitForURL(/\/money\/report$/);
  await page.getByRole("link", { name: "Hold-ups" }).click();
  await page.getByRole("heading", { name: "No date yet", level: 1 }).waitFor();
  await page.getByRole("heading", { name: "To chase" }).waitFor();
  await page.locator(".weeks").waitFor();
  await page.waitForURL((url) => url.pathname === `/restorations/${demo.restoration}/hold-ups`);
  await expect
    .poll(async () => (await page.locator(".jobhead nav a").allTextContents()).join(", "))
    .not.toMatch(/Parts|Work|Suppliers|Files|Hours/);
  await expect
    .poll(() => page.locator("a[href^='mailto:'], a[href^='tel:'], main a[href*='/suppliers/']").count())
    .toBe(0);
  await expect.poll(() => page.locator("main a[href*='/parts/'], main a[href*='/work/']").count()).toBe(0);
  await expect.poll(() => page.getByRole("button", { name: /^Choose/ }).count()).toBe(0);
  await expect.poll(() => page.getByText(/Your account is not shown/).count()).toBe(0);
  await page.locator(".rung-line").first().click();
  await page.locator("section.why .facts, section.why table").first().waitFor();
  await expect.poll(() => page.locator("[role=alert]").count()).toBe(0);
  for (const { viewport, colorScheme } of SIZES) {
    await page.setViewportSize(viewport);
    await page.emulateMedia({ colorScheme });
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBe(0);
  }
  await page.goto(demo.at("money"));
  await page.getByText("This sheet is the workshop's own.").waitFor();
  expect(await findingsOf(page)).toEqual([]);
  await page.getByRole("link", { name: "The owner's report" }).click();
  await page.waitForURL(/\/money\/report$/);
  await lookOnAs(page, "Quill Lane, restorer");
  await page.getByRole("heading", { name: "Restorations", level: 1 }).waitFor();
  expect(errors).toEqual([]);
  await page.context().close();
});

it("begins for a club member with the club", async () => {
  const { page, errors } = await demo.open(demo.at("hold-ups"));
  await lookOnAs(page, "Ambrose Pell, club member");
  await page.waitForURL(/\/club/);
  await page.locator("main h1, main h2").first().waitFor();
  await expect
    .poll(() => saidIn(page.getByLabel("Demo, seen by").locator("option:checked")))
    .toBe("Ambrose Pell, club member");
  await expect.poll(() => page.locator("[role=alert]").count()).toBe(0);
  await page.goto(demo.at("hold-ups"));
  await page.getByRole("heading", { name: "Your account is not shown this restoration" }).waitFor();
  await expect.poll(() => page.locator("[role=alert]").count()).toBe(0);
  await page.getByRole("link", { name: "To your first sheet" }).click();
  await page.waitForURL(/\/club/);
  expect(errors).toEqual([]);
  await page.context().close();
});
