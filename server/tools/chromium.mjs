/** Finds the Chromium that browser tests and screenshots use. Plain Node: it runs before anything is installed. */
import { accessSync, constants, existsSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";

const NAMES = ["chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "chrome"];
const PLACES = [
  "/Applications/Chromium.app/Contents/MacOS/Chromium",
  "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
];

/** Flags for a quiet, headless Chromium that asks nothing of the network. */
export const FLAGS = [
  "--headless",
  "--no-sandbox",
  "--disable-gpu",
  "--disable-quic",
  "--no-first-run",
  "--disable-background-networking",
  "--disable-component-update",
  "--disable-sync",
];

const runs = (/** @type {string} */ file) => {
  try {
    accessSync(file, constants.X_OK);
    return true;
  } catch {
    return false;
  }
};

/**
 * Path of a Chromium: CHROMIUM_PATH, one on the PATH, one in a usual place, or the one that playwright-core installed.
 * @returns {string | undefined}
 */
export function findChromium() {
  const named = process.env["CHROMIUM_PATH"];
  if (named !== undefined && named !== "") return runs(named) ? named : undefined;
  const folders = ["/usr/bin", ...(process.env["PATH"] ?? "").split(path.delimiter)];
  const candidates = [...folders.flatMap((folder) => NAMES.map((name) => path.join(folder, name))), ...PLACES];
  return candidates.find(runs) ?? installedByPlaywright();
}

function installedByPlaywright() {
  try {
    const { chromium } = createRequire(import.meta.url)("playwright-core");
    const file = chromium.executablePath();
    return existsSync(file) ? file : undefined;
  } catch {
    return undefined;
  }
}
