/**
 * `npm run bench [-- GROUP … [--OPTION VALUE …]]`: every figure on a line of its own, measured beside its reference in one
 * run. What drives a whole server for minutes runs only when it is named.
 */
import { club } from "./club.ts";
import { faults } from "./faults.ts";
import { charges, frontier } from "./frontier.ts";
import { fuzz } from "./fuzz.ts";
import { holdups } from "./holdups.ts";
import { load } from "./load.ts";
import { money } from "./money.ts";
import { montecarlo } from "./montecarlo.ts";
import { passes } from "./passes.ts";

type Group = (options: string[]) => void | Promise<void>;

const usual: Record<string, Group> = { passes, montecarlo, holdups, frontier, choices: charges, money, club };
const groups: Record<string, Group> = { ...usual, load, fuzz, faults };

const given = process.argv.slice(2);
const firstOption = given.findIndex((word) => word.startsWith("--"));
const asked = firstOption < 0 ? given : given.slice(0, firstOption);
const options = firstOption < 0 ? [] : given.slice(firstOption);
const unknown = asked.filter((name) => !(name in groups));
if (unknown.length > 0) {
  console.error(`There is no group ${unknown.join(", ")}. Groups: ${Object.keys(groups).join(", ")}.`);
  process.exit(2);
}
for (const name of asked.length > 0 ? asked : Object.keys(usual)) await groups[name]!(options);
