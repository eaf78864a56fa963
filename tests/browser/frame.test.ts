/** The head of every sheet: the doors, what is inside each, and Find. */
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES } from "../support/demo.ts";

const demo = demoInBrowser();
const [WIDE, , , PHONE] = SIZES;

describe("the doors", () => {
  it("are six, each opens its first sheet and names what is inside with its count", async () => {
    const { page, errors } = await demo.open(demo.at("today"), WIDE);
    const doors = page.getByRole("navigation", { name: "Sheets" });
    expect(await doors.locator("b").allTextContents()).toEqual([
      "Hold-ups",
      "Today",
      "Parts",
      "Work",
      "Money",
      "Restoration",
    ]);
    await doors.getByRole("link", { name: /^Parts/ }).click();
    const inside = page.getByRole("navigation", { name: "Inside Parts" });
    await inside.getByText("List 90").waitFor();
    await inside.getByRole("link", { name: /^Suppliers/ }).click();
    await page.waitForURL(/\/parts\/suppliers$/);
    await expect.poll(() => doors.locator("[aria-current]").textContent()).toContain("Parts");
    await expect.poll(() => inside.locator("[aria-current=page]").textContent()).toContain("Suppliers");
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("stand within the thumb's reach on a phone, and the bar below the head unfolds what is inside", async () => {
    const { page } = await demo.open(demo.at("work/snags"), PHONE);
    const doors = page.getByRole("navigation", { name: "Sheets" });
    const box = await doors.boundingBox();
    expect(box!.y + box!.height).toBe(844);
    for (const link of await doors.getByRole("link").all())
      expect((await link.boundingBox())!.height).toBeGreaterThanOrEqual(44);
    await page.getByRole("button", { name: /^Work: snags/ }).click();
    await page.getByRole("link", { name: /^By hand/ }).click();
    await page.waitForURL(/\/work\/by-hand$/);
    await page.locator("main h1").waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBe(0);
    await page.context().close();
  });
});

describe("find", () => {
  it("is reached by the keyboard from any sheet and leads to what is chosen", async () => {
    const { page, errors } = await demo.open(demo.at("today"), WIDE);
    await page.keyboard.press("/");
    await page.keyboard.type("gearbox case");
    const list = page.getByRole("listbox", { name: "Found" });
    await list.getByRole("option", { name: /^Gearbox casing, two halves/ }).waitFor();
    expect(await findingsOf(page)).toEqual([]);
    const field = page.getByRole("combobox", { name: "Find a part, number, maker, job" });
    await page.keyboard.press("ArrowDown");
    const chosen = await field.getAttribute("aria-activedescendant");
    expect(await page.locator(`[id="${chosen}"]`).getAttribute("aria-selected")).toBe("true");
    await page.keyboard.press("Escape");
    expect(await field.inputValue()).toBe("");
    await field.fill("gearbox casing, two halves");
    await list
      .getByRole("option", { name: /^Gearbox casing, two halves/ })
      .first()
      .waitFor();
    await page.keyboard.press("Enter");
    await page.waitForURL((url) => url.pathname === new URL(demo.at(`parts/${demo.part("TR-01")}`)).pathname);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says when nothing is called so, and when the server does not answer", async () => {
    const { page } = await demo.open(demo.at("today"), WIDE);
    const field = page.getByRole("combobox", { name: "Find a part, number, maker, job" });
    await field.fill("zzqqxxv");
    await page.getByText("Nothing is called that.").waitFor();
    await page.route("**/graphql", (route) => route.abort());
    await field.fill("casing");
    await page.getByText("It cannot be looked up now; the server did not answer.").waitFor();
    await page.context().close();
  });

  it("never shows an answer to what was typed before", async () => {
    const { page } = await demo.open(demo.at("today"), WIDE);
    await page.route("**/graphql", async (route) => {
      const text = route.request().postData() ?? "";
      if (text.includes('"text":"hub"')) await new Promise((go) => setTimeout(go, 1_500));
      await route.continue();
    });
    const field = page.getByRole("combobox", { name: "Find a part, number, maker, job" });
    await field.fill("hub");
    await page.waitForTimeout(300);
    await field.fill("magneto");
    const list = page.getByRole("listbox", { name: "Found" });
    await list
      .getByRole("option", { name: /agneto/ })
      .first()
      .waitFor();
    await page.waitForTimeout(2_000);
    expect(await list.getByRole("option", { name: /^Hub/ }).count()).toBe(0);
    await page.context().close();
  });

  it("opens under the head on a phone", async () => {
    const { page } = await demo.open(demo.at("hold-ups"), PHONE);
    await page.getByRole("button", { name: "Find", exact: true }).click();
    await page.keyboard.type("casing");
    await page
      .getByRole("option", { name: /^Gearbox casing/ })
      .first()
      .waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await expect.poll(() => offThePage(page)).toBe(0);
    await page.getByRole("button", { name: "Leave" }).click();
    await page.getByRole("combobox", { name: "Find a part, number, maker, job" }).waitFor({ state: "detached" });
    await page.context().close();
  });
});
