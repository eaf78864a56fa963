/** On paper: no label has a halo, no row or picture is cut, no heading stands alone at the foot of a page, no control is printed, and a line says what it is of. */

import type { Page } from "playwright-core";
import { describe, expect, it } from "vitest";
import { demoInBrowser } from "../support/demo.ts";

const demo = demoInBrowser();

/** What is printed though paper cannot be pressed. */
const controls = (page: Page) =>
  page.evaluate(() =>
    [...document.querySelectorAll<HTMLElement>("button, progress, .button, input[type=file], input[type=search]")]
      .filter((one) => one.checkVisibility() && !one.matches("thead button, .photograph-open, .hours-work button"))
      .map((one) => one.textContent),
  );

describe("in print", () => {
  for (const [sheet, sign] of [
    ["money/report", ".odds-line text"],
    ["money", ".cap-bar text"],
    ["hold-ups", ".rung"],
    ["hold-ups/over-time", "svg text"],
    ["today", "main h1"],
    ["work", "svg text"],
    ["work/by-hand", "main h1"],
    ["parts/choices", "main h1"],
    ["work/hours", ".hours-work"],
    ["work/snags", "main h1"],
    ["restoration/files", "main h1"],
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
      expect(await controls(page)).toEqual([]);
      const said = await page.$$eval(".paper-line > *", (all) =>
        all.map((one) => getComputedStyle(one, "::before").content).join(" "),
      );
      for (const words of ["Tallow & Wren", "Odile Farrant", "19 Jun 2027", "Mon 23 Nov 2026"])
        expect(said).toContain(words);
      expect(errors).toEqual([]);
      await page.context().close();
    });

  it("lists of machines are printed without their buttons", async () => {
    const { page } = await demo.open(`${demo.server.address}/`, {}, "main h1");
    await page.emulateMedia({ media: "print" });
    expect(await controls(page)).toEqual([]);
    await page.context().close();
  });

  it("the ladder's months and target stand again on each page, with no line through its labels", async () => {
    const { page } = await demo.open(demo.at("hold-ups"), {}, ".rung");
    await page.emulateMedia({ media: "print" });
    expect(await page.locator(".ladder-head").evaluate((head) => getComputedStyle(head).display)).toBe(
      "table-header-group",
    );
    const bare = await page.evaluate(() =>
      [...document.querySelectorAll<SVGTextElement>(".rung-drawing text")].flatMap((text) => {
        const patch = text.previousElementSibling?.getBoundingClientRect();
        const words = text.getBoundingClientRect();
        return words.width === 0 || (patch && patch.left <= words.left && patch.right >= words.right)
          ? []
          : [text.textContent];
      }),
    );
    expect(bare).toEqual([]);
    await page.context().close();
  });

  it("the bars of how sure are drawn, so that they are printed without backgrounds", async () => {
    const { page } = await demo.open(demo.at("hold-ups"), {}, ".week-bar");
    await page.emulateMedia({ media: "print" });
    const bars = await page.evaluate(() =>
      [...document.querySelectorAll(".week-bar")].map((bar) => getComputedStyle(bar.querySelector("rect") ?? bar).fill),
    );
    expect(bars.length).toBeGreaterThan(4);
    expect(bars.filter((fill) => fill !== "rgb(0, 0, 0)" && !fill.includes("#week-after"))).toEqual([]);
    await page.context().close();
  });

  it("the day is as wide as its page", async () => {
    const { page } = await demo.open(demo.at("today"), {}, ".lines");
    await page.emulateMedia({ media: "print" });
    const [list, main] = await page.evaluate(() =>
      [".lines", "main"].map((at) => document.querySelector(at)!.getBoundingClientRect().width),
    );
    expect(list!).toBeGreaterThan(0.95 * main!);
    expect(await page.locator("#by-mail").isVisible()).toBe(false);
    await page.context().close();
  });
});
