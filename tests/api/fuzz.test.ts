/** A short fuzz, always the same: the whole one is `npm run bench -- fuzz`. */
import { expect, test, vi } from "vitest";
import { fuzzed } from "../bench/fuzz.ts";

vi.setConfig({ testTimeout: 600_000 });

test("nothing that is asked or sent is a mistake of the program, and nobody reaches the rows of others", async () => {
  const found = await fuzzed({ requests: 250, files: 20, seed: 7 });
  expect(found.internal).toEqual([]);
  expect(found.foreign).toEqual([]);
  // Half of what is sent is well formed: it is done, and not only refused.
  expect(found.done).toBeGreaterThan(found.requests / 3);
});
