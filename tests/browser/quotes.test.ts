import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, saidIn as textOf } from "../support/demo.ts";

const demo = demoInBrowser();

const WIDE = { width: 1280, height: 900 };
const NARROW = { width: 390, height: 844 };

const open = (sheet: string, viewport = WIDE) => demo.open(demo.at(sheet), { viewport });

const partAt = (code: string) => `parts/${demo.part(code)}`;
const line = (page: Page, label: string) =>
  page.locator("table.quotes tbody tr", { has: page.getByRole("rowheader", { name: label, exact: true }) });
const pence = (text: string) => Math.round(Number(text.replace(/[^\d.-]/g, "")) * 100);

describe("quotes weighed on the part's sheet", () => {
  it("shows the landed cost of each quote in the restoration's money, and lines that add up to it", async () => {
    const { page, errors } = await open(partAt("TR-02"));
    const cells = line(page, "Landed cost").locator("td");
    const count = await cells.count();
    expect(count).toBeGreaterThan(1);
    for (let place = 0; place < count; place++) {
      const cell = cells.nth(place);
      await cell.locator("summary").click();
      await cell.locator("details[open]").waitFor();
      const amounts = await cell.locator(".reckoning li:not(.reckoned) > .number").allTextContents();
      expect(amounts.length).toBeGreaterThan(1);
      const total = await textOf(cell.locator(".landed-total"));
      expect(total).toMatch(/^£[\d,]+\.\d\d$/);
      expect(amounts.reduce((sum, amount) => sum + pence(amount), 0)).toBe(pence(total));
    }
    const foreign = cells.filter({ hasText: "1 CHF = " });
    await expect
      .poll(() => textOf(foreign.locator(".reckoning p").last()))
      .toMatch(/1 CHF = [\d.]+ GBP, the rate of \d+ \w+ \d{4}\./);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says which rate is missing where there is none, and gives no total", async () => {
    const part = demo.part("TR-02");
    const quote = await demo.server.store.quote.findFirstOrThrow({ where: { partId: part, currency: "CHF" } });
    await demo.server.store.quote.update({ where: { id: quote.id }, data: { currency: "XPF" } });
    const { page } = await open(partAt("TR-02"));
    const cell = line(page, "Landed cost").locator("td", { has: page.locator(".late") });
    await expect.poll(() => textOf(cell.locator(".late"))).toContain("XPF");
    await expect.poll(() => cell.locator(".landed-total").count()).toBe(0);
    await demo.server.store.quote.update({ where: { id: quote.id }, data: { currency: "CHF" } });
    await page.context().close();
  });

  it("gives the walk-away price of each provenance that is not ruled out, as the field sheet has it", async () => {
    const { data } = await demo.server.query<{
      part: { walkAway: { provenance: string; price: { minor: number } | null; daysSaved: number | null }[] };
    }>(`query ($id: ID!) { part(id: $id) { walkAway { provenance daysSaved price { minor } } } }`, {
      id: demo.part("TR-02"),
    });
    const priced = data?.part.walkAway ?? [];
    expect(priced.length).toBeGreaterThan(1);
    const { page } = await open(`${partAt("TR-02")}#walk-away`);
    const rows = page.locator("#walk-away tbody tr");
    await rows.first().waitFor();
    const shown = (await rows.locator('td[data-label="Walk away above"]').allTextContents()).map(pence);
    expect(new Set(shown)).toEqual(new Set(priced.map(({ price }) => price?.minor)));
    await page.context().close();
    const inHand = await demo.server.store.part.findFirstOrThrow({ where: { stateOnHand: "IN_HAND" } });
    const other = await open(`parts/${inHand.id}`);
    await expect.poll(() => other.page.locator("#walk-away").count()).toBe(0);
    await other.page.context().close();
  });

  it("leads to the thread finder from the list of parts and from a part's dimensions", async () => {
    for (const address of ["parts", `${partAt("TR-02")}#specification`]) {
      const { page } = await open(address);
      await page.getByRole("link", { name: "Find a thread" }).click();
      await page.getByLabel("Outside diameter").waitFor();
      await page.context().close();
    }
  });

  it("says what is out, by how much, and what metal to take off", async () => {
    const { page } = await open(partAt("TR-01"));
    const cell = line(page, "Fit, as stated").locator("td").first();
    await cell.locator("summary").click();
    const bore = cell.locator(".fit-row", { hasText: "Mainshaft bore" });
    const said = await textOf(bore);
    expect(said).toContain("fits after work");
    expect(said).toMatch(/wanted47 to 47\.016 mm.*stated46\.5 mm.*out by0\.5 mm too small.*take off0\.5 to 0\.516 mm/);
    await expect.poll(() => textOf(cell.locator(".fit-row", { hasText: "Wall" }))).toContain("ask for it");
    await page.context().close();
  });

  it("keeps a quote that is ruled out, its knock-on and a stated dimension, and undo takes them back", async () => {
    const stated = () =>
      demo.server.store.statedDimension.findMany({
        where: { quote: { partId: demo.part("TR-02") } },
        select: { quoteId: true, dimension: true, value: true, unit: true },
        orderBy: [{ quoteId: "asc" }, { position: "asc" }],
      });
    const before = await stated();
    const { page, errors } = await open(partAt("TR-02"));
    await page
      .getByRole("button", { name: /^Change quote/ })
      .first()
      .click();
    const form = page.getByRole("form", { name: /^Change quote/ });
    for (const fold of ["Valid, from, notes", "What it brings with it", "On the machine"])
      await form.getByText(fold, { exact: true }).click();
    await form.getByLabel("Rule this one out").check();
    await form.getByRole("button", { name: "Add a knock-on" }).click();
    const row = form.getByRole("group", { name: "knock-on 1" });
    await row.getByLabel("What").fill("Bush to suit");
    await row.getByLabel("Price").fill("12,5x");
    await form.getByRole("button", { name: "Save the quote" }).click();
    await row.locator(".fault").waitFor();
    await expect.poll(() => row.getByLabel("Price").inputValue()).toBe("12,5x");
    await row.getByLabel("Price").fill("12.50");
    await row.getByLabel("Shop hours").fill("3");
    await form.getByRole("group", { name: "dimension 1" }).getByLabel("As stated").fill("2.515");
    await form.getByRole("button", { name: "Save the quote" }).click();
    await form.waitFor({ state: "detached" });
    const column = page.locator("table.quotes thead th").first();
    await column.getByText("ruled out").waitFor();
    await expect
      .poll(() => textOf(line(page, "Brings with it").locator("td").first()))
      .toMatch(/Bush to suit: .*12\.50, 3 h/);
    const kept = { where: { title: "Bush to suit" } };
    await expect.poll(() => demo.server.store.knockOn.count(kept)).toBe(1);
    await expect.poll(() => stated()).not.toEqual(before);
    await expect.poll(async () => (await stated()).map(({ value }) => value)).toContain(2.515);
    await page.locator(".notice").getByRole("button", { name: "Undo" }).click();
    await column.getByText("ruled out").waitFor({ state: "detached" });
    await expect.poll(() => demo.server.store.knockOn.count(kept)).toBe(0);
    await expect.poll(() => stated()).toEqual(before);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("bars a provenance for a part, and marks the quotes that it bars", async () => {
    const { page } = await open(partAt("TR-02"));
    await page.getByRole("button", { name: "Change the part" }).click();
    const form = page.getByRole("form", { name: /^Change / });
    const first = await textOf(line(page, "Provenance").locator("td").first());
    await form.getByRole("group", { name: "Ruled out here" }).getByLabel(first, { exact: true }).check();
    await form.getByRole("button", { name: "Save the part" }).click();
    await line(page, "Provenance").locator("td").first().getByText("ruled out here").waitFor();
    await page.locator(".notice").getByRole("button", { name: "Undo" }).click();
    await line(page, "Provenance").getByText("ruled out here").first().waitFor({ state: "detached" });
    await page.context().close();
  });
});

describe("the thread finder", () => {
  it("names both threads that a quarter-inch twenty may be, and what tells them apart; the address holds it all", async () => {
    const { page, errors } = await open("parts/threads");
    await page.getByLabel("Unit").selectOption("IN");
    await page.getByLabel("Outside diameter").fill("1/4");
    await page.getByLabel("or threads to the inch").fill("20");
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.startsWith("Either"));
    const said = await textOf(page.locator("p.sentence"));
    expect(said).toMatch(/^Either .+ or .+: the measurement cannot tell them apart; look at the thread angle\.$/);
    expect(said).toContain("1/4");
    await expect.poll(() => page.getByRole("rowheader").allTextContents()).toHaveLength(2);
    await page.reload();
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.startsWith("Either"));
    await expect.poll(() => page.getByLabel("Outside diameter").inputValue()).toBe("1/4");
    await page.getByLabel("Thread angle").fill("60");
    await page.waitForFunction(() => document.querySelectorAll("tbody tr").length === 1);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says at the field what cannot be read, and keeps what was typed", async () => {
    const { page } = await open("parts/threads?diameter=a+quarter");
    const field = page.getByLabel("Outside diameter");
    await expect.poll(() => field.inputValue()).toBe("a quarter");
    await expect.poll(() => field.getAttribute("aria-invalid")).toBe("true");
    await page.context().close();
  });
});

describe("at both widths", () => {
  for (const viewport of [WIDE, NARROW])
    it(`no finding of axe and nothing wider than the screen at ${viewport.width}`, async () => {
      for (const address of [partAt("TR-01"), "parts/threads?diameter=1%2F4&perInch=20&unit=in"]) {
        const { page, errors } = await open(address, viewport);
        if (!address.includes("threads")) await page.getByRole("button", { name: /^All that they say/ }).click();
        for (const summary of await page.locator("summary").all()) await summary.click();
        expect(await findingsOf(page)).toEqual([]);
        await expect
          .poll(() => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth))
          .toBeLessThanOrEqual(0);
        expect(errors).toEqual([]);
        await page.context().close();
      }
    });
});
