/**
 * Last step of `.ci/run`: counts the tests passed and failed from Vitest's report, and each failed check as one more
 * failed. Given the exit codes of the checks and of the tests. Fails when anything failed or when no test ran.
 */
import { existsSync, readFileSync } from "node:fs";
import path from "node:path";
import { notes } from "./prepare.mjs";

const [checksCode = "1", testsCode = "1"] = process.argv.slice(2);

/** @param {string} name */
const read = (name) => {
  const file = path.join(notes, name);
  return existsSync(file) ? JSON.parse(readFileSync(file, "utf8")) : undefined;
};

/** @type {string[]} */
const failures = (read("checks.json")?.failed ?? []).map((/** @type {string} */ name) => `check: ${name}`);
if (checksCode !== "0" && failures.length === 0) failures.push("check: ended before it could tell what failed");

const report = read("tests.json");
let passed = 0;
let testsFailed = 0;
for (const file of report?.testResults ?? []) {
  const name = path.relative(process.cwd(), file.name);
  const broken = file.assertionResults.filter((/** @type {{ status: string }} */ t) => t.status === "failed");
  passed += file.assertionResults.filter((/** @type {{ status: string }} */ t) => t.status === "passed").length;
  for (const test of broken) failures.push(`${name}: ${test.fullName}`);
  if (file.status === "failed" && broken.length === 0) failures.push(`${name}: could not be run`);
  testsFailed += broken.length + (file.status === "failed" && broken.length === 0 ? 1 : 0);
}
if (passed + testsFailed === 0) failures.push("no test ran");
else if (testsCode !== "0" && testsFailed === 0) failures.push(`the tests ended with code ${testsCode}`);

for (const failure of failures) console.log(`FAILED  ${failure}`);
console.log(`${passed} passed, ${failures.length} failed`);
process.exit(failures.length === 0 ? 0 : 1);
