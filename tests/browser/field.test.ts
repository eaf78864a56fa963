import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { seedDemo } from "../../seed/load.ts";
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
  browser = await launchBrowser();
  restoration = (await server.store.restoration.findFirstOrThrow()).id;
  sheet = `${server.address}/restorations/${restoration}/parts/field-sheet`;
});

afterAll(async () => {
  await browser?.close();
  await server?.close();
});

const parts = (page: Page) => page.locator(".field-parts > li");
const finds = (page: Page) => page.locator("#finds .finds > li");

async function openSheet(query = "", options: Parameters<typeof openPage>[2] = {}) {
  const opened = await openPage(browser, `${sheet}${query}`, options);
  await parts(opened.page).first().waitFor();
  return opened;
}

/** Opened, and kept on the device with walk-away prices. */
async function openKept() {
  const opened = await openSheet("", PHONE);
  await opened.page.getByText("Kept on this device").waitFor();
  await opened.page.locator(".walk-aways").first().waitFor();
  return opened;
}

async function noteFind(page: Page, what: string, price: string) {
  await page.locator("#finds").getByRole("button", { name: "Note a find" }).click();
  const form = page.getByRole("form", { name: "A find" });
  await form.getByLabel("What it is").fill(what);
  await form.getByLabel("With whom").fill("Trestle by the oak");
  await form.getByLabel("Asked price").fill(price);
  await form.getByLabel("Provenance").selectOption("ORIGINAL");
  await form.getByRole("button", { name: "Keep the find" }).click();
  await finds(page).filter({ hasText: what }).waitFor();
}

