/**
 * `npm run screenshots [-- SCREEN …]`: pictures of the demo's screens, wide and narrow, light and dark, in
 * tests/output/screenshots/. `npm run screenshots -- readme` makes the picture that README.md shows.
 */
import { mkdir } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { seedDemo } from "../seed/load.ts";
import { launchBrowser, openPage } from "./support/browser.ts";
import { startServer } from "./support/server.ts";

/** Sheets of a restoration, of the club, and those beside both. */
const SHEETS = [
  "hold-ups",
  "hold-ups/over-time",
  "today",
  "parts",
  "parts/choices",
  "parts/field-sheet",
  "parts/suppliers",
  "parts/threads",
  "work",
  "work/hours",
  "work/snags",
  "money",
  "money/report",
  "restoration",
  "restoration/files",
];
const CLUB = ["sources", "sources/share", "wants", "spares", "matches", "batches", "complaints", "files", "member"];
const OTHERS = ["", "people", "account", "graphql", ...CLUB.map((sheet) => `club/${sheet}`)];
const SIZES = { wide: { width: 1280, height: 900 }, narrow: { width: 390, height: 844 } };

const asked = process.argv.slice(2);
const folder = fileURLToPath(new URL("output/screenshots/", import.meta.url));
await mkdir(folder, { recursive: true });
const server = await startServer({ fill: seedDemo });
const browser = await launchBrowser();
try {
  const { id } = await server.store.restoration.findFirstOrThrow();
  if (asked.includes("readme")) {
    const { page } = await openPage(browser, `${server.address}/restorations/${id}/hold-ups`, {
      viewport: { width: 1280, height: 1000 },
      colorScheme: "light",
    });
    await page.waitForLoadState("networkidle");
    await page.screenshot({ path: fileURLToPath(new URL("../web/pictures/hold-ups.png", import.meta.url)) });
    asked.splice(0, asked.length, "none");
  }
  const part = await server.store.part.findFirstOrThrow({ where: { restorationId: id }, orderBy: { code: "asc" } });
  const operation = await server.store.operation.findFirstOrThrow({ where: { restorationId: id } });
  const screens = [
    ...OTHERS.map((address) => ({ name: address.replaceAll("/", "-") || "restorations", address })),
    ...[...SHEETS, `parts/${part.id}`, `work/${operation.id}`].map((sheet) => ({
      name: sheet.replace(part.id, "part").replace(operation.id, "operation").replaceAll("/", "-"),
      address: `restorations/${id}/${sheet}`,
    })),
  ].filter(({ name }) => asked.length === 0 || asked.includes(name));
  for (const [size, viewport] of Object.entries(SIZES)) {
    for (const colorScheme of ["light", "dark"] as const) {
      for (const { name: screen, address } of screens) {
        const { page, errors } = await openPage(browser, `${server.address}/${address}`, { viewport, colorScheme });
        await page.waitForLoadState("networkidle");
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
