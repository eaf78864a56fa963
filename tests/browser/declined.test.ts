/** What follows on the sheets where the owner declines the quote that was chosen for the part on which the end hangs. */
import { beforeAll, describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, sentenceOf, undoNewest } from "../support/demo.ts";

const demo = demoInBrowser();
const CASING = "Gearbox casing, two halves";
const toOrder = async () => {
  const { data } = await demo.server.query<{
    holdUps: { toOrder: { totalCount: number; edges: { node: { title: string } }[] } };
  }>(`query ($r: ID!) { holdUps(restoration: $r) { toOrder(first: 100) { totalCount edges { node { title } } } } }`, {
    r: demo.restoration,
  });
  return data!.holdUps.toOrder;
};
let listed = 0;
let casing = "";

beforeAll(async () => {
  const part = await demo.server.store.part.findFirstOrThrow({ where: { name: CASING } });
  casing = part.id;
  listed = (await toOrder()).totalCount;
  await demo.server.query(`mutation ($input: PartInput!) { savePart(input: $input) { __typename } }`, {
    input: { id: part.id, revision: part.revision, kept: true },
  });
  const decision = {
    kind: "SUM" as const,
    title: CASING,
    askedById: (await demo.server.store.account.findFirstOrThrow()).id,
    askedOn: "2026-11-23",
    currency: "GBP",
    state: "DECLINED" as const,
    answeredAs: "Odile Farrant",
    answeredAt: new Date("2026-11-23T12:00:00Z"),
    answer: "too dear",
  };
  await demo.server.store.decision.create({
    data: { ...decision, restorationId: demo.restoration, quoteId: part.chosenQuoteId },
  });
  await demo.server.store.restoration.update({
    where: { id: demo.restoration },
    data: { planRevision: { increment: 1 } },
  });
});

describe("a quote that the owner declined", () => {
  it("leaves its part first among what is to order, marked as declined, in the owner's words", async () => {
    const now = await toOrder();
    expect([now.totalCount, now.edges[0]!.node.title]).toEqual([listed, CASING]);
    const { page, errors } = await demo.open(demo.at("hold-ups"), {}, ".ladder");
    const row = page.locator("#to-order tbody tr").first();
    await expect.poll(() => saidIn(row)).toContain(CASING);
    await expect.poll(() => saidIn(row)).toContain("23 Nov 2026");
    await expect.poll(() => saidIn(row)).toContain("declined: choose another declined by Odile Farrant on");
    await expect.poll(() => saidIn(row)).toContain("“too dear”");
    await expect
      .poll(() => saidIn(page.locator(".rung", { hasText: CASING }).first()))
      .toContain("declined: choose another and order it by 23 Nov 2026, that same day");
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("stands so on Today", async () => {
    const { page } = await demo.open(demo.at("today"), {}, "#order .lines li");
    await expect
      .poll(() => saidIn(page.locator("#order .lines li").first()))
      .toMatch(new RegExp(`^${CASING}.*on 23 Nov 2026; declined: choose another and order it`));
    await page.context().close();
  });

  it("leaves quotes of which none is counted that is ruled out, and the sheet names the one that the plan counts on", async () => {
    const { page } = await demo.open(demo.at(`parts/${casing}`));
    await expect
      .poll(() => sentenceOf(page))
      .toContain("the plan counts on the quickest that is left, from Osterhagel Formguss");
    await expect
      .poll(() => sentenceOf(page))
      .toContain(
        "It has 3 quotes and none is chosen. Ordered on 23 Nov 2026, the quickest, from Osterhagel Formguss, arrives on 10 May 2027.",
      );
    await page.context().close();
  });

  it("can be ordered all the same, and not chosen anew; another can be both", async () => {
    const { page } = await demo.open(demo.at(`parts/${casing}`));
    const part = await demo.server.store.part.findUniqueOrThrow({
      where: { id: casing },
      include: { quotes: { include: { supplier: true } } },
    });
    const buttonsOf = async (of: (quote: (typeof part.quotes)[number]) => boolean) => {
      const { code, supplier } = part.quotes.find(of)!;
      const unseen = ` quote ${code} from ${supplier.name}`;
      const cells = page.locator("table.quotes tr.go td, table.quotes tr.acts td", { hasText: unseen });
      return (await cells.getByRole("button").allTextContents()).map((words) => words.replace(unseen, ""));
    };
    const declined = ({ id }: { id: string }) => id === part.chosenQuoteId;
    await expect
      .poll(() => buttonsOf(declined))
      .toEqual(["Take the choice back", "Order all the same", "Change", "Remove"]);
    expect(await buttonsOf(({ supplier }) => supplier.name === "Osterhagel Formguss")).toEqual([
      "Weigh",
      "Order from it",
      "Change",
      "Remove",
    ]);
    await page.getByRole("button", { name: /^Take the choice back/ }).click();
    await page.getByRole("button", { name: "Take it back" }).click();
    await expect.poll(() => buttonsOf(declined)).toEqual(["Order all the same", "Change", "Remove"]);
    await undoNewest(page);
    await page.context().close();
  });

  it("is no longer kept: the part, Choices and the plans agree that there is one to choose", async () => {
    const { data } = await demo.server.query<{ part: { kept: boolean } }>(
      `query ($id: ID!) { part(id: $id) { kept } }`,
      {
        id: casing,
      },
    );
    expect(data!.part.kept).toBe(false);
    const { page } = await demo.open(demo.at(`parts/${casing}`));
    await expect.poll(() => saidIn(page.locator("main"))).not.toContain("choosing leaves it alone");
    await page.goto(demo.at("parts/choices"));
    await page.locator("#settled").waitFor();
    await expect.poll(() => saidIn(page.locator("#settled li", { hasText: "Kept as chosen" }))).not.toContain(CASING);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`reads at ${size.viewport.width} in ${size.colorScheme}`, async () => {
      const { page } = await demo.open(demo.at("hold-ups"), size, ".ladder");
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    });
});
