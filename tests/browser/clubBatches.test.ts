/** Batches: made, a name put down, changed, taken off with undo, closed by who gathers it, not filled; the price at each size drawn. */
import { beforeAll, describe, expect, it } from "vitest";
import { findingsOf } from "../support/axe.ts";
import { offThePage, SIZES, saidIn, sentenceOf, undoNewest } from "../support/demo.ts";
import { clubInBrowser } from "./clubInBrowser.ts";

const club = clubInBrowser();
let takingNames: string;
let notFilled: string;

beforeAll(async () => {
  const { store } = club.server;
  const terms = {
    clubId: club.club,
    memberId: club.member("Linnet Carrow"),
    machine: "Tallow & Wren 8 h.p.",
    maker: "Brindlewick Foundry",
    currency: "GBP",
    patternMinor: 60_000,
    setUpMinor: 12_000,
    unitMinor: 6_500,
    begunOn: "2026-09-01",
    leadDays: 56,
  } as const;
  const stages = {
    create: [
      { title: "Sample approved", percent: 40 },
      { title: "On delivery", percent: 60, position: 1 },
    ],
  };
  const one = await store.batch.create({
    data: {
      ...terms,
      code: "B-1",
      part: "Gearbox casing, both halves",
      smallest: 3,
      most: 8,
      closesOn: "2027-03-01",
      stages,
    },
  });
  takingNames = one.id;
  const other = await store.batch.create({
    data: { ...terms, code: "B-2", part: "Timing cover", smallest: 6, closesOn: "2026-10-30" },
  });
  notFilled = other.id;
  const held = { memberId: club.member("Linnet Carrow"), depositMinor: 8_000 };
  await store.nameDown.create({ data: { ...held, batchId: takingNames, quantity: 1 } });
  await store.nameDown.create({ data: { ...held, batchId: notFilled, quantity: 2 } });
  await store.batch.update({ where: { id: takingNames }, data: { putDown: 1 } });
  await store.batch.update({ where: { id: notFilled }, data: { putDown: 2 } });
});

