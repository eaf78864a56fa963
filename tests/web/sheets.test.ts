/** The pictures of all screens are of sheets that the app has, and of all of them. */
import { readFile } from "node:fs/promises";
import { expect, it } from "vitest";
import { CLUB_SHEETS, OTHER_SHEETS, SHEETS } from "../support/sheets.ts";

/** Paths of the routes, each with what it shows; those of one row alone and those that lead elsewhere are left out. */
async function routes(): Promise<{ path: string; shows: string }[]> {
  const app = await readFile(new URL("../../web/main.tsx", import.meta.url), "utf8");
  return [...app.matchAll(/<Route\s+path="([^"]+)"\s+element=\{\s*<(\w+)/g)]
    .map(([, path, shows]) => ({ path: path!, shows: shows! }))
    .filter(({ path, shows }) => !/[:*]/.test(path) && !shows.startsWith("Moved"));
}

it("every sheet of the app has its picture, and every picture its sheet", async () => {
  const paths = (await routes()).map(({ path }) => path.replace(/^\//, ""));
  // Whoever is signed in joins nothing, and the club opens on its sources.
  const shown = paths.filter((path) => !["join", "club"].includes(path));
  expect(shown.length).toBeGreaterThan(20);
  expect([...SHEETS, ...CLUB_SHEETS, ...OTHER_SHEETS].sort()).toEqual(shown.sort());
});
