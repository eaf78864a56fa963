import type { Page } from "playwright-core";
import { beforeAll, describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, undoNewest, unfoldAll } from "../support/demo.ts";

const demo = demoInBrowser();
let empty: string;

beforeAll(async () => {
  empty = await demo.addEmpty();
});

const listAt = (query = "", restoration = demo.restoration) =>
  `${demo.server.address}/restorations/${restoration}/parts${query}`;
const partAt = (code: string) => `${demo.server.address}/restorations/${demo.restoration}/parts/${demo.part(code)}`;

type Options = Parameters<typeof demo.open>[1];

const open = (address: string, options: Options = {}) => demo.open(address, options);

const textOf = async (page: Page, selector: string) =>
  ((await page.locator(selector).first().textContent()) ?? "").replace(/\s+/g, " ");

const rowNames = (page: Page) => page.locator("tbody th[scope=row] a").allTextContents();

const columnOf = (page: Page, label: string) => page.locator(`tbody td[data-label="${label}"]`).allTextContents();

describe("the parts sheet", () => {
  it("opens by saying how many parts are needed, and each number narrows the list to those parts", async () => {
    const { page } = await open(listAt());
    await expect
      .poll(() => textOf(page, "p.sentence"))
      .toMatch(/^90 parts are needed: \d+ in hand, .+ 2 without any source and 1 hunted until a stop date\./);
    const link = page.locator("p.sentence a", { hasText: "without any source" });
    const count = Number.parseInt((await link.textContent()) ?? "", 10);
    await link.click();
    await page.waitForURL(/state=NO_SOURCE/);
    await page.waitForFunction((n) => document.querySelectorAll("tbody tr").length === n, count);
    await expect
      .poll(async () => (await columnOf(page, "State")).every((text) => text.includes("no source")))
      .toBe(true);
    await page.context().close();
  });

  it("keeps search, order and page in the address, so that they can be shared and outlast a reload", async () => {
    const { page } = await open(listAt());
    await page.getByRole("button", { name: "Next" }).click();
    await page.waitForFunction(() => document.querySelectorAll("tbody tr").length === 40);
    await page.waitForURL((url) => url.searchParams.has("page"));
    await page.getByRole("button", { name: "Need-by" }).first().click();
    await page.waitForFunction(() => document.querySelectorAll("tbody tr").length === 50);
    const [first, ...rest] = (await columnOf(page, "Need-by")).filter(Boolean).map((text) => Date.parse(`${text} UTC`));
    rest.reduce((before, day) => {
      expect(day).toBeGreaterThanOrEqual(before);
      return day;
    }, first ?? 0);
    await page.getByLabel("Search").fill("steering");
    await page.waitForURL(/q=steering/);
    await page.waitForFunction(() => document.querySelectorAll("tbody tr").length < 50);
    const found = await rowNames(page);
    expect(found.length).toBeGreaterThan(0);
    expect(found).toEqual(expect.arrayContaining(["Steering pinion and quadrant", "Steering wheel, wood rim"]));
    expect(found.length).toBeLessThan(20);
    await page.reload();
    await page.waitForSelector("tbody tr");
    await expect.poll(() => rowNames(page)).toEqual(found);
    await expect.poll(() => page.getByLabel("Search").inputValue()).toBe("steering");
    await page.context().close();
  });

  it("says when no part matches, and clears the filters", async () => {
    const { page } = await open(listAt("?q=nothing-of-that-name&safety=yes"));
    await expect.poll(() => textOf(page, ".state")).toContain("No part matches");
    await page.locator(".state").getByRole("link", { name: "Clear the filters" }).click();
    await page.waitForFunction(() => document.querySelectorAll("tbody tr").length === 50);
    await expect.poll(() => page.getByLabel("Search").inputValue()).toBe("");
    await page.context().close();
  });

  it("says on an empty restoration how to begin", async () => {
    const { page, errors } = await open(listAt("", empty));
    await expect.poll(() => textOf(page, ".state")).toContain("No part is listed yet");
    await page.getByRole("button", { name: "Add a part" }).waitFor();
    await page.getByRole("link", { name: "Bring in files" }).waitFor();
    expect(await findingsOf(page)).toEqual([]);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("adds, changes, removes and brings back a part, by keyboard alone", async () => {
    const { page, errors } = await open(listAt("", empty));
    await page.getByRole("button", { name: "Add a part" }).focus();
    await page.keyboard.press("Enter");
    await expect.poll(() => page.evaluate(() => document.activeElement?.id.endsWith("-name"))).toBe(true);
    await page.keyboard.press("Enter");
    await page.locator(".field .fault").first().waitFor();
    await expect.poll(() => page.evaluate(() => document.activeElement?.getAttribute("aria-invalid"))).toBe("true");
    await page.keyboard.type("Governor spring");
    await page.keyboard.press("Enter");
    await page.getByRole("link", { name: "Governor spring" }).waitFor();
    await expect.poll(() => columnOf(page, "Code")).toEqual(["part 1"]);

    await page.getByRole("button", { name: "Change Governor spring" }).focus();
    await page.keyboard.press("Enter");
    const name = page.getByRole("form", { name: "Change Governor spring" }).getByLabel("Name");
    await name.press("End");
    await page.keyboard.type(", inner");
    await page.keyboard.press("Enter");
    await page.getByRole("link", { name: "Governor spring, inner" }).waitFor();

    await page.getByRole("button", { name: "Remove Governor spring, inner" }).focus();
    await page.keyboard.press("Enter");
    await page.getByRole("link", { name: "Governor spring, inner" }).waitFor({ state: "detached" });
    await expect.poll(() => textOf(page, ".notice p")).toContain("part 1");
    await page.getByRole("button", { name: "Undo" }).focus();
    await page.keyboard.press("Enter");
    await page.getByRole("link", { name: "Governor spring, inner" }).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("keeps what is typed when the server cannot be reached", async () => {
    const { page } = await open(listAt("", empty));
    await page.getByRole("button", { name: "Add a part" }).click();
    await page.getByLabel("Name", { exact: true }).fill("Exhaust flange");
    await page.route("**/graphql", (route) => route.abort());
    await page.getByRole("button", { name: "Add the part" }).click();
    await page.locator(".form-problem").waitFor();
    await expect.poll(() => page.getByLabel("Name", { exact: true }).inputValue()).toBe("Exhaust flange");
    await expect.poll(() => page.getByText("Cannot show").count()).toBe(0);
    await page.unroute("**/graphql");
    await page.getByRole("button", { name: "Add the part" }).click();
    await page.getByRole("link", { name: "Exhaust flange" }).waitFor();
    await page.context().close();
  });
});

describe("a part's sheet", () => {
  it("changes the arrival that it shows when another quote is chosen, and goes back when the choice is undone", async () => {
    const { page, errors } = await open(partAt("FO-04"));
    const arrivals = page.locator("table.quotes tr", { hasText: "Arrives if ordered" }).locator("td strong");
    const shown = await arrivals.allTextContents();
    const chosen = await page
      .locator("table.quotes thead th")
      .evaluateAll((heads) => heads.findIndex((head) => head.classList.contains("chosen")));
    const other = shown.findIndex((date, place) => place !== chosen && date !== shown[chosen]);
    await expect.poll(() => textOf(page, "p.sentence")).toContain(`arrives on ${shown[chosen]}`);
    await page
      .locator("table.quotes tr.go td")
      .nth(other)
      .getByRole("button", { name: /^Weigh/ })
      .click();
    // What it does is told before it is done, and by the same words after it; the undo tells the way back.
    const weighed = page.locator(".weigh");
    await expect
      .poll(() => weighed.textContent())
      .toMatch(
        /ready (the same day|on \d+ \w+ \d{4}).*; (£[\d,.]+ (more|less)|the same money); .*points?( more| fewer)? /,
      );
    const does = /ready .*(?=\.Choose it)/.exec((await weighed.textContent()) ?? "")![0];
    await weighed.getByRole("button", { name: "Choose it" }).click();
    await page.locator("p.sentence", { hasText: `arrives on ${shown[other]}` }).waitFor();
    await expect.poll(() => page.locator(".notice p").textContent()).toContain(`: ${does}`);
    await page.getByRole("button", { name: "Undo" }).click();
    await expect.poll(() => page.locator(".notice p").textContent()).toMatch(/^Took back: .*: ready /);
    await page.locator("p.sentence", { hasText: `arrives on ${shown[chosen]}` }).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("marks a quote that comes too late, and one past its validity as to be asked again", async () => {
    const { page } = await open(partAt("FO-04"));
    await expect.poll(() => textOf(page, "table.quotes")).toContain("too late");
    await expect
      .poll(() => page.locator("table.quotes tr", { hasText: "Valid until" }).textContent())
      .toContain("ask again");
    await page.context().close();
  });

  it("adds a quote with a price break, exact to the penny, and takes it away again", async () => {
    const { page } = await open(partAt("IG-02"));
    await page.getByRole("button", { name: "Add a quote" }).click();
    const form = page.getByRole("form", { name: "Add a quote" });
    await form.getByLabel("From", { exact: true }).selectOption({ label: "Brindlewick Foundry" });
    await form.getByLabel("What it is").selectOption("REMADE");
    await form.getByLabel("Price each", { exact: true }).fill("1,240.05");
    await form.getByLabel("Lead time").fill("42");
    await form.getByText("How many", { exact: true }).click();
    await form.getByRole("button", { name: "Add a price break" }).click();
    await form.getByLabel("From this number").fill("ten");
    await form.getByLabel("Price each, GBP").fill("1110.10");
    await form.getByText("1 at least; 1 price break").click();
    await form.getByLabel("From this number").waitFor({ state: "hidden" });
    await form.getByRole("button", { name: "Save the quote" }).click();
    // What is wrong in a fold opens it, and the focus is there.
    await form.getByText("A whole number is needed.").waitFor();
    await expect
      .poll(() => form.getByLabel("From this number").evaluate((field) => field === document.activeElement))
      .toBe(true);
    await form.getByLabel("From this number").fill("10");
    await form.getByLabel("Price each, GBP").fill("-1");
    await form.getByRole("button", { name: "Save the quote" }).click();
    await form
      .locator(".list-row .fault")
      .getByText("Price each, GBP must not be negative.", { exact: true })
      .waitFor();
    await form.getByLabel("Price each, GBP").fill("1110.10");
    await form.getByRole("button", { name: "Save the quote" }).click();
    await page.locator("table.quotes thead th", { hasText: "Brindlewick Foundry" }).waitFor();
    await page.getByRole("button", { name: /^All that they say/ }).click();
    const table = await textOf(page, "table.quotes");
    expect(table).toContain("£1,240.05");
    expect(table).toContain("from 10: £1,110.10");
    await page.locator("p.sentence", { hasText: /Ordered on \d+ \w+ 20\d\d from/ }).waitFor();
    await page.getByRole("button", { name: /^Remove quote/ }).click();
    await page.getByText("Nobody quotes it yet.").waitFor();
    await page.context().close();
  });

  it("says what a quote would do before it is saved, and that is what the saved one then says beside the others", async () => {
    const { page } = await open(partAt("TR-02"));
    const quotes = await demo.server.store.quote.count();
    await page.getByRole("button", { name: "Add a quote" }).click();
    const form = page.getByRole("form", { name: "Add a quote" });
    await form.getByLabel("From", { exact: true }).selectOption({ label: "Brindlewick Foundry" });
    await form.getByLabel("What it is").selectOption("REMADE");
    await form.getByLabel("Price each", { exact: true }).fill("6400.00");
    expect(await form.getByText(/^Chosen: /).count()).toBe(0);
    await form.getByLabel("Lead time").fill("420");
    const told = form.getByText(/^Chosen: ready on .* later; .* more; .*lost\.$/);
    await told.waitFor();
    expect(await demo.server.store.quote.count()).toBe(quotes);
    const [, later, more] = /, (\d+ days) later; (£[\d,.]+) more/.exec((await told.textContent())!)!;
    await form.getByRole("button", { name: "Save the quote" }).click();
    await page.locator("table.quotes thead th", { hasText: "Brindlewick Foundry" }).waitFor();
    const at = (await page.locator("table.quotes thead th").allTextContents()).findIndex((one) =>
      one.includes("Brindlewick Foundry"),
    );
    const effect = (row: string) =>
      page.locator("table.quotes tr.effects", { hasText: row }).locator("td").nth(at).textContent();
    await expect.poll(() => effect("End")).toContain(`${later} later`);
    await expect.poll(() => effect("Money")).toContain(more);
    await undoNewest(page);
    await expect.poll(() => demo.server.store.quote.count()).toBe(quotes);
    await page.context().close();
  });

  it("keeps the digits when the currency changes, and empties what the new one cannot hold", async () => {
    const { page } = await open(partAt("IG-02"));
    await page.getByRole("button", { name: "Add a quote" }).click();
    const form = page.getByRole("form", { name: "Add a quote" });
    await form.getByLabel("Price each", { exact: true }).fill("9000.00");
    await form.getByText("Getting it here").click();
    await form.getByLabel("Carriage").fill("12.50");
    await form.getByText("EXW, ex works; carriage £12.50; no duty, no tax").waitFor();
    await form.getByLabel("Currency").selectOption("JPY");
    await expect.poll(() => form.getByLabel("Price each", { exact: true }).inputValue()).toBe("9000");
    await expect.poll(() => form.getByLabel("Carriage").inputValue()).toBe("");
    await form.getByText("EXW, ex works; no carriage of its own; no duty, no tax").waitFor();
    await page.context().close();
  });

  it("takes an order from a quote through its payment, arrival and acceptance with a fit rating", async () => {
    const { page } = await open(partAt("DR-01"));
    await page
      .getByRole("button", { name: /^Order from it/ })
      .first()
      .click();
    await page.getByRole("button", { name: "Place the order" }).click();
    const order = page.locator("article.order");
    await order.waitFor();
    await order.getByRole("button", { name: /^Add a payment/ }).click();
    await order.getByLabel("Amount").fill("10.01");
    // The demo stands on a day of its own: a payment is of that day, and a later one is told which day it is measured by.
    const paidOn = order.getByLabel("Paid on");
    expect(await paidOn.inputValue()).toBe("2026-11-23");
    await order.getByText("Not after 23 Nov 2026, the day that figures are for").waitFor();
    await paidOn.fill("2026-11-29");
    await order.getByRole("button", { name: "Save the payment" }).click();
    await order.getByText(/Paid on must not be after 23 Nov 2026, the day that the figures are for/).waitFor();
    await paidOn.fill("2026-11-23");
    await order.getByRole("button", { name: "Save the payment" }).click();
    await order.locator("td", { hasText: "10.01" }).waitFor();
    await order.getByRole("button", { name: /^Remove order/ }).click();
    await page.locator(".notice", { hasText: "Not done." }).waitFor();
    await order.getByRole("button", { name: /^It has arrived/ }).click();
    await order.getByRole("button", { name: "Note the arrival" }).click();
    await page.locator("dl.part-facts .mark", { hasText: "arrived, to be tried" }).waitFor();
    await order.getByRole("button", { name: /^Accept/ }).click();
    await order.getByLabel("How it fitted").selectOption("4");
    await order.getByRole("form").getByRole("button", { name: "Accept" }).click();
    await order.locator(".mark", { hasText: "accepted" }).waitFor();
    await expect.poll(() => textOf(page, "article.order .order-facts")).toContain("4, a little easing");
    await page.locator("p.sentence", { hasText: "and can be fitted from the next working day" }).waitFor();
    await page.context().close();
  });

  it("is begun and made where the shop makes it itself: nothing is ordered, and the order says what it cost and by when", async () => {
    const { page } = await open(`${partAt("TR-06")}#orders`);
    await page.getByText("Nothing is ordered or begun yet. Either begins at a quote above.").waitFor();
    await page.getByRole("button", { name: "Make it quote 82 from Quill Lane Workshop" }).click();
    await page.getByRole("heading", { name: "Make it at Quill Lane Workshop, quote 82" }).waitFor();
    const form = page.getByRole("form", { name: "Make it by quote 82" });
    await form.getByText("It comes to £34.00.").waitFor();
    await form.getByLabel("Begun on").waitFor();
    await form.getByText("Left blank: 10 days after it is begun, as quoted.").waitFor();
    await form.getByRole("button", { name: "Begin it" }).click();
    const order = page.locator("article.order");
    await order.locator(".mark", { hasText: "being made" }).waitFor();
    await expect.poll(() => textOf(page, "article.order .order-facts")).toContain("Begun23 Nov 2026Promised3 Dec 2026");
    await page.locator("p.sentence", { hasText: "It is being made at Quill Lane Workshop" }).waitFor();
    expect(
      await demo.server.store.order.findMany({ where: { partId: demo.part("TR-06") }, include: { quote: true } }),
    ).toMatchObject([
      {
        state: "PLACED",
        placedOn: "2026-11-23",
        promisedOn: "2026-12-03",
        quantity: 1,
        totalMinor: 3_400,
        currency: "GBP",
        quote: { code: "82" },
      },
    ]);
    await order.getByRole("button", { name: /^It is ready/ }).click();
    await order.getByLabel("Ready on").waitFor();
    await order.getByRole("button", { name: "Note that it is ready" }).click();
    await order.locator(".mark", { hasText: "ready, to be tried" }).waitFor();
    await page.locator("p.sentence", { hasText: "It was made at Quill Lane Workshop on" }).waitFor();
    await page.context().close();
  });

  it("names a dimension that cannot be read, keeps it, and saves it once mended", async () => {
    const { page } = await open(`${partAt("IG-02")}#specification`);
    await page.getByRole("button", { name: "Change the dimensions" }).click();
    const form = page.getByRole("form", { name: "Specification" });
    await form.getByRole("button", { name: "Add a dimension" }).click();
    const row = form.locator("fieldset").last();
    await row.getByLabel("Dimension").fill("Bore for the coupling");
    await row.getByLabel("Nominal").fill("24,500");
    await form.getByRole("button", { name: "Save the dimensions" }).click();
    await row.locator(".fault", { hasText: "“24,500” may be 24500 or 24.500: write one of them." }).waitFor();
    await expect.poll(() => row.getByLabel("Nominal").inputValue()).toBe("24,500");
    await row.getByLabel("Nominal").fill("24,5");
    await form.getByRole("button", { name: "Save the dimensions" }).click();
    await page.locator("#specification th", { hasText: "Bore for the coupling" }).waitFor();
    await page.context().close();
  });

  it("adds an operation that needs the part, which leads to the operation's sheet", async () => {
    const { page } = await open(`${partAt("IG-02")}#needs`);
    await page.getByRole("button", { name: "Add an operation" }).click();
    const form = page.getByRole("form", { name: "Add an operation that needs it" });
    const choice = form.getByLabel("Operation");
    await choice.locator("option", { hasText: "CARB " }).waitFor({ state: "attached" });
    await choice.selectOption({ label: (await choice.locator("option", { hasText: "CARB " }).textContent()) ?? "" });
    await form.getByRole("button", { name: "Save the need" }).click();
    const link = page.locator("#needs tbody th a", { hasText: "Carburettor" });
    await link.waitFor();
    await expect.poll(() => link.getAttribute("href")).toMatch(/\/work\//);
    await page.getByRole("button", { name: "Undo" }).click();
    await link.waitFor({ state: "detached" });
    await page.context().close();
  });

  it("refuses to take away the only inspection of a safety-critical part that was fitted, and says why", async () => {
    const { page } = await open(`${partAt("AX-02")}#inspections`);
    await expect.poll(() => textOf(page, ".caution")).toContain("certifies nothing");
    await page.getByRole("button", { name: /^Remove inspection/ }).click();
    const notice = page.locator(".notice");
    await notice.waitFor();
    await expect.poll(() => notice.textContent()).toContain("fitted only with an inspection on record: AX-02");
    await expect.poll(() => page.locator("#inspections tbody tr").count()).toBe(1);
    await page.context().close();
  });

  it("does not record an inspection that nobody made, and keeps what was typed", async () => {
    const { page } = await open(`${partAt("BR-03")}#inspections`);
    await page.getByRole("button", { name: "Record an inspection" }).click();
    const form = page.getByRole("form", { name: "Record an inspection" });
    await form.getByLabel("What was done and found").fill("Linings sound, rivets below the face.");
    await form.getByRole("button", { name: "Save the inspection" }).click();
    await form.locator(".fault").waitFor();
    await expect.poll(() => form.getByLabel("By whom").getAttribute("aria-invalid")).toBe("true");
    await expect
      .poll(() => form.getByLabel("What was done and found").inputValue())
      .toBe("Linings sound, rivets below the face.");
    await expect.poll(() => page.locator("#inspections").textContent()).toContain("No inspection is on record.");
    await page.context().close();
  });

  it("shows both values when two change one part at once, and loses neither", async () => {
    const one = await open(partAt("BD-06"));
    const other = await open(partAt("BD-06"));
    for (const { page } of [one, other]) await page.getByRole("button", { name: "Change the part" }).click();
    const form = (page: Page) => page.getByRole("form", { name: /^Change/ });
    await form(one.page).getByLabel("How many").fill("3");
    await form(one.page).getByLabel("Name").fill("Maker's plate, etched");
    await form(one.page).getByRole("button", { name: "Save the part" }).click();
    await one.page.locator("dl.part-facts", { hasText: "Maker's plate, etched" }).waitFor();

    await form(other.page).getByLabel("Name").fill("Maker's plate, engraved");
    await form(other.page).getByLabel("How many").fill("4");
    await form(other.page).getByLabel("Notes").fill("Rubbing taken from a survivor.");
    await form(other.page).getByRole("button", { name: "Save the part" }).click();
    const dialog = other.page.getByRole("dialog", { name: "Changed elsewhere meanwhile" });
    await dialog.waitFor();
    await expect.poll(() => dialog.textContent()).toContain("Maker's plate, etched");
    await expect.poll(() => dialog.textContent()).toContain("Maker's plate, engraved");
    // The notes are this user's alone, and called as in the form is what both changed.
    expect((await dialog.locator("legend").allTextContents()).sort()).toEqual(["How many", "Name"]);
    await other.page.keyboard.press("Escape");
    await dialog.waitFor({ state: "hidden" });
    await expect.poll(() => form(other.page).getByLabel("Name").inputValue()).toBe("Maker's plate, engraved");

    await form(other.page).getByRole("button", { name: "Save the part" }).click();
    await dialog.waitFor();
    await dialog.getByText("theirs: 3").click();
    await dialog.getByRole("button", { name: "Save what is marked" }).click();
    await other.page.locator("dl.part-facts", { hasText: "Maker's plate, engraved" }).waitFor();
    const saved = await demo.server.store.part.findUniqueOrThrow({ where: { id: demo.part("BD-06") } });
    expect(saved).toMatchObject({
      name: "Maker's plate, engraved",
      quantity: 3,
      notes: "Rubbing taken from a survivor.",
    });
    for (const { page } of [one, other]) await page.context().close();
  });
});

describe("both sheets", () => {
  for (const colorScheme of ["light", "dark"] as const)
    for (const width of [1280, 390])
      it(`have no accessibility finding in ${colorScheme} at ${width} pixels, forms open, and nothing runs off the side`, async () => {
        const list = await open(listAt(), { colorScheme, viewport: { width, height: 900 } });
        await list.page.getByRole("button", { name: "Add a part" }).click();
        // On a phone a row leads to the part's sheet, which changes it.
        if (width > 400)
          await list.page
            .getByRole("button", { name: /^Change / })
            .first()
            .click();
        expect(await findingsOf(list.page)).toEqual([]);
        await expect.poll(() => overflow(list.page)).toBeLessThanOrEqual(0);
        await list.page.context().close();

        const part = await open(partAt("FO-04"), { colorScheme, viewport: { width, height: 900 } });
        expect(await findingsOf(part.page)).toEqual([]);
        await unfoldAll(part.page);
        for (const name of [
          "Change the part",
          "Add a quote",
          /^Order from it/,
          /^Add a payment/,
          "Change the dimensions",
        ])
          await part.page.getByRole("button", { name }).first().click();
        for (const name of ["Add an operation", "Record an inspection", "Change the numbers", /^Change order/])
          await part.page.getByRole("button", { name }).first().click();
        await part.page.waitForLoadState("networkidle");
        await unfoldAll(part.page);
        expect(await findingsOf(part.page)).toEqual([]);
        await expect.poll(() => overflow(part.page)).toBeLessThanOrEqual(0);
        await part.page.context().close();
      });
});

const overflow = (page: Page) => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
