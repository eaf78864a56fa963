/** Rows of Parts and of Work chosen and changed together, by hand. */
import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, undoNewest } from "../support/demo.ts";

const demo = demoInBrowser();

const boxes = (page: Page) => page.locator("tbody .choose input");
const line = (page: Page) => saidIn(page.locator(".together [role=status]"));

describe("rows chosen in a table", () => {
  it("are counted also when one pages, changed by one field as one change, and back by one undo", async () => {
    const { page, errors } = await demo.open(demo.at("parts"));
    await boxes(page).nth(0).click();
    await boxes(page)
      .nth(2)
      .click({ modifiers: ["Shift"] });
    await boxes(page).nth(2).press("ArrowDown");
    await page.keyboard.press("Space");
    expect(await line(page)).toBe("4 parts chosen");
    await page.getByRole("button", { name: "Next" }).click();
    await expect.poll(() => line(page)).toBe("4 parts chosen, 4 of them not on this page");
    await page.getByLabel("Choose all of this page").click();
    const count = 4 + (await boxes(page).count());
    expect(await line(page)).toBe(`${count} parts chosen, 4 of them not on this page`);
    await page.getByRole("button", { name: "Change them" }).click();
    await page.getByLabel("What to change").selectOption("Group");
    await page.getByLabel("Group", { exact: true }).last().fill("Trial");
    await page.getByRole("button", { name: `Change ${count} parts` }).click();
    await page.locator(".notice", { hasText: `Changed ${count} parts: group` }).waitFor();
    const changed = () => demo.server.store.part.count({ where: { group: "Trial" } });
    expect(await changed()).toBe(count);
    // What was pressed is gone with the choice: the focus is not.
    await expect.poll(() => page.evaluate(() => document.activeElement?.classList.contains("together"))).toBe(true);
    await undoNewest(page);
    await expect.poll(changed).toBe(0);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("of which one was changed elsewhere are asked about by name, and the others changed where theirs is kept", async () => {
    const { page } = await demo.open(demo.at("parts"));
    const [first, second] = await page.locator("tbody th a").allTextContents();
    await boxes(page).nth(0).click();
    await boxes(page).nth(1).click();
    const part = await demo.server.store.part.findFirstOrThrow({ where: { name: second! } });
    await demo.server.query(`mutation ($input: PartInput!) { savePart(input: $input) { __typename } }`, {
      input: { id: part.id, revision: part.revision, quantity: 7 },
    });
    await page.getByRole("button", { name: "Change them" }).click();
    await page.getByLabel("What to change").selectOption("How many");
    await page.getByLabel("How many", { exact: true }).fill("5");
    await page.getByRole("button", { name: "Change 2 parts" }).click();
    const dialog = page.getByRole("dialog", { name: second! });
    await dialog.getByLabel("theirs: 7").check();
    expect(await findingsOf(page)).toEqual([]);
    await dialog.getByRole("button", { name: "Save what is marked" }).click();
    await page.locator(".notice", { hasText: `, ${first}: quantity` }).waitFor();
    const quantities = await demo.server.store.part.findMany({ where: { name: { in: [first!, second!] } } });
    expect(new Map(quantities.map(({ name, quantity }) => [name, quantity]))).toEqual(
      new Map([
        [first, 5],
        [second, 7],
      ]),
    );
    await undoNewest(page);
    await page.context().close();
  });

  it("that may not go stay, all of them, and it is said why", async () => {
    const order = await demo.server.store.order.findFirstOrThrow({
      where: { restorationId: demo.restoration },
      include: { part: true },
    });
    const all = await demo.server.store.part.count();
    const { page } = await demo.open(demo.at(`parts?q=${encodeURIComponent(order.part.name)}`));
    await page.getByLabel(`Choose ${order.part.name}`, { exact: true }).check();
    await page.getByLabel("Search").fill("");
    await expect.poll(() => boxes(page).count()).toBeGreaterThan(10);
    await boxes(page).nth(0).check();
    await page.getByRole("button", { name: "Remove them" }).click();
    const asked = page.getByRole("dialog", { name: "Remove 2 parts?" });
    await asked.getByText(order.part.name).waitFor();
    await asked.getByRole("button", { name: "Remove 2 parts" }).click();
    await page.locator(".notice", { hasText: `${order.part.name}: The part has orders placed` }).waitFor();
    expect(await demo.server.store.part.count()).toBe(all);
    expect(await line(page)).toMatch(/^2 parts chosen/);
    await page.getByRole("button", { name: "None", exact: true }).click();
    expect(await page.locator("tbody .choose input:checked").count()).toBe(0);
    await page.context().close();
  });

  it("are work as well: state and day are set for all, and refused where something comes first", async () => {
    const { page } = await demo.open(demo.at("work?view=table"), {}, "table");
    await page.getByLabel("Choose all of this page").check();
    await page.getByRole("button", { name: "Change them" }).click();
    await page.getByLabel("What to change").selectOption("State");
    await page.getByRole("form").getByLabel("State", { exact: true }).selectOption("done");
    await page.getByRole("button", { name: /^Change \d+ operations/ }).click();
    await expect.poll(() => page.locator(".form-problem").textContent()).toMatch(/^Operation .*: /);
    expect(await findingsOf(page)).toEqual([]);
    await page.getByLabel("What to change").selectOption("Hands");
    await page.getByLabel("Hands", { exact: true }).fill("0");
    await page.getByRole("button", { name: /^Change \d+ operations/ }).click();
    await page.getByText("Hands must be at least 1.").waitFor();
    await page.context().close();
  });

  it.each(SIZES)(
    "read well at %o, a row on a phone in two lines and boxes only once one asks for them",
    async (size) => {
      const { page } = await demo.open(demo.at("parts"), size);
      const narrow = size.viewport.width < 700;
      const height = () =>
        page
          .locator("tbody tr")
          .first()
          .evaluate((row) => row.getBoundingClientRect().height);
      if (narrow) {
        expect(await boxes(page).count()).toBe(0);
        const before = await height();
        await page.getByRole("button", { name: "Choose several" }).click();
        expect(await height()).toBeLessThan(before + 4);
      }
      await boxes(page).nth(0).click();
      const least = await page
        .locator(".choose label")
        .evaluateAll((labels) => Math.min(...labels.flatMap((label) => [label.clientWidth, label.clientHeight])));
      expect(least).toBeGreaterThanOrEqual(44);
      await page.getByRole("button", { name: "Change them" }).click();
      expect(await page.evaluate(() => document.activeElement?.tagName)).toBe("SELECT");
      expect(await findingsOf(page)).toEqual([]);
      expect(await offThePage(page)).toBe(0);
      if (narrow) {
        await page.getByRole("button", { name: "None", exact: true }).click();
        expect(await boxes(page).count()).toBe(0);
      }
      await page.context().close();
    },
  );
});
