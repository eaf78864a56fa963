/** The workshop's accounts on their sheets: inviting by a link, roles, closing and opening; one's own account and where it is signed in. */
import type { Browser, Page } from "playwright-core";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { firstLink } from "../../server/access/invitation.ts";
import type { BackupState } from "../../server/io/nightlyBackups.ts";
import { findingsOf } from "../support/axe.ts";
import { launchBrowser, openPage } from "../support/browser.ts";
import { offThePage, SIZES } from "../support/demo.ts";
import { startServer, type TestServer } from "../support/server.ts";

const PASSWORD = "eleven crates and no drawings";

let server: TestServer;
let browser: Browser;
let page: Page;
/** What the server tells of the backups in its data folder. */
let backups: BackupState = { newest: null, failed: null };
let errors: string[];

const join = async (link: string, name: string, email: string): Promise<Page> => {
  const opened = await openPage(browser, link);
  await opened.page.getByLabel("Name").fill(name);
  await opened.page.getByLabel("E-mail").fill(email);
  await opened.page.getByLabel("Password").fill(PASSWORD);
  await opened.page.keyboard.press("Enter");
  await opened.page.locator(".box-panel > button", { hasText: name }).waitFor();
  return opened.page;
};

beforeAll(async () => {
  let secret = "";
  server = await startServer({
    backups: { state: async () => backups, stop: async () => {} },
    fill: async (store) => {
      const { id } = await store.workshop.create({
        data: {
          name: "Quill Lane Workshop",
          calendar: { create: {} },
          accounts: { create: { name: "", admin: true } },
        },
      });
      await store.restoration.create({
        data: { workshopId: id, machine: "1913 Tallow & Wren" },
      });
      secret = (await firstLink(store)) ?? "";
    },
  });
  browser = await launchBrowser();
  page = await join(`${server.address}/join#${secret}`, "Hesper Quill", "hesper@quill-lane.example");
  errors = [];
  page.on("pageerror", (error) => errors.push(error.message));
});
afterAll(async () => {
  await browser?.close();
  await server?.close();
});

const row = (name: string) => page.getByRole("row", { name: new RegExp(name) }).first();

const accessible = async () => {
  for (const { viewport, colorScheme } of SIZES) {
    await page.setViewportSize(viewport);
    await page.emulateMedia({ colorScheme });
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBe(0);
  }
  await page.setViewportSize(SIZES[0].viewport);
};

describe("people", () => {
  let owner: Page;

  it("are reached from the head, and an owner is invited by a link that is told once", async () => {
    await page.locator(".box-panel > button").click();
    await page.getByRole("link", { name: "People" }).click();
    await page.getByRole("heading", { name: "People", level: 1 }).waitFor();
    await page.getByRole("button", { name: "Invite somebody" }).click();
    await page.getByLabel("Name").fill("Odile Farrant");
    await page.getByLabel("Role", { exact: true }).selectOption({ label: "owner of one machine" });
    await page.getByRole("button", { name: "Make the link" }).click();
    await page.locator(".fault").waitFor();
    await page.getByLabel("Machine").selectOption({ label: "1913 Tallow & Wren" });
    await page.getByRole("button", { name: "Make the link" }).click();
    const link = await page.getByLabel("Link for Odile Farrant").getByRole("textbox").inputValue();
    expect(link).toMatch(new RegExp(`^${server.address}/join#.{43}$`));
    await accessible();
    await page.reload();
    await row("Odile Farrant").waitFor();
    await expect.poll(() => page.getByLabel("Link for Odile Farrant").count()).toBe(0);
    await expect.poll(() => row("Odile Farrant").textContent()).toContain("has not joined");
    owner = await join(link, "Odile Farrant", "odile@farrant.example");
    await owner.waitForURL(/\/restorations\/[^/]+\/money\/report$/);
  });

  it("change their role after a question, and the only admin stays one", async () => {
    await page.reload();
    await row("Hesper Quill").getByRole("button", { name: /^Role/ }).click();
    await page.getByRole("dialog").getByLabel("Role", { exact: true }).selectOption({ label: "club member" });
    await page.getByRole("dialog").getByRole("button", { name: "Change the role" }).click();
    await page.getByRole("dialog").getByRole("alert").waitFor();
    await expect.poll(() => page.getByRole("dialog").getByRole("alert").textContent()).toContain("only admin");
    await page.keyboard.press("Escape");
    await row("Odile Farrant").getByRole("button", { name: /^Role/ }).click();
    await page.getByRole("dialog").getByLabel("Role", { exact: true }).selectOption({ label: "club member" });
    await page.getByRole("dialog").getByRole("button", { name: "Change the role" }).click();
    await row("Odile Farrant").getByText("club member").waitFor();
  });

  it("lose and get back their account, and all of it stands in the record", async () => {
    await row("Odile Farrant")
      .getByRole("button", { name: /^Close/ })
      .click();
    await page.getByRole("dialog").getByRole("button", { name: "Close the account" }).click();
    await row("Odile Farrant")
      .getByRole("button", { name: /^Open again/ })
      .waitFor();
    await owner.reload();
    await owner.getByRole("heading", { name: "Sign in" }).waitFor();
    await row("Odile Farrant")
      .getByRole("button", { name: /^Open again/ })
      .click();
    await row("Odile Farrant")
      .getByRole("button", { name: /^Link to reset/ })
      .click();
    await page.getByLabel("Link for Odile Farrant").getByRole("textbox").waitFor();
    for (const words of [
      "Invited Odile Farrant as owner",
      "Closed the account",
      "Opened again",
      "Made Odile Farrant club member",
    ])
      await expect.poll(() => page.locator("#record").textContent()).toContain(words);
  });
});