describe("a batch", () => {
  it("opens by saying how many more fill it and what each then pays, and a name is put down, changed, taken off and brought back", async () => {
    const { page, errors } = await club.open(`batches/${takingNames}`, "Ambrose Pell");
    // Three pieces take four castings: 600 + 120 + 4 x 65 = 980, a third of it rounded up to the penny.
    await expect
      .poll(() => sentenceOf(page))
      .toMatch(
        /^Two more pieces fill it; each then pays £326\.67, less with every one after\. It closes on 1 Mar 2027, 98 days later; the odds/,
      );
    const mine = page.getByRole("region", { name: "What you are down for" });
    await mine.getByLabel("Put me down for").fill("2");
    await page.keyboard.press("Enter");
    await mine.getByText("You are down for 2 pieces").waitFor();
    await expect.poll(() => saidIn(mine)).toMatch(/The deposit of £\d+\.\d\d is held.*Sample approved£/);
    await expect
      .poll(() => sentenceOf(page))
      .toMatch(/^It is filled: 3 pieces at £326\.67 each; one more saves each £\d/);
    await mine.getByLabel("Put me down for").fill("1");
    await mine.getByRole("button", { name: "Change how many" }).click();
    await mine.getByText("You are down for 1 piece").waitFor();
    await mine.getByRole("button", { name: "Take my name off" }).click();
    await mine.getByRole("button", { name: "Put me down", exact: true }).waitFor();
    await undoNewest(page);
    await mine.getByText("You are down for 1 piece").waitFor();
    await mine.getByLabel("Put me down for").fill("9");
    await mine.getByRole("button", { name: "Change how many" }).click();
    await mine
      .locator(".form-problem")
      .getByText(/there is room for 7/)
      .waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("draws the price at each size with a table beside it, and tells deposits to who gathers it alone", async () => {
    const { page } = await club.open(`batches/${takingNames}`, "Linnet Carrow");
    const sizes = page.getByRole("region", { name: "What a piece costs at each size" });
    await expect.poll(() => sizes.locator("svg path.steps").getAttribute("d")).toMatch(/^M0\.0 80\.0L/);
    // Eight pieces take nine castings: 600 + 120 + 9 x 65 = 1305, an eighth of it rounded up to the penny.
    await expect.poll(() => saidIn(sizes.locator("tbody tr", { hasText: "8 pieces" }))).toContain("£163.13");
    const namesDown = page.getByRole("region", { name: "Names down", exact: true });
    await expect.poll(() => saidIn(namesDown)).toMatch(/Deposits: £\d+\.\d\d held\./);
    await page.context().close();
    const theirs = await club.open(`batches/${takingNames}`);
    await expect
      .poll(() => saidIn(theirs.page.getByRole("region", { name: "Names down", exact: true })))
      .not.toContain("held");
    await theirs.page.context().close();
  });

  it("is closed by who gathers it once it is filled, and undo takes names for it again", async () => {
    const { page } = await club.open(`batches/${takingNames}`, "Linnet Carrow");
    const close = page.getByRole("button", { name: "Close it now: it goes ahead" });
    await expect.poll(() => close.isDisabled()).toBe(true);
    const mine = page.getByRole("region", { name: "What you are down for" });
    await mine.getByLabel("Put me down for").fill("2");
    await mine.getByRole("button", { name: "Change how many" }).click();
    await mine.getByText("You are down for 2 pieces").waitFor();
    await close.click();
    await page.getByText(/^It goes ahead with 3 pieces at £326\.67 each/).waitFor();
    await undoNewest(page);
    await close.waitFor();
    await page.context().close();
  });

  it("that closed short says that it does not go ahead and that the deposits are returned", async () => {
    const { page } = await club.open(`batches/${notFilled}`, "Linnet Carrow");
    await expect
      .poll(() => sentenceOf(page))
      .toBe("It closed on 30 Oct 2026, 4 pieces short of 6: it does not go ahead, and every deposit is returned.");
    await expect
      .poll(() => saidIn(page.getByRole("region", { name: "Names down", exact: true })))
      .toContain("Deposits: £80.00 returned.");
    await page.context().close();
  });

  it("is made with payments in stages, faults standing at their cells, and can be taken into the plan", async () => {
    const { page } = await club.open("batches");
    await expect
      .poll(() => sentenceOf(page))
      .toMatch(/^1 batch is taking names: Gearbox casing, both halves, which closes on 1 Mar 2027, 98 days later\./);
    await page.getByRole("button", { name: "Make a batch" }).click();
    const form = page.getByRole("form", { name: "Make a batch" });
    await form.getByLabel("Part", { exact: true }).fill("Magneto bearing housing");
    await form.getByLabel("Maker", { exact: true }).fill("Pellworth Magnetos");
    await form.getByLabel("Pattern or tooling").fill("450");
    await form.getByLabel("Each casting").fill("38.50");
    await form.getByLabel("Smallest size").fill("4");
    await form.getByLabel("Closes on").fill("2027-02-15");
    await form.getByLabel("From closing to having the parts").fill("42");
    await form.getByRole("button", { name: "Add a payment" }).click();
    await form.getByLabel("Due when").fill("On delivery");
    await form.getByLabel("Per cent").fill("most");
    await form.getByRole("button", { name: "Make the batch" }).click();
    await form.locator(".fault").getByText("A whole number is needed.").waitFor();
    await form.getByLabel("Per cent").fill("100");
    await form.getByRole("button", { name: "Make the batch" }).click();
    await page.waitForURL(/\/club\/batches\/[^/]+$/);
    // Four pieces take five castings: 450 + 5 x 38.50 = 642.50.
    await expect.poll(() => sentenceOf(page)).toMatch(/^Four more pieces fill it; each then pays £160\.63/);
    await page.getByRole("button", { name: "Take it into my plan" }).first().click();
    // Before anything is typed the part called as the batch stands first, whatever its code.
    for (const [code, name] of [
      ["AA-01", "Air duct"],
      ["ZZ-09", "Magneto bearing housing"],
    ] as const)
      await club.server.store.part.create({
        data: { restorationId: club.restoration, code, codeOrder: code, name, stateOnHand: "MISSING" },
      });
    await club.server.store.restoration.update({
      where: { id: club.restoration },
      data: { planRevision: { increment: 1 } },
    });
    await page.getByRole("combobox", { name: "For my part" }).click();
    await expect.poll(() => page.getByRole("option").count()).toBe(3);
    expect(await page.getByRole("option").first().textContent()).toContain("Magneto bearing housing");
    await page.getByRole("combobox", { name: "For my part" }).fill("casing");
    await page.getByRole("option", { name: /Gearbox casing/ }).click();
    await page.getByRole("form").getByRole("button", { name: "Take it into my plan" }).click();
    await page.locator(".notice").getByText("Planned batch").waitFor();
    const where = { partId: club.part };
    await expect
      .poll(() => club.server.store.quote.findMany({ where }))
      .toMatchObject([{ unitPriceMinor: 16_063, leadDays: 42 }]);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      for (const sheet of ["batches", `batches/${takingNames}`, `batches/${notFilled}`]) {
        const { page } = await club.open(sheet, "Ambrose Pell", size);
        expect(await findingsOf(page), sheet).toEqual([]);
        await expect.poll(() => offThePage(page), { message: sheet }).toBeLessThanOrEqual(0);
        await page.context().close();
      }
    });
});
