/**
 * How much a machine of ten parts asks of whoever enters it. Counted is each click and tap, and each key that is pressed
 * outside text, such as Tab and Enter; a paste is one key. What is copied is there in a spreadsheet already.
 */
import type { Page } from "playwright-core";
import { expect, it } from "vitest";
import { demoInBrowser } from "../support/demo.ts";

const demo = demoInBrowser();

const MOST = 60;

const PARTS = [
  ["Carburettor", "1", "missing"],
  ["Magneto", "1", "missing"],
  ["Head gasket", "1", "missing"],
  ["Piston", "2", "missing"],
  ["Gudgeon pin", "2", "missing"],
  ["Main bearing", "2", "missing"],
  ["Oil pump", "1", "missing"],
  ["Cylinder stud", "8", "missing"],
  ["Inlet valve", "2", "missing"],
  ["Hub", "2", "missing"],
] as const;

/** Title, trade, hours, what comes before it, and what it needs. */
const WORK = [
  ["Strip the engine", "engine", "24", "", ""],
  ["Clean the crankcase", "engine", "10", "above", ""],
  ["Line the bearings", "engine", "20", "above", "2 × Main bearing"],
  ["Fit the crankshaft", "engine", "12", "above", "Oil pump"],
  ["Fit the pistons", "engine", "8", "above", "2 × Piston; 2 × Gudgeon pin"],
  ["Grind the valves", "engine", "6", "Strip the engine", "2 × Inlet valve"],
  ["Fit the head", "engine", "5", "Fit the pistons; above", "Head gasket; 8 × Cylinder stud"],
  ["Fit the magneto", "electrical", "4", "above", "Magneto"],
  ["Fit the carburettor", "engine", "4", "Fit the head", "Carburettor"],
  ["First run", "engine", "8", "Fit the magneto; above", "2 × Hub"],
] as const;

const quote = (name: string, at: number) =>
  [name, `Maker ${(at % 3) + 1}`, "reproduction", `${20 + at}.50`, "", String(14 + 7 * at)] as const;

/** A page on which everything that is counted is done here. */
function counting(page: Page) {
  let count = 0;
  return {
    get count() {
      return count;
    },
    async click(role: "link" | "button" | "cell", name: string) {
      count += 1;
      const at = role === "cell" ? page.getByLabel(name, { exact: true }) : page.getByRole(role, { name, exact: true });
      await at.first().click();
    },
    /** One key for the paste, and none for what was copied elsewhere. */
    async paste(rows: readonly (readonly string[])[]) {
      count += 1;
      await page.evaluate(
        (text) => {
          const clipboardData = new DataTransfer();
          clipboardData.setData("text/plain", text);
          const event = new ClipboardEvent("paste", { clipboardData, bubbles: true, cancelable: true });
          document.activeElement!.dispatchEvent(event);
        },
        rows.map((row) => row.join("\t")).join("\n"),
      );
    },
  };
}

const counts = async (restorationId: string) => {
  const where = { where: { restorationId } };
  const { part, operation, link, need, quote: quotes, change } = demo.server.store;
  const [parts, operations, links, needs, quoted, changes] = await Promise.all([
    part.count(where),
    operation.count(where),
    link.count(where),
    need.count(where),
    quotes.count(where),
    change.count({ where: { restorationId, summary: { startsWith: "Added 3 suppliers" } } }),
  ]);
  return { parts, operations, links, needs, quoted, changes };
};

const ALL = { parts: 10, operations: 10, links: 11, needs: 10, quoted: 10, changes: 1 };

/** The first order-by date that stands on the list of parts. */
async function firstOrderBy(page: Page, restoration: string): Promise<void> {
  await page.goto(demo.at("parts?sort=orderBy", restoration));
  const dates = page.locator('tbody td[data-label="Order-by"] time');
  await dates.first().waitFor();
  expect(await dates.first().getAttribute("datetime")).toMatch(/^\d{4}-\d\d-\d\d$/);
}

it("pasted from a spreadsheet, ten parts, ten operations, their links and ten quotes take at most sixty clicks and keys", async () => {
  const restoration = await demo.addEmpty();
  const { page } = await demo.open(demo.at("parts", restoration));
  const hand = counting(page);
  await hand.click("link", "Add several");
  await hand.click("cell", "Part, part 1");
  await hand.paste([["Part", "How many", "State"], ...PARTS]);
  await page.getByText("10 lines pasted.").first().waitFor();
  await hand.click("cell", "Operation, operation 1");
  await hand.paste([["Operation", "Trade", "Hours, likely", "Comes after", "Parts it needs"], ...WORK]);
  await hand.click("cell", "Part, quote 1");
  await hand.paste(PARTS.map(([name], at) => quote(name, at)));
  await expect.poll(() => page.getByText("10 lines pasted.").count()).toBe(3);
  await hand.click("button", "Add 10 parts, 10 operations and 10 quotes");
  await page.locator(".notice", { hasText: "Added 3 suppliers" }).waitFor();
  expect(await counts(restoration)).toEqual(ALL);
  expect(hand.count).toBeLessThanOrEqual(MOST);
  await firstOrderBy(page, restoration);
  await page.context().close();
});
