/** A hunt on the part's sheet: begun, given a stop date and a fallback, found, and taken back. */
import { describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, undoNewest } from "../support/demo.ts";

const demo = demoInBrowser();
/** Gearbox casing: quotes, and none of them ordered. */
const PART = "TR-01";

describe("a hunt for a part", () => {
  it("is begun with a stop date and a fallback, says what each stop date gives, and ends in a find that undo takes back", async () => {
    const { page, errors } = await demo.open(demo.at(`parts/${demo.part(PART)}#hunt`));
    const section = page.locator("#hunt");
    await section.getByRole("button", { name: "Begin a hunt" }).click();
    await section.getByLabel("Begun on").fill("2026-10-26");
    await section.getByLabel("Chance in a week").fill("5");
    await section.getByLabel("Stop date").fill("2026-12-14");
    await section.getByLabel("A find costs about").fill("400");
    await section.getByRole("button", { name: "Begin the hunt" }).click();
    await section.locator(".stop-dates svg").first().waitFor();
    await section.getByLabel("Fallback").selectOption({ index: 1 });
    await section.getByText(/the fallback is ordered on 14 Dec 2026/).waitFor();
    // Another stop date is weighed while it is typed, and told again once it is saved.
    await section.getByRole("button", { name: "Change the hunt" }).click();
    await section.getByLabel("Stop date").fill("2028-01-10");
    const told = section.getByText(/If nothing is found: ready .*lost\./);
    const words = /ready .*lost/.exec((await told.textContent())!)![0];
    await section.getByRole("button", { name: "Save the hunt" }).click();
    await page.locator(".notice p", { hasText: words }).waitFor();
    await undoNewest(page);
    await section.getByText(/the fallback is ordered on 14 Dec 2026/).waitFor();
    await expect.poll(() => saidIn(section)).toContain("4 weeks without a find");
    await expect
      .poll(() => section.locator("tbody td[data-label='Expected cost']").last().textContent())
      .toMatch(/^£\d/);
    await expect.poll(() => section.locator("tbody tr").count()).toBeGreaterThan(5);
    await section.getByRole("button", { name: "Found, and in hand" }).click();
    await section.waitFor({ state: "detached" });
    await undoNewest(page);
    await section.getByRole("button", { name: "Change the hunt" }).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("keeps its dates: a swap meet is added, changed and taken out, a fruitless search noted, each taken back by undo", async () => {
    const { page, errors } = await demo.open(demo.at(`parts/${demo.part(PART)}#hunt`));
    const section = page.locator("#hunt");
    const dates = section.getByRole("table", { name: "Dates of the hunt" });
    await section.getByRole("button", { name: "Change the hunt" }).click();
    await section.getByRole("button", { name: "Add a date" }).click();
    await section.getByLabel("Date", { exact: true }).fill("2026-12-06");
    await section.getByLabel("What is held").fill("Sallowfield swap meet");
    await section.getByLabel("Chance, %", { exact: true }).fill("one in five");
    await section.getByRole("button", { name: "Save the hunt" }).click();
    await section.getByText("Must be a number, such as 12.5 or 12,5.").waitFor();
    await section.getByLabel("Chance, %", { exact: true }).fill("20");
    await section.getByRole("button", { name: "Save the hunt" }).click();
    await dates.getByText("20 in 100").waitFor();
    await section.getByRole("button", { name: "Change the hunt" }).click();
    await section.getByLabel("Chance, %", { exact: true }).fill("25");
    await section.getByRole("button", { name: "Save the hunt" }).click();
    await dates.getByText("25 in 100").waitFor();
    await section.getByRole("button", { name: "Searched, nothing found" }).click();
    await section.getByLabel("Where").fill("Telephoned the breakers");
    await section.getByRole("button", { name: "Note the search" }).click();
    await dates.getByText("Telephoned the breakers").waitFor();
    await expect
      .poll(() => dates.locator("tbody tr", { hasText: "breakers" }).textContent())
      .toContain("nothing found");
    await undoNewest(page);
    await dates.getByText("Telephoned the breakers").waitFor({ state: "detached" });
    await section.getByRole("button", { name: "Change the hunt" }).click();
    await section.getByRole("button", { name: "Take out date 2026-12-06" }).click();
    await section.getByRole("button", { name: "Save the hunt" }).click();
    await dates.waitFor({ state: "detached" });
    await undoNewest(page);
    await dates.getByText("25 in 100").waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("has its own day among what is to order at a chance, where what speaks against its fallback is said too", async () => {
    const { store } = demo.server;
    const part = () => store.part.findUniqueOrThrow({ where: { id: demo.part(PART) } });
    const choose = async (quote: string | null) => {
      const { id, revision } = await part();
      await demo.server.query(
        `mutation ($part: ID!, $quote: ID, $revision: Int!) {
          chooseQuote(part: $part, quote: $quote, revision: $revision) { __typename } }`,
        { part: id, quote, revision },
      );
    };
    const { chosenQuoteId, fallbackQuoteId: id } = await part();
    // A hunt gives way to a quote that is chosen.
    await choose(null);
    const { data } = await demo.server.query<{
      holdUps: {
        toOrder: { edges: { cursor: string; node: { part: { id: string } | null; huntedUntil: string | null } }[] };
      };
    }>(
      `query ($id: ID!) { holdUps(restoration: $id, confidence: 0.8) {
        toOrder(first: 100) { edges { cursor node { part { id } huntedUntil } } } } }`,
      { id: demo.restoration },
    );
    // Having no day by which to order it stands far down: the page that begins with it.
    const edges = data!.holdUps.toOrder.edges;
    const at = edges.findIndex(({ node }) => node.part?.id === demo.part(PART));
    expect(edges[at]!.node.huntedUntil).toBe("2026-12-14");
    // Its plan goes by the hunt: every quote is weighed against that, and none stands as what is now.
    const weighed = await demo.open(demo.at(`parts/${demo.part(PART)}`), {}, "#quotes tr.effects");
    await weighed.page.locator("#quotes").getByText("Against the hunt, on average.").waitFor();
    const effects = weighed.page.locator("#quotes tr.effects").first().locator("td");
    await expect.poll(() => effects.allTextContents()).not.toContain("…");
    for (const said of await effects.allTextContents()) expect(said).toMatch(/no change|sooner|later|same/);
    await weighed.page.context().close();
    const before = encodeURIComponent(edges[at - 1]!.cursor);
    const { page, errors } = await demo.open(demo.at(`hold-ups?confidence=0.8&order=${before}`));
    const row = page.locator("#to-order tbody tr", { hasText: "Gearbox casing" });
    await expect.poll(() => saidIn(row)).toMatch(/hunted(: decide by| until) \w{3} \d+ \w{3} 20\d\d/);
    const rule = async (ruledOut: boolean) => {
      const { revision } = await store.quote.findUniqueOrThrow({ where: { id: id! } });
      await demo.server.query(`mutation ($input: QuoteInput!) { saveQuote(input: $input) { __typename } }`, {
        input: { id, revision, ruledOut },
      });
    };
    await rule(true);
    await page.reload();
    await row.getByText("the quote is ruled out").waitFor();
    await page.goto(demo.at(`parts/${demo.part(PART)}#hunt`));
    await page
      .locator("#hunt")
      .getByText(/^Its fallback, .+, is ruled out\.$/)
      .waitFor();
    await rule(false);
    await choose(chosenQuoteId);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("ends in a find to be bought, which becomes the chosen quote; undo goes on looking", async () => {
    const { page, errors } = await demo.open(demo.at(`parts/${demo.part(PART)}#hunt`));
    const section = page.locator("#hunt");
    await section.getByRole("button", { name: "Found, to be bought" }).click();
    await section.getByLabel("From whom").selectOption({ label: "Mosslick Motor Breakers" });
    await section.getByLabel("Price of one").fill("275");
    await section.getByRole("button", { name: "It becomes the chosen quote" }).click();
    await section.getByText("It was found; the hunt is over.").waitFor();
    const chosen = page.locator("#quotes .chosen", { hasText: "Mosslick Motor Breakers" });
    await chosen.first().waitFor();
    await undoNewest(page);
    await section.getByRole("button", { name: "Found, to be bought" }).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      const { page } = await demo.open(demo.at(`parts/${demo.part(PART)}#hunt`), size);
      await page.locator("#hunt .stop-dates .dashed").waitFor({ state: "attached" });
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      if (size.colorScheme === "light") await page.context().close();
    });
});
