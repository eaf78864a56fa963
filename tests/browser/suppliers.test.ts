import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, sentenceOf as sentence } from "../support/demo.ts";

const demo = demoInBrowser();

const sheet = () => demo.at("parts/suppliers");
const { open } = demo;

async function supplierAt(code: string): Promise<string> {
  return `${sheet()}/${(await demo.server.store.supplier.findFirstOrThrow({ where: { code } })).id}`;
}

const names = (page: Page) => page.locator("tbody th[scope=row] a").allTextContents();

describe("the suppliers sheet", () => {
  it("opens by saying whose order is past its promise, and narrows the list by kind and by country's name", async () => {
    const { page, errors } = await open(sheet());
    await expect
      .poll(() => sentence(page))
      .toMatch(/suppliers are known to the workshop.+past the promise: Brindlewick Foundry/);
    await page.getByLabel("Kind").selectOption({ label: "foundry" });
    await page.waitForURL(/kind=FOUNDRY/);
    await page.getByLabel("Country").selectOption({ label: "Germany" });
    await page.waitForURL(/country=DE/);
    await page.waitForFunction(() => document.querySelectorAll("tbody tr").length === 1);
    await expect.poll(() => names(page)).toEqual(["Osterhagel Formguss"]);
    await page.goBack();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("adds a supplier, changes it, removes it and brings it back", async () => {
    const { page } = await open(sheet());
    await page.getByRole("button", { name: "Add a supplier" }).click();
    const add = page.getByRole("form", { name: "Add a supplier" });
    await add.getByLabel("Name").fill("Aldermere Castings");
    await add.getByLabel("Country").selectOption({ label: "Ireland" });
    await add.getByRole("button", { name: "Add the supplier" }).click();
    await page.getByRole("link", { name: "Aldermere Castings" }).waitFor();
    await page.getByRole("button", { name: "Change Aldermere Castings" }).click();
    const change = page.getByRole("form", { name: "Change Aldermere Castings" });
    await change.getByLabel("Telephone").fill("01632 960190");
    await change.getByRole("button", { name: "Save the supplier" }).click();
    await page.locator("tr", { hasText: "Aldermere Castings" }).getByText("01632 960190").waitFor();
    await page.getByRole("button", { name: "Remove Aldermere Castings" }).click();
    await page.getByRole("link", { name: "Aldermere Castings" }).waitFor({ state: "detached" });
    await page.getByRole("button", { name: "Undo" }).click();
    await page.getByRole("link", { name: "Aldermere Castings" }).waitFor();
    await expect.poll(() => page.locator("tr", { hasText: "Aldermere Castings" }).textContent()).toContain("Ireland");
    await page.context().close();
  });

  it("keeps a supplier on whom quotes and orders hang, and says so", async () => {
    const { page } = await open(sheet());
    await page.getByRole("button", { name: "Remove Brindlewick Foundry" }).click();
    const notice = page.locator(".notice");
    await notice.waitFor();
    await expect.poll(() => notice.textContent()).toMatch(/Not done\. .+(quote|order)/);
    await page.getByRole("link", { name: "Brindlewick Foundry" }).first().waitFor();
    await page.context().close();
  });
});

describe("a supplier's sheet", () => {
  it("takes what is charged on one order, and shows it; a quote then says its share", async () => {
    // Rough castings with a carriage of their own: of the order's they bear nothing, of the minimum their share.
    const { partId, supplierId } = await demo.server.store.quote.findFirstOrThrow({
      where: { supplier: { code: "BRIN" }, part: { code: "BR-02" } },
    });
    const { page } = await open(`${sheet()}/${supplierId}`);
    await page.getByRole("button", { name: "Change the supplier" }).click();
    const change = page.getByRole("form", { name: /^Change / });
    await change.getByLabel("Both in").selectOption("EUR");
    await change.getByLabel("Carriage of an order").fill("24.50");
    await change.getByLabel("Least charged on an order").fill("9000");
    await page.setViewportSize({ width: 390, height: 900 });
    expect(await findingsOf(page)).toEqual([]);
    await change.getByRole("button", { name: "Save the supplier" }).click();
    await page.getByText("€24.50 carriage, €9,000.00 at least").waitFor();
    await page.goto(`${demo.at("parts")}/${partId}`);
    const share = page
      .getByText("What the order falls short of the supplier's minimum, its share of an order of")
      .first();
    await share.waitFor({ state: "attached" });
    await page.locator("details", { has: share }).first().locator("summary").first().click();
    await share.waitFor();
    await page.context().close();
  });

  it("gives the plain facts of the deliveries so far, and leads to the parts", async () => {
    const { page } = await open(await supplierAt("BRIN"));
    await expect
      .poll(() => sentence(page))
      .toMatch(
        /is a foundry in the United Kingdom, with \d+ quotes\. Of 1 order: none arrived; 1 still out, 1 past the promise\./,
      );
    await page.locator("#orders tbody th a").first().click();
    await page.waitForURL(/\/parts\//);
    await page.locator("h1", { hasText: "Cylinder barrels" }).waitFor();
    await page.context().close();
  });

  it("draws the maker's record, and says how much of it is the maker's own and how much the trade's", async () => {
    const { page, errors } = await open(await supplierAt("BRIN"));
    const record = page.locator("#record");
    await expect
      .poll(() => record.locator(".prose").textContent())
      .toMatch(
        /^A promise of 112 days: even odds within \d+ days, 4 in 5 within \d+ days\. Their 1 order out past the promise weighs \d in 10; the rest is what makers generally do, by \d+ deliveries of \d+ makers/,
      );
    await expect.poll(() => record.locator("tbody tr").count()).toBe(4);
    const other = await open(await supplierAt("GARA"));
    const drawn = other.page.locator("#record");
    await expect.poll(() => drawn.locator(".record-deliveries .delivery.late").count()).toBe(1);
    await drawn.getByText("Each delivery, in days").click();
    await expect
      .poll(() => drawn.locator("details tbody tr").textContent())
      .toMatch(/QL-104.*24 days.*36 days.*1.5 times/);
    const none = await open(await supplierAt("TANN"));
    await expect
      .poll(() => none.page.locator("#record .prose").textContent())
      .toContain("Nothing of theirs has come yet");
    expect(errors).toEqual([]);
    for (const at of [page, other.page, none.page]) await at.context().close();
  });

  it("says plainly when an address leads to nobody", async () => {
    const { page } = await open(`${sheet()}/nobody`);
    await page.locator("[role=alert]", { hasText: "Cannot show this supplier" }).waitFor();
    await page.context().close();
  });
});

describe("both sheets", () => {
  for (const colorScheme of ["light", "dark"] as const)
    for (const width of [1280, 390])
      it(`have no accessibility finding in ${colorScheme} at ${width} pixels, forms open, and nothing runs off the side`, async () => {
        for (const address of [sheet(), await supplierAt("KERR")]) {
          const { page } = await open(address, { colorScheme, viewport: { width, height: 900 } });
          await page.getByRole("button", { name: /^(Add a|Change the) supplier/ }).click();
          expect(await findingsOf(page)).toEqual([]);
          await expect
            .poll(() => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth))
            .toBeLessThanOrEqual(0);
          await page.context().close();
        }
      });
});
