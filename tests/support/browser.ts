/** A headless Chromium for tests, and a page that tells of every error it met. */
import { type Browser, type BrowserContextOptions, chromium, type Page } from "playwright-core";
import { FLAGS, findChromium } from "../../server/tools/chromium.mjs";

/** Starts Chromium; close it in afterAll. Throws when none is found, so that no browser test passes without a browser. */
export async function launchBrowser(): Promise<Browser> {
  const executablePath = findChromium();
  if (executablePath === undefined)
    throw new Error("Browser tests need a Chromium: install one, or give its path in CHROMIUM_PATH.");
  return chromium.launch({ executablePath, args: FLAGS });
}

/** How long an action or a sign is waited for: it matters only where something fails. */
const PATIENCE_MS = 60_000;

export interface TestPage {
  page: Page;
  /** Uncaught errors and console errors of the page so far. */
  errors: string[];
}

/** Opens an address in a new context of its own (viewport, colour scheme, reduced motion and so on as asked). */
export async function openPage(
  browser: Browser,
  address: string,
  options: BrowserContextOptions = {},
): Promise<TestPage> {
  const context = await browser.newContext({ locale: "en-GB", timezoneId: "Europe/London", ...options });
  context.setDefaultTimeout(PATIENCE_MS);
  const page = await context.newPage();
  const errors: string[] = [];
  page.on("pageerror", (error) => errors.push(error.message));
  page.on("console", (message) => {
    if (message.type() === "error") errors.push(message.text());
  });
  await page.goto(address);
  return { page, errors };
}
