import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { openPage } from "../support/browser.ts";
import { demoInBrowser } from "../support/demo.ts";

const demo = demoInBrowser();
const open = (options: Parameters<typeof openPage>[2] = {}) =>
  openPage(demo.browser, `${demo.server.address}/graphql`, options);

describe("the page at the address of the API", () => {
  it("asks a question with variables and shows the answer, or what is wrong with it", async () => {
    const { page, errors } = await open();
    await page.getByRole("button", { name: "Ask", exact: true }).click();
    const answer = page.locator('[aria-label="Answer"]');
    await expect.poll(() => answer.textContent()).toContain(demo.restoration);
    await page.getByRole("button", { name: "Example with a variable" }).click();
    await page.getByLabel("Variables, as JSON").fill("{ restoration }");
    await page.getByRole("button", { name: "Ask", exact: true }).click();
    await page.getByText("The variables are not JSON").waitFor();
    await page.getByLabel("Variables, as JSON").fill(JSON.stringify({ restoration: demo.restoration }));
    await page.getByRole("button", { name: "Ask", exact: true }).click();
    await expect.poll(() => answer.textContent()).toContain('"dateWithOpenInHand"');
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("finds types of the schema by a word", async () => {
    const { page } = await open();
    const types = page.locator('[aria-label="Types of the schema"]');
    await expect.poll(() => types.textContent()).toMatch(/^type Query \{/);
    await page.getByLabel("Find a type, a field or a word").fill("daysGained");
    await expect.poll(() => types.textContent()).toContain("type HoldUp {");
    await page.getByLabel("Find a type, a field or a word").fill("there is no such word");
    await page.getByText("0 types").waitFor();
    await page.context().close();
  });

  for (const colorScheme of ["light", "dark"] as const)
    for (const width of [1280, 390])
      it(`has no accessibility finding in ${colorScheme} at ${width} pixels, and nothing runs off the side`, async () => {
        const { page } = await open({ colorScheme, viewport: { width, height: 900 } });
        await page.getByRole("button", { name: "Ask", exact: true }).click();
        await page.locator('[aria-label="Answer"]').waitFor();
        await page.locator('[aria-label="Types of the schema"]').waitFor();
        expect(await findingsOf(page)).toEqual([]);
        expect(await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth)).toBeLessThanOrEqual(
          0,
        );
        await page.context().close();
      });
});

describe("no page of the program", () => {
  const SHEETS = [
    "hold-ups",
    "today",
    "hold-ups/over-time",
    "parts/choices",
    "money",
    "money/report",
    "parts/field-sheet",
    "work/hours",
    "parts",
    "work",
    "work/snags",
    "parts/suppliers",
    "parts/threads",
    "restoration",
    "restoration/files",
  ];
  const OTHERS = [
    "",
    "people",
    "account",
    "graphql",
    "join#none",
    "club/sources",
    "club/wants",
    "club/spares",
    "club/matches",
    "club/batches",
    "club/complaints",
    "club/files",
    "club/member",
  ];

  it("loads or names for loading anything of another host", async () => {
    const elsewhere: string[] = [];
    const { page } = await openPage(demo.browser, demo.server.address);
    page.on("request", (request) => {
      const { origin, protocol } = new URL(request.url());
      if (/^https?:$/.test(protocol) && origin !== demo.server.address) elsewhere.push(request.url());
    });
    for (const address of [
      ...SHEETS.map((sheet) => demo.at(sheet)),
      ...OTHERS.map((one) => `${demo.server.address}/${one}`),
    ]) {
      await page.goto(address);
      await page.locator("h1").first().waitFor();
      await page.waitForLoadState("networkidle").catch(() => {});
      const named = await page.evaluate(() =>
        [...document.querySelectorAll("script[src], link[href], img[src], iframe[src], source[src]")].map(
          (one) => (one as HTMLScriptElement).src || (one as unknown as HTMLLinkElement).href,
        ),
      );
      elsewhere.push(...named.filter((one) => /^https?:/.test(one) && new URL(one).origin !== demo.server.address));
    }
    expect(elsewhere).toEqual([]);
    await page.context().close();
  });
});

describe("an address of before", () => {
  it.each([
    ["hold-ups?why=none", "hold-ups?why=none"],
    ["over-time", "hold-ups/over-time"],
    ["owner#decisions", "money/report#decisions"],
    ["suppliers/none", "parts/suppliers/none"],
    ["files", "restoration/files"],
    ["", "hold-ups"],
  ])("%s leads to %s", async (before, today) => {
    const { page } = await openPage(demo.browser, `${demo.server.address}/r/${demo.restoration}/${before}`);
    await page.waitForURL(demo.at(today));
    await page.locator("h1").first().waitFor();
    await page.context().close();
  });
});
