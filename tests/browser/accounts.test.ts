/** A real workshop: a link to join, signing out and in, and nothing shown to anybody else. */
import type { Browser } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { firstLink } from "../../server/access/invitation.ts";
import { findingsOf } from "../support/axe.ts";
import { launchBrowser, openPage } from "../support/browser.ts";
import { SIZES } from "../support/demo.ts";
import { startServer, type TestServer } from "../support/server.ts";

let server: TestServer;
let browser: Browser;
let secret: string;

beforeAll(async () => {
  server = await startServer({
    fill: async (store) => {
      await store.workshop.create({
        data: { name: "Quill Lane Workshop", accounts: { create: { name: "", admin: true } } },
      });
      secret = (await firstLink(store)) ?? "";
    },
  });
  browser = await launchBrowser();
});
afterAll(async () => {
  await browser?.close();
  await server?.close();
});

const PASSWORD = "eleven crates and no drawings";

describe("a workshop of its own", () => {
  it("is shut to somebody who is not signed in, on every sheet", async () => {
    for (const address of [`${server.address}/`, `${server.address}/r/anything/hold-ups`]) {
      const { page } = await openPage(browser, address);
      await page.getByRole("heading", { name: "Sign in" }).waitFor();
      await page.context().close();
    }
  });

  it("is joined by its link once, by keyboard, then left and entered again", async () => {
    const { page, errors } = await openPage(browser, `${server.address}/join#${secret}`);
    await page.getByLabel("Name").fill("Hesper Quill");
    await page.getByLabel("E-mail").fill("hesper@quill-lane.example");
    await page.getByLabel("Password").fill("short");
    await page.keyboard.press("Enter");
    await page.locator(".fault").waitFor();
    await page.getByLabel("Password").fill(PASSWORD);
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "Restorations" }).waitFor();
    await page.locator(".box-panel > button").click();
    await page.getByRole("button", { name: "Sign out" }).click();
    await page.getByRole("heading", { name: "Sign in" }).waitFor();
    await page.getByLabel("E-mail").fill("hesper@quill-lane.example");
    await page.getByLabel("Password").fill("not the password");
    await page.keyboard.press("Enter");
    await page.locator("[role=alert]").waitFor();
    await page.getByLabel("Password").fill(PASSWORD);
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "Restorations" }).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says that a link was used", async () => {
    const { page } = await openPage(browser, `${server.address}/join#${secret}`);
    await page.locator("[role=alert]").waitFor();
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding on the sign-in sheet at ${size.viewport.width} in ${size.colorScheme}`, async () => {
      const { page } = await openPage(browser, `${server.address}/`, size);
      await page.getByRole("heading", { name: "Sign in" }).waitFor();
      expect(await findingsOf(page)).toEqual([]);
      await page.context().close();
    });
});
