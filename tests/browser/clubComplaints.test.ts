/** What is wrong in the club: said by a member, withheld by a steward with the reason, shown again, or answered as it is. */
import { beforeAll, describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { offThePage, SIZES, saidIn, sentenceOf, undoNewest } from "../support/demo.ts";
import { clubInBrowser } from "./clubInBrowser.ts";

const club = clubInBrowser();

beforeAll(async () => {
  const { store } = club.server;
  const shared = {
    clubId: club.club,
    memberId: club.member("Linnet Carrow"),
    provenance: "REMADE",
    currency: "GBP",
    sharedOn: "2026-09-02",
  } as const;
  for (const [code, part] of [
    ["S-1", "Selector fork"],
    ["S-2", "Anything you like"],
  ] as const)
    await store.clubSource.create({ data: { ...shared, code, part, supplier: "Brindlewick Foundry" } });
  for (const name of ["Hesper Quill", "Ambrose Pell"] as const)
    await store.want.create({
      data: {
        clubId: club.club,
        memberId: club.member(name),
        code: `W-${name.at(0)}`,
        part: "Hub cap",
        machine: "Tallow & Wren 8 h.p.",
        references: "TW-300",
        quantity: 4,
      },
    });
});

describe("a complaint", () => {
  it("is sent from the row, withholds it with the reason for the club, and its sharer and the steward read why", async () => {
    const { page, errors } = await club.open("sources", "Ambrose Pell");
    await page.getByRole("button", { name: /^Say what is wrong with the source of Anything you like/ }).click();
    await page.keyboard.type("An advertisement, and no source.");
    await page.getByRole("button", { name: "Send it to the stewards" }).click();
    await page.locator(".notice").getByText("Said what is wrong with source").waitFor();
    await page.getByRole("link", { name: "Complaints" }).click();
    await page.getByText("1 complaint of yours waits for an answer by a steward.").waitFor();
    await expect.poll(() => page.getByRole("button", { name: /^Withhold/ }).count()).toBe(0);

    const steward = await club.open("complaints");
    await expect
      .poll(() => sentenceOf(steward.page))
      .toBe("1 complaint waits for an answer by you or another steward.");
    await steward.page.getByRole("button", { name: /^Withhold source/ }).click();
    await steward.page.getByRole("button", { name: "Withhold it" }).click();
    await steward.page.locator(".fault").getByText("A reason is needed").waitFor();
    await steward.page.getByLabel("Why it is withheld").fill("Not a source");
    await steward.page.getByRole("button", { name: "Withhold it" }).click();
    await steward.page.getByText("Withheld: Not a source").waitFor();
    await steward.page.getByRole("link", { name: "Sources" }).click();
    await steward.page.getByLabel("Withheld ones").check();
    const withheld = steward.page.locator("tbody tr", { hasText: "Anything you like" });
    await withheld.getByText("withheld from the club").waitFor();
    await steward.page.context().close();

    await page.reload();
    await page.getByText("No complaint of yours waits for an answer.").waitFor();
    await page.getByRole("link", { name: "Sources" }).click();
    await page.getByText("Selector fork", { exact: true }).waitFor();
    await expect.poll(() => page.getByText("Anything you like").count()).toBe(0);
    expect(errors).toEqual([]);
    await page.context().close();

    const sharer = await club.open("sources?own=yes", "Linnet Carrow");
    const own = sharer.page.locator("tbody tr", { hasText: "Anything you like" });
    await expect.poll(() => saidIn(own)).toContain("withheld from the club: Not a source");
    await sharer.page.context().close();
  });

  it("withholds nothing for good: the steward shows the row again, and undo takes that back", async () => {
    const { page } = await club.open("sources?withheld=yes");
    const withheld = page.locator("tbody tr", { hasText: "Anything you like" });
    await withheld.getByRole("button", { name: "Show again" }).click();
    await withheld.waitFor({ state: "detached" });
    await undoNewest(page);
    await withheld.waitFor();
    await page.context().close();
  });

  it("is answered with the row left as it is", async () => {
    const { page } = await club.open("sources", "Ambrose Pell");
    await page.getByRole("button", { name: /^Say what is wrong with the source of Selector fork/ }).click();
    await page.keyboard.type("The number is another's.");
    await page.getByRole("button", { name: "Send it to the stewards" }).click();
    await page.locator(".notice").getByText("Said what is wrong with source").waitFor();
    await page.context().close();
    const steward = await club.open("complaints?state=waiting");
    await steward.page.getByRole("button", { name: /^Leave it, and answer/ }).click();
    await steward.page.keyboard.type("Checked against the parts book: it is right.");
    await steward.page.getByRole("button", { name: "Answer the complaint", exact: true }).click();
    await steward.page.getByRole("heading", { name: "No complaint matches" }).waitFor();
    await steward.page.context().close();
  });
});

describe("a steward of the club", () => {
  it("makes another member a steward, who then answers complaints, and the last one does not step down", async () => {
    const { page, errors } = await club.open("member");
    const members = page.getByRole("region", { name: "Members" });
    await members.getByRole("button", { name: "No longer a steward Hesper Quill" }).click();
    await page.locator(".notice").getByText("The club needs a steward").waitFor();
    await members.getByRole("button", { name: "Make a steward Ambrose Pell" }).click();
    await members.getByRole("button", { name: "No longer a steward Ambrose Pell" }).waitFor();
    const other = await club.open("complaints", "Ambrose Pell");
    await expect.poll(() => sentenceOf(other.page)).not.toContain("of yours");
    await other.page.context().close();
    await undoNewest(page);
    await members.getByRole("button", { name: "Make a steward Ambrose Pell" }).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("finds a withheld source by its words, and opens the match behind a message complained about without writing there", async () => {
    const { store } = club.server;
    await store.clubSource.updateMany({ where: { code: "S-2" }, data: { withheldReason: "Not a source" } });
    const wording = { clubId: club.club, part: "Gauge glass", machine: "Pellifer" };
    const want = await store.want.create({ data: { ...wording, memberId: club.member("Ambrose Pell"), code: "W-9" } });
    const spare = await store.spare.create({
      data: {
        ...wording,
        memberId: club.member("Linnet Carrow"),
        code: "X-9",
        provenance: "ORIGINAL",
        currency: "GBP",
      },
    });
    const correspondence = await store.correspondence.create({ data: { wantId: want.id, spareId: spare.id } });
    const message = await store.matchMessage.create({
      data: {
        correspondenceId: correspondence.id,
        memberId: club.member("Linnet Carrow"),
        text: "Send the money first.",
      },
    });
    await store.clubComplaint.create({
      data: {
        clubId: club.club,
        memberId: club.member("Ambrose Pell"),
        kind: "MESSAGE",
        rowId: message.id,
        row: message.text,
        reason: "Asks for money unseen",
      },
    });
    const { page } = await club.open("complaints?state=waiting");
    await page.getByRole("link", { name: "See it on its sheet" }).click();
    await page.getByText("You read their messages because somebody complained about one.").waitFor();
    await page.getByRole("listitem").getByText("Send the money first.").waitFor();
    await expect.poll(() => page.getByRole("button", { name: /^Send it to/ }).count()).toBe(0);
    expect(await findingsOf(page)).toEqual([]);
    await page.context().close();
  });
});

describe("a part that several members want", () => {
  it("stands under the batches with what would fill one, and a batch of it is begun with its words", async () => {
    const { page } = await club.open("batches");
    const row = page.getByRole("region", { name: "Wanted by several members" }).locator("tbody tr");
    // Two members want four each, and a batch goes ahead with six.
    await expect.poll(() => saidIn(row)).toMatch(/Hub cap.*2 members, you among them8yes/);
    await row.getByRole("button", { name: "Make a batch of it" }).click();
    const form = page.getByRole("form", { name: "Make a batch" });
    await expect.poll(() => form.getByLabel("Part", { exact: true }).inputValue()).toBe("Hub cap");
    await expect.poll(() => form.getByLabel("Smallest size").inputValue()).toBe("8");
    await page.context().close();
  });
});

describe("the complaints", () => {
  it("are found at the address of before, with its filter", async () => {
    const { page } = await club.open("reports?stands=settled");
    await page.waitForURL(/\/club\/complaints\?state=answered$/);
    await page.getByRole("heading", { level: 1, name: "Complaints" }).waitFor();
    await page.context().close();
  });

  for (const size of SIZES)
    it(`have no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      for (const sheet of ["complaints", "batches", "sources?withheld=yes"]) {
        const { page } = await club.open(sheet, "Hesper Quill", size);
        expect(await findingsOf(page), sheet).toEqual([]);
        await expect.poll(() => offThePage(page), { message: sheet }).toBeLessThanOrEqual(0);
        await page.context().close();
      }
    });
});
