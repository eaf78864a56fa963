import type { Page } from "playwright-core";
import { beforeAll, describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, sentenceOf } from "../support/demo.ts";

const demo = demoInBrowser();
let empty: string;

beforeAll(async () => {
  empty = await demo.addEmpty();
});

const workAt = (query = "", restoration = demo.restoration) =>
  `${demo.server.address}/restorations/${restoration}/work${query}`;
const operationAt = (code: string) =>
  `${demo.server.address}/restorations/${demo.restoration}/work/${demo.operation(code)}`;

type Options = Parameters<typeof demo.open>[1];

const open = (address: string, options: Options = {}) => demo.open(address, options, "main .sentence");

const partCalled = (page: Page, name: string) => page.locator(`section[aria-label="${name}"]`);
const noticeOf = (page: Page, words: string | RegExp) => page.locator(".notice", { hasText: words });

describe("the work sheet", () => {
  it("opens by saying how much is to do, what is free, and how much is critical, and each number leads to those operations", async () => {
    const { page, errors } = await open(workAt());
    await expect
      .poll(() => sentenceOf(page))
      .toMatch(
        /^55 operations, 1,\d{3}(\.\d+)? h to do, [\d.]+ h of them on what parts and remedies bring; \d+ (is|are) free to start(, \d+ (is|are) under way)?; \d+ lies? on the critical path\./,
      );
    const free = page.locator("p.sentence a", { hasText: "free to start" });
    const count = Number.parseInt((await free.textContent()) ?? "", 10);
    await free.click();
    await page.waitForFunction((n) => document.querySelectorAll(".cal-line").length === n, count);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("draws the operations in order of early start, fifty to a page, critical ones marked by a word and a diamond", async () => {
    const { page } = await open(workAt());
    await expect.poll(() => page.locator(".cal-line").count()).toBe(50);
    const critical = page.locator(".cal-line", { has: page.locator(".cal-span.critical") });
    await expect.poll(() => critical.count()).toBeGreaterThan(0);
    for (const line of await critical.all()) {
      await expect.poll(() => line.locator(".mark", { hasText: "critical" }).count()).toBe(1);
      await expect.poll(() => line.locator(".peg").count()).toBe(1);
    }
    await page.getByRole("button", { name: "Next" }).click();
    await page.waitForFunction(() => document.querySelectorAll(".cal-line").length === 5);
    await page.context().close();
  });

  it("shows what comes before and after a chosen operation by keyboard, drawn and listed", async () => {
    const { page } = await open(workAt());
    const line = page.locator(".cal-line", { hasText: "CHASSIS-RUN" });
    await line.locator(".cal-choose").focus();
    await page.keyboard.press("Enter");
    await line.getByRole("heading", { name: "Comes before" }).waitFor();
    await expect.poll(() => line.locator(".neighbours").first().textContent()).toContain("BRAKES");
    await expect.poll(() => page.locator(".cal-threads > path").count()).toBeGreaterThan(1);
    await page.keyboard.press("Enter");
    await page.waitForFunction(() => document.querySelector(".cal-threads") === null);
    await page.context().close();
  });

  it("tells the same in a table that sorts all the operations, not only the page", async () => {
    const { page } = await open(workAt("?view=table&state=all&sort=-hours"));
    const hours = (await page.locator('tbody td[data-label="To do"]').allTextContents()).map(Number.parseFloat);
    const most = await demo.server.store.operation.aggregate({
      where: { restorationId: demo.restoration, state: "NOT_STARTED" },
      _max: { hoursLikely: true },
    });
    expect(hours[0]).toBe(most._max.hoursLikely);
    await page.context().close();
  });

  it("narrows by words and trade kept in the address, and begins again from an empty result", async () => {
    const { page } = await open(workAt());
    await page.getByLabel("Search").fill("frame");
    await page.getByLabel("Trade").selectOption("body");
    await page.waitForURL(/search=frame.*trade=body|trade=body.*search=frame/);
    await page.reload();
    await page.waitForSelector(".cal-line");
    for (const name of await page.locator(".cal-name").allTextContents()) expect(name).toMatch(/frame/i);
    await page.getByLabel("Search").fill("no such work");
    await page.getByRole("button", { name: "Show all operations" }).click();
    await page.waitForFunction(() => document.querySelectorAll(".cal-line").length === 50);
    await page.context().close();
  });

  it("draws the network, goes along its links by arrow keys, and shows the chosen box with a link to its page", async () => {
    const { page, errors } = await open(workAt("?view=network"));
    await page.waitForSelector(".net-box");
    await expect.poll(() => page.locator(".net-box").count()).toBe(55);
    await expect.poll(() => page.locator(".net-box.critical .peg").count()).toBeGreaterThan(0);
    const hubs = page.locator(`[data-box="${demo.operation("HUBS")}"]`);
    await hubs.focus();
    await page.keyboard.press("ArrowRight");
    await page.waitForFunction(() => document.activeElement?.getAttribute("data-box") !== null);
    await page.waitForFunction((id) => document.activeElement?.getAttribute("data-box") !== id, demo.operation("HUBS"));
    await expect
      .poll(() => page.evaluate(() => document.activeElement?.getAttribute("aria-label")))
      .toMatch(/^(WHEELS|BRAKES) /);
    await page.keyboard.press("Enter");
    await page.getByRole("link", { name: "Open its sheet" }).click();
    await page.waitForURL(new RegExp(`/work/(${demo.operation("WHEELS")}|${demo.operation("BRAKES")})$`));
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says how to begin where no work is entered, and an operation typed there gets its page", async () => {
    const { page } = await open(workAt("", empty));
    await expect.poll(() => sentenceOf(page)).toContain("No work is entered yet");
    await page.getByRole("button", { name: "Add an operation" }).first().click();
    await page.getByLabel("Title").fill("Free the seized piston");
    await page.getByLabel("Hours, likely").fill("six");
    await page.getByRole("button", { name: "Add the operation" }).click();
    await expect.poll(() => page.locator(".fault").textContent()).toContain("number");
    await page.getByLabel("Hours, likely").fill("6");
    await page.getByRole("button", { name: "Add the operation" }).click();
    await page.getByRole("heading", { name: /Free the seized piston/ }).waitFor();
    await page.getByRole("button", { name: /Remove the operation/ }).click();
    await noticeOf(page, "Removed").waitFor();
    await page.keyboard.press("Control+z");
    await page.locator(".cal-line", { hasText: "Free the seized piston" }).waitFor();
    await page.context().close();
  });
});

describe("an operation's page", () => {
  it("refuses a link that would close a circle, and shows the circle step by step with codes and titles", async () => {
    const { page } = await open(operationAt("HUBS"));
    await partCalled(page, "Comes before").getByRole("button", { name: "Add what comes before" }).click();
    await page.getByRole("combobox", { name: "Operation that comes before" }).fill("CHASSIS-RUN");
    await page.getByRole("option", { name: /CHASSIS-RUN/ }).waitFor();
    await page.keyboard.press("Enter");
    await page.getByRole("button", { name: "Add the link" }).click();
    const circle = page.locator("ol.circle");
    await circle.waitFor();
    await circle.getByText("Bare-chassis run and adjust").first().waitFor();
    const steps = await circle.locator("li").allTextContents();
    expect(steps.length).toBeGreaterThanOrEqual(3);
    expect(steps[0]).toContain("CHASSIS-RUN");
    expect(steps[1]).toContain("HUBS Hubs: cups, cones and felt seals");
    expect(steps.at(-1)).toContain("CHASSIS-RUN");
    await expect
      .poll(() => page.getByRole("combobox", { name: "Operation that comes before" }).inputValue())
      .toContain("CHASSIS-RUN");
    await expect
      .poll(() => demo.server.store.link.count({ where: { afterId: demo.operation("HUBS") } }))
      .toBe(await partCalled(page, "Comes before").locator("ul.lines > li").count());
    await page.context().close();
  });

  it("adds a link with a lag in calendar days, and undo takes it away again", async () => {
    const { page } = await open(operationAt("HOOD"));
    const before = partCalled(page, "Comes before");
    const linked = await before.locator("ul.lines > li").count();
    await before.getByRole("button", { name: "Add what comes before" }).click();
    await page.getByRole("combobox", { name: "Operation that comes before" }).fill("HUBS");
    await page.getByRole("option", { name: /^HUBS/ }).click();
    await page.getByLabel("Lag", { exact: true }).fill("3");
    await page.getByLabel("Counted in").selectOption("DAYS");
    await page.getByRole("button", { name: "Add the link" }).click();
    await before.getByText("after 3 days").waitFor();
    await noticeOf(page, "Added").getByRole("button", { name: "Undo" }).click();
    await page.waitForFunction(
      (n) => document.querySelectorAll('section[aria-label="Comes before"] ul.lines > li').length === n,
      linked,
    );
    await page.context().close();
  });

  it("is not marked done while a safety-critical part has no inspection, and is once one is recorded right there", async () => {
    const { page } = await open(operationAt("HUBS"));
    await demo.server.store.snag.updateMany({
      where: { operationId: demo.operation("HUBS") },
      data: { clearedOn: "2026-11-01" },
    });
    await page.getByLabel("State").selectOption("DONE");
    await page.getByLabel("Finished on").fill("2026-11-23");
    await page.getByRole("button", { name: "Save the operation" }).click();
    const said = page.locator(".form-problem", { hasText: "inspection on record" });
    await said.waitFor();
    // It stands where it can be mended, and nowhere else.
    expect([await said.count(), await page.locator(".notice").count()]).toEqual([1, 0]);
    const missing = await demo.server.store.part.findMany({
      where: {
        safetyCritical: true,
        inspections: { none: {} },
        needs: { some: { operationId: demo.operation("HUBS") } },
      },
    });
    expect(missing.length).toBeGreaterThan(0);
    for (const part of missing) await expect.poll(() => said.textContent()).toContain(part.code);
    await expect.poll(() => page.getByLabel("State").inputValue()).toBe("DONE");

    for (const part of missing) {
      await page.getByRole("button", { name: `Record an inspection of ${part.name}` }).click();
      const form = page.getByRole("form", { name: `Inspection of ${part.name}` });
      await form.getByLabel("Who looked at it").fill("M. Aldous, engineer");
      await form.getByLabel("What was done").fill("Dye test, no indication");
      await form.getByRole("button", { name: "Record the inspection" }).click();
      await form.waitFor({ state: "detached" });
    }
    await page.getByRole("button", { name: "Save the operation" }).click();
    await page.waitForFunction(() =>
      document.querySelector("p.sentence")?.textContent?.startsWith("Done, on 23 Nov 2026"),
    );
    const stored = await demo.server.store.operation.findUniqueOrThrow({ where: { id: demo.operation("HUBS") } });
    expect(stored.state).toBe("DONE");
    await page.context().close();
  });

  it("keeps what was typed when the server cannot be reached", async () => {
    const { page } = await open(operationAt("FINAL"));
    await page.getByLabel("Hours, likely").fill("41");
    await page.route("**/graphql", (route) => route.abort());
    await page.getByRole("button", { name: "Save the operation" }).click();
    await page.locator(".form-problem", { hasText: "Not saved" }).waitFor();
    await expect.poll(() => page.getByLabel("Hours, likely").inputValue()).toBe("41");
    await page.context().close();
  });

  it("adds a part that it needs, changes the quantity, and removes it again", async () => {
    const { page } = await open(operationAt("FINAL"));
    const needs = partCalled(page, "Parts it needs");
    await needs.getByRole("button", { name: "Add a part" }).click();
    await page.getByRole("combobox", { name: "Part", exact: true }).fill("BR-01");
    await page.getByRole("option", { name: /BR-01/ }).click();
    await needs.getByRole("button", { name: "Add the part" }).click();
    const row = needs.locator("li", { hasText: "BR-01" });
    await row.getByRole("button", { name: /^How many/ }).click();
    await row.getByRole("textbox", { name: "How many" }).fill("3");
    await row.getByRole("button", { name: "Save the need" }).click();
    await row.getByText("3 pieces").waitFor();
    await row.getByRole("button", { name: /^Remove/ }).click();
    await row.waitFor({ state: "detached" });
    await page.context().close();
  });
});

describe("the snags", () => {
  const snagsAt = (query = "") => `${demo.server.address}/restorations/${demo.restoration}/work/snags${query}`;

  it("stand with their remedies side by side: another can be chosen, and undone", async () => {
    const { page } = await open(snagsAt());
    await expect.poll(() => sentenceOf(page)).toBe("1 snag is open; its remedy is chosen.");
    await expect.poll(() => page.locator(".remedies > li").count()).toBe(3);
    await page.getByRole("button", { name: "Weigh Weld at our bench" }).click();
    const weighed = page.getByRole("region", { name: "Weld at our bench instead" });
    await weighed.getByText(/ready (the same day|on \d+ \w+ \d{4}, \d+ days? (later|sooner))/).waitFor();
    const told = (await saidIn(weighed.locator("strong"))).replace(/,.*/, "");
    await weighed.getByRole("button", { name: "Choose it" }).click();
    await page.locator(".notice", { hasText: told }).waitFor();
    await page.locator(".remedies > li.chosen", { hasText: "Weld at our bench" }).waitFor();
    await page.getByRole("button", { name: "Undo", exact: true }).click();
    await page.locator(".remedies > li.chosen", { hasText: "Send out for cold stitching" }).waitFor();
    await page.context().close();
  });

  it("are added from the operation in which they were found, with remedies, and marked cleared", async () => {
    const { page } = await open(snagsAt(`?add=${demo.operation("PANELS")}`));
    const form = page.getByRole("form", { name: "New snag" });
    await expect.poll(() => form.getByRole("combobox", { name: "Found in" }).inputValue()).toContain("PANELS");
    await form.getByLabel("What was found").fill("Scuttle panel short by 9 mm");
    await form.getByRole("button", { name: "Add the snag" }).click();
    const sheet = page.locator("section#snag", { hasText: "Scuttle panel short by 9 mm" });
    await sheet.waitFor();
    await expect.poll(() => sentenceOf(page)).toContain("no remedy chosen");
    await sheet.getByRole("button", { name: "Add a remedy" }).click();
    const remedy = page.getByRole("form", { name: "New remedy" });
    await remedy.getByLabel("What is done").fill("Weld on a strip");
    await remedy.getByLabel("Price").fill("12.50");
    await remedy.getByLabel("Shop work").fill("3");
    await remedy.getByRole("button", { name: "Add the remedy" }).click();
    await sheet.getByText("£12.50").waitFor();
    await sheet.getByRole("button", { name: "Weigh Weld on a strip" }).click();
    await sheet.getByRole("button", { name: "Choose it" }).click();
    await sheet.locator("li.chosen").waitFor();
    await sheet.getByRole("button", { name: "Mark cleared" }).click();
    await sheet.getByText(/Cleared on/).waitFor();
    await page.context().close();
  });
});

describe("work sheets for everyone", () => {
  it.each(SIZES)(
    "have no accessibility findings and nothing off the page at $viewport.width in $colorScheme",
    async (options) => {
      const addresses = [
        workAt(),
        workAt("?view=table"),
        workAt("?view=network"),
        operationAt("BRAKES"),
        `${demo.server.address}/restorations/${demo.restoration}/work/snags`,
        `${demo.server.address}/restorations/${empty}/work/snags`,
      ];
      const { page } = await open(addresses[0] ?? "", options);
      for (const address of addresses) {
        await page.goto(address);
        await page.waitForSelector("main .sentence");
        await page.waitForLoadState("networkidle");
        if (address.includes("network")) await page.waitForSelector(".net-box");
        if (address === workAt()) await page.locator(".cal-choose").first().click();
        if (address === operationAt("BRAKES"))
          for (const name of [/^Record an inspection/, /^Add what comes before/, /^Add a part/])
            await page.getByRole("button", { name }).first().click();
        expect(await findingsOf(page), address).toEqual([]);
        await expect.poll(() => offThePage(page), { message: address }).toBeLessThanOrEqual(0);
      }
      await page.context().close();
    },
  );
});
