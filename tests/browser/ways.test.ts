import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, undoNewest } from "../support/demo.ts";

const demo = demoInBrowser();

const open = (code: string, options: Parameters<typeof demo.open>[1] = {}) =>
  demo.open(demo.at(`work/${demo.operation(code)}`), options, "#ways p");

const ways = (page: Page) => page.locator("#ways");
const wayCalled = (page: Page, title: string) =>
  ways(page).locator(".ways > li", { has: page.getByRole("heading", { name: title }) });

async function completion(): Promise<string> {
  const { data } = await demo.server.query<{ holdUps: { completion: { dateWithOpenInHand: string } } }>(
    `query ($r: ID!) { holdUps(restoration: $r) { completion { dateWithOpenInHand } } }`,
    { r: demo.restoration },
  );
  return data?.holdUps.completion.dateWithOpenInHand ?? "";
}

const inFull = (date: string) =>
  new Date(`${date}T00:00:00Z`)
    .toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" })
    .replace("Sept", "Sep");

describe("ways to do an operation", () => {
  it("shows them side by side, the operation as it says itself among them and in force until another is chosen", async () => {
    const { page, errors } = await open("COLOUR");
    await expect
      .poll(() => ways(page).locator(".ways > li h3").allTextContents())
      .toEqual([
        "As the operation itself says",
        expect.stringContaining("Brushed coats, each flatted"),
        expect.stringContaining("Sprayed at a carriage painter's"),
      ]);
    await expect.poll(() => saidIn(wayCalled(page, "As the operation itself says"))).toContain("in force");
    const out = wayCalled(page, "Sprayed at a carriage painter's");
    for (const said of ["6 h", "18 days", "£680.00", "1 point", "not chosen"])
      await expect.poll(() => saidIn(out)).toContain(said);
    await expect.poll(() => saidIn(wayCalled(page, "Brushed coats"))).toContain("Quill Lane Workshop, in-house");
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("moves completion when a way that takes longer is chosen, says from which date to which, and undo moves it back", async () => {
    const was = await completion();
    // Long enough that no float takes it up.
    const { page } = await open("COLOUR");
    await wayCalled(page, "Sprayed at a carriage painter's")
      .getByRole("button", { name: /^Change\b/ })
      .click();
    await ways(page).getByLabel("Away").fill("400");
    await ways(page).getByRole("button", { name: "Save the way" }).click();
    const out = wayCalled(page, "Sprayed at a carriage painter's");
    await out.getByText("400 days").waitFor();
    await expect.poll(() => completion()).toBe(was);

    await out.getByRole("button", { name: /^Weigh/ }).click();
    const weighed = page.getByRole("region", { name: "Sprayed at a carriage painter's" });
    await weighed.getByText(/days later/).waitFor();
    const told = await saidIn(weighed.locator("strong"));
    await expect.poll(() => completion()).toBe(was);
    await weighed.getByRole("button", { name: "Choose it" }).click();
    await page.locator(".notice", { hasText: told }).waitFor();
    const later = await completion();
    expect(later > was).toBe(true);
    const gap = (Date.parse(later) - Date.parse(was)) / 86_400_000;
    expect(told).toBe(`ready on ${inFull(later)}, ${gap} days later`);
    await out.getByText("in force").waitFor();
    // The button stays where it is, so that the focus does.
    await expect
      .poll(() =>
        out.getByRole("button", { name: /^Take the choice back/ }).evaluate((e) => e === document.activeElement),
      )
      .toBe(true);

    await undoNewest(page);
    await expect.poll(() => completion()).toBe(was);
    await page.locator(".notice", { hasText: `ready on ${inFull(was)}, ${gap} days sooner` }).waitFor();
    await out.getByText("not chosen").waitFor();
    await page.context().close();
  });

  it("takes a choice back without undo", async () => {
    const { page } = await open("CRANK");
    const bench = wayCalled(page, "New pin and rollers at our bench");
    await bench.getByRole("button", { name: /^Weigh/ }).click();
    await bench.getByRole("button", { name: "Choose it" }).click();
    await bench.getByText("in force").waitFor();
    await bench.getByRole("button", { name: /^Take the choice back/ }).click();
    await bench.getByText(/no longer chosen: ready /).waitFor();
    await bench.getByRole("button", { name: "Take it back" }).click();
    await wayCalled(page, "As the operation itself says").getByText("in force").waitFor();
    const { chosenWayId } = await demo.server.store.operation.findUniqueOrThrow({
      where: { id: demo.operation("CRANK") },
    });
    expect(chosenWayId).toBeNull();
    await page.context().close();
  });

  it("adds a way to an operation that had none, names what is wrong at its field, and removes and brings back", async () => {
    const { page } = await open("ENG-STRIP");
    await expect.poll(() => saidIn(ways(page))).toContain("There is one way to do it");
    await ways(page).getByRole("button", { name: "Add a way" }).click();
    const form = page.getByRole("form", { name: "New way" });
    await form.getByLabel("Shop work").fill("6.5");
    await form.getByRole("button", { name: "Add the way" }).click();
    await form.locator(".field", { hasText: "How it is done" }).locator(".fault").waitFor();
    await expect.poll(() => form.getByLabel("Shop work").inputValue()).toBe("6.5");
    await form.getByLabel("How it is done").fill("Stripped at the museum");
    await form.getByLabel("Price").fill("120.50");
    await form.getByRole("button", { name: "Add the way" }).click();
    const way = wayCalled(page, "Stripped at the museum");
    await way.waitFor();
    await expect.poll(() => saidIn(way)).toContain("£120.50");
    await expect.poll(() => saidIn(ways(page))).toContain("The operation is done");
    await way.getByRole("button", { name: /^Remove/ }).click();
    await way.waitFor({ state: "detached" });
    await undoNewest(page);
    await way.waitFor();
    await page.context().close();
  });

  it.each(SIZES)(
    "has no accessibility findings at $viewport.width in $colorScheme, with a form open",
    async (options) => {
      const { page } = await open("BARRELS", options);
      await ways(page)
        .getByRole("button", { name: /^Change the way/ })
        .first()
        .click();
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    },
  );
});
