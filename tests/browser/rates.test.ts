import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, undoNewest } from "../support/demo.ts";

const demo = demoInBrowser();

const open = (query = "", options: Parameters<typeof demo.open>[1] = {}) =>
  demo.open(demo.at(`restoration${query}`), options, "#rates table");

const rates = (page: Page) => page.locator("#rates");

async function take(page: Page, csv: string) {
  await rates(page).getByRole("button", { name: "Take rates from a table" }).click();
  const form = page.getByRole("form", { name: "Take rates from a table" });
  await form.getByLabel("The table, pasted").fill(csv);
  await form.getByRole("button", { name: "Take the rates" }).click();
  return form;
}

describe("exchange rates", () => {
  it("lists each with its day and pair, and narrows to one currency in the address", async () => {
    const { page, errors } = await open();
    await rates(page).getByLabel("Rates to or from").selectOption("CHF");
    await page.waitForURL(/currency=CHF/);
    await page.waitForFunction(() => document.querySelectorAll("#rates tbody tr").length === 2);
    await expect
      .poll(() => rates(page).locator('td[data-label="Rate"]').allTextContents())
      .toEqual(["0.9412", "0.9385"]);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("leads from a landed cost that lacks a rate to where it is entered, and once it is the landed cost is there", async () => {
    const quote = await demo.server.store.quote.findFirstOrThrow({
      where: { partId: demo.part("TR-02"), currency: "CHF" },
    });
    await demo.server.store.quote.update({ where: { id: quote.id }, data: { currency: "NZD" } });
    const { page } = await demo.open(demo.at(`parts/${demo.part("TR-02")}`), {}, "table.quotes");
    const landed = page
      .locator("table.quotes tbody tr", { has: page.getByRole("rowheader", { name: "Landed cost", exact: true }) })
      .locator("td")
      .first();
    await expect.poll(() => saidIn(landed)).toContain("No rate from NZD to GBP on or before 23 Nov 2026.");
    await landed.getByRole("link", { name: "Enter the rate from NZD to GBP" }).click();
    const form = page.getByRole("form", { name: "New exchange rate" });
    await form.waitFor();
    await expect.poll(() => form.getByLabel("1 unit of").inputValue()).toBe("NZD");
    await expect.poll(() => form.getByLabel("costs so much of").inputValue()).toBe("GBP");
    await expect.poll(() => form.getByLabel("Holds from").inputValue()).toBe("2026-11-23");
    await form.getByLabel("Rate", { exact: true }).fill("0.5");
    await form.getByRole("button", { name: "Add the rate" }).click();
    await form.waitFor({ state: "detached" });
    await page.waitForURL((url) => !url.search.includes("rateFrom"));
    await page.goBack();
    const total = landed.locator(".landed-total");
    await total.waitFor();
    // 1 NZD = 0.5 GBP: the first line is half of the price, to the penny.
    const price = landed.locator(".reckoning li .number").first();
    await expect
      .poll(async () => Math.round(Number(((await price.textContent()) ?? "").replace(/[^\d.]/g, "")) * 100))
      .toBe(Math.round(quote.unitPriceMinor / 2));
    await page.context().close();
  });

  it("keeps every digit of a rate, names what is wrong at its field, and undo takes a rate back", async () => {
    const { page } = await open();
    await rates(page).getByRole("button", { name: "Add a rate" }).click();
    const form = page.getByRole("form", { name: "New exchange rate" });
    await form.getByLabel("Rate", { exact: true }).fill("-2");
    await form.getByRole("button", { name: "Add the rate" }).click();
    await form.locator(".field", { hasText: "Every digit" }).locator(".fault").waitFor();
    await form.getByLabel("1 unit of").selectOption("DKK");
    await form.getByLabel("Rate", { exact: true }).fill("0.1130000001");
    await form.getByRole("button", { name: "Add the rate" }).click();
    const row = rates(page).locator("tbody tr", { hasText: "DKK" });
    await row.getByText("0.1130000001").waitFor();
    await row.getByRole("button", { name: /^Change\b/ }).click();
    const edit = page.getByRole("form", { name: /^Rate from DKK/ });
    await edit.getByLabel("Rate", { exact: true }).fill("0.12");
    await edit.getByRole("button", { name: "Save the rate" }).click();
    await row.getByText("0.12", { exact: true }).waitFor();
    await row.getByRole("button", { name: /^Remove/ }).click();
    await row.waitFor({ state: "detached" });
    await undoNewest(page);
    await row.waitFor();
    await page.context().close();
  });

  it("takes a daily table with month names and a comma at each line's end, and undo takes all of it back", async () => {
    // The layout of eurofxref.csv and its history, from memory; the figures are made up.
    const { page } = await open();
    const before = await demo.server.store.exchangeRate.count();
    await take(page, "Date, USD, ISK, HRK, \n23 November 2026, 1.0850, 149.30, N/A, \n");
    await rates(page).locator("tbody tr", { hasText: "ISK" }).waitFor();
    await expect.poll(() => demo.server.store.exchangeRate.count()).toBe(before + 2);
    await expect.poll(() => saidIn(page.locator(".notice p"))).toContain("2 new, 0 changed");
    await undoNewest(page);
    await rates(page).locator("tbody tr", { hasText: "ISK" }).waitFor({ state: "detached" });
    await expect.poll(() => demo.server.store.exchangeRate.count()).toBe(before);
    await page.context().close();
  });

  it("takes nothing of a table with a fault, names its line and column, and keeps the text", async () => {
    const { page } = await open();
    const all = () => demo.server.store.exchangeRate.findMany({ orderBy: { id: "asc" } });
    const before = await all();
    const csv = "Date,USD,GBP\n2026-11-23,1.0850,0.8440\n2026-11-24,dear,0.8441\n";
    const form = await take(page, csv);
    const fault = form.locator("tbody tr");
    await fault.first().waitFor();
    await expect.poll(() => fault.count()).toBe(1);
    await expect.poll(() => fault.locator('td[data-label="Line"]').textContent()).toBe("3");
    await expect.poll(() => fault.locator('td[data-label="Column"]').textContent()).toBe("USD");
    await expect.poll(() => fault.locator('td[data-label="Value"]').textContent()).toBe("dear");
    await expect.poll(() => form.getByLabel("The table, pasted").inputValue()).toBe(csv);
    await expect.poll(() => all()).toEqual(before);
    await form.getByLabel("or a file").setInputFiles({
      name: "rates.csv",
      mimeType: "text/csv",
      buffer: Buffer.from(csv.replace("dear", "1.0851")),
    });
    await page.waitForFunction(() =>
      document.querySelector<HTMLTextAreaElement>("#rates textarea")?.value.includes("1.0851"),
    );
    await form.getByRole("button", { name: "Take the rates" }).click();
    await form.waitFor({ state: "detached" });
    await expect.poll(async () => (await all()).length).toBe(before.length + 4);
    await undoNewest(page);
    await page.waitForFunction(() => document.querySelector("#rates")?.textContent?.includes("16 rates"));
    await page.context().close();
  });

  it.each(SIZES)(
    "has no accessibility findings at $viewport.width in $colorScheme, with the forms open and a fault told",
    async (options) => {
      const { page } = await open("?rateFrom=NZD&rateTo=GBP&rateOn=2026-11-23", options);
      const form = await take(page, "Date,USD\n2026-11-31,1.08\n");
      await form.locator("tbody tr").first().waitFor();
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    },
  );
});
