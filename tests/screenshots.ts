/**
 * `npm run screenshots [-- SCREEN …]`: pictures of the demo's screens, wide and narrow, light and dark, in
 * tests/output/screenshots/; those of a restoration also with nothing entered. `npm run screenshots -- readme` makes the picture that README.md shows.
 */
import { mkdir } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import type { Page } from "playwright-core";
import { fillDemo } from "../seed/load.ts";
import { launchBrowser, openPage } from "./support/browser.ts";
import { startServer } from "./support/server.ts";
import { CLUB_SHEETS, OTHER_SHEETS, SHEETS } from "./support/sheets.ts";

const SIZES = { wide: { width: 1280, height: 900 }, narrow: { width: 390, height: 844 } };

/** Waits for the sheet's own sign: it has its title, and nothing on it is being read or worked out, some frames on end. */
async function drawn(page: Page): Promise<void> {
  await page.waitForFunction(() => {
    const busy =
      document.querySelector("h1") === null ||
      document.querySelector(".state[role=status], .state [role=status], .odds-run, progress") ||
      // Runs that are drawn sooner than a moment show no progress.
      document.querySelector("#how-sure")?.childElementCount === 1;
    const kept = window as unknown as { still?: number };
    kept.still = busy ? 0 : (kept.still ?? 0) + 1;
    return kept.still > 10;
  });
}

const asked = process.argv.slice(2);
const folder = fileURLToPath(new URL("output/screenshots/", import.meta.url));
await mkdir(folder, { recursive: true });
const server = await startServer({ fill: fillDemo });
const browser = await launchBrowser();
try {
  const { id } = await server.store.restoration.findFirstOrThrow();
  if (asked.includes("readme")) {
    const { page } = await openPage(browser, `${server.address}/restorations/${id}/hold-ups`, {
      viewport: { width: 1280, height: 1500 },
      colorScheme: "light",
    });
    await drawn(page);
    await page.screenshot({ path: fileURLToPath(new URL("../web/pictures/hold-ups.png", import.meta.url)) });
    asked.splice(0, asked.length, "none");
  }
  const { store } = server;
  const inOrder = { orderBy: { code: "asc" } } as const;
  const part = await store.part.findFirstOrThrow({ where: { restorationId: id }, ...inOrder });
  const operation = await store.operation.findFirstOrThrow({ where: { restorationId: id }, ...inOrder });
  const supplier = await store.supplier.findFirstOrThrow(inOrder);
  const batch = await store.batch.findFirstOrThrow(inOrder);
  const added = await server.query<{ saveRestoration: { id: string } }>(
    `mutation { saveRestoration(input: { machine: "Thornlow lighting plant" }) { ... on Saved { id } } }`,
  );
  const empty = added.data!.saveRestoration;
  const named = (address: string, name = address) => ({ name: name.replaceAll("/", "-"), address });
  const screens = [
    ...OTHER_SHEETS.map((address) => named(address, address || "restorations")),
    ...CLUB_SHEETS.map((sheet) => named(`club/${sheet}`)),
    named(`club/batches/${batch.id}`, "club-batch"),
    ...SHEETS.map((sheet) => named(`restorations/${id}/${sheet}`, sheet)),
    named(`restorations/${id}/parts/${part.id}`, "part"),
    named(`restorations/${id}/parts/suppliers/${supplier.id}`, "supplier"),
    named(`restorations/${id}/work/${operation.id}`, "operation"),
    ...SHEETS.map((sheet) => named(`restorations/${empty.id}/${sheet}`, `empty-${sheet}`)),
  ].filter(({ name }) => asked.length === 0 || asked.includes(name));
  for (const [size, viewport] of Object.entries(SIZES)) {
    for (const colorScheme of ["light", "dark"] as const) {
      for (const { name: screen, address } of screens) {
        const { page, errors } = await openPage(browser, `${server.address}/${address}`, { viewport, colorScheme });
        await drawn(page);
        const name = `${screen}-${size}-${colorScheme}.png`;
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
