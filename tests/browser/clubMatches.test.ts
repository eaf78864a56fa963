/** Wants and spares: own lists, where they meet, what is written about them, and the step into the plan. */
import { beforeAll, describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { offThePage, SIZES, saidIn, sentenceOf, undoNewest } from "../support/demo.ts";
import { clubInBrowser } from "./clubInBrowser.ts";

const club = clubInBrowser();
const MACHINE = "Tallow & Wren 8 h.p.";
let want: string;
let spare: string;

beforeAll(async () => {
  const { store } = club.server;
  const { id } = await store.want.create({
    data: {
      clubId: club.club,
      memberId: club.member("Hesper Quill"),
      partId: club.part,
      code: "W-1",
      part: "Gearbox casing",
      machine: MACHINE,
      references: "TW-1187",
      needBy: "2027-02-01",
    },
  });
  want = id;
  const offered = await store.spare.create({
    data: {
      clubId: club.club,
      memberId: club.member("Linnet Carrow"),
      code: "X-1",
      part: "Casing for a gearbox, cracked",
      machine: MACHINE,
      references: "TW 1187",
      provenance: "ORIGINAL",
      condition: "REPAIRABLE",
      priceMinor: 30_000,
      currency: "GBP",
    },
  });
  spare = offered.id;
});

describe("wants and spares", () => {
  it("are listed as own and as everybody's; a want is met and wanted again, and undo brings back what was removed", async () => {
    const { page, errors } = await club.open("wants", "Ambrose Pell");
    await expect
      .poll(() => sentenceOf(page))
      .toBe("Members look for 1 part. None of yours meets another's at present.");
    await page.getByRole("button", { name: "Say what you want" }).click();
    await page.keyboard.type("Hub cap");
    await page.keyboard.press("Enter");
    const own = page.getByRole("region", { name: "What you want" }).locator("tbody tr");
    await own.getByText("Hub cap").first().waitFor();
    await own.getByRole("button", { name: "I have it" }).click();
    await own.getByText("found").waitFor();
    await page.getByText("Members look for 1 part.").waitFor();
    await own.getByRole("button", { name: "Want it again" }).click();
    await page.getByText("Members look for 2 parts.").waitFor();
    await own.getByRole("button", { name: "Remove" }).click();
    await own.waitFor({ state: "detached" });
    await undoNewest(page);
    await own.getByText("Hub cap").first().waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("a want takes its words from a part of the own restoration", async () => {
    await club.server.store.part.create({
      data: { restorationId: club.restoration, code: "BR-07", name: "Brake drum", quantity: 2, stateOnHand: "MISSING" },
    });
    const { page } = await club.open("wants");
    await page.getByRole("button", { name: "Say what you want" }).click();
    await page.getByRole("combobox", { name: "Part of my own" }).fill("drum");
    await page.getByRole("option", { name: /Brake drum/ }).click();
    await page.getByRole("button", { name: "Want it", exact: true }).click();
    const own = page.getByRole("region", { name: "What you want" }).locator("tbody tr", { hasText: "Brake drum" });
    await own.waitFor();
    await expect.poll(() => saidIn(own)).toContain("2 of them1913 Tallow & Wren 8 h.p.");
    await page.context().close();
  });

  it("a spare is offered by keyboard, and is gone", async () => {
    const { page } = await club.open("spares", "Ambrose Pell");
    await page.getByRole("button", { name: "Offer a spare" }).click();
    await page.keyboard.type("Acetylene lamp bracket");
    await page.keyboard.press("Enter");
    const own = page.getByRole("region", { name: "What you can let go" }).locator("tbody tr");
    await own.getByText("to be agreed").waitFor();
    await own.getByRole("button", { name: "It is gone" }).click();
    await own.getByText("gone", { exact: true }).waitFor();
    await page.context().close();
  });
});

describe("a match", () => {
  it("stands in both directions with its reason, and its two members write to each other about it", async () => {
    const { page } = await club.open("matches");
    await expect
      .poll(() => sentenceOf(page))
      .toBe("1 match. The surest: Linnet Carrow can let Gearbox casing go and asks £300.00.");
    await expect.poll(() => saidIn(page.locator("tbody tr"))).toContain("the same reference number");
    await page.locator("tbody th a").click();
    await page.getByRole("textbox", { name: "To Linnet Carrow" }).fill("Is the crack in the bearing boss?");
    await page.getByRole("button", { name: "Send it to Linnet Carrow" }).click();
    await page.getByText("1 message, the oldest first").waitFor();
    await page.context().close();

    const theirs = await club.open("matches", "Linnet Carrow");
    await expect.poll(() => sentenceOf(theirs.page)).toContain("Hesper Quill wants Casing for a gearbox, cracked");
    await theirs.page.locator("tbody th a").click();
    await theirs.page.getByText("Is the crack in the bearing boss?").waitFor();
    await theirs.page.getByRole("textbox", { name: "To Hesper Quill" }).fill("No, along the lower joint.");
    await theirs.page.getByRole("button", { name: "Send it to Hesper Quill" }).click();
    await theirs.page.getByText("2 messages, the oldest first").waitFor();
    await undoNewest(theirs.page);
    await theirs.page.getByText("1 message, the oldest first").waitFor();
    await theirs.page.context().close();

    const third = await club.open(`matches/${want}/${spare}`, "Ambrose Pell");
    await third.page.getByRole("heading", { name: "No such match" }).waitFor();
    await third.page.context().close();
  });

  it("becomes a quote in the plan in one step, which undo takes out", async () => {
    const { store } = club.server;
    const { page } = await club.open(`matches/${want}/${spare}`);
    await page.getByRole("button", { name: "Take it into my plan at £300.00" }).click();
    await page.locator(".notice").getByText("Planned Casing for a gearbox, cracked from Linnet Carrow").waitFor();
    const where = { partId: club.part };
    await expect.poll(() => store.quote.findMany({ where })).toMatchObject([{ unitPriceMinor: 30_000, leadDays: 7 }]);
    await undoNewest(page);
    await page.locator(".notice").getByText("Took back").waitFor();
    await expect.poll(() => store.quote.count({ where })).toBe(0);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`and the lists have no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      for (const sheet of ["wants", "spares", "matches", `matches/${want}/${spare}`]) {
        const { page } = await club.open(sheet, "Hesper Quill", size);
        expect(await findingsOf(page), sheet).toEqual([]);
        await expect.poll(() => offThePage(page), { message: sheet }).toBeLessThanOrEqual(0);
        await page.context().close();
      }
    });
});
