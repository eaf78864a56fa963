/** Accessibility findings of a page, by axe-core with the rules of WCAG 2.2 A and AA and its best practices. */
import { readFile } from "node:fs/promises";
import { createRequire } from "node:module";
import type { AxeResults, RunOptions } from "axe-core";
import type { Page } from "playwright-core";

const source = readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const OPTIONS: RunOptions = {
  runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
  resultTypes: ["violations"],
};

/** One line a finding: its rule, what it asks for, and where. Empty when there is none. */
export async function findingsOf(page: Page): Promise<string[]> {
  // Evaluated rather than added as a script element, which the server's content policy forbids.
  await page.evaluate(await source);
  const { violations } = (await page.evaluate((options) => {
    const { axe } = window as unknown as { axe: { run: (options: unknown) => Promise<unknown> } };
    return axe.run(options);
  }, OPTIONS)) as AxeResults;
  return violations.map(
    (found) => `${found.id}: ${found.help} at ${found.nodes.map((node) => node.target.join(" ")).join(", ")}`,
  );
}
