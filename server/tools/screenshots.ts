/** `npm run screenshots`: pictures of every screen of the demo, wide and narrow, light and dark, in tests/output/screenshots/. */
import { mkdir } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { seedDemo } from "../../seed/load.ts";
import { launchBrowser, openPage } from "../../tests/support/browser.ts";
import { startServer } from "../../tests/support/server.ts";

const SCREENS = ["hold-ups", "parts", "work", "snags", "suppliers", "restoration", "files"];
const SIZES = { wide: { width: 1280, height: 900 }, narrow: { width: 390, height: 844 } };

const folder = fileURLToPath(new URL("../../tests/output/screenshots/", import.meta.url));
await mkdir(folder, { recursive: true });
const server = await startServer({ fill: seedDemo });
const browser = await launchBrowser();
try {
  const { id } = await server.store.restoration.findFirstOrThrow();
  for (const [size, viewport] of Object.entries(SIZES)) {
    for (const colorScheme of ["light", "dark"] as const) {
      for (const screen of ["", ...SCREENS.map((name) => `r/${id}/${name}`)]) {
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
