/**
 * `npm run bench [-- GROUP …]`: every figure on a line of its own, measured beside its reference in one run.
 * Groups with options of their own (`--name value`) run only where they are named, one a time.
 */
import { club } from "./club.ts";
import { frontier } from "./frontier.ts";
import { fuzz } from "./fuzz.ts";
import { holdups } from "./holdups.ts";
import { money } from "./money.ts";
import { montecarlo } from "./montecarlo.ts";
import { passes } from "./passes.ts";

const groups: Record<string, () => void | Promise<void>> = { passes, montecarlo, holdups, frontier, money, club };
const named: Record<string, (args: readonly string[]) => Promise<void>> = { fuzz };

const [first = "", ...rest] = process.argv.slice(2);
if (first in named) await named[first]!(rest);
else await all(process.argv.slice(2));

async function all(asked: readonly string[]): Promise<void> {
  const unknown = asked.filter((name) => !(name in groups));
  if (unknown.length > 0) {
    const known = [...Object.keys(groups), ...Object.keys(named)].join(", ");
    console.error(`There is no group ${unknown.join(", ")}. Groups: ${known}.`);
    process.exit(2);
  }
  for (const name of asked.length > 0 ? asked : Object.keys(groups)) await groups[name]!();
}
