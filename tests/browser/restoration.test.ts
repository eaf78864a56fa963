import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, sentenceOf, undoNewest, unfoldAll } from "../support/demo.ts";

const demo = demoInBrowser();

async function open(options: Parameters<typeof demo.open>[1] = {}, restoration = demo.restoration) {
  const opened = await demo.open(demo.at("restoration", restoration), options, "main .sentence");
  await opened.page.waitForSelector(".year", { state: "attached" });
  await unfoldAll(opened.page);
  await opened.page.waitForLoadState("networkidle");
  return opened;
}

describe("the restoration sheet", () => {
  it("says what is to be finished, by when, within what money, and for which day the figures stand", async () => {
    const { page, errors } = await open();
    await expect
      .poll(() => sentenceOf(page))
      .toMatch(
        /^1913 Tallow & Wren 8 h\.p\. V-twin cyclecar, of Odile Farrant, is to be finished for Midsummer Concours of the Hedgerow Light Car Register on 19 Jun 2027 within £[\d,]+\.\d\d\. Figures are for 23 Nov 2026, the day set in the shop calendar, with deliveries as promised\.$/,
      );
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("takes the confidence as odds and the cap to the penny, and undo brings both back", async () => {
    const { page } = await open();
    await page.getByLabel("Order-by dates are to hold").selectOption({ label: "4 in 5" });
    await page.getByLabel("Money cap").fill("21,000.55");
    await page.getByRole("button", { name: "Save the restoration" }).click();
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.includes("4 in 5"));
    await expect.poll(() => sentenceOf(page)).toContain("£21,000.55");
    await expect
      .poll(() => demo.server.store.restoration.findUniqueOrThrow({ where: { id: demo.restoration } }))
      .toMatchObject({
        confidence: 0.8,
        capMinor: 2100055,
      });
    await undoNewest(page);
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.includes("as promised"));
    await page.context().close();
  });

  it("follows today with one press, and no day is pinned", async () => {
    const { page } = await open();
    await expect.poll(() => page.getByLabel("Figures for").inputValue()).toBe("2026-11-23");
    await page.getByRole("button", { name: "Follow today" }).click();
    await expect.poll(() => page.getByLabel("Figures for").inputValue()).toBe("");
    await page.context().close();
  });

  it("shows on the year strip every day that the plan works, and a day closed in the form is shown closed at once", async () => {
    const { page } = await open();
    const worked = () => page.locator(".year rect.worked").count();
    const before = await worked();
    // Every closed date of the demo falls on a Monday to Friday.
    const closed = await demo.server.store.closedDate.count({
      where: { workshop: { demo: true }, date: { gte: "2026-11-01", lte: "2027-10-31" } },
    });
    let weekdays = 0;
    for (let day = Date.parse("2026-11-01"); day <= Date.parse("2027-10-31"); day += 86_400_000)
      if (![0, 6].includes(new Date(day).getUTCDay())) weekdays += 1;
    expect(before).toBe(weekdays - closed);
    // Five people work on Mondays, whatever the shop's week says.
    const stays = page.getByText("Monday stays open: a hand has hours then.");
    expect(await stays.count()).toBe(0);
    await page.getByLabel("Monday", { exact: true }).fill("0");
    await stays.waitFor();
    expect(await worked()).toBe(before);
    await page.getByLabel("Monday", { exact: true }).fill("7.5");
    await expect.poll(() => stays.count()).toBe(0);
    await page.getByLabel("Closed on", { exact: true }).fill("2027-02-08");
    await page.getByLabel("to (blank: one day)").fill("2027-02-12");
    await page.getByLabel("Reason").fill("Boiler out");
    await page.getByRole("button", { name: "Add to the list" }).click();
    await expect.poll(() => worked()).toBe(before - 5);
    await page.getByRole("button", { name: "Save the calendar" }).click();
    await page.locator(".notice", { hasText: "Changed" }).waitFor();
    await expect.poll(() => demo.server.store.closedDate.count({ where: { reason: "Boiler out" } })).toBe(5);
    await undoNewest(page);
    await page.waitForFunction((n) => document.querySelectorAll(".year rect.worked").length === n, before);
    await page.context().close();
  });

  it("keeps what an hour is charged at, the limit of consent, and whether the cap is for labour", async () => {
    const { page } = await open();
    const kept = () => demo.server.store.restoration.findUniqueOrThrow({ where: { id: demo.restoration } });
    await page.getByLabel("An hour at the bench is charged at").fill("41.25");
    await page.getByLabel("Consent is asked above").fill("");
    await page.getByLabel("The cap is for labour too").check();
    await page.getByRole("button", { name: "Save the restoration" }).click();
    await page.locator(".notice", { hasText: "Changed" }).waitFor();
    await expect
      .poll(() => kept())
      .toMatchObject({ hourlyRateMinor: 4_125, consentOverMinor: null, capCoversLabour: true });
    await undoNewest(page);
    await page.waitForFunction(() => [...document.querySelectorAll("input")].some(({ value }) => value === "38.00"));
    await expect
      .poll(() => kept())
      .toMatchObject({ hourlyRateMinor: 3_800, consentOverMinor: 150_000, capCoversLabour: false });
    await page.context().close();
  });

  it("asks for each amount again in another currency, and the ledger keeps a restoration in the one it has", async () => {
    const empty = await demo.addEmpty();
    const { store } = demo.server;
    const stands = () => store.restoration.findUniqueOrThrow({ where: { id: empty } });
    await store.restoration.update({ where: { id: empty }, data: { capMinor: 1_450_000, hourlyRateMinor: 3_800 } });
    const { page } = await open({}, empty);
    await page.getByLabel("Currency").selectOption("EUR");
    await expect.poll(() => page.getByLabel("Money cap").inputValue()).toBe("");
    await page.getByText("Was £14,500.00.").waitFor();
    await page.getByLabel("Currency").selectOption("GBP");
    await expect.poll(() => page.getByLabel("Money cap").inputValue()).toMatch(/^14,?500\.00$/);
    await page.getByLabel("Currency").selectOption("EUR");
    // The same figure is said again as well.
    await page.getByLabel("Money cap").fill("14,500.00");
    await page.getByRole("button", { name: "Save the restoration" }).click();
    await expect.poll(stands).toMatchObject({ currency: "EUR", capMinor: 1_450_000, hourlyRateMinor: null });
    await page.context().close();
    const { page: kept } = await open();
    await kept.getByLabel("Currency").selectOption("EUR");
    await kept.getByRole("button", { name: "Save the restoration" }).click();
    await kept.getByText(/Currency must stay GBP: the ledger has \d+ entries in it/).waitFor();
    await kept.context().close();
    await store.restoration.delete({ where: { id: empty } });
  });

  it("counts the days on which hands work, whatever the shop's own hours say, and says so", async () => {
    const { page } = await open();
    const counted = () => page.locator(".year .headline p").first().textContent();
    const before = await counted();
    await page.getByLabel("Sunday").fill("6");
    expect(await counted()).toBe(before);
    await page.getByText("Each hand works by their own hours").waitFor();
    const field = await page.getByLabel("Figures for").boundingBox();
    expect(field!.width).toBeLessThan(260);
    await page.context().close();
  });

  it("refuses a week without working hours and keeps what was typed", async () => {
    const { page } = await open();
    for (const day of ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday"]) await page.getByLabel(day).fill("0");
    await page.getByRole("button", { name: "Save the calendar" }).click();
    await page.locator(".fault", { hasText: "working hours" }).waitFor();
    await expect.poll(() => page.getByLabel("Friday").inputValue()).toBe("0");
    await page.context().close();
  });

  it("says what the hands entered make of the end", async () => {
    const { page } = await open();
    const said = page.locator("section#hands .on-hands");
    await expect
      .poll(() => said.textContent())
      .toBe(
        "Every date is one that the hands of the shop can keep. No order of work ends sooner; with hands enough at all times it would be 2 Aug 2027. Days that a hold-up costs, and dates by which things are needed, are told with the work kept in this order.",
      );
    await page.context().close();
  });

  it("keeps the rate of a trade, and a judging section with its lines and floors", async () => {
    const { page } = await open();
    const hands = page.locator("section#hands");
    await hands.getByRole("button", { name: "Add a rate for a trade" }).click();
    await hands.getByRole("combobox", { name: "Trade" }).fill("plating");
    await hands.getByRole("button", { name: "Save the rate for the trade" }).click();
    await hands.locator("li", { hasText: "plating" }).getByText("at the restoration's own rate").waitFor();
    await hands.getByRole("button", { name: "Change the rate for plating" }).click();
    await hands.getByLabel("An hour is charged at").fill("31.50");
    await hands.getByRole("button", { name: "Save the rate for the trade" }).click();
    await hands.locator("li", { hasText: "plating" }).getByText("£31.50 an hour").waitFor();

    const judging = page.locator("section#judging");
    await judging.getByRole("button", { name: "Add a section" }).click();
    await judging.getByLabel("Section", { exact: true }).fill("Papers");
    await judging.getByLabel("Points at most").fill("12");
    await judging.getByRole("button", { name: "Add a line" }).click();
    await judging.getByLabel("Line 1", { exact: true }).fill("Build record shown");
    await judging.getByLabel("Points of line 1").fill("7.5");
    await judging.getByLabel("lost whole").check();
    await judging.getByRole("button", { name: "Save the section" }).click();
    const section = judging.locator(".sections > li", {
      has: page.getByRole("heading", { name: "Papers", exact: true }),
    });
    await section.getByText("Build record shown").waitFor();
    await expect.poll(() => section.textContent()).toContain("The lines add up to 7.5; the section gives at most 12.");
    await judging.getByRole("button", { name: "Add an award" }).click();
    await judging.getByLabel("Award", { exact: true }).fill("Bronze Dog Rose");
    await judging.getByLabel("Points from").fill("110");
    await judging.getByRole("button", { name: "Save the award" }).click();
    await judging.getByText("from 110 points").waitFor();
    await section.getByRole("button", { name: /^Remove/ }).click();
    await section.waitFor({ state: "detached" });
    await page.context().close();
  });

  it("lists every change with who and when, and takes any of them back", async () => {
    const { page } = await open();
    await page.getByRole("textbox", { name: "Owner" }).fill("O. Farrant");
    await page.getByRole("button", { name: "Save the restoration" }).click();
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.includes("O. Farrant"));
    const newest = page.locator("section#changes tbody tr").first();
    await expect.poll(() => newest.textContent()).toContain("Changed");
    await newest.getByRole("button", { name: /^Undo/ }).click();
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.includes("Odile Farrant"));
    await page.locator("section#changes tbody tr").nth(1).getByText("undone").waitFor();
    await page.context().close();
  });

  it("lets two changes of one row be settled value by value", async () => {
    const { page } = await open();
    await page.getByLabel("Target", { exact: true }).fill("Autumn Rally");
    const { revision } = await demo.server.store.restoration.findUniqueOrThrow({ where: { id: demo.restoration } });
    await demo.server.query(
      `mutation($id: ID!, $revision: Int!) { saveRestoration(input: { id: $id, revision: $revision, targetName: "Spring Rally" }) { __typename } }`,
      { id: demo.restoration, revision },
    );
    await page.getByRole("button", { name: "Save the restoration" }).click();
    const dialog = page.getByRole("dialog", { name: "Changed elsewhere meanwhile" });
    await dialog.getByText("Spring Rally").waitFor();
    await dialog.getByRole("button", { name: "Save what is marked" }).click();
    await page.waitForFunction(() => document.querySelector("p.sentence")?.textContent?.includes("Autumn Rally"));
    await page.context().close();
  });

  it("is removed after asking, and only where another restoration can keep the record", async () => {
    const { page } = await open();
    await page.getByRole("button", { name: /^Remove 1913/ }).click();
    await page
      .getByRole("dialog")
      .getByRole("button", { name: /^Remove/ })
      .click();
    await page.locator(".notice", { hasText: "Not done" }).waitFor();
    const second = await demo.addEmpty();
    await page.context().close();
    const other = await open({}, second);
    await other.page.getByRole("button", { name: /^Remove Stationary engine/ }).click();
    await other.page
      .getByRole("dialog")
      .getByRole("button", { name: /^Remove/ })
      .click();
    await other.page.waitForURL(`${demo.server.address}/`);
    await expect.poll(() => demo.server.store.restoration.count({ where: { id: second } })).toBe(0);
    await undoNewest(other.page);
    await other.page.getByText("Stationary engine").first().waitFor();
    await other.page.context().close();
  });

  it("takes what a day and a point are worth, and what duty and tax are worked out on in words", async () => {
    const { page } = await open();
    await page.getByLabel("A day past the target costs").fill("25.50");
    await page.getByLabel("A judge's point is worth").fill("");
    await page.getByLabel("Duty is on").selectOption({ label: "the goods as loaded abroad" });
    await page.getByLabel("Tax falls on carriage too").uncheck();
    await page.getByRole("button", { name: "Save the restoration" }).click();
    await page.locator(".notice", { hasText: "Changed" }).waitFor();
    const stored = () => demo.server.store.restoration.findUniqueOrThrow({ where: { id: demo.restoration } });
    await expect
      .poll(() => stored())
      .toMatchObject({ pricePerDayMinor: 2550, pricePerPointMinor: null, customsBasis: "FOB", carriageTaxed: false });
    await undoNewest(page);
    await page.waitForFunction(
      () => !document.querySelector<HTMLInputElement>("input[id$=pricePerDayMinor]")?.value.startsWith("25"),
    );
    await expect.poll(() => stored()).toMatchObject({ customsBasis: "CIF", carriageTaxed: true });
    await page.context().close();
  });

  it("tells the points lost by section, no more than each can lose, and how they stand to each award", async () => {
    const { page } = await open();
    const points = page.locator("section#points");
    const column = async (name: string) =>
      (await points.locator(`tbody td[data-label="${name}"]`).allTextContents()).map(Number.parseFloat);
    const [before, most, lostPoints] = [
      await column("Before the cap"),
      await column("Can lose at most"),
      await column("Lost"),
    ];
    expect(lostPoints.length).toBeGreaterThan(3);
    lostPoints.forEach((lost, place) => {
      const cap = most[place] ?? Number.NaN;
      expect(lost).toBe(Number.isNaN(cap) ? before[place] : Math.min(before[place] ?? 0, cap));
    });
    const total = lostPoints.reduce((sum, lost) => sum + lost, 0);
    await expect
      .poll(() => saidIn(points.locator("p.prose")))
      .toContain(`As planned now, ${total} points of 190 are lost, which leaves ${190 - total}.`);
    for (const floor of await demo.server.store.awardFloor.findMany({ where: { restorationId: demo.restoration } })) {
      const by = Math.round((190 - total - floor.points) * 100) / 100;
      await expect
        .poll(() => saidIn(points.locator("li", { hasText: floor.award })))
        .toContain(by >= 0 ? `met, with ${by} to spare` : `${-by} short`);
    }
    await page.context().close();
  });

  it("lets a section lose no more than its cap, and each provenance what is entered for it", async () => {
    const { page } = await open();
    const section = page.locator("section#judging .sections > li", {
      has: page.getByRole("heading", { name: "Engine and drive", exact: true }),
    });
    await section.getByRole("button", { name: /^Change\b/ }).click();
    await section.getByLabel("Can lose at most").fill("1");
    await section.getByLabel("Remade").fill("-3");
    await section.getByLabel("Later substitute").fill("");
    await section.getByRole("button", { name: "Save the section" }).click();
    await section.locator(".field", { hasText: "Remade" }).locator(".fault").waitFor();
    await section.getByLabel("Remade").fill("0.75");
    await section.getByRole("button", { name: "Save the section" }).click();
    await section.getByText("A part that is seen loses: remade 0.75 and period substitute 1.").waitFor();
    const row = page.locator("section#points tbody tr", { hasText: "Engine and drive" });
    await row.locator('td[data-label="Lost"]', { hasText: /^1$/ }).waitFor();
    await undoNewest(page);
    await section.getByText("A part that is seen loses: period substitute 1 and later substitute 2.5.").waitFor();
    await page.context().close();
  });

  it("takes a sample sheet in the place of its own, and undo brings back every section, line and award", async () => {
    const { page } = await open();
    const sheet = async () => ({
      sections: await demo.server.store.judgingSection.findMany({
        where: { restorationId: demo.restoration },
        orderBy: { position: "asc" },
        select: {
          id: true,
          name: true,
          maximum: true,
          cap: true,
          lines: { orderBy: { position: "asc" }, select: { title: true, maximum: true, mandatory: true } },
          deductions: { orderBy: { provenance: "asc" }, select: { provenance: true, points: true } },
        },
      }),
      floors: await demo.server.store.awardFloor.findMany({
        where: { restorationId: demo.restoration },
        orderBy: { id: "asc" },
        select: { id: true, award: true, points: true },
      }),
    });
    const own = await sheet();
    const judging = page.locator("section#judging");
    await judging.getByRole("button", { name: "Take a sample sheet" }).click();
    await judging.getByRole("button", { name: "Take it By the trades that did the work" }).click();
    await judging.getByText("6 sections, 345 points in all.").waitFor();
    await expect
      .poll(async () => (await sheet()).sections.map(({ maximum }) => maximum))
      .toEqual([26, 102, 53, 58, 43, 63]);
    await page.locator("section#points p.prose", { hasText: "of 345" }).waitFor();
    await undoNewest(page);
    await judging.getByText(`${own.sections.length} sections, 190 points in all.`).waitFor();
    await expect.poll(() => sheet()).toEqual(own);
    await page.context().close();
  });

  it.each(SIZES)(
    "has no accessibility findings and nothing off the page at $viewport.width in $colorScheme",
    async (options) => {
      const { page } = await open(options);
      for (const name of [/^Change the rate for/, "Add a rate"])
        await page.getByRole("button", { name }).first().click();
      expect(await findingsOf(page)).toEqual([]);
      await page
        .getByRole("button", { name: /^Change the section/ })
        .first()
        .click();
      expect(await findingsOf(page)).toEqual([]);
      await page.getByRole("button", { name: "Take a sample sheet" }).click();
      await page.getByRole("region", { name: "Sample sheets" }).waitFor();
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    },
  );
});
