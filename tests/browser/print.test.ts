/** On paper: no label has a halo, no row or picture is cut, and no heading stands alone at the foot of a page. */
import { describe, expect, it } from "vitest";
import { demoInBrowser } from "../support/demo.ts";

const demo = demoInBrowser();

describe("in print", () => {
  for (const [sheet, sign] of [
    ["money/report", ".odds-line text"],
    ["money", ".cap-bar text"],
    ["hold-ups", ".rung"],
    ["hold-ups/over-time", "svg text"],
    ["today", "main h1"],
    ["work", "svg text"],
    ["work/by-hand", "main h1"],
    ["choices", "main h1"],
  ] as const)
    it(`labels are plain, and rows, pictures and headings stay whole: ${sheet}`, async () => {
      const { page, errors } = await demo.open(demo.at(sheet), {}, sign);
      await page.emulateMedia({ media: "print" });
      const found = await page.evaluate(() => {
        const among = (selector: string, wrong: (style: CSSStyleDeclaration) => boolean) =>
          [...document.querySelectorAll(selector)]
            .filter((element) => wrong(getComputedStyle(element)))
            .map((element) => `${selector}: ${(element.textContent ?? "").slice(0, 40)}`);
        return {
          labels: document.querySelectorAll("svg text").length,
          wrong: [
            ...among("svg text", ({ stroke, textShadow }) => stroke !== "none" || textShadow !== "none"),
            ...among("main tr, main figure, main img, main svg, main .rung", (style) => style.breakInside !== "avoid"),
            ...among("main h2, main h3, main .headline, main thead", (style) => style.breakAfter !== "avoid"),
          ],
        };
      });
      expect(found.wrong).toEqual([]);
      if (sign.endsWith("text")) expect(found.labels).toBeGreaterThan(0);
      expect(errors).toEqual([]);
      await page.context().close();
    });
});