describe("the field sheet", () => {
  it("begins with parts that nobody offers, then those that bring the end forward most", async () => {
    const { page, errors } = await openSheet();
    const { data } = await server.query<{
      restoration: {
        parts: { edges: { node: { name: string; outlook: { state: string; daysGained: number } } }[] };
      };
    }>(
      `query ($r: ID!) { restoration(id: $r) { parts(first: 500, state: [NO_SOURCE, UNDECIDED, TO_ORDER, ORDERED, LATE]) {
        edges { node { name outlook { state daysGained } } } } } }`,
      { r: restoration },
    );
    const outlook = new Map(data?.restoration.parts.edges.map(({ node }) => [node.name, node.outlook]));
    const names = await parts(page).locator("h3 a").allTextContents();
    const ranks = names.map((name) => {
      const one = outlook.get(name);
      return one?.state === "NO_SOURCE" ? Number.POSITIVE_INFINITY : (one?.daysGained ?? 0);
    });
    expect(ranks[0]).toBe(Number.POSITIVE_INFINITY);
    expect(ranks).toEqual(ranks.toSorted((a, b) => b - a));
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("gives a key dimension in millimetres and in inches, with its limits", async () => {
    const { page } = await openSheet("?search=anchor");
    await page
      .locator(".field-facts", { hasText: "Pin diameter" })
      .getByText("0.5 in, 0.499 to 0.5 (12.7 mm, 12.67 to 12.7)")
      .waitFor();
    await page.context().close();
  });

  it("says above which price to walk away, and lists only parts with such a price where that is asked", async () => {
    const { page } = await openSheet();
    await page
      .locator(".walk-aways", { hasText: /Walk away above £[\d,.]+/ })
      .first()
      .waitFor();
    const unpriced = parts(page).filter({ hasText: "no source" });
    await expect.poll(() => unpriced.count()).toBeGreaterThan(0);
    await page.getByLabel("With a walk-away price only").click();
    await page.waitForURL(/walk-away=yes/);
    await unpriced.first().waitFor({ state: "detached" });
    await expect.poll(() => parts(page).count()).toBeGreaterThan(0);
    for (const part of await parts(page).all()) await expect.poll(() => part.locator(".walk-aways").count()).toBe(1);
    await page.context().close();
  });

  it("finds parts by their reference numbers", async () => {
    const { page } = await openSheet();
    const all = await parts(page).count();
    await page.getByLabel("Search").fill("T.W. 211");
    await page.waitForFunction((count) => document.querySelectorAll(".field-parts > li").length < count, all);
    await expect.poll(() => parts(page).count()).toBe(1);
    await expect.poll(() => parts(page).first().textContent()).toContain("T.W. 211");
    await page.context().close();
  });

  it("opens without a connection, takes a find there, and sends it once when the connection is back", async () => {
    const { page } = await openKept();
    const names = await parts(page).locator("h3").allTextContents();
    const prices = await page.locator(".walk-aways").count();
    await page.context().setOffline(true);
    await page.reload();
    await page.getByText("Without a connection").waitFor();
    await expect.poll(() => parts(page).locator("h3").allTextContents()).toEqual(names);
    await expect.poll(() => page.locator(".walk-aways").count()).toBe(prices);

    await noteFind(page, "Brass horn bulb holder", "12.50");
    await finds(page).filter({ hasText: "not yet sent" }).waitFor();
    await page.reload();
    await finds(page).filter({ hasText: "Brass horn bulb holder" }).filter({ hasText: "not yet sent" }).waitFor();
    await expect.poll(() => server.store.find.count({ where: { what: "Brass horn bulb holder" } })).toBe(0);

    await page.context().setOffline(false);
    await finds(page).filter({ hasText: "Brass horn bulb holder" }).filter({ hasText: "Seen on" }).waitFor();
    await page.reload();
    await finds(page).filter({ hasText: "Brass horn bulb holder" }).waitFor();
    const stored = await server.store.find.findMany({ where: { what: "Brass horn bulb holder" } });
    expect(stored).toHaveLength(1);
    expect(stored[0]).toMatchObject({
      askedMinor: 1250,
      currency: "GBP",
      provenance: "ORIGINAL",
      seller: "Trestle by the oak",
    });
    await expect.poll(() => page.getByText("not yet sent").count()).toBe(0);
    await page.context().close();
  });

  it("keeps no answer of the server but the field sheet's own: other sheets say that they need a connection", async () => {
    const { page } = await openKept();
    await page.context().setOffline(true);
    await page.reload();
    await page.getByText("Without a connection").waitFor();
    const kept = await page.evaluate(async () => {
      const addresses: string[] = [];
      for (const name of await caches.keys())
        for (const request of await (await caches.open(name)).keys()) addresses.push(new URL(request.url).pathname);
      return addresses;
    });
    expect(kept).toContain("/");
    expect(kept.filter((address) => address !== "/" && !address.startsWith("/assets/"))).toEqual([]);
    await page.getByRole("link", { name: /^Hold-ups/ }).click();
    await page.getByText("Cannot show").first().waitFor();
    await page.getByRole("link", { name: /^Parts/ }).click();
    await page.getByRole("button", { name: /^Parts: list/ }).click();
    await page.getByRole("link", { name: "Field sheet" }).click();
    await parts(page).first().waitFor();
    await page.context().close();
  });

  it("shows both where a find was changed here without a connection and elsewhere with one, and loses neither", async () => {
    const { page } = await openKept();
    await noteFind(page, "Bevel box, two of", "60");
    await finds(page).filter({ hasText: "Bevel box" }).filter({ hasText: "Seen on" }).waitFor();
    await page.context().setOffline(true);
    await page.waitForFunction(() => !navigator.onLine);
    await page.getByRole("button", { name: "Change Bevel box, two of" }).click();
    const form = page.getByRole("form", { name: "The find" });
    await form.getByLabel("With whom").fill("Van by the gate");
    await form.getByRole("button", { name: "Save the find" }).click();
    await finds(page).filter({ hasText: "not yet sent" }).waitFor();
    const stored = await server.store.find.findFirstOrThrow({ where: { what: "Bevel box, two of" } });
    await server.query(`mutation ($input: FindInput!) { saveFind(input: $input) { __typename } }`, {
      input: { id: stored.id, revision: stored.revision, seller: "Table at the back" },
    });
    await page.context().setOffline(false);
    const dialog = page.getByRole("dialog");
    await dialog.getByText("Van by the gate").waitFor();
    await dialog.getByText("Table at the back").waitFor();
    await page.keyboard.press("Escape");
    await page.getByText("It was changed elsewhere").waitFor();
    await expect
      .poll(async () => (await server.store.find.findUniqueOrThrow({ where: { id: stored.id } })).seller)
      .toBe("Table at the back");
    await page.getByText("Van by the gate").waitFor();
    await page.context().close();
  });

  it("makes a quote of a find, and undo takes the quote back", async () => {
    const { page } = await openSheet("", PHONE);
    const quotes = await server.store.quote.count();
    const open = finds(page).filter({ hasText: "One belt rim" });
    await open.getByRole("button", { name: "Make it a quote" }).click();
    await page
      .getByRole("form", { name: /Quote of the find/ })
      .getByRole("button", { name: "Make it a quote" })
      .click();
    await open.getByText("became quote").waitFor();
    await expect.poll(() => server.store.quote.count()).toBe(quotes + 1);
    await page.locator(".notice").getByRole("button", { name: "Undo" }).click();
    await open.getByText("became quote").waitFor({ state: "detached" });
    await expect.poll(() => server.store.quote.count()).toBe(quotes);
    await page.context().close();
  });

  it("says what is missing of a find before it is kept", async () => {
    const { page } = await openSheet("", PHONE);
    await page.locator("#finds").getByRole("button", { name: "Note a find" }).click();
    await page.getByRole("button", { name: "Keep the find" }).click();
    await page.getByText("Say what it is.").waitFor();
    await page.context().close();
  });

  it("has every part on paper, in two columns", async () => {
    const { page } = await openSheet();
    await page.emulateMedia({ media: "print" });
    await page.evaluate(() => window.dispatchEvent(new Event("beforeprint")));
    await expect.poll(() => parts(page).count()).toBeGreaterThan(40);
    await expect
      .poll(() => page.locator(".field-parts").evaluate((list) => getComputedStyle(list).columnCount))
      .toBe("2");
    await expect.poll(() => page.getByRole("button", { name: "Print it" }).isVisible()).toBe(false);
    await page.context().close();
  });

  it("is served so that a newer worker is found at every visit", async () => {
    const response = await fetch(`${server.address}/field-worker.js`);
    expect(response.status).toBe(200);
    expect(response.headers.get("cache-control")).toBe("no-cache");
    expect(response.headers.get("content-type")).toContain("javascript");
  });

  for (const colorScheme of ["light", "dark"] as const)
    for (const width of [1280, 390])
      it(`has no accessibility finding in ${colorScheme} at ${width} pixels, with a form open`, async () => {
        const { page, errors } = await openSheet("", { colorScheme, viewport: { width, height: 900 } });
        await page.locator(".walk-aways").first().waitFor();
        await parts(page).first().getByRole("button", { name: "Note a find" }).click();
        expect(await findingsOf(page)).toEqual([]);
        await expect
          .poll(() => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth))
          .toBeLessThanOrEqual(0);
        expect(errors).toEqual([]);
        await page.context().close();
      });
});
