/** Who makes this: begun, joined, searched, shared by typing and from the own orders, complained about, withheld with the reason. */
import { beforeAll, describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { offThePage, SIZES, saidIn, sentenceOf, undoNewest } from "../support/demo.ts";
import { clubInBrowser } from "./clubInBrowser.ts";

describe("where no club stands", () => {
  const empty = clubInBrowser({ joined: false });

  it("a restorer begins it under a name of its own, and a member then joins it", async () => {
    const { page, errors } = await empty.open("");
    await expect.poll(() => sentenceOf(page)).toContain("you are its first member");
    expect(await findingsOf(page)).toEqual([]);
    const form = page.getByRole("form", { name: "Begin the club" });
    await form.getByLabel("Name of the club").fill("Hedgerow Light Car Register");
    await form.getByRole("button", { name: "Begin the club" }).click();
    await form.locator(".fault").waitFor();
    await form.getByLabel("Your name in it").fill("Hesper Quill");
    await page.keyboard.press("Enter");
    await page.getByRole("heading", { name: "No source has been shared yet" }).waitFor();
    await page.context().close();

    const other = await empty.open("", "Ambrose Pell");
    await other.page.getByLabel("Your name in the club").fill("Ambrose Pell");
    await other.page.keyboard.press("Enter");
    await other.page.getByRole("heading", { name: "No source has been shared yet" }).waitFor();
    await other.page.waitForURL(/\/club\/sources$/);
    expect(errors).toEqual([]);
    await other.page.context().close();
  });

  it("a member who opens the program lands in the club, where no way leads to the workshop", async () => {
    const { page } = await empty.open("", "Ambrose Pell");
    await page.goto(`${empty.server.address}/`);
    await page.waitForURL(/\/club\/sources$/);
    await page.getByRole("navigation", { name: "Sheets of the club" }).waitFor();
    await expect.poll(() => page.getByRole("link", { name: "All restorations" }).count()).toBe(0);
    await expect.poll(() => page.getByRole("link", { name: "Share from my suppliers" }).count()).toBe(0);
    await page.context().close();
  });
});

describe("the sources of a club", () => {
  const club = clubInBrowser();

  beforeAll(async () => {
    const { store } = club.server;
    const member = club.member("Linnet Carrow");
    const shared = { clubId: club.club, memberId: member, currency: "GBP", sharedOn: "2026-09-02" } as const;
    const rows = [
      ["S-1", "Gearbox casing, both halves", "Tallow & Wren 8 h.p.", "TW-1187", "Brindlewick Foundry", 41_250],
      ["S-2", "Selector fork", "Tallow & Wren 8 h.p.", "TW-1203", "Brindlewick Foundry", null],
      ["S-3", "Magneto bearing housing", "Marlowe 10 h.p.", "MZ 44/2", "Pellworth Magnetos", 6_800],
    ] as const;
    for (const [code, part, machine, references, supplier, priceMinor] of rows)
      await store.clubSource.create({
        data: { ...shared, code, part, machine, references, supplier, priceMinor, country: "GB", provenance: "REMADE" },
      });
  });

  it("are found by a misspelt word and by a number without its dashes, with the words in the address", async () => {
    const { page, errors } = await club.open("sources");
    await expect.poll(() => sentenceOf(page)).toContain("3 members have shared 3 sources");
    await page.getByLabel("Number, machine or wording").fill("geerbox casing");
    await page.waitForURL(/q=geerbox/);
    await page.getByText("1 source matches “geerbox casing”: Brindlewick Foundry makes it.").waitFor();
    await page.getByLabel("Number, machine or wording").fill("tw1187");
    await page.waitForURL(/q=tw1187/);
    await page.getByText("1 source matches “tw1187”").waitFor();
    await expect.poll(() => saidIn(page.locator("tbody tr"))).toContain("£412.50");
    await page.reload();
    await page.getByText("1 source matches “tw1187”").waitFor();
    await page.getByLabel("Number, machine or wording").fill("carburettor");
    await page.getByRole("heading", { name: "No source matches" }).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("are shared by typing, changed, removed and brought back, and another's cannot be changed", async () => {
    const { page } = await club.open("sources", "Ambrose Pell");
    await page.getByRole("button", { name: "Share a source" }).click();
    const form = page.getByRole("form", { name: "Share a source" });
    await form.getByLabel("Part").fill("Hub cap");
    await form.getByLabel("Who makes it").fill("Osselwick Spinners");
    await page.keyboard.press("Enter");
    const row = page.locator("tbody tr", { hasText: "Hub cap" });
    await row.waitFor();
    await expect.poll(() => saidIn(row)).toContain("not shared");
    await row.getByRole("button", { name: "Change" }).click();
    const change = page.getByRole("form", { name: /^Change/ });
    await change.getByLabel("Price paid for one").fill("18.50");
    await change.getByRole("button", { name: "Save the source" }).click();
    await row.getByText("£18.50").waitFor();
    await row.getByRole("button", { name: "Remove" }).click();
    await row.waitFor({ state: "detached" });
    await undoNewest(page);
    await row.waitFor();
    const other = page.locator("tbody tr", { hasText: "Selector fork" });
    await expect.poll(() => other.getByRole("button", { name: "Change" }).count()).toBe(0);
    await page.context().close();
  });

  it("are shared from the own orders row by row, with the price only where it is chosen", async () => {
    const { store } = club.server;
    const { workshopId } = await store.account.findFirstOrThrow({ where: { name: "Hesper Quill" } });
    const supplier = await store.supplier.create({ data: { workshopId, code: "BF", name: "Brindlewick Foundry" } });
    const quote = await store.quote.create({
      data: {
        restorationId: club.restoration,
        partId: club.part,
        supplierId: supplier.id,
        code: "Q1",
        provenance: "REMADE",
        unitPriceMinor: 39_900,
        currency: "GBP",
        leadDays: 42,
      },
    });
    await store.order.create({
      data: {
        restorationId: club.restoration,
        quoteId: quote.id,
        partId: club.part,
        code: "O1",
        totalMinor: 39_900,
        currency: "GBP",
        state: "ACCEPTED",
        placedOn: "2026-06-01",
        promisedOn: "2026-07-13",
        arrivedOn: "2026-08-01",
        fitRating: 4,
      },
    });
    const { page } = await club.open("sources/share");
    await page.getByRole("link", { name: "Brindlewick Foundry" }).click();
    await page.getByRole("button", { name: "Share without the price Gearbox casing" }).click();
    await page.getByText("shared as").waitFor();
    await page.getByRole("link", { name: /^Sources/ }).click();
    // 1 June to 1 August is 61 days; 42 were promised.
    const row = page.locator("tbody tr", { hasText: "by you" });
    await row.getByText("61 days, 19 late").waitFor();
    await expect.poll(() => saidIn(row)).toContain("4, a little easing");
    await expect.poll(() => saidIn(row)).toContain("not shared");
    await undoNewest(page);
    await row.waitFor({ state: "detached" });
    await page.context().close();
  });

  for (const size of SIZES)
    it(`have no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      for (const sheet of ["sources?q=gearbox", "sources/share", "member"]) {
        const { page } = await club.open(sheet, "Hesper Quill", size);
        expect(await findingsOf(page), sheet).toEqual([]);
        await expect.poll(() => offThePage(page), { message: sheet }).toBeLessThanOrEqual(0);
        await page.context().close();
      }
    });
});
