/** `npm run bench [-- GROUP …]`: every figure on a line of its own, measured beside its reference in one run. */
import { club } from "./club.ts";
import { frontier } from "./frontier.ts";
import { holdups } from "./holdups.ts";
import { money } from "./money.ts";
import { montecarlo } from "./montecarlo.ts";
import { passes } from "./passes.ts";

const groups: Record<string, () => void | Promise<void>> = { passes, montecarlo, holdups, frontier, money, club };

const asked = process.argv.slice(2);
const unknown = asked.filter((name) => !(name in groups));
if (unknown.length > 0) {
  console.error(`There is no group ${unknown.join(", ")}. Groups: ${Object.keys(groups).join(", ")}.`);
  process.exit(2);
}
for (const name of asked.length > 0 ? asked : Object.keys(groups)) await groups[name]!();
