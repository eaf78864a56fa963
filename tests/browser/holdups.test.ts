import { describe, expect, it } from "vitest";
import { keepDay } from "../../server/plan/days/dayFigures.ts";
import { findingsOf } from "../support/axe.ts";
import { openPage } from "../support/browser.ts";
import { demoInBrowser, leadOf, saidIn, sentenceOf } from "../support/demo.ts";

const demo = demoInBrowser();

async function openHoldUps(options: Parameters<typeof openPage>[2] = {}, query = "") {
  const opened = await openPage(demo.browser, `${demo.at("hold-ups")}${query}`, options);
  await opened.page.waitForSelector(".rung-line");
  return opened;
}

describe("the hold-ups sheet", () => {
  it("opens by saying that there is no completion date while a needed part has no source, and which parts these are", async () => {
    const { page, errors } = await openHoldUps();
    const open = await page.locator(".rung-line.open .rung-title").allTextContents();
    expect(open.length).toBeGreaterThan(0);
    const sentence = await sentenceOf(page);
    expect(sentence).toContain("There is no completion date until");
    for (const part of open) expect(sentence).toContain(part);
    // From two metres: what leaves the date open, then the date and what holds it.
    await expect
      .poll(() => leadOf(page))
      .toMatch(
        /^No date yet: 2 parts have no source\. But for that \d+ \w+ 2027 by even odds, \d+ days late\. Held by Gearbox casing, two halves\.$/,
      );
    expect(await page.title()).toBe("Hold-ups · Lastbolt");
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says of a snag that it has no remedy, and of a part that it has no source, wherever either is told", async () => {
    const operation = await demo.server.store.operation.findFirstOrThrow({
      where: { restorationId: demo.restoration, state: "NOT_STARTED" },
    });
    const title = "Hub flange cracked";
    const { data } = await demo.server.query<{ saveSnag: { change: { id: string } } }>(
      `mutation ($input: SnagInput!) { saveSnag(input: $input) { ... on Saved { change { id } } } }`,
      { input: { operation: operation.id, title, foundOn: "2026-11-20" } },
    );
    const { page } = await openHoldUps();
    await expect.poll(() => sentenceOf(page)).toMatch(/until 2 parts have a source and 1 snag has a remedy: /);
    const rung = page.locator(".rung-line.open", { hasText: title });
    await expect.poll(() => rung.textContent()).toContain("no remedy yet");
    await expect.poll(() => rung.textContent()).not.toContain("in hand");
    await page.goto(demo.at("money/report"));
    await expect
      .poll(() => sentenceOf(page))
      .toMatch(/have no source or remedy yet\. .*As quoted, with them cleared that day, it would be/);
    await page.goto(`${demo.at("work")}?view=table`);
    await page
      .getByText(/no (remedy yet|source or remedy yet): .*Hub flange cracked/)
      .first()
      .waitFor();
    // A long name wraps, and nothing runs off the side.
    await page.setViewportSize({ width: 390, height: 844 });
    await page.goto(demo.at(`work?search=${encodeURIComponent(operation.code)}`));
    await page
      .getByText(/no (remedy yet|source or remedy yet): .*Hub flange cracked/)
      .first()
      .waitFor();
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBe(390);
    await page.context().close();
    const change = data?.saveSnag.change.id;
    await demo.server.query(`mutation ($c: ID!) { undo(change: $c) { __typename } }`, { c: change });
  });

  it("says that its dates are those that the hands of the shop can keep, beside hands enough at all times", async () => {
    const { page } = await openHoldUps();
    const said = page.getByText("Every date is one that the hands of the shop can keep.");
    await said.getByText("with hands enough at all times it would be 2 Aug 2027").waitFor();
    await page.locator("#free-to-start summary").click();
    const free = page.getByRole("table", { name: "Work that is free to start" });
    await free.getByText("Wat, 23 Nov 2026").waitFor();
    await free.getByText(/^Ned, \d+ Dec 2026$/).waitFor();
    await page.context().close();
  });

  it("gives the completion date and how late it is, once every part has a source", async () => {
    const { data } = await demo.server.query<{
      holdUps: { ladder: { edges: { node: { part: { id: string; revision: number } } }[] } };
    }>(
      `query ($r: ID!) { holdUps(restoration: $r) { ladder(first: 20) { edges { node { open part { id revision } } } } } }`,
      { r: demo.restoration },
    );
    const open = (data?.holdUps.ladder.edges ?? [])
      .map((edge) => edge.node as { open: boolean; part: { id: string; revision: number } })
      .filter((node) => node.open);
    const changes: string[] = [];
    for (const { part } of open) {
      const saved = await demo.server.query<{ savePart: { change: { id: string } } }>(
        `mutation ($input: PartInput!) { savePart(input: $input) { ... on Saved { change { id } } } }`,
        { input: { id: part.id, revision: part.revision, stateOnHand: "IN_HAND" } },
      );
      changes.push(saved.data?.savePart.change.id ?? "");
    }
    const { page } = await openHoldUps();
    await expect
      .poll(() => sentenceOf(page))
      .toMatch(/is ready on 4 Aug 2027, 46 days late\. .+ holds it; with that in hand, /);
    await page.context().close();
    for (const change of changes.reverse())
      await demo.server.query(`mutation ($c: ID!) { undo(change: $c) { __typename } }`, { c: change });
  });

  for (const colorScheme of ["light", "dark"] as const)
    for (const width of [1280, 390])
      it(`has no accessibility finding in ${colorScheme} at ${width} pixels, with the reasons of a rung and the table open`, async () => {
        const { page, errors } = await openHoldUps({ colorScheme, viewport: { width, height: 900 } });
        await page.locator("a.rung-line").nth(3).click();
        await page.waitForSelector(".why table");
        await page.locator(".as-table summary").click();
        expect(await findingsOf(page)).toEqual([]);
        await expect
          .poll(() => page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth))
          .toBeLessThanOrEqual(0);
        expect(errors).toEqual([]);
        await page.context().close();
      });

  it("is walked by keyboard: arrows from rung to rung, Enter opens the reasons, Escape closes them", async () => {
    const { page } = await openHoldUps();
    const focused = () =>
      page.evaluate(() =>
        document.activeElement?.matches(".rung-line")
          ? document.activeElement.querySelector(".rung-title")?.textContent
          : "",
      );
    const titles = await page.locator("a.rung-line .rung-title").allTextContents();
    for (let tabs = 0; tabs < 40 && (await focused()) !== titles[0]; tabs++) await page.keyboard.press("Tab");
    await expect.poll(() => focused()).toBe(titles[0]);
    await page.keyboard.press("ArrowDown");
    await page.keyboard.press("ArrowDown");
    await expect.poll(() => focused()).toBe(titles[2]);
    await page.keyboard.press("Enter");
    await page.waitForSelector(".why table");
    await page.waitForURL(/why=part/);
    await expect.poll(() => page.locator(".why h2").textContent()).toBe(`Why ${titles[2]}`);
    await page.keyboard.press("Escape");
    await page.waitForSelector(".why", { state: "detached" });
    await expect.poll(() => focused()).toBe(titles[2]);
    await page.context().close();
  });

  it("lists the operations from the arrival of a part to the end of the machine, on the day on which the rung ends", async () => {
    const { page } = await openHoldUps();
    const rung = page.locator("a.rung-line:not(.open)").first();
    const end = (await rung.locator("text.end").textContent())?.replace("quoted ", "");
    await rung.click();
    const finished = page.locator(".why tbody tr").last().locator("td[data-label=Finished]");
    await expect.poll(() => finished.textContent()).toContain(end);
    await page.context().close();
  });

  it("says beside the days as quoted what having a part today does to the even odds, where that is more than a day apart", async () => {
    const { page } = await openHoldUps();
    await page.locator("a.rung-line:not(.open)").first().click();
    const fact = page
      .locator(".why dt", { hasText: "If it were in hand that day" })
      .locator("xpath=following-sibling::dd[1]");
    await expect
      .poll(() => fact.textContent())
      .toMatch(/^as quoted, completion comes \d+ days earlier; the date of even odds comes \d+ days earlier$/);
    const [asQuoted, evenOdds] = ((await fact.textContent()) ?? "").match(/\d+/g)!.map(Number);
    expect(Math.abs(evenOdds! - asQuoted!)).toBeGreaterThan(1);
    await page.context().close();
  });

  it("shows the same rung to whoever is given its address, and goes back to what was shown before", async () => {
    const { page } = await openHoldUps();
    await page.locator("a.rung-line").nth(3).click();
    await page.waitForSelector(".why table");
    const title = await page.locator(".why h2").textContent();
    const other = await openPage(demo.browser, page.url());
    await other.page.waitForSelector(".why table");
    await expect.poll(() => other.page.locator(".why h2").textContent()).toBe(title);
    await page.goBack();
    await page.waitForSelector(".why", { state: "detached" });
    await page.context().close();
    await other.page.context().close();
  });

  it("draws a staircase: no rung ends later than the one above it, and the work alone ends first", async () => {
    const { page } = await openHoldUps({}, "?all=1");
    const ends = await page
      .locator(".rung-line:not(.open) .chain")
      .evaluateAll((chains) => chains.map((chain) => chain.getBoundingClientRect().right));
    expect(ends.length).toBeGreaterThan(5);
    for (let place = 1; place < ends.length; place++)
      expect(ends[place]).toBeLessThanOrEqual((ends[place - 1] as number) + 1);
    await page.context().close();
  });

  it("folds the lines after the first away, and unfolds them where one is asked for, by its line, and on paper", async () => {
    const { page, errors } = await openHoldUps();
    const lines = page.locator(".rung-line:not(.alone)");
    const seen = () => lines.evaluateAll((all) => all.filter((line) => line.checkVisibility()).length);
    const all = await page.locator("a.rung-line:not(.more *)").count();
    expect(await seen()).toBeLessThan(all);
    await page.emulateMedia({ media: "print" });
    expect(await seen()).toBe(all);
    await page.emulateMedia({ media: "screen" });
    await page.locator(".rung.more a", { hasText: `${all - (await seen()) + 1} more, from ` }).click();
    await page.waitForURL(/all=1/);
    await expect.poll(() => seen()).toBe(all);
    const last = await page.locator("a.rung-line").last().getAttribute("id");
    await page.goto(`${demo.at("hold-ups")}?why=${encodeURIComponent(last!.replace("rung-", ""))}`);
    await page.locator(".why").waitFor();
    await expect.poll(() => seen()).toBe(all);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("leads from the three things to do first to where they are done, and sums up what is to be ordered later", async () => {
    const { page, errors } = await openHoldUps();
    const acts = page.getByRole("list", { name: "What to do first" }).locator("li");
    expect(await acts.locator(".act").allTextContents()).toEqual(["Order", "Chase", "Look for"]);
    expect(await acts.nth(1).locator(".do a").getAttribute("href")).toBe("tel:01632960117");
    await expect
      .poll(() => saidIn(page.locator("#to-order .unfolds > summary")))
      .toMatch(/^54 later, from 26 Jan 2027 to 8 Jul 202750 chosen: £[\d,.]+$/);
    const field = acts.nth(2).getByRole("link", { name: "Field sheet" });
    expect(await field.getAttribute("href")).toMatch(/\/parts\/field-sheet$/);
    await acts.nth(0).locator(".do a").click();
    await page.locator("h1", { hasText: "Gearbox casing" }).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says of tied rungs that all of them must be cleared", async () => {
    const { page } = await openHoldUps();
    await expect
      .poll(() => page.locator(".tie").first().textContent())
      .toMatch(/cleared the end is \d+ days? sooner, with only \w+ no sooner/);
    await expect.poll(() => page.locator(".tie").first().locator("a.rung-line").count()).toBeGreaterThan(1);
    await page.context().close();
  });

  it("keeps the day of the figures and the odds in the address, and shows the figures for them", async () => {
    const { page } = await openHoldUps();
    await page.locator("#asked-on").fill("2027-01-11");
    await page.waitForURL(/on=2027-01-11/);
    await page.locator("header time[datetime='2027-01-11']").waitFor();
    await page.locator("#asked-confidence").selectOption("0.8");
    await page.waitForURL(/confidence=0\.8/);
    await page
      .getByText(/Even ordering everything that day keeps .* only\. Ordered on these dates, none of them later/)
      .waitFor();
    await page.reload();
    await page.waitForSelector(".rung-line");
    await expect.poll(() => page.locator("#asked-on").inputValue()).toBe("2027-01-11");
    await expect.poll(() => page.locator("#asked-confidence").inputValue()).toBe("0.8");
    await page.context().close();
  });

  it("takes a decision on the spot, and takes it back with Ctrl and Z", async () => {
    const { data } = await demo.server.query<{
      holdUps: { toOrder: { edges: { node: { title: string; part: { id: string; revision: number } | null } }[] } };
    }>(
      `query ($r: ID!) { holdUps(restoration: $r) { toOrder(first: 5) { edges { node { title part { id revision } } } } } }`,
      { r: demo.restoration },
    );
    const wanted = data?.holdUps.toOrder.edges.map((edge) => edge.node).find((node) => node.part);
    if (!wanted?.part) throw new Error("Nothing of the demo is to be ordered.");
    const { part, title } = wanted;
    await demo.server.query(
      `mutation ($p: ID!, $v: Int!) { chooseQuote(part: $p, quote: null, revision: $v) { __typename } }`,
      { p: part.id, v: part.revision },
    );
    const chosen = async () =>
      (await demo.server.store.part.findUniqueOrThrow({ where: { id: part.id } })).chosenQuoteId;
    await expect.poll(() => chosen()).toBeNull();

    const { page } = await openHoldUps();
    await page.locator("#to-order summary").click();
    await page.getByRole("button", { name: `for ${title}` }).click();
    await page.locator(".notice button", { hasText: "Undo" }).waitFor();
    await expect.poll(() => chosen()).not.toBeNull();
    await page.locator("h1").click({ position: { x: 2, y: 2 } });
    await page.keyboard.press("Control+z");
    await page.locator(".notice button", { hasText: "Undo" }).waitFor({ state: "detached" });
    await expect.poll(() => chosen()).toBeNull();
    await page.getByRole("button", { name: `for ${title}` }).waitFor();
    await page.context().close();
  });

  it("says what is wrong, and offers to try again, where the restoration is not to be found", async () => {
    const { page } = await openPage(demo.browser, `${demo.server.address}/r/nothing-of-the-kind/hold-ups`);
    await page.locator(".state.problem").waitFor();
    await expect.poll(() => page.locator(".state.problem").textContent()).toMatch(/Nothing was changed or lost/);
    await page.getByRole("button", { name: "Try again" }).waitFor();
    await page.context().close();
  });
});

describe("the list of restorations", () => {
  it("says of each when it ends by even odds, or that there is no date yet, where that is known already", async () => {
    const { store } = demo.server;
    const where = { id: demo.restoration };
    const { page, errors } = await openPage(demo.browser, `${demo.server.address}/`);
    const end = page.locator("tbody tr td[data-label='Even odds by']");
    await end.first().waitFor();
    await expect.poll(() => end.allTextContents()).toEqual(["not worked out yet"]);
    await keepDay(store, demo.restoration);
    await page.reload();
    await expect.poll(() => end.allTextContents()).toEqual(["no date yet"]);
    const { planRevision } = await store.restoration.findUniqueOrThrow({ where });
    await store.dayFigures.updateMany({
      where: { restorationId: demo.restoration, planRevision },
      data: { open: false, evenOdds: "2027-09-01" },
    });
    await page.reload();
    await expect.poll(() => end.allTextContents()).toEqual(["1 Sep 2027"]);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("has no accessibility finding, and adds a machine that then says how to begin", async () => {
    const { page } = await openPage(demo.browser, `${demo.server.address}/`, { viewport: { width: 390, height: 844 } });
    await page.getByRole("button", { name: "Add a restoration" }).click();
    expect(await findingsOf(page)).toEqual([]);
    await page.getByRole("button", { name: "Add the restoration" }).click();
    await page.locator("#main .fault").first().waitFor();
    await page.getByLabel("Machine").fill("1908 stationary engine");
    await page.getByRole("button", { name: "Add the restoration" }).click();
    await page.waitForURL(/\/hold-ups/);
    await page.getByText("Nothing is entered yet").waitFor();
    expect(await findingsOf(page)).toEqual([]);
    await page.context().close();
  });
});
