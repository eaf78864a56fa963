/** The Today sheet, and the calendar links of a restoration. */
import ICAL from "ical.js";
import { expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { openPage } from "../support/browser.ts";
import { demoInBrowser, leadOf, offThePage, SIZES, saidIn, sentenceOf } from "../support/demo.ts";

const demo = demoInBrowser();

it("the sheet of the day says when it is finished, what to order by when, and that no mail is sent where none is set up", async () => {
  const { page, errors } = await demo.open(demo.at("hold-ups"));
  await page.getByRole("navigation", { name: "Sheets" }).getByRole("link", { name: "Today" }).click();
  await page.locator("#order .lines li").first().waitFor();
  await expect.poll(() => sentenceOf(page)).toMatch(/is on \d+ \w+ 2027\./);
  await expect
    .poll(() => leadOf(page))
    .toBe(
      "Gearbox casing, two halves: order it from Brindlewick Foundry; owner asked, no answer yet. Then Cylinder barrels, pair: Brindlewick Foundry promised it for 26 Oct 2026, 28 days late.",
    );
  await expect
    .poll(() => saidIn(page.locator("#order .unfolds > summary")))
    .toMatch(/^54 later, to 8 Jul 202750 chosen: £[\d,.]+$/);
  await expect.poll(() => page.locator("#bench .lines li").count()).toBe(5);
  expect(await page.locator("#late .do a").getAttribute("href")).toBe("tel:01632960117");
  const orders = await page.locator("#order .lines li").count();
  expect(orders).toBeGreaterThan(3);
  await expect.poll(() => saidIn(page.locator("#by-mail"))).toContain("not set up to send mail");
  await expect.poll(() => page.getByRole("button", { name: "Send me this every morning" }).count()).toBe(0);
  await page.locator("#order .lines a").first().click();
  await page.waitForURL(/\/(parts|snags)[/?]/);
  // The button leads to the form of the order, filled from the quote that is chosen.
  for (const [sheet, lines] of [
    ["today", "#order"],
    ["hold-ups", ".lines.acts"],
  ] as const) {
    await page.goto(demo.at(sheet));
    await page.locator(`${lines} .do a`, { hasText: "Order Gearbox casing" }).click();
    const form = page.getByRole("form", { name: "Order from quote 70" });
    await form.getByLabel("Placed on").waitFor();
    await form.getByRole("button", { name: "Leave it" }).click();
    await form.waitFor({ state: "detached" });
    expect(new URL(page.url()).searchParams.has("order")).toBe(false);
  }
  expect(errors).toEqual([]);
  await page.context().close();
});

it("what waits for the owner and a hunt about to stop lead to where they are decided, and an owner reads nothing of how the server is run", async () => {
  const { store } = demo.server;
  const hunt = await store.hunt.findFirstOrThrow({ where: { stopDate: { not: null } }, include: { part: true } });
  await store.hunt.update({ where: { id: hunt.id }, data: { stopDate: "2026-12-01" } });
  const { page, errors } = await demo.open(demo.at("today"), {}, "#hunt .lines li");
  await expect
    .poll(() => saidIn(page.locator("#hunt")))
    .toMatch(/the hunt stops on 1 Dec 2026, 8 days later; then order its fallback from/);
  await page.locator("#hunt").getByRole("link", { name: hunt.part.name, exact: true }).click();
  await page.waitForURL(/\/parts\/[^/]+#hunt$/);
  await page.goBack();
  await page.locator("#decision .lines a").first().click();
  await page.waitForURL(/\/money\/report#decisions$/);
  await page.locator("#decisions").waitFor();
  expect(errors).toEqual([]);
  await page.context().close();
  const { id } = await store.account.findFirstOrThrow({ where: { role: "OWNER" } });
  const owner = await openPage(demo.browser, demo.at("today"));
  await owner.page.evaluate(
    async (account) =>
      fetch("/graphql", {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({
          query: "mutation ($account: ID!) { actAs(account: $account) { __typename } }",
          variables: { account },
        }),
      }),
    id,
  );
  await owner.page.goto(demo.at("today"));
  await owner.page.locator("#decision .lines a").first().waitFor();
  await expect.poll(() => saidIn(owner.page.locator("#by-mail"))).toContain("The workshop can have it set up.");
  await expect.poll(() => owner.page.content()).not.toContain("LASTBOLT_");
  await owner.page.locator("#decision .lines a").first().click();
  await owner.page.waitForURL(/\/money\/report#decisions$/);
  expect(owner.errors).toEqual([]);
  await owner.page.context().close();
  await store.hunt.update({ where: { id: hunt.id }, data: { stopDate: hunt.stopDate } });
});

it("a calendar link is made, read by a calendar program, and revoked", async () => {
  const { page, errors } = await demo.open(demo.at("restoration"));
  const section = page.locator("#calendar-links");
  await section.getByText("No link is in use.").waitFor();
  await section.getByRole("button", { name: "Make a link" }).click();
  const link = await section.getByLabel("The new link").inputValue();
  expect(link.startsWith(demo.server.address)).toBe(true);
  await section.getByRole("button", { name: "Copy the link" }).click();
  await section.getByText(/^Copied|copy it by hand/).waitFor();
  const read = new ICAL.Component(ICAL.parse(await (await fetch(link)).text()));
  expect(read.getAllSubcomponents("vevent").length).toBeGreaterThan(3);
  await section.getByText(/^Link made .* not read by any program yet/).waitFor();
  await section.getByRole("button", { name: /^Revoke/ }).click();
  await section.getByText("No link is in use.").waitFor();
  expect((await fetch(link)).status).toBe(404);
  expect(errors).toEqual([]);
  await page.context().close();
});

for (const size of SIZES)
  it(`both hold at ${size.viewport.width} in ${size.colorScheme}`, async () => {
    const { page } = await demo.open(demo.at("today"), size);
    await page.locator("#order .lines li").first().waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
    if (process.env["PICTURES"])
      await page.screenshot({
        path: `${process.env["PICTURES"]}-today-${size.viewport.width}-${size.colorScheme}.png`,
        fullPage: true,
      });
    await page.goto(demo.at("restoration"));
    const section = page.locator("#calendar-links");
    await section.getByRole("button", { name: "Make a link" }).click();
    await section.getByLabel("The new link").waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
    if (process.env["PICTURES"])
      await section.screenshot({
        path: `${process.env["PICTURES"]}-links-${size.viewport.width}-${size.colorScheme}.png`,
      });
    await page.context().close();
  });
