/** The owner's report: as the owner sees, answers and prints it, and as the restorer asks for decisions on it. */
import type { BrowserContextOptions, Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { openPage } from "../support/browser.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, sentenceOf, undoNewest } from "../support/demo.ts";
import { pagesOf } from "../support/pdf.ts";

const demo = demoInBrowser();
const OWNER = "Odile Farrant";

/** The report in a browser in which the owner is signed in. */
async function asOwner(options: BrowserContextOptions = {}): Promise<{ page: Page; errors: string[] }> {
  const { id } = await demo.server.store.account.findFirstOrThrow({ where: { name: OWNER } });
  const opened = await openPage(demo.browser, demo.at("money/report"), options);
  const signedIn = await opened.page.evaluate(async (account) => {
    const response = await fetch("/graphql", {
      method: "POST",
      headers: { "content-type": "application/json" },
      body: JSON.stringify({
        query: "mutation ($account: ID!) { actAs(account: $account) { __typename } }",
        variables: { account },
      }),
    });
    return (await response.json()).data.actAs.__typename;
  }, id);
  expect(signedIn).toBe("AccountSaved");
  await opened.page.goto(demo.at("money/report"));
  await opened.page.locator("#money strong").first().waitFor();
  await opened.page.locator("#when table").waitFor();
  await opened.page.waitForLoadState("networkidle");
  return opened;
}

describe("the owner's report", () => {
  it("says when, how sure and what of the money, and holds nothing that is the workshop's alone", async () => {
    const { page, errors } = await asOwner();
    await expect
      .poll(() => sentenceOf(page))
      .toMatch(
        /no date yet .*: .* have no source\. As quoted, with them in hand that day, it would be 4 Aug 2027, 46 days late for the Midsummer Concours .* One decision waits/,
      );
    await expect
      .poll(() => saidIn(page.locator("#when")))
      .toMatch(/Even odds\d+ \w+ \d{4}4 in 5\d+ \w+ \d{4}As quoted4 Aug 2027Ready by 19 Jun 2027/);
    await expect
      .poll(() => saidIn(page.locator("#money")))
      .toMatch(/£4,800.00 is outstanding.*cap £19,500.00.*Set aside £.*£540.00 paid to Brindlewick Foundry/);
    const when = await saidIn(page.locator("#when"));
    const line = await saidIn(page.locator(".odds-line"));
    for (const name of ["even odds", "4 in 5"]) {
      const date = new RegExp(`${name}, (\\d+ \\w+ \\d{4})`).exec(line)?.[1];
      expect(when.toLowerCase()).toContain(`${name}${date}`.toLowerCase());
    }
    expect(line).toContain("target, 19 Jun 2027");
    const marked = await demo.server.store.photograph.findMany({ where: { forOwner: true } });
    const pictures = page.locator("#photographs .photographs > li");
    await expect.poll(() => pictures.count()).toBe(marked.length);
    for (const { caption } of marked) expect(await saidIn(page.locator("#photographs"))).toContain(caption);
    await expect.poll(() => page.locator("#ask").count()).toBe(0);
    const { store } = demo.server;
    const [invoices, orders, parts, hours] = await Promise.all([
      store.invoice.findMany(),
      store.order.findMany(),
      store.part.findMany(),
      store.hoursBooked.findMany(),
    ]);
    const notes = [...invoices, ...orders, ...parts, ...hours].map((row) => row.notes).filter((words) => words !== "");
    expect(notes.length).toBeGreaterThan(20);
    const said = await saidIn(page.locator("body"));
    for (const words of notes) expect(said).not.toContain(words);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("answers when, how much and how sure on the first screen of a phone, in the sums that Money and Hold-ups show", async () => {
    const { page, errors } = await asOwner({ viewport: { width: 390, height: 844 } });
    const answers = page.locator(".answers");
    const all =
      /from (£[\d,.]+) as planned to (£[\d,.]+), which holds in .*labour included\. (.*) paid (£[\d,.]+) of it/;
    await expect.poll(() => saidIn(answers)).toMatch(all);
    await expect
      .poll(() => saidIn(answers))
      .toMatch(/WhenNo date yet\. Even odds by .*How much.*How sure4 in 5 by .*ready by 19 Jun 2027/);
    const { y, height } = (await answers.boundingBox())!;
    expect(y + height).toBeLessThan(500);
    const [, from, to, , paid] = all.exec(await saidIn(answers))!;
    await page.goto(demo.at("hold-ups"));
    await expect.poll(() => saidIn(page.locator("main"))).toMatch(/Gearbox casing, two halves.*£1,828\.80/);
    await expect.poll(() => saidIn(page.locator("main"))).not.toContain("£1,480.00");
    await page.context().close();
    const money = await demo.open(demo.at("money"));
    await expect.poll(() => sentenceOf(money.page)).toContain(`from ${from} as planned to ${to}, which holds in`);
    await expect.poll(() => sentenceOf(money.page)).toContain(`${OWNER} has paid ${paid} of it.`);
    await money.page.context().close();
    expect(errors).toEqual([]);
  });

  it("has no hand's name in it, nor in anything that the server answers to an owner's browser", async () => {
    const { page, errors } = await asOwner();
    const names = (await demo.server.store.hand.findMany({ select: { name: true } })).map(({ name }) => name);
    expect(names.length).toBeGreaterThan(3);
    const answers: Promise<string>[] = [];
    page.on("response", (response) => {
      if (response.url().endsWith("/graphql")) answers.push(response.text().catch(() => ""));
    });
    const said: string[] = [];
    for (const sheet of ["money/report", "hold-ups", "work/by-hand", "work/hours", "today"]) {
      await page.goto(demo.at(sheet));
      await page.locator("main h1").first().waitFor();
      await page.waitForLoadState("networkidle");
      said.push(await saidIn(page.locator("body")));
      expect(await page.locator("#own-work, #more-hands, .by-hand").count()).toBe(0);
    }
    said.push(...(await Promise.all(answers)));
    expect(answers.length).toBeGreaterThan(3);
    for (const name of names)
      expect(
        said.filter((words) => new RegExp(`\\b${name}\\b`).test(words)).map((words) => words.slice(0, 300)),
      ).toEqual([]);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("prints: no buttons, fields or sheets of the workshop, and the decision with room to sign", async () => {
    const { page } = await asOwner();
    const pages = await pagesOf(await page.pdf({ format: "A4" }));
    const printed = pages.join(" ");
    expect(pages.length).toBeGreaterThanOrEqual(1);
    // Three of words, and the photographs.
    expect(pages.length).toBeLessThanOrEqual(4);
    expect(pages[0]).toContain(`Report to ${OWNER}`);
    expect(printed).toContain("Figures for: Mon 23 Nov 2026");
    expect(printed).toContain("4 Aug 2027");
    expect(pages[0]).toMatch(/Quill Lane Workshop ?Quill Lane ?Nether Thornlow ?Reply to bench@quill-lane.example/);
    expect(pages[0]).toMatch(
      /Since 24 Oct 2026 ?No work was finished, 3 orders came\. As quoted, the end moved 27 days later/,
    );
    expect(printed).toMatch(/Invoice QL\/113\/1 ?31 Jul 2026 ?paid 10 Aug 2026 ?£3,500.00/);
    expect(printed).toMatch(/Gearbox casing, cast and machined anew ?£1,828.80/);
    expect(printed).toMatch(/Name and date/);
    // A table stays a table on A4: its heads stand once above its rows.
    expect(printed).toMatch(/What ?Sum ?Answer ?By ?On ?In words/);
    expect(printed).toMatch(/cap £19,500.00/);
    expect(printed).toMatch(/A second pour of the cylinder barrels ?£285.00.*approved.*Odile Farrant.*21 Oct 2026/);
    for (const words of ["Print this report", "Give the answer", "Hold-ups", "Colours", "Ask the owner"])
      expect(printed).not.toContain(words);
    await page.context().close();
  });

  it("goes by the day on which a report was marked as given, until that is taken back, and by the one in its address", async () => {
    const { page, errors } = await demo.open(demo.at("money/report"), {}, "#since .said");
    const since = page.locator("#since");
    await since.getByRole("heading", { name: "Since 24 Oct 2026" }).waitFor();
    await since.getByText("No report is marked as given: these are the last 30 days.").waitFor();
    await since.getByRole("button", { name: "Mark this report as given" }).click();
    await since.getByRole("heading", { name: "Since the last report, 23 Nov 2026" }).waitFor();
    await since
      .getByText("No work was finished, no order came. Nothing has moved since: these are the figures of that day.")
      .waitFor();
    expect(await since.getByRole("button", { name: "Mark this report as given" }).count()).toBe(0);
    await undoNewest(page);
    await since.getByRole("heading", { name: "Since 24 Oct 2026" }).waitFor();
    await page.goto(demo.at("money/report?since=2099-01-01"));
    await since.getByRole("heading", { name: "Since 24 Oct 2026" }).waitFor();
    await page.goto(demo.at("money/report?since=2026-07-01"));
    await since.getByRole("heading", { name: "Since 1 Jul 2026" }).waitFor();
    await since.getByRole("button", { name: /^\d+ more$/ }).click();
    await since.getByRole("button", { name: "Only the latest" }).waitFor();
    expect(await since.locator(".lines > li").count()).toBeGreaterThan(4);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("takes the owner's answer once, with name, date and sum, and undo does not come near it", async () => {
    const { page, errors } = await asOwner({ viewport: { width: 390, height: 844 } });
    const waiting = page.locator("#decisions");
    await waiting.getByText("Answer it").click();
    await waiting.getByRole("button", { name: "Give the answer" }).click();
    await waiting.locator(".fault", { hasText: "approve or to decline" }).waitFor();
    await waiting.getByLabel("Your answer").selectOption({ label: "Approve £1,828.80" });
    await expect.poll(() => waiting.getByLabel("Name").inputValue()).toBe(OWNER);
    await waiting.getByLabel("In your own words").fill("Cast it.");
    await waiting.getByRole("button", { name: "Give the answer" }).click();
    await page.getByText("Nothing waits for a decision.").waitFor();
    const first = page.locator("#decided tbody tr").first();
    await expect
      .poll(() => saidIn(first))
      .toMatch(/Gearbox casing, cast and machined anew ?£1,828.80 ?approved ?Odile Farrant/);
    await expect.poll(() => saidIn(first)).toContain("Cast it.");
    const row = await demo.server.store.decision.findFirstOrThrow({ where: { quoteId: { not: null } } });
    expect(row).toMatchObject({ state: "APPROVED", answeredAs: OWNER, amountMinor: 182_880, answer: "Cast it." });
    expect(errors).toEqual([]);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      const { page } = await asOwner(size);
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    });
});

describe("the restorer's side of the report", () => {
  it("asks about what is chosen over the limit, which then waits, and no longer asks", async () => {
    const { page, errors } = await demo.open(demo.at("money/report"), {}, "#ask table");
    const ask = page.locator("#ask");
    const gears = ask.locator("tr", { hasText: "TR-02" });
    await expect.poll(() => saidIn(gears)).toMatch(/£1,590.75.*not asked/);
    await ask.getByRole("button", { name: "Ask about Gear set" }).click();
    await ask.getByLabel("Why it is asked").fill("The teeth are gone on both wheels.");
    await expect.poll(() => ask.getByLabel("Sum").inputValue()).toBe("1590.75");
    await ask.getByRole("button", { name: "Ask the owner" }).click();
    await gears.getByText("waits", { exact: true }).waitFor();
    // The owner has an account, so only the owner can answer.
    await expect
      .poll(() => saidIn(page.locator("#decisions")))
      .toMatch(/The teeth are gone .*Odile Farrant answers it, signed in/);
    await expect.poll(() => page.getByRole("button", { name: /the answer/ }).count()).toBe(0);
    await undoNewest(page);
    await gears.getByText("not asked").waitFor();
    await ask.getByRole("button", { name: "Ask for a decision" }).click();
    await ask.getByLabel("What is to be decided").fill("Which of two plans");
    await ask.getByLabel("Kind", { exact: true }).selectOption("PLAN");
    await ask.getByRole("button", { name: "Ask the owner" }).click();
    await ask.getByRole("button", { name: "No longer ask about Which of two plans" }).click();
    await page.locator("#decided tr", { hasText: "Which of two plans" }).getByText("no longer asked").waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("tells no date, and no odds, where nothing is entered", async () => {
    const restoration = await demo.addEmpty();
    const { page } = await demo.open(demo.at("money/report", restoration), {}, "#decided");
    await expect
      .poll(() => page.locator("p.sentence").textContent())
      .toMatch(/is entered yet, so there is no date to tell\.\s*$/);
    await expect.poll(() => page.locator("#when").count()).toBe(0);
    await page.goto(demo.at("today", restoration));
    await page.getByText("No work and no part is entered yet, so there is no date to tell.").waitFor();
    await page.context().close();
  });

  it("notes the owner's answer where the owner has no account", async () => {
    const restoration = await demo.addEmpty();
    await demo.server.query(`mutation ($input: DecisionInput!) { askDecision(input: $input) { __typename } }`, {
      input: { restoration, title: "Rebore or sleeve", amountMinor: 40_000 },
    });
    const { page, errors } = await demo.open(demo.at("money/report", restoration), {}, "#decisions form");
    await page.getByLabel("The owner's answer", { exact: true }).selectOption("DECLINE");
    await page.getByLabel("Name").fill("Wilf Arkle");
    await page.getByRole("button", { name: "Note the answer" }).click();
    await page
      .locator("#decided tr", { hasText: "Rebore or sleeve" })
      .getByText("Wilf Arkle, noted by the workshop")
      .waitFor();
    expect(await findingsOf(page)).toEqual([]);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("asks about a snag's remedy and about work to be sent out, each of which then waits", async () => {
    const restoration = await demo.addEmpty();
    const { store } = demo.server;
    await store.restoration.update({ where: { id: restoration }, data: { consentOverMinor: 20_000 } });
    const currency = "GBP";
    const own = { restorationId: restoration };
    const operation = { ...own, code: "CRANK", title: "Crankshaft", hoursLikely: 20 };
    const { id: operationId } = await store.operation.create({ data: operation });
    const way = {
      ...own,
      operationId,
      code: "OUT",
      title: "Sent out to be ground",
      days: 28,
      priceMinor: 31_000,
      currency,
    };
    const { id: chosenWayId } = await store.operationWay.create({ data: way });
    await store.operation.update({ where: { id: operationId }, data: { chosenWayId } });
    const { id: snagId } = await store.snag.create({
      data: { ...own, operationId, code: "N1", title: "Crack at the lug" },
    });
    const remedy = {
      ...own,
      snagId,
      code: "R1",
      title: "Cold stitching",
      days: 28,
      hours: 5,
      priceMinor: 42_000,
      currency,
    };
    const { id: chosenRemedyId } = await store.remedy.create({ data: remedy });
    await store.snag.update({ where: { id: snagId }, data: { chosenRemedyId } });
    await store.restoration.update({ where: { id: restoration }, data: { planRevision: { increment: 1 } } });
    const { page, errors } = await demo.open(demo.at("money/report", restoration), {}, "#ask table");
    const ask = page.locator("#ask");
    for (const [name, title] of [
      ["Crack at the lug", "Crack at the lug: Cold stitching"],
      ["Crankshaft", "Crankshaft: Sent out to be ground"],
    ] as const) {
      const row = ask.locator("tr", { hasText: name }).first();
      await row.getByText("not asked", { exact: true }).waitFor();
      await ask.getByRole("button", { name: `Ask about ${name}` }).click();
      await expect.poll(() => ask.getByLabel("What is to be decided").inputValue()).toBe(title);
      await ask.getByRole("button", { name: "Ask the owner" }).click();
      await row.getByText("waits", { exact: true }).waitFor();
    }
    const decisions = page.locator("#decisions");
    await decisions.getByText("To hand in 28 days, 5 h at the bench.").waitFor();
    await expect.poll(() => ask.getByText("not asked").count()).toBe(0);
    expect(await findingsOf(page)).toEqual([]);
    expect(errors).toEqual([]);
    await page.context().close();
  });
});
