/** `npm run bench -- faults` in small: a server killed under four writers. */
import { afterAll, beforeAll, expect, test } from "vitest";
import { looseLog } from "../support/faultCheck.ts";
import { cutLog, Killed } from "../support/faultRuns.ts";
import { WRITTEN } from "../support/faultWriters.ts";
import { seeded } from "../support/networks.ts";

const chance = seeded(3);
let killed: Killed;
beforeAll(async () => {
  killed = await Killed.begin(chance);
}, 300_000);
afterAll(() => killed.remove());

test("what a server acknowledged before it was killed is there when it starts again, whole and with its entry in the journal", async () => {
  // As long as it takes until each of the four was told that something of his is kept.
  const told = () => new Set([...killed.acknowledged.values()].map(({ table }) => table)).size;
  for (let i = 0; i < 2 || told() < WRITTEN.length; i++) await killed.once();
  expect(killed.counted).toEqual({ lost: [], broken: [] });
}, 300_000);

test("a log that was cut short leaves a beginning of what was written, whole", async () => {
  const { from, to } = await looseLog(killed.folder);
  expect(to).toBeGreaterThan(from);
  for (let i = 0; i < 5; i++) expect(await cutLog(killed.folder, killed.acknowledged, chance)).toEqual([]);
}, 120_000);
