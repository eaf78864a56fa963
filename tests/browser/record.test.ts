/** What was changed, when and by whom, on the sheet of each row. */
import { expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES } from "../support/demo.ts";

const demo = demoInBrowser();
const WORDS = "What was changed, when and by whom";

it("a part's sheet opens its record and shows a change made on it", async () => {
  const { page, errors } = await demo.open(demo.at(`parts/${demo.part("FR-02")}`));
  await page
    .getByRole("button", { name: /^Change\b/ })
    .first()
    .click();
  await page.getByLabel("Notes").first().fill("The left half is cracked at the lug.");
  await page.getByRole("button", { name: /^Save/ }).first().click();
  const said = (await page.locator(".notice p").textContent()) ?? "";
  await page.getByText(WORDS).click();
  const newest = page.getByRole("table", { name: "What was changed, the newest first" }).locator("tbody tr").first();
  await newest.waitFor();
  await expect.poll(() => newest.textContent()).toContain(said);
  await expect.poll(() => newest.textContent()).toContain("Quill Lane");
  for (const { viewport, colorScheme } of SIZES) {
    await page.setViewportSize(viewport);
    await page.emulateMedia({ colorScheme });
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBe(0);
  }
  expect(errors).toEqual([]);
  await page.context().close();
});

it.each(["operation", "supplier", "snag"])("the sheet of a %s has one too", async (kind) => {
  const { store } = demo.server;
  const where = { restorationId: demo.restoration };
  const address = {
    operation: async () => `work/${(await store.operation.findFirstOrThrow({ where })).id}`,
    supplier: async () => `parts/suppliers/${(await store.supplier.findFirstOrThrow()).id}`,
    snag: async () => `work/snags?snag=${(await store.snag.findFirstOrThrow({ where })).id}`,
  }[kind as "operation" | "supplier" | "snag"];
  const { page, errors } = await demo.open(demo.at(await address()));
  await page.getByText(WORDS).click();
  await page.locator(".row-changes table, .row-changes p").first().waitFor();
  await expect.poll(() => page.locator(".row-changes [role=alert]").count()).toBe(0);
  expect(errors).toEqual([]);
  await page.context().close();
});
