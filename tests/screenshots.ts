/**
 * `npm run screenshots [-- SCREEN …]`: pictures of the demo's screens, wide and narrow, light and dark, in
 * tests/output/screenshots/. `npm run screenshots -- readme` makes the picture that README.md shows.
 */
import { mkdir } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { seedDemo } from "../seed/load.ts";
import { launchBrowser, openPage } from "./support/browser.ts";
import { startServer } from "./support/server.ts";

const SCREENS = [
  "hold-ups",
  "over-time",
  "choices",
  "money",
  "owner",
  "field-sheet",
  "parts",
  "work",
  "hours",
  "snags",
  "suppliers",
  "restoration",
  "files",
];
const SIZES = { wide: { width: 1280, height: 900 }, narrow: { width: 390, height: 844 } };

const asked = process.argv.slice(2);
const folder = fileURLToPath(new URL("output/screenshots/", import.meta.url));
await mkdir(folder, { recursive: true });
const server = await startServer({ fill: seedDemo });
const browser = await launchBrowser();
try {
  const { id } = await server.store.restoration.findFirstOrThrow();
  if (asked.includes("readme")) {
    const { page } = await openPage(browser, `${server.address}/r/${id}/hold-ups`, {
      viewport: { width: 1280, height: 1000 },
      colorScheme: "light",
    });
    await page.waitForLoadState("networkidle");
    await page.screenshot({ path: fileURLToPath(new URL("../web/pictures/hold-ups.png", import.meta.url)) });
    asked.splice(0, asked.length, "none");
  }
  const screens = ["", ...SCREENS].filter((screen) => asked.length === 0 || asked.includes(screen || "restorations"));
  for (const [size, viewport] of Object.entries(SIZES)) {
    for (const colorScheme of ["light", "dark"] as const) {
      for (const screen of screens.map((name) => (name === "" ? "" : `r/${id}/${name}`))) {
        const { page, errors } = await openPage(browser, `${server.address}/${screen}`, { viewport, colorScheme });
        await page.waitForLoadState("networkidle");
        const name = `${screen.split("/").at(-1) || "restorations"}-${size}-${colorScheme}.png`;
        await page.screenshot({ path: `${folder}${name}`, fullPage: true });
        console.log(errors.length === 0 ? name : `${name}: ${errors.join("; ")}`);
        await page.context().close();
      }
    }
  }
} finally {
  await browser.close();
  await server.close();
}
