/**
 * `npm test`: makes the clone ready, sees that there is a Chromium, and runs every test. What follows `--` goes to
 * Vitest: `npm test -- tests/engine`. The result is also written as JSON, to LASTBOLT_TEST_REPORT if that is set.
 */
import { spawnSync } from "node:child_process";
import { mkdirSync, rmSync } from "node:fs";
import path from "node:path";
import { findChromium } from "./chromium.mjs";
import { foreground, notes, prepare, run } from "./prepare.mjs";

const args = process.argv.slice(2);
const report = process.env["LASTBOLT_TEST_REPORT"] ?? path.join(notes, "tests.json");

/** Installs a Chromium where there is none: as root by apt-get, else by playwright-core. */
async function ensureChromium() {
  if (findChromium() !== undefined) return;
  console.log("Installing a Chromium for the browser tests …");
  const asRoot = process.getuid?.() === 0 && spawnSync("apt-get", ["--version"]).status === 0;
  try {
    if (asRoot) {
      await run("apt-get update", "apt-get", ["update"]);
      await run("apt-get install", "apt-get", ["install", "-y", "--no-install-recommends", "chromium"]);
    }
  } catch (error) {
    console.error(error instanceof Error ? error.message : error);
  }
  if (findChromium() !== undefined) return;
  try {
    await run("Installing Chromium", process.execPath, ["node_modules/playwright-core/cli.js", "install", "chromium"]);
  } catch (error) {
    console.error(error instanceof Error ? error.message : error);
  }
  if (findChromium() === undefined)
    console.error("There is no Chromium and none could be installed: the browser tests will fail for want of one.");
}

try {
  await prepare();
  if (args.length === 0 || args.some((arg) => arg.includes("browser"))) await ensureChromium();
  mkdirSync(path.dirname(report), { recursive: true });
  rmSync(report, { force: true });
  process.exitCode = await foreground([
    "node_modules/vitest/vitest.mjs",
    "run",
    "--reporter=default",
    "--reporter=json",
    `--outputFile.json=${report}`,
    ...args,
  ]);
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exitCode = 1;
}
process.exit();
