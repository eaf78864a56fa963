/** How long the sheets are on a phone, and that the first screen answers what each is opened for. */
import { expect, it } from "vitest";
import { fillDemo } from "../../seed/load.ts";
import { demoInBrowser } from "../support/demo.ts";

const demo = demoInBrowser(fillDemo);
const PHONE = { width: 390, height: 844 };

/** The most pixels that a sheet of the demo takes, and what is seen of it without scrolling. */
const SHEETS: readonly { sheet: string; part?: string; most: number; first: readonly string[] }[] = [
  { sheet: "hold-ups", most: 3000, first: [".far h1", ".lines.acts > li:last-child"] },
  { sheet: "today", most: 2100, first: [".far h1", "#order .lines > li:first-child .do a"] },
  { sheet: "parts", most: 2000, first: [".far h1", "tbody tr:nth-child(2) .brief a"] },
  { sheet: "parts", part: "TR-01", most: 2200, first: [".far h1", ".part-facts"] },
  { sheet: "parts", part: "TR-02", most: 2200, first: [".far h1", ".part-facts"] },
  { sheet: "sources", most: 3500, first: ["main h1", "tbody tr:nth-child(2) .brief"] },
  { sheet: "batches", most: 2500, first: ["main h1", "tbody tr:first-child .brief"] },
];

const CLUB: ReadonlySet<string> = new Set(["sources", "batches"]);

for (const { sheet, part, most, first } of SHEETS)
  it(`${part ?? sheet} is no longer than ${most} pixels on a phone, and its first screen holds the answer`, async () => {
    const { page } = await demo.open(
      CLUB.has(sheet) ? `${demo.server.address}/club/${sheet}` : demo.at(part ? `${sheet}/${demo.part(part)}` : sheet),
      { viewport: PHONE },
      first[0],
    );
    for (const what of first) {
      const box = await page.locator(what).first().boundingBox();
      expect(box!.y).toBeGreaterThanOrEqual(0);
      expect(box!.y + box!.height).toBeLessThanOrEqual(PHONE.height);
    }
    // The drawing of the odds comes last.
    if (sheet === "hold-ups") await page.locator("#how-sure .weeks").waitFor();
    expect(await page.evaluate(() => document.documentElement.scrollHeight)).toBeLessThanOrEqual(most);
    await page.context().close();
  });