describe("the workshop's backups", () => {
  const section = () => page.locator("#backups");

  it("are told to be there or not, with the age of the newest, what it holds, and a try that failed", async () => {
    await page.reload();
    await section().getByText("There is no backup yet. The first is written in the coming night").waitFor();
    await accessible();
    backups = {
      newest: {
        name: "nightly-20270104T030000000Z.zip",
        madeAt: new Date(Date.now() - (3 * 60 + 20) * 60_000),
        photographs: 14,
        bytes: 2_130_000,
        wrong: 0,
      },
      failed: null,
    };
    await page.reload();
    await section().getByText("Newest backup: 3 hours ago, 14 photographs, 2.1 MB.").waitFor();
    expect(await section().getByRole("alert").count()).toBe(0);
    backups = {
      newest: { ...backups.newest!, wrong: 1 },
      failed: { at: new Date(), why: "There is no room left at backups." },
    };
    await page.reload();
    await section().getByText("1 file of photographs was missing or altered when it was made").waitFor();
    expect(await section().getByRole("alert").textContent()).toContain("There is no room left at backups.");
    await accessible();
  });

  it("are kept as many as is asked, refused where that is no number, and put off", async () => {
    const save = section().getByRole("button", { name: "Save" });
    const kept = section().getByLabel("Backups kept");
    expect(await kept.inputValue()).toBe("7");
    await kept.fill("many");
    await save.click();
    await section().locator(".fault").waitFor();
    await kept.fill("1000");
    await save.click();
    await section().getByText("Backups kept must be at most 100.", { exact: true }).waitFor();
    await kept.fill("14");
    await save.click();
    await section().getByText("A backup is written each night.").waitFor();
    await page.reload();
    await kept.waitFor();
    expect(await kept.inputValue()).toBe("14");
    await section().getByLabel("A backup each night").selectOption("off");
    expect(await kept.count()).toBe(0);
    await save.click();
    await section().getByText("No backup is written each night.").waitFor();
    expect(await server.store.workshop.findFirstOrThrow()).toMatchObject({ nightlyBackups: false, backupsKept: 14 });
  });

  it("changed elsewhere meanwhile, are not changed over, and stand as they are now", async () => {
    await server.store.workshop.updateMany({
      data: { nightlyBackups: true, backupsKept: 5, revision: { increment: 1 } },
    });
    await section().getByLabel("A backup each night").selectOption("on");
    await section().getByLabel("Backups kept").fill("30");
    await section().getByRole("button", { name: "Save" }).click();
    await section().getByText("Not saved: it was changed elsewhere meanwhile").waitFor();
    await expect.poll(() => section().getByLabel("Backups kept").inputValue()).toBe("5");
  });
});

describe("the own account", () => {
  it("gets another name and password, and ends a sign-in elsewhere", async () => {
    const elsewhere = (await openPage(browser, `${server.address}/`)).page;
    await elsewhere.getByLabel("E-mail").fill("hesper@quill-lane.example");
    await elsewhere.getByLabel("Password").fill(PASSWORD);
    await elsewhere.keyboard.press("Enter");
    await elsewhere.getByRole("heading", { name: "Restorations" }).waitFor();
    await page.locator(".box-panel > button").click();
    await page.getByRole("link", { name: /Hesper Quill/ }).click();
    await page.getByRole("heading", { name: "Your account" }).waitFor();
    await page.getByLabel("Name", { exact: true }).fill("Hesper Quill-Lane");
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByText("Name and e-mail are saved.").waitFor();
    await page.getByText("signed in on 2 browsers").waitFor();
    // Another browser of the same account changes the name meanwhile.
    await server.store.account.updateMany({
      where: { name: "Hesper Quill-Lane" },
      data: { name: "Hesper Lane", revision: { increment: 1 } },
    });
    await page.getByLabel("Name", { exact: true }).fill("H. Quill-Lane");
    await page.getByRole("button", { name: "Save", exact: true }).click();
    const asked = page.getByRole("dialog", { name: "Changed elsewhere meanwhile" });
    await asked.getByText("theirs: Hesper Lane").click();
    await asked.getByRole("button", { name: "Save what is marked" }).click();
    await page.getByText("Theirs is kept; nothing of yours was saved.").waitFor();
    await page.getByText("You are Hesper Lane").waitFor();
    await page.getByLabel("Name", { exact: true }).fill("Hesper Quill-Lane");
    await page.getByRole("button", { name: "Save", exact: true }).click();
    await page.getByText("Name and e-mail are saved.").waitFor();
    await accessible();
    await page.getByRole("button", { name: /^End it/ }).click();
    await page.getByText("That sign-in has ended.").waitFor();
    await elsewhere.reload();
    await elsewhere.getByRole("heading", { name: "Sign in" }).waitFor();
    await page.getByLabel("Present password").fill("not the password");
    await page.getByLabel("New password").fill("twelve crates and a drawing");
    await page.getByRole("button", { name: "Change the password" }).click();
    await page.getByRole("alert").waitFor();
    await page.getByLabel("Present password").fill(PASSWORD);
    await page.getByRole("button", { name: "Change the password" }).click();
    await page.getByText("The password is changed").waitFor();
    await page.getByRole("button", { name: "Sign out everywhere" }).click();
    await page.getByRole("dialog").getByRole("button", { name: "Sign out everywhere" }).click();
    await page.getByRole("heading", { name: "Sign in" }).waitFor();
    expect(errors).toEqual([]);
  });
});
