/**
 * `npm run bench [-- GROUP … [FOLDER …] [--OPTION VALUE …]]`: every figure on a line of its own, measured beside its reference in one
 * run. What drives a whole server for minutes runs only when it is named.
 */
import { calibration } from "./calibration.ts";
import { club } from "./club.ts";
import { faults } from "./faults.ts";
import { find } from "./find.ts";
import { charges, frontier } from "./frontier.ts";
import { fuzz } from "./fuzz.ts";
import { hands } from "./hands.ts";
import { holdups } from "./holdups.ts";
import { load } from "./load.ts";
import { money } from "./money.ts";
import { montecarlo } from "./montecarlo.ts";
import { passes } from "./passes.ts";

type Group = (options: string[]) => void | Promise<void>;

const usual: Record<string, Group> = {
  hands,
  passes,
  montecarlo,
  holdups,
  frontier,
  choices: charges,
  money,
  club,
  find,
};
const groups: Record<string, Group> = { ...usual, load, fuzz, faults, calibration };

// Groups first; what follows them is theirs: options, and the folders of `hands`.
const given = process.argv.slice(2);
const firstOther = given.findIndex((word) => !Object.hasOwn(groups, word));
const asked = firstOther < 0 ? given : given.slice(0, firstOther);
const options = firstOther < 0 ? [] : given.slice(firstOther);
if (asked.length === 0 && options.length > 0 && !options[0]!.startsWith("--")) {
  console.error(`There is no group ${options[0]}. Groups: ${Object.keys(groups).join(", ")}.`);
  process.exit(2);
}
for (const name of asked.length > 0 ? asked : Object.keys(usual)) await groups[name]!(options);
