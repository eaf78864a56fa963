/** The money sheet: sums that add up on the screen, the cap, the ledger with its filters, and entries put right. */
import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { call, saved } from "../api/shop.ts";
import { findingsOf } from "../support/axe.ts";
import { demoInBrowser, offThePage, SIZES, saidIn, sentenceOf, undoNewest } from "../support/demo.ts";

const demo = demoInBrowser();
const openMoney = (query = "", options = {}) => demo.open(demo.at(`money${query}`), options, ".cap-bar svg");

/** Pence of every amount that a text holds. */
const penceIn = (text: string): number[] =>
  [...text.matchAll(/(-?)£([\d,]+)\.(\d\d)/g)].map(([, sign, pounds, pence]) => {
    const amount = Number(`${pounds!.replaceAll(",", "")}${pence}`);
    return sign ? -amount : amount;
  });
const column = async (page: Page, section: string, title: string): Promise<number[]> =>
  (await page.locator(`${section} tbody td[data-label="${title}"]`).allTextContents()).map(
    (text) => penceIn(text)[0] ?? 0,
  );
const sumOf = (amounts: readonly number[]): number => amounts.reduce((sum, amount) => sum + amount, 0);

describe("the money sheet", () => {
  it("opens with what is paid, owed and to come against the cap, and its rows add up to the penny", async () => {
    const { page, errors } = await openMoney();
    const sentence = await sentenceOf(page);
    const [paid, owed, toCome, counted, cap, left] = penceIn(sentence);
    expect(sentence).toMatch(/is paid, .* owed, and .* still to come .* against the cap of .* under it/);
    expect(paid! + owed! + toCome!).toBe(counted);
    expect(cap! - counted!).toBe(left);
    for (const title of ["Least", "As planned", "Most"]) {
      const rows = await column(page, "#all", title);
      expect(sumOf(rows.slice(0, -1))).toBe(rows.at(-1));
    }
    const total = (await column(page, "#all", "As planned")).at(-1);
    await expect.poll(async () => sumOf(await column(page, "#by-group", "All, as planned"))).toBe(total);
    await expect.poll(async () => sumOf(await column(page, "#by-month", "All, as planned"))).toBe(total);
    const key = (await page.locator(".cap-key tbody tr").allTextContents()).map((row) => penceIn(row).at(-1));
    expect(sumOf(key.slice(0, 5) as number[])).toBe(key[5]);
    expect(key.slice(6)).toEqual([counted, cap, left]);
    // The bar is drawn to the same scale: paid against counted.
    const widths = await page
      .locator(".cap-bar > svg > rect")
      .evaluateAll((rects) => rects.map((rect) => rect.getBoundingClientRect().width));
    expect(widths[0]! / widths.reduce((sum, width) => sum + width, 0)).toBeCloseTo(paid! / counted!, 2);
    await expect
      .poll(() => saidIn(page.locator("#at-risk")))
      .toMatch(/Cylinder barrels.*Brindlewick Foundry.*28 days late.*£540/);
    await page
      .locator("#contingency")
      .getByText(/Set aside £[\d,.]+ beyond the plan.*4 in 5/)
      .waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("pays work that was sent out, and the entry stands with its operation, where it is taken back", async () => {
    const { store } = demo.server;
    const operation = await store.operation.findFirstOrThrow({ where: { id: demo.operation("HUBS") } });
    const { id: way } = await saved(demo.server, "OperationWay", {
      operation: operation.id,
      title: "Sent to the wheelwright",
      priceMinor: 9_000,
    });
    const choose = (chosen: string | null, revision: number) =>
      call(demo.server, "chooseWay", "$operation: ID!, $way: ID, $revision: Int!", {
        operation: operation.id,
        way: chosen,
        revision,
      });
    expect((await choose(way, operation.revision)).__typename).toBe("Saved");
    const { page, errors } = await openMoney();
    const row = page.locator("#direct tbody tr").filter({ hasText: operation.title });
    await row.getByRole("button", { name: "Add a payment" }).click();
    await page.locator("#direct").getByLabel("Amount").fill("40");
    await page.locator("#direct").getByRole("button", { name: "Save the payment" }).click();
    await expect.poll(async () => penceIn(await saidIn(row))).toEqual([9_000, 4_000, 5_000]);
    await page.goto(demo.at(`work/${operation.id}`));
    const paid = page.locator("#ways").getByRole("table");
    await expect.poll(() => saidIn(paid)).toContain("£40.00");
    expect(await findingsOf(page)).toEqual([]);
    if (process.env["SHOTS"]) await page.screenshot({ path: `${process.env["SHOTS"]}/way.png`, fullPage: true });
    await paid.getByRole("button", { name: "Take back" }).click();
    await page.goto(demo.at("money"));
    await expect.poll(async () => penceIn(await saidIn(row))).toEqual([9_000, 0, 9_000]);
    if (process.env["SHOTS"]) await page.screenshot({ path: `${process.env["SHOTS"]}/money.png`, fullPage: true });
    expect(errors).toEqual([]);
    await page.context().close();
    await choose(null, operation.revision + 1);
  });

  it("narrows, sorts and pages the ledger by the address alone", async () => {
    const { page } = await openMoney("?kind=DEPOSIT&sort=-home");
    const rows = page.locator("#ledger tbody tr");
    await rows.first().waitFor();
    const kinds = await page.locator('#ledger td[data-label="Kind"]').allTextContents();
    expect(new Set(kinds)).toEqual(new Set(["deposit"]));
    const amounts = await column(page, "#ledger", "In GBP");
    expect(amounts).toEqual(amounts.toSorted((a, b) => b - a));
    await page.getByLabel("Search").fill("Brindlewick");
    await page.waitForURL(/q=Brindlewick/);
    await page.waitForFunction(() => document.querySelectorAll("#ledger tbody tr").length === 1);
    await page.getByLabel("Kind", { exact: true }).selectOption("RECEIPT");
    await page.getByText("No entry matches.").waitFor();
    await page.context().close();
  });

  it("enters an invoice and a receipt, and corrects by a further entry that undo takes back", async () => {
    const { page, errors } = await openMoney();
    const ledger = page.locator("#ledger");
    const asked = () => saidIn(page.locator("#all > p").last());
    await expect
      .poll(() => asked())
      .toContain("Asked of the owner £8,300.00, received £3,500.00: £4,800.00 is outstanding.");
    const counted = ledger.locator(".paging p");
    await counted.getByText(/\d+ entries/).waitFor();
    const first = Number(/(\d+) entries/.exec(await saidIn(counted))![1]);
    await ledger.getByRole("button", { name: "Enter an invoice" }).click();
    await ledger.getByLabel("Amount").fill("12.345");
    await ledger.getByRole("button", { name: "Save the invoice" }).click();
    await ledger.locator(".fault").waitFor();
    await ledger.getByLabel("Amount").fill("1,200.50");
    await ledger.getByRole("button", { name: "Save the invoice" }).click();
    await page.getByText("Asked of the owner £9,500.50").waitFor();
    // The ledger is read by itself, so it may stand a moment behind the sentence.
    await ledger.getByText(`${first + 1} entries`).waitFor();
    await ledger.getByRole("button", { name: "Enter a receipt" }).click();
    await ledger.getByLabel("Amount").fill("4800");
    await page.keyboard.press("Enter");
    await page.getByText("received £8,300.00").waitFor();
    // Corrected: the wrong entry, one against it, and the right one.
    const before = first + 2;
    await ledger.getByText(`${before} entries`).waitFor();
    await ledger.getByRole("button", { name: "Correct receipt of 23 Nov 2026" }).click();
    await ledger.getByLabel("Amount").fill("4700");
    await ledger.getByRole("button", { name: "Save the correction" }).click();
    await page.getByText("received £8,200.00").waitFor();
    await ledger.getByText(`${before + 2} entries`).waitFor();
    const kinds = () => ledger.locator('td[data-label="Kind"]').allTextContents();
    await expect.poll(kinds).toContain("receipt, taken back");
    await expect.poll(kinds).toContain("receipt, corrected since");
    await ledger.getByRole("button", { name: "Next" }).click();
    await page.waitForURL(/entries=/);
    await ledger.getByText("17 Aug 2026").first().waitFor();
    await page.goBack();
    await undoNewest(page);
    await page.getByText("received £8,300.00").waitFor();
    // A payment is taken back by an entry too.
    const words = await sentenceOf(page);
    const paid = penceIn(words)[0]!;
    await ledger.getByRole("button", { name: "Take back balance of 9 Nov 2026" }).click();
    await page.waitForFunction(
      (beginning) => !document.querySelector("p.sentence")?.textContent?.startsWith(beginning),
      words.slice(0, 10),
    );
    await expect.poll(async () => penceIn(await sentenceOf(page))[0]).toBe(paid - 7_200);
    expect(errors).toEqual([]);
    await page.context().close();
  });

  it("says how to begin where nothing is entered", async () => {
    const { page, errors } = await demo.open(demo.at("money", await demo.addEmpty()));
    await page.getByText("No cap is set.").waitFor();
    await expect
      .poll(() => sentenceOf(page))
      .toBe(
        "No money is spent, owed or planned yet. Prices come with the quotes of parts, labour with the hours of work.",
      );
    await page.getByText(/Nothing is entered yet/).waitFor();
    expect(errors).toEqual([]);
    await page.context().close();
  });

  for (const size of SIZES)
    it(`has no accessibility finding at ${size.viewport.width} in ${size.colorScheme}, and nothing runs off the side`, async () => {
      const { page } = await openMoney("", size);
      await page.locator("#contingency strong").waitFor();
      await page.locator("#ledger").getByRole("button", { name: "Enter an invoice" }).click();
      expect(await findingsOf(page)).toEqual([]);
      await expect.poll(() => offThePage(page)).toBeLessThanOrEqual(0);
      await page.context().close();
    });
});
