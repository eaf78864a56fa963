import type { Page } from "playwright-core";
import { beforeEach, describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, sentenceOf, undoNewest } from "../support/demo.ts";

const demo = demoInBrowser();
let empty: string;

beforeEach(async () => {
  empty = await demo.addEmpty();
});

const count = (table: "part" | "operation" | "link" | "need" | "quote") =>
  (demo.server.store[table] as typeof demo.server.store.part).count({ where: { restorationId: empty } });

/** Pastes as a browser does after a copy in a spreadsheet. */
const paste = (page: Page, label: string, text: string) =>
  page.getByLabel(label, { exact: true }).evaluate((input, copied) => {
    (input as HTMLInputElement).focus();
    const clipboardData = new DataTransfer();
    clipboardData.setData("text/plain", copied);
    input.dispatchEvent(new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true }));
  }, text);

describe("adding several rows", () => {
  it("is typed line by line with Tab and Enter, and saved as one change that one undo takes back", async () => {
    const { page, errors } = await demo.open(demo.at("parts", empty));
    await page.getByRole("link", { name: "Add several" }).click();
    await page.getByLabel("Part, part 1", { exact: true }).click();
    for (const [name, pieces] of [
      ["Piston", "4"],
      ["Gudgeon pin", "4"],
      ["Head gasket", "1"],
      ["Oil pump", "1"],
    ]) {
      await page.keyboard.type(name!);
      for (let i = 0; i < 3; i += 1) await page.keyboard.press("Tab");
      await page.keyboard.type(pieces!);
      await page.keyboard.press("Enter");
    }
    await page.getByRole("button", { name: "Add 4 parts" }).click();
    await page.locator(".notice", { hasText: "Added 4 parts" }).waitFor();
    await expect.poll(() => sentenceOf(page)).toMatch(/^4 parts are needed/);
    expect(await count("part")).toBe(4);
    await undoNewest(page);
    await expect.poll(() => count("part")).toBe(0);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says each fault at its line and cell, keeps what was typed, also over a reload, and saves it once mended", async () => {
    const { page } = await demo.open(demo.at("work/several", empty));
    await paste(page, "Operation, operation 1", "Strip\t\tengine\t\t\t12\nBore\t\tengine\t\t\tmany\t\tStripp");
    await page.getByText("2 lines pasted.").waitFor();
    await page.getByRole("button", { name: "Add 2 operations" }).click();
    await page.getByText("2 faults: nothing was added").waitFor();
    const faulty = page.locator("tr.line-faults");
    await expect.poll(() => faulty.count()).toBe(1);
    expect(await faulty.textContent()).toContain("Hours, likely must be a number");
    expect(await faulty.textContent()).toContain("Comes after is no operation here: is it “Strip”?");
    expect(await page.locator("input[aria-invalid=true]").count()).toBe(2);
    expect(await page.evaluate(() => document.activeElement?.getAttribute("aria-label"))).toBe(
      "Hours, likely, operation 2",
    );
    expect(await findingsOf(page)).toEqual([]);
    page.on("dialog", (dialog) => void dialog.accept());
    await page.reload();
    await page.getByLabel("Comes after, operation 2", { exact: true }).fill("above + 2 days");
    await page.getByLabel("Hours, likely, operation 2", { exact: true }).fill("8");
    await page.getByRole("button", { name: "Add 2 operations" }).click();
    await page.locator(".notice", { hasText: "Added 2 operations and 1 link" }).waitFor();
    const link = await demo.server.store.link.findFirstOrThrow({
      where: { restorationId: empty },
      include: { before: true, after: true },
    });
    expect([link.before.title, link.after.title, link.lag, link.lagUnit]).toEqual(["Strip", "Bore", 2, "DAYS"]);
    await page.context().close();
  });

  it("takes a pasted table by its headings, and tells what it leaves out", async () => {
    const { page } = await demo.open(demo.at("parts/several", empty));
    await paste(page, "Part, part 1", "How many\tPart\tShelf\n2\tLamp\tB4\n1\tHorn\tB5\n");
    await page.getByText("2 lines pasted. Left out: Shelf.").waitFor();
    expect(await page.getByLabel("Part, part 2", { exact: true }).inputValue()).toBe("Horn");
    expect(await page.getByLabel("How many, part 1", { exact: true }).inputValue()).toBe("2");
    await page.getByRole("button", { name: "Take out part 1" }).click();
    await expect.poll(() => page.getByLabel("Part, part 1", { exact: true }).inputValue()).toBe("Horn");
    await page.context().close();
  });

  it("says which cells and headings it leaves out", async () => {
    const { page } = await demo.open(demo.at("parts/several", empty));
    await paste(page, "Part, part 1", "Lamp\tL1\t77\t2\tmissing\telectrical\tno\t\tnote\tten\televen\ttwelve\n");
    await page.getByText("1 line pasted. Left out: 3 cells in no column.").waitFor();
    await paste(page, "Part, part 2", "Name\tName\tQuantity\tExtra\nHorn\tBell\t2\tx\n");
    await page.getByText("1 line pasted. Left out: the second “Name” and Extra.").waitFor();
    expect(await page.getByLabel("Part, part 2", { exact: true }).inputValue()).toBe("Horn");
    await page.context().close();
  });

  it("takes as many pasted lines as are taken at once, beside those that are there, and says so at once", async () => {
    const { page } = await demo.open(demo.at("parts/several", empty));
    await page.getByLabel("Part, part 1", { exact: true }).fill("Horn");
    const many = Array.from({ length: 10_000 }, (_, i) => `Bolt ${i}\t\t${i === 0 ? "77; 78" : ""}\n`).join("");
    const began = Date.now();
    await paste(page, "Part, part 2", many);
    await page.getByText("1,997 lines pasted. The other 8,003 are left out: 2,000 rows are taken at once").waitFor();
    expect(Date.now() - began).toBeLessThan(12_000);
    expect(await page.locator("#several-parts tr[data-line], tr[data-line]").count()).toBeLessThan(2_010);
    await page.getByRole("button", { name: "Add 1,998 parts" }).waitFor();
    await page.context().close();
  });

  it("takes common work out again in one act, but for the lines that were changed", async () => {
    const { page, errors } = await demo.open(demo.at("work/several", empty));
    const filled = () => page.locator("tr[data-line]:has(button.remove)").count();
    await page.getByLabel("Operation, operation 1", { exact: true }).fill("Own work");
    await page.getByLabel("Begin with common work").selectOption({ index: 1 });
    await page.getByRole("button", { name: "Put its lines in" }).click();
    await expect.poll(filled).toBeGreaterThan(3);
    await page.getByRole("button", { name: /^Take them all out again/ }).click();
    await expect.poll(filled).toBe(1);
    await page.getByRole("button", { name: "Put its lines in" }).click();
    await page.getByLabel("Hours, likely, operation 2", { exact: true }).fill("99");
    await page.getByText("1 line that you changed stays.").waitFor();
    await page.getByRole("button", { name: /^Take \d+ lines? out again/ }).click();
    await expect.poll(filled).toBe(2);
    expect(await page.getByLabel("Hours, likely, operation 2", { exact: true }).inputValue()).toBe("99");
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("folds filled lines on a phone, opens one on a touch, and keeps the button that adds them in reach", async () => {
    const { page } = await demo.open(demo.at("work/several", empty), { viewport: { width: 390, height: 844 } });
    for (const name of ["magneto", "engine"]) {
      const works = await page.getByLabel("Begin with common work").locator("option").allTextContents();
      await page.getByLabel("Begin with common work").selectOption({ label: works.find((one) => one.includes(name))! });
      await page.getByRole("button", { name: "Put its lines in" }).click();
      await page.getByRole("button", { name: new RegExp(`^Take them all out again.*${name}`) }).waitFor();
    }
    await expect.poll(() => page.locator(".folded-line").count()).toBeGreaterThan(10);
    expect(await page.evaluate(() => document.documentElement.scrollHeight)).toBeLessThan(4_500);
    const add = page.getByRole("button", { name: /^Add \d+ parts and \d+ operations$/ });
    const doors = (await page.locator(".doors").boundingBox())!;
    const box = (await add.boundingBox())!;
    expect(box.y + box.height).toBeLessThanOrEqual(doors.y);
    expect(box.y).toBeGreaterThan(doors.y - 100);
    expect(await findingsOf(page)).toEqual([]);
    const first = page.locator(".folded-line button").first();
    const name = await first.locator("b").textContent();
    await first.click();
    await expect.poll(() => page.getByLabel("Operation, operation 1", { exact: true }).inputValue()).toBe(name);
    await page.getByRole("button", { name: "Fold up operation 1" }).click();
    await expect.poll(() => page.getByLabel("Operation, operation 1", { exact: true }).count()).toBe(0);
    await page.context().close();
  });

  it.each(SIZES)("holds at $viewport.width in $colorScheme", async (options) => {
    const { page } = await demo.open(demo.at("work/several", empty), options);
    await paste(page, "Operation, operation 1", "Strip\t\tengine\t\t\t12\nBore\t\tengine\t\t\t8\t\tabove");
    await page.getByText("2 lines pasted.").waitFor();
    expect(await offThePage(page)).toBe(0);
    expect(await findingsOf(page)).toEqual([]);
    if (options.viewport.width === 390)
      for (const field of await page.locator("section.part :is(input, button)").all())
        expect((await field.boundingBox())!.height).toBeGreaterThanOrEqual(44);
    await page.context().close();
  });
});

describe("from what is there already", () => {
  it("adds what comes after an operation, with a part that it needs, as one change", async () => {
    const { page } = await demo.open(demo.at(`work/${demo.operation("BRAKES")}`));
    await page.getByRole("button", { name: "Add a new operation after it" }).click();
    const form = page.getByRole("form", { name: /^New operation after/ });
    await form.getByLabel("Title").fill("Adjust the brakes");
    await form.getByLabel("Part it needs").fill("Brake adjuster");
    await form.getByRole("button", { name: "Add the operation" }).click();
    await form
      .getByText(/must be given|is needed/)
      .first()
      .waitFor();
    await form.getByLabel("Hours, likely").fill("3");
    await form.getByRole("button", { name: "Add the operation" }).click();
    await page.locator(".notice", { hasText: "Added 1 operation, 1 link, 1 part and 1 need" }).waitFor();
    const added = await demo.server.store.operation.findFirstOrThrow({
      where: { title: "Adjust the brakes" },
      include: { before: true, after: true, needs: { include: { part: true } } },
    });
    expect([...added.before, ...added.after].map(({ beforeId }) => beforeId)).toEqual([demo.operation("BRAKES")]);
    expect(added.needs.map(({ part }) => part.name)).toEqual(["Brake adjuster"]);
    await undoNewest(page);
    await expect.poll(() => demo.server.store.operation.count({ where: { title: "Adjust the brakes" } })).toBe(0);
    expect(await findingsOf(page)).toEqual([]);
    await page.context().close();
  });

  it("copies an operation with its links and needs", async () => {
    const id = demo.operation("BRAKES");
    const { page } = await demo.open(demo.at(`work/${id}`));
    await page.getByRole("button", { name: "Copy it" }).click();
    const form = page.getByRole("form", { name: /^Copy of/ });
    await form.getByLabel("Title").fill("The other brakes");
    expect(await findingsOf(page)).toEqual([]);
    await form.getByRole("button", { name: "Add the copy" }).click();
    await page.locator(".notice", { hasText: /^Added 1 operation/ }).waitFor();
    const { store } = demo.server;
    const copy = await store.operation.findFirstOrThrow({ where: { title: "The other brakes" } });
    const tied = async (operation: string) => ({
      before: (await store.link.findMany({ where: { afterId: operation } })).map(({ beforeId }) => beforeId).sort(),
      after: (await store.link.findMany({ where: { beforeId: operation } })).map(({ afterId }) => afterId).sort(),
      needs: (await store.need.findMany({ where: { operationId: operation } })).map(({ partId }) => partId).sort(),
    });
    expect(await tied(copy.id)).toEqual(await tied(id));
    await undoNewest(page);
    await expect.poll(() => store.operation.count({ where: { title: "The other brakes" } })).toBe(0);
    await page.context().close();
  });

  it("copies a part into a form that is filled in, and saves it as a new one", async () => {
    const { store } = demo.server;
    const part = await store.part.findFirstOrThrow({
      where: { restorationId: demo.restoration, safetyCritical: true },
    });
    const { page } = await demo.open(demo.at(`parts/${part.id}`));
    await page.getByRole("button", { name: "Copy it" }).click();
    const form = page.getByRole("form", { name: `Copy of ${part.name}` });
    expect(await form.getByLabel("Code").inputValue()).toBe("");
    await form.getByLabel("Name").fill("The other one");
    await form.getByRole("button", { name: "Add the copy" }).click();
    await page.getByText("The other one").first().waitFor();
    await expect.poll(() => store.part.count({ where: { name: "The other one" } })).toBe(1);
    const copy = await store.part.findFirstOrThrow({ where: { name: "The other one" } });
    expect([copy.group, copy.quantity, copy.stateOnHand, copy.safetyCritical, copy.chosenQuoteId]).toEqual([
      part.group,
      part.quantity,
      part.stateOnHand,
      true,
      null,
    ]);
    await undoNewest(page);
    await page.context().close();
  });
});
