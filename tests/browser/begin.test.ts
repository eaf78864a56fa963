/** An empty database: from the first sheet to the first day by which to order, and what all of it left blank leaves. */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { firstLink } from "../../server/access/invitation.ts";
import { findingsOf } from "../support/axe.ts";
import { launchBrowser, openPage } from "../support/browser.ts";
import { SIZES } from "../support/demo.ts";
import { startServer, type TestServer } from "../support/server.ts";

let browser: Browser;
beforeAll(async () => {
  browser = await launchBrowser();
});
afterAll(() => browser?.close());

const PASSWORD = "eleven crates and no drawings";

/** A server with nothing in it, and a page on which its first account has just come in. */
async function firstComer(options: (typeof SIZES)[number] = SIZES[0]!) {
  let secret = "";
  const server: TestServer = await startServer({
    fill: async (store) => {
      secret = (await firstLink(store)) ?? "";
    },
  });
  const { page, errors } = await openPage(browser, `${server.address}/join#${secret}`, options);
  await page.getByLabel("Workshop").fill("Quill Lane Workshop");
  await page.getByLabel("Name").fill("Hesper Quill");
  await page.getByLabel("E-mail").fill("hesper@quill-lane.example");
  await page.getByLabel("Password").fill(PASSWORD);
  await page.keyboard.press("Enter");
  await page.getByRole("heading", { name: "Restorations" }).waitFor();
  const close = async () => {
    await page.context().close();
    await server.close();
  };
  return { server, page, errors, close };
}

/** Counts from here on, as the page meets them, the clicks and the different fields in which something is entered. */
const count = (page: Page) =>
  page.evaluate(() => {
    const fields = new Set<EventTarget | null>();
    const counted = { clicks: 0, fields: 0 };
    Object.assign(window, { counted });
    // A click on a label is a second one on its field, which nobody made.
    addEventListener("click", (event) => (counted.clicks += event.detail > 0 ? 1 : 0), true);
    for (const kind of ["input", "change"])
      addEventListener(
        kind,
        (event) => {
          fields.add(event.target);
          counted.fields = fields.size;
        },
        true,
      );
  });
const counted = (page: Page) =>
  page.evaluate(() => (window as unknown as { counted: { clicks: number; fields: number } }).counted);

const TYPED = [
  ["Machine", "1911 tricar"],
  ["Target date", "2099-06-01"],
  ["Who works", "Hesper Quill"],
  ["Trades", "fitting, lining"],
  ["An hour is charged at", "42.50"],
  ["Part", "Brake shoe, rear"],
  ["Work that needs it", "Line the brakes"],
  ["Hours of that work", "6"],
  ["Supplier", "Thornlow Castings"],
  ["Price", "118.00"],
  ["Lead time", "30"],
] as const;

const SAVE = "Save, and see what holds it up";

describe("the first sheet of an empty database", () => {
  it("leads to the first day by which to order in at most 12 fields and 15 clicks, and keeps what is typed on a reload", async () => {
    const { page, errors, close } = await firstComer();
    await page
      .getByRole("form", { name: "Begin with a machine" })
      .getByLabel("Machine", { exact: true })
      .fill("1911 tri");
    await page.reload();
    await page.getByText("What you typed here before is still here").waitFor();
    expect(
      await page
        .getByRole("form", { name: "Begin with a machine" })
        .getByLabel("Machine", { exact: true })
        .inputValue(),
    ).toBe("1911 tri");
    await count(page);
    const field = async (label: string) => {
      const named = page.getByRole("form", { name: "Begin with a machine" }).getByLabel(label, { exact: true });
      await named.click();
      return named;
    };
    for (const [label, text] of TYPED) await (await field(label)).fill(text);
    await (await field("Currency")).selectOption("EUR");
    await page.getByRole("button", { name: SAVE }).click();
    await page
      .getByText(/order by \d+ \w+ \d{4}/)
      .first()
      .waitFor();
    const made = await counted(page);
    expect(made.fields).toBeLessThanOrEqual(12);
    expect(made.clicks).toBeLessThanOrEqual(15);
    // All of it is counted.
    expect(made).toEqual({ fields: 12, clicks: 13 });
    const words = await page.locator("main").textContent();
    expect(words).toContain("Held by Brake shoe, rear");
    expect(words).toContain("Thornlow Castings");
    expect(words).toContain("€118.00");
    expect(errors).toEqual([]);
    // What adds a restoration is not taken back, so no notice offers it.
    await page.getByText("Began with 1911 tricar").waitFor();
    expect(await page.getByRole("button", { name: "Undo" }).count()).toBe(0);
    await close();
  });

  it("says at each field what is missing, and keeps the rest", async () => {
    const { page, close } = await firstComer();
    await page
      .getByRole("form", { name: "Begin with a machine" })
      .getByLabel("Part", { exact: true })
      .fill("Brake shoe, rear");
    await page
      .getByRole("form", { name: "Begin with a machine" })
      .getByLabel("Who works", { exact: true })
      .fill("Hesper Quill");
    await page.getByRole("button", { name: SAVE }).click();
    await page.locator(".fault").first().waitFor();
    expect(await page.locator(".fault").allInnerTexts()).toEqual([
      "Machine must be given.",
      "Trades must be given.",
      "Work that needs it must be given.",
      "Hours of that work must be given.",
    ]);
    expect(
      await page.getByRole("form", { name: "Begin with a machine" }).getByLabel("Part", { exact: true }).inputValue(),
    ).toBe("Brake shoe, rear");
    await close();
  });

  for (const size of SIZES)
    it(`can be left blank but for the machine, and has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}`, async () => {
      const { page, close } = await firstComer(size);
      await page.getByRole("button", { name: SAVE }).waitFor();
      expect(await findingsOf(page)).toEqual([]);
      await page
        .getByRole("form", { name: "Begin with a machine" })
        .getByLabel("Machine", { exact: true })
        .fill("1911 tricar");
      await page.getByRole("button", { name: SAVE }).click();
      await page.getByRole("heading", { name: "Nothing is entered yet" }).waitFor();
      expect(await findingsOf(page)).toEqual([]);
      await close();
    });
});
